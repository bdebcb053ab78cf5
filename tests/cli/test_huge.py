"""Nonsense, and far too much of everything: told within the limits, in bounded time and memory, by every command."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from huge import FILES, RECORD

from tautbook.cli.group import tautbook
from tautbook.lang.limits import LIMITS

COMMANDS = {
    "judge": ["judge", str(RECORD), "--draft", "--under"],
    "shelf": ["shelf", "--show"],
    "proofread": ["proofread"],
    "enact": ["enact", "--by", "J. Orr"],
}
TOLD = {
    "random bytes": "not-utf-8",
    "random YAML": "block-header",
    "5,000 unknown keys": "unknown-key",
    "an image": "not-utf-8",
    "a record": "unknown-key",
    "a JSON schema": "unknown-key",
    "a file of 9 MB": "file-large",
    "10,000 requirements": "too-large",
    "900 brackets": "expression-deep",
    "160 `not`": "expression-deep",
    "40 `if` inside each other": "expression-deep",
    "40 tables inside each other": "expression-deep",
    "10,000 terms in a chain": "too-large",
    "100 terms in a chain": "terms-deep",
    "60 terms that call the next one twice": "terms-steps",
    "20,000 cells": "table-large",
    "93,000 cells": "too-large",
    "100,000 cells": "too-large",
    "20,000 bands": "table-large",
    "2,001 covered values": "covers-large",
    "100,000 covered values": "list-long",
    "10,000 struck that are not there": "amends-strike",
    "10,000 tables whose cells change and are not there": "too-large",
    "10,000 cells of a size that no table has": "table-large",
}
"""What every command says of a file that is refused."""
USED = {
    "2,000 requirements": "pass",
    "a chain of 280 `and`": "fail: one",
    "2,000 bands": "pass",
    "4,000 cells": "incomplete: no rule (table `big` has no figure for 4 in, 7/8 in); "
                   "nothing that is recorded can change this",
    "2,000 covered values": "incomplete: no rule (this edition does not cover bolt.maker Northfield); "
                            "nothing that is recorded can change this",
}  # fmt: skip
"""What judging by a file that is within the limits comes to."""
SMALL = {"random bytes", "random YAML", "an image", "a record", "a JSON schema", "900 brackets", "160 `not`",
         "40 `if` inside each other", "40 tables inside each other", "100 terms in a chain",
         "2,001 covered values", "60 terms that call the next one twice"}  # fmt: skip


def each(names: set[str]) -> list[object]:
    return [pytest.param(name, marks=() if name in SMALL else pytest.mark.slow) for name in FILES if name in names]


def file_of(name: str, folder: Path) -> Path:
    made = FILES[name]()
    path = folder / "huge.yaml"
    path.write_bytes(made if isinstance(made, bytes) else made.encode())
    return path


@pytest.mark.parametrize("name", each(set(TOLD)))
def test_what_cannot_be_used_is_told_clearly_and_briefly(name: str, tmp_path: Path) -> None:
    path = file_of(name, tmp_path)
    for command in COMMANDS if name in SMALL else ("judge",):
        told = CliRunner().invoke(tautbook, [*COMMANDS[command], str(path)])
        assert told.exit_code == 2 and isinstance(told.exception, SystemExit), command
        assert f": {TOLD[name]}: " in told.stderr and "help: " in told.stderr
        assert told.stderr.count("\n") < 6 * LIMITS.told and len(told.stderr) < 100_000
    assert [each.name for each in tmp_path.iterdir()] == ["huge.yaml"]


@pytest.mark.parametrize("name", [pytest.param(name, marks=pytest.mark.slow) for name in FILES if name not in TOLD])
def test_what_is_large_but_within_the_limits_is_used(name: str, tmp_path: Path) -> None:
    told = CliRunner().invoke(tautbook, [*COMMANDS["judge"], str(file_of(name, tmp_path))])
    assert told.exit_code in (0, 1, 3) and told.stderr == ""
    headline = " ".join(told.stdout.split("\n\n")[0].split())  # may take two lines
    assert headline == f"{USED[name]}; draft rules, not enacted; demonstration figures"


def test_of_very_many_problems_the_first_are_told_and_the_rest_counted(tmp_path: Path) -> None:
    path = tmp_path / "many.yaml"
    path.write_text("".join(f"k{i}: 1\n" for i in range(300)))
    told = CliRunner().invoke(tautbook, ["shelf", "--show", str(path)]).stderr
    assert told.count(": unknown-key: ") + told.count(": missing-key: ") == LIMITS.told
    assert told.splitlines()[-1] == f"{path}: {309 - LIMITS.told} more problems; mend these first"


MEASURED = """
import resource, sys
from tautbook.cli import main
try:
    main()
finally:
    used = resource.getrusage(resource.RUSAGE_SELF).ru_utime
    # Its own: the most that getrusage knows of begins with what the process that started this one held.
    most = next(line for line in open("/proc/self/status") if line.startswith("VmHWM")).split()[1]
    print(f"used {used:.1f} {int(most) // 1024}", file=sys.stderr)
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is told in other units elsewhere")
@pytest.mark.parametrize("name", ["93,000 cells", "10,000 requirements", "100,000 covered values"])
def test_time_and_memory_are_bounded(name: str, tmp_path: Path) -> None:
    """Time of the processor, since others may be at work; wide of what was measured, far from what was feared."""
    path = file_of(name, tmp_path)
    ran = subprocess.run([sys.executable, "-c", MEASURED, *COMMANDS["enact"], str(path)],
                         capture_output=True, text=True, timeout=280, env=os.environ)  # fmt: skip
    _, seconds, megabytes = ran.stderr.splitlines()[-1].split()
    assert float(seconds) < 30 and int(megabytes) < 250, ran.stderr
