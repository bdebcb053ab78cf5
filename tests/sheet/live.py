"""A live page as a person has it before them: filled in box by box, its verdict read, its file judged."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from reference.changes import RECORDS
from sheet.driven import Browser
from tautbook.cli.group import tautbook

PROCEDURES = ("dti-installed", "dti-lot", "dti-short-bolt", "rotational-capacity")


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(tautbook, words)
    return done.exit_code, done.output


def leaves(part: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Each value of a record by the name of its box."""
    if isinstance(part, dict):
        for name, below in part.items():
            yield from leaves(below, f"{path}.{name}" if path else name)
    elif isinstance(part, list):
        for n, below in enumerate(part, 1):
            yield from leaves(below, f"{path}[{n}]")
    else:
        yield path, part


FILL = """(texts) => {
  const lacking = [];
  for (const [name, text] of Object.entries(texts)) {
    const [box] = document.getElementsByName(name);
    if (!box) { lacking.push(name); continue; }
    box.value = text;
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }
  return lacking;
}"""


def filled_in(it: Browser, record: Any) -> list[str]:
    """Fills in a record, box by box, as it stands on paper. What has no box comes back."""
    texts = {}
    for name, text in leaves(record):
        amount, _, unit = text.rpartition(" ")
        if amount and it.run(f"Boolean(document.getElementsByName({json.dumps(f'{name} unit')})[0])"):
            texts |= {name: amount, f"{name} unit": unit}
        else:
            texts[name] = {"true": "yes", "false": "no"}.get(text, text)
    lacking = it.run(f"({FILL})({json.dumps(texts)})")
    it.settled()
    assert isinstance(lacking, list)
    return lacking


def outcome(it: Browser, requirement: str, item: str | None = None) -> str:
    where = f'[data-requirement="{requirement}"]' + (f'[data-item="{item}"]' if item else "")
    found = it.run(f"document.querySelector({json.dumps(where)}).querySelector('[data-outcome]').textContent")
    assert isinstance(found, str)
    return found


def headline(it: Browser) -> str:
    return it.text("verdict").partition(". It can still")[0]


def report_of(file: Path, edition: str = "2025") -> Any:
    status, said = run("judge", str(file), "--under", f"tern-sound@{edition}", "--format", "json")
    assert status in (0, 1, 3) and said.startswith("{"), said
    return json.loads(said)


PASS = RECORDS["0401-pass-seven-eighths.yaml"]
