"""A job as frozen data: one contract, its lots, what will be installed from them, what people decided."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from ..lang.source import Span
from ..lang.values import Group


@dataclass(frozen=True, slots=True)
class Lot:
    """One delivered lot. ``of`` is the part of a record that it stands under; a number means something only beside its
    maker."""

    of: str
    number: str
    maker: str
    data: Group = field(repr=False)
    """What its papers say, as fields of a record: everything under ``of``."""
    quantity: int | None
    documents: tuple[str, ...]
    span: Span = field(repr=False, compare=False)

    @property
    def name(self) -> str:
        return f"{self.of} lot {self.number} ({self.maker})"


@dataclass(frozen=True, slots=True)
class Assembly:
    """What is put together from the same lots in one connection. ``data`` has what the job knows of it, as fields of a
    record: what it says itself, and of each lot what was delivered."""

    number: int
    data: Group = field(repr=False)
    lots: tuple[Lot, ...]
    count: int
    span: Span = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Equipment:
    """One calibration of one thing that tests are made with. ``of`` is the part of a record that describes it."""

    of: str
    key: str
    """The field that tells one from another."""
    name: str
    data: Group = field(repr=False)
    span: Span = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Leave:
    """Leave not to make a test, as stated."""

    procedure: str
    only: Mapping[str, str] = field(hash=False)
    """Of which combination; empty: of every one."""
    by: str
    role: str
    on: datetime.date
    why: str
    span: Span = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Disposition:
    """What a person decided about a lot."""

    lot: Lot
    decision: str
    by: str
    role: str
    on: datetime.date
    quantity: int | None
    treatment: str | None
    record: str | None
    span: Span = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Named:
    """The edition that the contract names: pinned by its digest, or the one in force on the letting date."""

    ruleset: str
    edition: str | None
    digest: str | None
    span: Span = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Job:
    """INVARIANT: ``records``, ``verdicts`` and ``layer`` lie inside of ``folder``, links followed."""

    id: str
    title: str | None
    contract: str | None
    owner: str | None
    letting: datetime.date | None
    edition: Named
    layer: Path | None
    folder: Path
    file: str
    records: Path
    verdicts: Path | None
    lots: tuple[Lot, ...]
    assemblies: tuple[Assembly, ...]
    equipment: tuple[Equipment, ...]
    leaves: tuple[Leave, ...]
    dispositions: tuple[Disposition, ...]
    span: Span = field(repr=False, compare=False)
