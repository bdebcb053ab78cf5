"""Digests and reports are the same bytes whatever the locale, time zone, hash seed and folder they come about in."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
RECORD = ROOT / "rulesets" / "tern-sound" / "examples" / "0401-pass-seven-eighths.yaml"

WORK = """
import sys
from tautbook.api import Shelf, explain, judge, read_record, verdict_text
from tautbook.cli.group import tautbook
from tautbook.rendering.verdict_json import verdict_json
import json
shelf = Shelf.default()
for name in ("2016", "2021", "2025"):
    print(shelf.edition("tern-sound", name).digest)
explanation = explain(judge(read_record(sys.argv[1]), shelf.edition("tern-sound", "2025")))
sys.stdout.flush()
sys.stdout.buffer.write(verdict_text(explanation).encode("utf-8"))
sys.stdout.buffer.write(json.dumps(verdict_json(explanation)).encode())
sys.stdout.flush()
tautbook(["judge", sys.argv[1], "--under", "tern-sound@2016"], standalone_mode=False)
"""

ENVIRONMENTS: dict[str, dict[str, str]] = {
    "plain C": {"LC_ALL": "C", "LANG": "C", "PYTHONHASHSEED": "1", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    "POSIX": {"LC_ALL": "POSIX", "PYTHONHASHSEED": "2", "TZ": "Pacific/Kiritimati"},
    "German": {"LC_ALL": "de_DE.UTF-8", "PYTHONHASHSEED": "3", "TZ": "America/Anchorage"},
    "Turkish": {"LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8", "PYTHONHASHSEED": "4294967295", "PYTHONUTF8": "0"},
    "UTF-8 mode": {"LC_ALL": "C", "PYTHONUTF8": "1", "PYTHONHASHSEED": "0", "TZ": "UTC", "COLUMNS": "40"},
}
"""A locale that a system does not have leaves Python in the plain one."""


def bytes_in(environment: dict[str, str], folder: Path, record: Path) -> bytes:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("LC_", "LANG", "TZ", "PYTHON"))}
    kept |= {"PYTHONPATH": str(ROOT / "engine"), **environment}
    ran = subprocess.run([sys.executable, "-c", WORK, os.fsencode(record)], env=kept, cwd=folder, capture_output=True,
                         timeout=280)  # fmt: skip
    assert ran.returncode == 0, ran.stderr.decode("utf-8", "replace")
    return ran.stdout


def test_the_same_bytes_everywhere(tmp_path: Path) -> None:
    record = tmp_path / "record.yaml"
    record.write_bytes(RECORD.read_bytes())
    expected = bytes_in({"PYTHONHASHSEED": "7", "LC_ALL": "C.UTF-8", "TZ": "UTC"}, ROOT, record)
    assert expected.count(b"m1:") >= 3 and b"pass" in expected
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    for name, environment in ENVIRONMENTS.items():
        assert bytes_in(environment, elsewhere, record) == expected, name


@pytest.mark.skipif(sys.platform == "win32", reason="names of files are text there")
def test_a_file_whose_name_is_not_ascii_is_read_in_the_plain_locale(tmp_path: Path) -> None:
    record = tmp_path / "Überführung №7.yaml"
    record.write_bytes(RECORD.read_bytes())
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("LC_", "LANG", "PYTHON"))}
    ran = subprocess.run(
        [sys.executable, "-m", "tautbook", "judge", record, "--under", "tern-sound@2016", "--format", "json"],
        env=kept | {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONPATH": str(ROOT / "engine")},
        capture_output=True, cwd=tmp_path, timeout=280,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert b'"verdict": "pass"' in ran.stdout
