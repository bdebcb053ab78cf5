"""``tautbook judge RECORD... --under RULESET@EDITION``."""

from __future__ import annotations

import json
import sys
import textwrap
from collections import Counter
from pathlib import Path

import click

from ..editions.edition import Edition
from ..explaining.explain import Explanation, explain
from ..judging.verdict import judge_record
from ..lang.problem import Problem
from ..records.gather import gather
from ..rendering.verdict_json import verdict_json
from ..rendering.verdict_markdown import summary_markdown, summary_row, verdict_markdown
from ..rendering.verdict_text import summary_lines, verdict_text
from .common import (
    UNUSABLE,
    draft_option,
    edition_named,
    format_option,
    heading,
    keep,
    not_a_draft,
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
@draft_option
@rulesets_option
@format_option("text", "json", "jsonl", "markdown")
@output_options
def judge(
    records: tuple[str, ...], under: tuple[str, ...], draft: bool, folders: tuple[Path, ...], form: str,
    output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Judge recorded tests by an edition, and explain the verdict.

    RECORD is a file, a folder or - for standard input; YAML, JSON, or JSON lines with a record a line.

    Exit status: 2 something could not be used; 1 at least one fail or invalid; 3 at least one incomplete, or not for
    acceptance; 0 all pass.
    """
    if not records:
        stop([Problem("record-needed", "name the record to judge: a file, a folder, or - for standard input")])
    edition = edition_named(under, shelf_of(folders))
    not_a_draft(edition, draft)
    keep(output, [*records, *under])
    batch, problems = Batch(form), []
    for name in records:
        for record, wrong in gather(name, sys.stdin.buffer):
            verdict = None
            if record is not None:
                verdict, wrong = judge_record(record, edition)
            if verdict is None:
                problems.append(wrong)
            else:
                batch.add(explain(verdict))
    if batch.counts:
        single = len(records) == 1 and batch.number + len(problems) == 1 and not Path(records[0]).is_dir()
        write(batch.alone(output is None) if single else batch.text(edition), output, replace)
    tell(problem for each in problems for problem in each)
    sys.exit(UNUSABLE if problems else batch.status)


class Batch:
    """Verdicts as they come. Each is kept as the few lines that are shown of it; the first whole, since it may be the
    only one."""

    def __init__(self, form: str) -> None:
        self.form = form
        self.counts: Counter[str] = Counter()
        self.status = 0
        self.parts: list[str] = []
        self.first: Explanation | None = None

    @property
    def number(self) -> int:
        return self.counts.total()

    def add(self, explanation: Explanation) -> None:
        self.first = self.first or explanation
        self.counts[explanation.verdict.verdict] += 1
        self.parts.append(self._part(explanation))
        if explanation.verdict.verdict in ("fail", "invalid"):
            self.status = 1
        elif self.status == 0 and (explanation.verdict.verdict == "incomplete" or explanation.advisory):
            self.status = 3

    def _part(self, explanation: Explanation) -> str:
        match self.form:
            case "text":
                return summary_lines(explanation)
            case "markdown":
                return summary_row(explanation)
            case "jsonl":
                return f"{json.dumps(verdict_json(explanation))}\n"
            case _:
                return textwrap.indent(json.dumps(verdict_json(explanation), indent=2), "  ")

    def alone(self, terminal: bool) -> str:
        """The whole report of the only verdict."""
        assert self.first is not None
        match self.form:
            case "text":
                first, newline, rest = verdict_text(self.first).partition("\n")
                colour = _COLOURS[self.first.verdict.verdict]
                return (heading(first, colour) if terminal else first) + newline + rest
            case "markdown":
                return verdict_markdown(self.first)
            case "jsonl":
                return self.parts[0]
            case _:
                return f"{textwrap.dedent(self.parts[0])}\n"

    def text(self, edition: Edition) -> str:
        """What is shown of many."""
        told = ", ".join(f"{self.counts[word]} {word}" for word in _COLOURS if self.counts[word])
        counted = f"{self.number} record{'s' * (self.number != 1)} judged: {told}"
        match self.form:
            case "text":
                return f"{''.join(self.parts)}{counted}\nJudge one record by itself for its whole report.\n"
            case "markdown":
                return summary_markdown(self.parts, counted, edition)
            case "jsonl":
                return "".join(self.parts)
            case _:
                return "[\n" + ",\n".join(self.parts) + "\n]\n"
