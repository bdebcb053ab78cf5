"""What proofreading found, as text, as JSON, and as annotations that a code host shows beside the lines of a file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import groupby
from typing import Any

from ..lang.problem import Problem, visible
from ..lang.source import Span
from ..proofreading.boundaries import Boundary, Coverage
from ..proofreading.report import Finding, Report
from .layout import WIDTH, labelled, paragraph
from .parts_json import engine_json

_BEFORE = 20
"""Characters of a long line that are shown before the place."""


def proofread_json(reports: Iterable[Report]) -> list[dict[str, Any]]:
    """The objects that ``schemas/proofread.schema.json`` describes."""
    return [_report(report) for report in reports]


def _report(report: Report) -> dict[str, Any]:
    edition, counts = report.edition, report.counts
    return {
        "name": report.name,
        "engine": engine_json(),
        "edition": None if edition is None
        else {"ruleset": edition.ruleset, "edition": edition.edition, "title": edition.title,
              "digest": edition.digest, "file": edition.file},
        "errors": report.errors,
        "remarks": report.remarks,
        "unread": [_problem(problem) for problem in report.unread],
        "findings": [
            {"kind": finding.kind, "severity": finding.severity, **_problem(finding.problem)}
            for finding in report.findings
        ],
        "counts": {
            "records": counts.records,
            "as_stated": counts.as_stated,
            "combinations": counts.combinations,
            "combinations_left_out": counts.left_out,
            "standings": dict(counts.standings),
            "tables_unchecked": counts.unchecked,
        },
        "boundaries": None if report.coverage is None else _boundaries(report.coverage),
    }  # fmt: skip


_MOST = 10_000
"""Boundaries that are listed; a table can have any number of them."""


def _boundaries(coverage: Coverage) -> dict[str, Any]:
    uncovered, never = coverage.uncovered, coverage.never
    return {
        "all": len(coverage.boundaries),
        "can_be_shown": len(coverage.boundaries) - len(never),
        "shown": len(coverage.boundaries) - len(never) - len(uncovered),
        "share": str(coverage.share),
        "uncovered": [_boundary(each) for each in uncovered[:_MOST]],
        "never": [_boundary(each) | {"why": each.never} for each in never[:_MOST]],
    }


def _boundary(boundary: Boundary) -> dict[str, Any]:
    return {
        "procedure": boundary.procedure,
        "requirement": boundary.requirement,
        "comparison": boundary.rule or None,
        "cell": None if boundary.cell is None else {"table": boundary.cell.table, "key": list(boundary.cell.keys)},
        "what": boundary.what,
    }


def _problem(problem: Problem) -> dict[str, Any]:
    found: dict[str, Any] = {"code": problem.code, "message": problem.message, "help": problem.help,
                             "file": problem.file, "from": None, "to": None, "text": None}  # fmt: skip
    if problem.span is not None:
        found |= {
            "file": problem.span.source.name,
            "from": _position(problem.span, problem.span.start),
            "to": _position(problem.span, problem.span.end),
            "text": problem.span.text,
        }
    return found


def _position(span: Span, offset: int) -> dict[str, int]:
    line, column = span.source.position(offset)
    return {"line": line, "column": column}


# Text


def proofread_text(reports: Iterable[Report]) -> str:
    """Findings by kind, each with its place and a way out, and what was counted; at most 100 columns."""
    parts = ["".join(f"{line}\n" for line in _lines(report)) for report in reports]
    return "\n".join(parts)


def headline(report: Report) -> str:
    if report.edition is None:
        return f"{report.name}: could not be read"
    return f"{report.edition.name}: {_many(report.errors, 'error')}, {_many(report.remarks, 'remark')}"


def _lines(report: Report) -> Iterator[str]:
    yield from paragraph(headline(report), 0)
    if report.edition is None:
        return
    yield ""
    yield from labelled("edition", f"{report.edition.title}, {report.edition.digest}")
    yield from labelled("file", report.edition.file)
    for kind, findings in groupby(report.findings, key=lambda finding: finding.kind):
        yield ""
        yield kind
        said = None
        for finding in findings:
            yield from _finding(finding, said)
            said = finding.problem.help
    yield ""
    yield "counts"
    yield from _counts(report)


def _finding(finding: Finding, said: str | None) -> Iterator[str]:
    """One finding. Its help is left out if it is the one that was ``said`` just before."""
    problem = finding.problem
    place = problem.file or ""
    if problem.span is not None:
        line, column = problem.span.source.position(problem.span.start)
        place = f"{problem.span.source.name}:{line}:{column}"
    yield from paragraph(f"{place}: {finding.severity}, {problem.code}")
    yield from paragraph(problem.message, 4)
    if problem.span is not None and problem.span.end > problem.span.start:
        yield from _snippet(problem.span)
    if problem.help is not None and problem.help != said:
        yield from paragraph(f"help: {problem.help}", 4)


def _snippet(span: Span) -> Iterator[str]:
    """The line with the place underlined, cut to the width."""
    number, column = span.source.position(span.start)
    gutter = f"      {number} | "
    room = WIDTH - len(gutter) - 3
    text = span.source.line(number)
    before = text[: column - 1]
    skip = max(0, len(before) - _BEFORE) if len(text) > room else 0
    lead = "..." if skip else ""
    shown = text[skip:]
    under = min(span.end - span.start, len(text) - column + 1)
    start = len(lead) + len(visible(before[skip:]))
    yield f"{gutter}{lead}{visible(shown)}"[:WIDTH].rstrip()
    marks = "^" * max(1, min(under, WIDTH - len(gutter) - start))
    yield f"{' ' * (len(gutter) - 2)}| {' ' * start}{marks}"


def _counts(report: Report) -> Iterator[str]:
    counts = report.counts
    if counts.records:
        yield from labelled("worked records", f"{counts.records}, of which {counts.as_stated} come out as stated",
                            column=20)  # fmt: skip
    if counts.combinations:
        left = f", and {counts.left_out} were too many to try" if counts.left_out else ""
        yield from labelled("combinations", f"{counts.combinations} of covered values tried{left}", column=20)
    if report.coverage is not None and report.coverage.boundaries:
        yield from _coverage(report.coverage)
    if counts.standings:
        told = ", ".join(f"{number} {standing}" for standing, number in counts.standings.items())
        yield from labelled("standings", f"of tables, terms and requirements: {told}", column=20)
    if counts.unchecked:
        yield from labelled("unchecked", f"{_many(counts.unchecked, 'table')} against the printed page", column=20)
    yield from labelled("findings", f"{_many(report.errors, 'error')}, {_many(report.remarks, 'remark')}", column=20)


def _coverage(coverage: Coverage) -> Iterator[str]:
    never = Counter(each.never for each in coverage.never)
    can = len(coverage.boundaries) - len(coverage.never)
    yield from labelled("boundaries", f"{percent(coverage.share)} of {can} shown by worked records", column=20)
    if never:
        whys = "; ".join(f"{why} ({number})" for why, number in never.most_common())
        yield from labelled("", f"{len(coverage.never)} more that no such record can show: {whys}", column=20)


def percent(share: Fraction) -> str:
    """To a tenth, and never rounded up to all."""
    whole, tenths = divmod(share.numerator * 1000 // share.denominator, 10)
    return f"{whole}.{tenths} %" if tenths else f"{whole} %"


def _many(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


# Annotations


def proofread_github(reports: Iterable[Report]) -> str:
    """A workflow command a finding: errors and what could not be read as ``error``, remarks as ``warning``."""
    lines = []
    for report in reports:
        lines += [_annotation("error", problem, report) for problem in report.unread]
        for finding in report.findings:
            lines.append(_annotation("error" if finding.severity == "error" else "warning", finding.problem, report))
    return "".join(f"{line}\n" for line in lines)


def _annotation(command: str, problem: Problem, report: Report) -> str:
    properties: dict[str, str] = {}
    name = problem.file
    if problem.span is not None:
        name = problem.span.source.name
        for prefix, offset in (("", problem.span.start), ("end", problem.span.end)):
            line, column = problem.span.source.position(offset)
            properties |= {f"{prefix}Line" if prefix else "line": str(line),
                           f"{prefix}Column" if prefix else "col": str(column)}  # fmt: skip
    if name is not None:
        shown = report.edition is not None and name == report.edition.file and report.path is not None
        properties = {"file": str(report.path) if shown else name, **properties}
    properties["title"] = problem.code
    told = ",".join(f"{key}={_property(visible(value))}" for key, value in properties.items())
    message = problem.message if problem.help is None else f"{problem.message}\nhelp: {problem.help}"
    return f"::{command} {told}::{_data(message)}"


def _data(text: str) -> str:
    """What a message may not hold, as workflow commands write it."""
    lines = text.split("\n")
    return "%0A".join(visible(line).replace("%", "%25").replace("\r", "%0D") for line in lines)


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
