"""The Wren Creek job, whole as it ships, or the one connection of it that is ready, to be changed by a test."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import yaml
from click.testing import CliRunner, Result

from tautbook.cli.group import tautbook

SHIPPED = Path(__file__).parents[2] / "rulesets" / "tern-sound" / "jobs" / "wren-creek"
GOOD = ("WC-01", "WC-03", "WC-11")
"""Records of the connection G1-S1: all that its lots and it itself need."""


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, list(map(str, arguments)), prog_name="tautbook")


def ready(folder: Path, *arguments: str) -> Result:
    return run("ready", folder, *arguments)


def good(folder: Path) -> Path:
    """A job in ``folder`` that is ready: the connection G1-S1, its lots and its records."""
    (folder / "records").mkdir(parents=True)
    for name in ("contract.yaml", "enacted.yaml"):
        shutil.copy(SHIPPED / name, folder)
    for id in GOOD:
        add(folder, id)
    job = yaml.safe_load((SHIPPED / "job.yaml").read_text(encoding="utf-8"))
    job["assemblies"] = job["assemblies"][:1]
    for part in ("leaves", "dispositions", "verdicts"):
        del job[part]
    write(folder, job)
    return folder


def add(folder: Path, id: str) -> Path:
    """A record of the shipped job put into this one."""
    found = sorted((SHIPPED / "records").glob(f"{id}-*"))[0]
    return Path(shutil.copy(found, folder / "records"))


def read(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((folder / "job.yaml").read_text(encoding="utf-8"))
    return found


class _Plain(yaml.SafeDumper):
    def ignore_aliases(self, data: Any) -> bool:
        return True


def write(folder: Path, job: dict[str, Any]) -> None:
    text = yaml.dump(job, Dumper=_Plain, sort_keys=False, allow_unicode=True)
    (folder / "job.yaml").write_text(text, encoding="utf-8")


def change(folder: Path, **parts: Any) -> None:
    """The job with some parts put in the place of what stood there."""
    write(folder, {**read(folder), **parts})


def edit(folder: Path, id: str, old: str, new: str, to: str | None = None) -> None:
    """A record with a text changed; under the number ``to``, a new one beside it."""
    path = sorted((folder / "records").glob(f"{id}-*"))[0]
    text = path.read_text(encoding="utf-8")
    assert old in text, old
    text = text.replace(old, new)
    if to is not None:
        text, path = text.replace(f"id: {id}", f"id: {to}"), path.with_name(f"{to}-{path.name}")
    path.write_text(text, encoding="utf-8")
