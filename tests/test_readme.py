"""What the README shows is what comes out."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tautbook.lang.units import UNITS

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```([a-z]*)\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
PAIRS = [(BLOCKS[i][1], BLOCKS[i + 1][1]) for i in range(len(BLOCKS) - 1) if BLOCKS[i + 1][0] == "text"]
COMMANDS = [pair for pair in PAIRS if "bin/tautbook " in pair[0]]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT / "engine")}


def ran(*arguments: str, input: str | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, *arguments]
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=ENVIRONMENT, input=input, check=False)


@pytest.mark.parametrize(("command", "shown"), COMMANDS, ids=[str(i) for i in range(len(COMMANDS))])
def test_a_command_prints_what_is_shown(command: str, shown: str) -> None:
    arguments = shlex.split(command.rpartition("bin/tautbook ")[2])
    found = ran("-m", "tautbook", *arguments).stdout
    part, dots, _ = shown.partition("...\n")
    assert found.startswith(part) if dots else found == shown
    assert len(part.splitlines()) > 10


def test_three_commands_are_shown() -> None:
    assert len(COMMANDS) == 3


def test_the_bad_record_gets_the_problems_shown() -> None:
    ((record, problems),) = [pair for pair in PAIRS if pair[0].startswith("procedure:")]
    assert ran("-m", "tautbook", "judge", "-", "--under", "tern-sound@2016", input=record).stderr == problems


def test_the_library_prints_what_is_shown() -> None:
    ((code, shown),) = [pair for pair in PAIRS if pair[0].startswith("from tautbook")]
    found = ran("-c", code)
    assert (found.stdout, found.stderr) == (shown, "")


def test_all_units_are_listed() -> None:
    listed = TEXT.partition("Units:\n")[2].partition(".\n")[0]
    assert set(re.findall(r"`([^`]+)`", listed)) == {name for name in UNITS if name}
