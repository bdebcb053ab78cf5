"""What a job needs: each line of the edition's programme, for each combination of lots that will be installed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ..editions.edition import Asked, Edition, Procedure
from ..explaining.labels import label
from ..lang.evaluate import evaluate
from ..lang.values import Open
from ..shape.schemas import load_schema, record_schema
from ..shape.vocabulary import Vocabulary, vocabulary
from .job import Assembly, Job
from .same import meant, written


@dataclass(frozen=True, slots=True)
class Key:
    """One field of a combination: its title, and what the job writes."""

    path: str
    title: str
    written: str


@dataclass(frozen=True, slots=True)
class Need:
    """One test that the edition asks for, of one combination."""

    asked: Asked
    procedure: Procedure
    words: Vocabulary
    keys: tuple[Key, ...]
    assemblies: tuple[Assembly, ...] = field(repr=False)
    """What is to be installed of this combination."""
    unsure: tuple[str, ...] = ()
    """Fields that the job does not state, so that it is not known whether this test is asked for."""

    @property
    def paths(self) -> tuple[str, ...]:
        """The fields that tell it from the others of its line."""
        return paths_of(self.asked, self.words)

    @property
    def shown(self) -> str:
        """The combination in words."""
        return ", ".join(f"{key.title} {key.written}" for key in self.keys)


@dataclass(frozen=True, slots=True)
class NotStated:
    """An assembly of which the job does not say what a line of the programme goes by."""

    asked: Asked
    procedure: Procedure
    assembly: Assembly
    paths: tuple[str, ...]


Combination = tuple[object, ...]


def needs_of(job: Job, edition: Edition) -> tuple[dict[tuple[int, Combination], Need], tuple[NotStated, ...]]:
    """Every test that the job needs, by line of the programme and combination, in the order of the programme and the
    assemblies; and what it does not state."""
    needs: dict[tuple[int, Combination], Need] = {}
    not_stated: list[NotStated] = []
    for line, asked in enumerate(edition.programme):
        procedure, words = edition.procedures[asked.procedure], vocabulary(asked.procedure)
        assert words is not None
        paths = paths_of(asked, words)
        found: dict[Combination, list[Assembly]] = {}
        unsure: dict[Combination, set[str]] = {}
        for assembly in job.assemblies:
            if _without_a_part(assembly, asked.procedure):
                continue
            when = True if asked.when is None or asked.rules is None else evaluate(
                asked.when, asked.rules, assembly.data
            ).value  # fmt: skip
            if when is False:
                continue
            gaps = tuple(path for path in paths if written(path, assembly.data) is None)
            if gaps:
                not_stated.append(NotStated(asked, procedure, assembly, gaps))
                continue
            combination = tuple(meant(path, assembly.data, procedure) for path in paths)
            found.setdefault(combination, []).append(assembly)
            if isinstance(when, Open):
                unsure.setdefault(combination, set()).update(when.missing or ("nothing that could tell",))
        for combination, assemblies in found.items():
            keys = tuple(_keys(paths, assemblies[0], words))
            open = tuple(sorted(unsure.get(combination, ())))
            needs[line, combination] = Need(asked, procedure, words, keys, tuple(assemblies), open)
    return needs, tuple(not_stated)


def paths_of(asked: Asked, words: Vocabulary) -> tuple[str, ...]:
    """The fields that tell one combination from another. A lot number means something only beside its maker."""
    found: dict[str, None] = {}
    for path in asked.for_each:
        found[path] = None
        beside = f"{path.removesuffix('.lot')}.maker"
        if path.endswith(".lot") and beside in words.fields:
            found[beside] = None
    return tuple(found)


def _without_a_part(assembly: Assembly, procedure: str) -> bool:
    """Whether the assembly has no lot of a kind without which there is no such test."""
    schema = record_schema(procedure)
    assert schema is not None
    kinds = load_schema("job")["properties"]["lots"]["properties"]
    return any(part in kinds and part not in assembly.data.fields for part in schema.get("required", ()))


def _keys(paths: tuple[str, ...], assembly: Assembly, words: Vocabulary) -> Iterator[Key]:
    """The combination as it is shown, a maker in brackets behind its lot."""
    for path in paths:
        beside = f"{path.removesuffix('.maker')}.lot"
        if path.endswith(".maker") and beside in paths:
            continue
        said = written(path, assembly.data) or ""
        maker = f"{path.removesuffix('.lot')}.maker"
        if path.endswith(".lot") and maker in paths:
            said += f" ({written(maker, assembly.data)})"
        yield Key(path, label(path, words), said)
