"""``tautbook judge RECORD... --under RULESET@EDITION``."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from ..editions.edition import Edition
from ..explaining.explain import Explanation, explain
from ..judging.verdict import judge_record
from ..lang.problem import Problem
from ..records.gather import gather
from ..rendering.verdict_json import verdict_json
from ..rendering.verdict_markdown import summary_markdown, verdict_markdown
from ..rendering.verdict_text import summary_lines, verdict_text
from .common import (
    UNUSABLE,
    edition_named,
    format_option,
    heading,
    keep,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    tell,
    under_option,
    write,
)

_COLOURS = {"pass": "green", "fail": "red", "invalid": "red", "incomplete": "yellow"}


@click.command(short_help="Judge recorded tests by an edition, and explain the verdict.")
@click.argument("records", metavar="RECORD...", nargs=-1)
@under_option
@rulesets_option
@format_option("text", "json", "jsonl", "markdown")
@output_options
def judge(
    records: tuple[str, ...], under: tuple[str, ...], folders: tuple[Path, ...], form: str, output: Path | None,
    replace: bool,
) -> None:  # fmt: skip
    """Judge recorded tests by an edition, and explain the verdict.

    RECORD is a file, a folder or - for standard input; YAML, JSON, or JSON lines with a record a line.

    Exit status: 2 something could not be used; 1 at least one fail or invalid; 3 at least one incomplete, or not for
    acceptance; 0 all pass.
    """
    if not records:
        stop([Problem("record-needed", "name the record to judge: a file, a folder, or - for standard input")])
    edition = edition_named(under, shelf_of(folders))
    keep(output, [*records, *under])
    found, problems = _judged(records, edition)
    if found:
        single = len(records) == 1 and len(found) + len(problems) == 1 and not Path(records[0]).is_dir()
        write(_rendered(found, form, single, output is None), output, replace)
    tell(problem for each in problems for problem in each)
    sys.exit(UNUSABLE if problems else _status(found))


def _judged(
    names: Sequence[str], edition: Edition
) -> tuple[list[Explanation], list[tuple[Problem, ...]]]:
    """The explained verdicts, and the problems of each record that could not be judged."""
    found, problems = [], []
    for name in names:
        for record, wrong in gather(name, sys.stdin.buffer):
            verdict = None
            if record is not None:
                verdict, wrong = judge_record(record, edition)
            if verdict is None:
                problems.append(wrong)
            else:
                found.append(explain(verdict))
    return found, problems


def _status(found: Sequence[Explanation]) -> int:
    words = {each.verdict.verdict for each in found}
    if words & {"fail", "invalid"}:
        return 1
    return 3 if "incomplete" in words or any(each.advisory for each in found) else 0


def _rendered(found: Sequence[Explanation], form: str, single: bool, terminal: bool) -> str:
    if form == "text":
        return "".join(_text(found, single, terminal))
    if form == "markdown":
        return verdict_markdown(found[0]) if single else summary_markdown(found, _counted(found))
    if form == "jsonl":
        return "".join(f"{json.dumps(verdict_json(each))}\n" for each in found)
    objects = [verdict_json(each) for each in found]
    return f"{json.dumps(objects[0] if single else objects, indent=2)}\n"


def _text(found: Sequence[Explanation], single: bool, terminal: bool) -> Iterator[str]:
    if single:
        text = verdict_text(found[0])
        first, newline, rest = text.partition("\n")
        yield (heading(first, _COLOURS[found[0].verdict.verdict]) if terminal else first) + newline + rest
        return
    for each in found:
        yield summary_lines(each)
    yield f"{_counted(found)}\n"
    yield "Judge one record by itself for its whole report.\n"


def _counted(found: Sequence[Explanation]) -> str:
    counts = {word: sum(each.verdict.verdict == word for each in found) for word in _COLOURS}
    told = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    return f"{len(found)} record{'s' * (len(found) != 1)} judged: {told}"
