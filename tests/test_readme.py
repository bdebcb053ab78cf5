"""What the README shows is what comes out. ``TAUTBOOK_REWRITE=1`` writes what comes out now, to be read."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tautbook.lang.units import UNITS

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
BLOCK = re.compile(r"^```([a-z]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT / "engine")}


@dataclass(frozen=True)
class Shown:
    """Two blocks that follow each other: what goes in, and the text that comes out."""

    number: int
    given: str
    text: str


def pairs() -> Iterator[Shown]:
    blocks = BLOCK.findall(README.read_text(encoding="utf-8"))
    for i, (_, given) in enumerate(blocks[:-1]):
        if blocks[i + 1][0] in ("text", "markdown"):
            yield Shown(i + 1, given, blocks[i + 1][1])


PAIRS = list(pairs())
COMMANDS = [pair for pair in PAIRS if "bin/tautbook " in pair.given]


def ran(*arguments: str, input: str | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, *arguments]
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=ENVIRONMENT, input=input, check=False)


def holds(pair: Shown, found: str) -> None:
    """The text shown, to its dots, is how ``found`` begins."""
    part, dots, _ = pair.text.partition("...\n")
    if os.environ.get("TAUTBOOK_REWRITE"):
        new = "".join(f"{line}\n" for line in found.splitlines()[: len(part.splitlines())]) + dots if dots else found
        text = README.read_text(encoding="utf-8")
        block = list(BLOCK.finditer(text))[pair.number]
        README.write_text(text[: block.start(2)] + new + text[block.end(2) :], encoding="utf-8")
        return
    assert found.startswith(part) if dots else found == pair.text


@pytest.mark.parametrize("pair", COMMANDS, ids=[str(i) for i in range(len(COMMANDS))])
def test_a_command_prints_what_is_shown(pair: Shown) -> None:
    arguments = shlex.split(pair.given.replace("\\\n", " ").rpartition("bin/tautbook ")[2])
    found = ran("-m", "tautbook", *arguments)
    holds(pair, found.stdout or found.stderr)
    assert len(pair.text.splitlines()) >= 4


def written() -> Iterator[str]:
    """Commands that write a report or the page of a job, and show nothing. Forms are made by ``tests/sheet``."""
    blocks = BLOCK.findall(README.read_text(encoding="utf-8"))
    for i, (_, given) in enumerate(blocks):
        page = "bin/tautbook " in given and ".html" in given and "bin/tautbook sheet " not in given
        if page and blocks[i + 1][0] not in ("text", "markdown"):
            yield given


@pytest.mark.parametrize("given", list(written()))
def test_a_command_writes_the_page_that_it_names(given: str, tmp_path: Path) -> None:
    arguments = shlex.split(given.rpartition("bin/tautbook ")[2])
    page = tmp_path / arguments[-1]
    found = ran("-m", "tautbook", *arguments[:-1], str(page))
    assert found.returncode == 1 and (found.stdout, found.stderr) == ("", "")  # what is judged there is not good
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_pages_are_written() -> None:
    assert len(list(written())) == 2


def test_what_is_shown_of_the_job_stands_in_its_file() -> None:
    job = (ROOT / "rulesets/tern-sound/jobs/wren-creek/job.yaml").read_text(encoding="utf-8").splitlines()
    shown = [text for form, text in BLOCK.findall(README.read_text(encoding="utf-8")) if form == "yaml"]
    shown = [text for text in shown if text.startswith(("lots:", "dispositions:"))]
    assert len(shown) == 2
    for text in shown:
        at = 0
        for line in text.splitlines():
            at = job.index(line, at) + 1  # in this order; some lines are left out


def test_the_ten_minutes_of_three_users_are_shown() -> None:
    assert len(COMMANDS) >= 6


def test_the_bad_record_gets_the_problems_shown() -> None:
    (pair,) = [pair for pair in PAIRS if pair.given.startswith("procedure:")]
    holds(pair, ran("-m", "tautbook", "judge", "-", "--under", "tern-sound@2016", input=pair.given).stderr)


def test_the_library_prints_what_is_shown() -> None:
    (pair,) = [pair for pair in PAIRS if pair.given.startswith("from tautbook")]
    found = ran("-c", pair.given)
    assert found.stderr == ""
    holds(pair, found.stdout)


def test_all_units_are_listed() -> None:
    listed = README.read_text(encoding="utf-8").partition("Units:\n")[2].partition(".\n")[0]
    assert set(re.findall(r"`([^`]+)`", listed)) == {name for name in UNITS if name}
