"""``tautbook judge RECORD... --under RULESET@EDITION``."""

from __future__ import annotations

import json
import sys
import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain
from pathlib import Path

import click

from ..editions.edition import Edition
from ..explaining.explain import Explanation, explain
from ..judging.verdict import judge_record
from ..lang.problem import Problem
from ..records.gather import gather
from ..rendering.verdict_csv import verdict_row, verdicts_head
from ..rendering.verdict_html import Listed, listed, verdict_html, verdict_part, verdicts_html
from ..rendering.verdict_json import verdict_json
from ..rendering.verdict_markdown import summary_markdown, summary_row, verdict_markdown
from ..rendering.verdict_text import summary_lines, verdict_text
from .common import (
    UNUSABLE,
    draft_option,
    format_option,
    heading,
    keep,
    not_a_draft,
    not_in_the_way,
    output_options,
    rulesets_option,
    shelf_of,
    stop,
    tell,
    under_option,
    write,
)
from .job_option import job_and_edition, job_option
from .judge_remarks import with_its_job, with_papers
from .streaming import Spool

_COLOURS = {"pass": "green", "fail": "red", "invalid": "red", "incomplete": "yellow"}


@click.command(short_help="Judge recorded tests by an edition, and explain the verdict.")
@click.argument("records", metavar="RECORD...", nargs=-1)
@under_option
@job_option
@draft_option
@rulesets_option
@format_option("text", "json", "jsonl", "markdown", "html", "csv")
@output_options
def judge(
    records: tuple[str, ...], under: tuple[str, ...], job: str | None, draft: bool, folders: tuple[Path, ...],
    form: str, output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Judge recorded tests by an edition, and explain the verdict.

    RECORD is a file, a folder or - for standard input; YAML, JSON, JSON lines with a record a line, or a table with a
    row an item, .csv or .xlsx (which needs tautbook[excel]).

    With --job and one record, what `ready` would find about it is told beside the verdict: papers of the job that say
    otherwise, other records of the same test or number. It never touches the verdict.

    html is the document of a test for the job file, one page that needs nothing else; of several records it has a
    part for each. In jsonl and csv each record is a line or a row, written as soon as it is judged, and there can be
    any number. In csv a cell that a spreadsheet would take for a formula begins with an apostrophe, as does one that
    began with an apostrophe.

    Exit status: 2 something could not be used; 1 at least one fail or invalid; 3 at least one incomplete, or not for
    acceptance; 0 all pass.
    """
    if not records:
        stop([Problem("record-needed", "name the record to judge: a file, a folder, or - for standard input")])
    papers, edition = job_and_edition(under, job, shelf_of(folders))
    not_a_draft(edition, draft)
    keep(output, [*records, *under])
    not_in_the_way(output, replace)
    judged = Judged(records, edition, jobless=papers is None)
    if form in ("jsonl", "csv"):
        rows = _rows(judged, form)
        first = next(rows, None)
        if first is not None:
            write(chain([first], rows), output, replace)
    else:
        with Spool() as spool:
            batch = Batch(form, spool)
            for explanation in judged:
                batch.add(explanation)
            if batch.first is not None:
                alone = judged.only_one and not Path(records[0]).is_dir()
                if alone and papers is not None:
                    batch.first = with_papers(batch.first, papers)
                write(batch.alone(output is None) if alone else batch.together(judged), output, replace)
    tell(judged.problems)
    sys.exit(UNUSABLE if judged.problems else judged.status)


class Judged:
    """Records as they are judged, one after the other; and what they came to so far."""

    def __init__(self, names: Sequence[str], edition: Edition, jobless: bool) -> None:
        self.names = names
        self.jobless = jobless
        self.edition = edition
        self.counts: Counter[str] = Counter()
        self.unusable = 0
        self.problems: list[Problem] = []
        self.status = 0

    def __iter__(self) -> Iterator[Explanation]:
        for name in self.names:
            for record, wrong in gather(name, sys.stdin.buffer):
                verdict = None
                if record is not None:
                    verdict, wrong = judge_record(record, self.edition)
                if verdict is None:
                    self.unusable += 1
                    self.problems += wrong
                else:
                    explanation = explain(verdict)
                    if self.jobless:
                        explanation = with_its_job(explanation)
                    self._count(explanation)
                    yield explanation

    def _count(self, explanation: Explanation) -> None:
        word = explanation.verdict.verdict
        self.counts[word] += 1
        if word in ("fail", "invalid"):
            self.status = 1
        elif self.status == 0 and (word == "incomplete" or explanation.advisory):
            self.status = 3

    @property
    def only_one(self) -> bool:
        return len(self.names) == 1 and self.counts.total() + self.unusable == 1

    @property
    def told(self) -> str:
        number = self.counts.total()
        words = ", ".join(f"{self.counts[word]} {word}" for word in _COLOURS if self.counts[word])
        return f"{number} record{'s' * (number != 1)} judged: {words}"


def _rows(judged: Judged, form: str) -> Iterator[str]:
    """A line for each record, as soon as it is judged."""
    for number, explanation in enumerate(judged):
        if form == "csv":
            yield f"{'' if number else verdicts_head()}{verdict_row(explanation)}"
        else:
            yield f"{json.dumps(verdict_json(explanation))}\n"


class Batch:
    """Verdicts that come out together. Each is kept as what is shown of it; the first whole, since it may be the only
    one."""

    def __init__(self, form: str, spool: Spool) -> None:
        self.form = form
        self.spool = spool
        self.first: Explanation | None = None
        self.listed: list[Listed] = []

    def add(self, explanation: Explanation) -> None:
        self.first = self.first or explanation
        match self.form:
            case "text":
                self.spool.add(summary_lines(explanation))
            case "markdown":
                self.spool.add(f"{summary_row(explanation)}\n")
            case "html":
                self.listed.append(listed(explanation))
                self.spool.add(verdict_part(explanation, len(self.listed)))
            case _:
                text = textwrap.indent(json.dumps(verdict_json(explanation), indent=2), "  ")
                self.spool.add(text if self.spool.empty else f",\n{text}")

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
            case "html":
                return verdict_html(self.first)
            case _:
                return f"{json.dumps(verdict_json(self.first), indent=2)}\n"

    def together(self, judged: Judged) -> Iterator[str]:
        """What is shown of many."""
        match self.form:
            case "text":
                yield from self.spool.parts()
                yield f"{judged.told}\nJudge one record by itself for its whole report.\n"
            case "markdown":
                rows = "".join(self.spool.parts()).rstrip("\n")
                yield summary_markdown([rows], judged.told, judged.edition)
            case "html":
                yield from verdicts_html(self.listed, judged.told, judged.edition, self.spool.parts())
            case _:
                yield "[\n"
                yield from self.spool.parts()
                yield "\n]\n"
