"""Explanation -> Markdown with GitHub's tables: a verdict to be pasted into a message, an issue or a job file."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from .. import __version__
from ..editions.edition import Edition
from ..explaining.explain import Explained, Explanation
from ..explaining.labels import item_label, label
from ..judging.findings import place
from ..lang.problem import visible
from ..shape.shaped import text_at
from ..shape.vocabulary import Vocabulary
from .edition_text import clause, derived_from, in_force
from .recorded_text import set_aside
from .verdict_text import _NO_ACCEPTANCE, _PARTS


def verdict_markdown(explanation: Explanation) -> str:
    """The report of one verdict."""
    return "\n\n".join(_blocks(explanation)) + "\n"


def summary_markdown(explanations: Sequence[Explanation], counted: str) -> str:
    """Many records by one edition: a row each, with the verdict, the number, the file and why."""
    rows = [
        [f"**{inert(each.verdict.verdict)}**", code(each.verdict.record.id), code(each.verdict.record.file),
         inert(each.headline)]
        for each in explanations
    ]  # fmt: skip
    edition = explanations[0].verdict.edition
    said = [
        ("judged by", f"{_edition(edition)}, {code(edition.digest)}, with tautbook {inert(__version__)}"),
        ("caution", inert(_NO_ACCEPTANCE)),
    ]
    table = _table(["verdict", "record", "file", "why"], rows)
    return "\n\n".join([f"## {inert(counted)}", table, _list(said)]) + "\n"


# Text that stays text

_ACTING = re.compile(r"[\\`*_\[\]<>&|~]|:(?=//)|(?<=www)\.|[@#$]+", re.IGNORECASE)
_STARTS_A_BLOCK = re.compile(r"^(\d+(?=[.)](?:\s|$))|(?=[-+]))")


def inert(text: str) -> str:
    """``text`` from a file, so that it reads as it was written and nothing in it acts as markup.

    - What has no shape of its own, line ends among it, is written out as ``visible`` does.
    - A backslash goes before what is markup in any place (emphasis, code, links, HTML, character references), what
      ends a cell of a table, and what makes an address a link (``://``, ``www.``).
    - ``@``, ``#`` and ``$`` stand in a code span. Where Markdown is posted, people are called, issues linked and
      formulas set after it was read, when a backslash is gone; code is left alone.
    - At the start, a backslash goes before what would begin a list or be a rule across the page.
    """
    return _STARTS_A_BLOCK.sub(r"\1\\", _ACTING.sub(_as_text, visible(text).strip()))


def _as_text(acting: re.Match[str]) -> str:
    found = acting.group()
    return f"`{found}`" if found[0] in "@#$" else f"\\{found}"


def code(text: str) -> str:
    """``text`` from a file as code, for names, paths and digests.

    The marks are longer than any run of backticks inside. A ``|`` ends a cell of a table even in code, and with a
    backslash before it would show the backslash anywhere else: it stands between two spans.
    """
    return "\\|".join(_span(part) for part in visible(text).split("|"))


def _span(text: str) -> str:
    if not text:
        return ""
    mark = "`" * (1 + max(map(len, re.findall("`+", text)), default=0))
    # Of a space at both ends the reader takes one off, unless there is nothing else.
    pad = " " if text.strip(" ") and (text[0] in "` " or text[-1] in "` ") else ""
    return f"{mark}{pad}{text}{pad}{mark}"


def _table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Cells are inert already."""
    heads = list(heads)
    return "\n".join(f"| {' | '.join(row)} |" for row in [heads, ["---"] * len(heads), *rows])


def _list(said: Iterable[tuple[str, str]]) -> str:
    """A line for each label and text, both inert already."""
    return "\n".join(f"- {f'**{name}**: ' if name else ''}{text}" for name, text in said)


# One verdict


def _blocks(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    yield f"## {inert(explanation.headline)}"
    (first, *rows) = ([name, text] for name, text in _identity(explanation))
    yield _table(first, rows)
    yield "### why"
    yield _list((inert(name), inert(text)) for name, text in _why(explanation))
    for kind, title in _PARTS.items():
        mine = [each for each in explanation.findings if each.finding.requirement.kind == kind]
        if mine:
            yield f"### {title}"
            yield _table(["outcome", "requirement", "clause", "item", "found"], _rows(mine, verdict.record.words))
            said = _list(_beside(mine, explanation))
            if said:
                yield said
    if verdict.edition.left_to_people:
        yield "### left to people: what these rules ask that no record here can show"
        yield _list((inert(left.clause or ""), inert(left.what)) for left in verdict.edition.left_to_people)
    yield "### cautions"
    yield _list(("", inert(caution)) for caution in (*verdict.record.words.cautions, _NO_ACCEPTANCE))


def _edition(edition: Edition) -> str:
    return f"{code(edition.name)}, {inert(edition.title)}"


def _identity(explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What was judged, by what; names and inert texts."""
    verdict = explanation.verdict
    record, edition = verdict.record, verdict.edition
    tested = text_at(record.shaped, "tested")
    yield "record", code(record.id)
    yield "procedure", inert(verdict.procedure.title)
    if tested is not None:
        yield "tested", inert(tested)
    yield "file", code(record.file)
    yield "record digest", code(record.digest)
    yield "judged by", _edition(edition)
    yield "edition digest", code(edition.digest)
    start, end = edition.effective
    day = None if tested is None else datetime.date.fromisoformat(tested)
    if day is not None and (day < start or (end is not None and day > end)):
        text = f"in force {in_force(edition)}, and the test was made on {tested}"
        yield "**caution**", inert(f"{text}: see that the contract names this edition")
    yield "with", inert(f"tautbook {__version__}")
    earlier = text_at(record.shaped, "retest_of")
    if earlier is not None:
        yield "retest of", f"{code(earlier)}; that record stands, whatever this one says"
    for path in verdict.observed.set_aside:
        yield "set aside", f"{code(path)}: {inert(set_aside(record.shaped, path))}"


def _why(explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What the verdict rests on, and what happens next."""
    verdict = explanation.verdict
    told = explanation.deciding
    if verdict.verdict in ("pass", "incomplete"):
        # What is broken and does not decide the verdict as it stands is told all the same.
        told = tuple(
            each for each in explanation.findings
            if each.finding.outcome == "not met" and each.finding.requirement.kind != "advice"
        )  # fmt: skip
    if verdict.verdict == "pass":
        counted = {kind: sum(_holds(each, kind) for each in explanation.findings) for kind in ("acceptance", "setup")}
        yield "", f"{counted['acceptance']} findings of acceptance and {counted['setup']} of set-up hold"
    if verdict.verdict == "incomplete":
        yield from _still_open(explanation)
    for each in told:
        yield f"{each.finding.id}{clause(each.finding.requirement.origin)}", each.sentence
    for item in sorted(explanation.void):
        enough = "; enough others do" if verdict.verdict == "pass" else ""
        yield "void", f"{item_label(item, verdict.record.words)} does not count{enough}"
    if verdict.verdict != "pass":
        stuck = [each for each in explanation.deciding if not each.finding.missing]
        for text in dict.fromkeys(each.next for each in (*told, *stuck) if each.next):
            yield "next", text
    if verdict.verdict == "invalid":
        yield "hold", "this test does not count; the lot stays on hold until a valid one is on record"
    for each in explanation.findings:
        if each.finding.waiver is not None:
            yield "waived", f"{each.finding.id}: {each.sentence}"
    for ignored in verdict.ignored_waivers:
        waiver = ignored.waiver
        said = f"of {waiver.requirement} by {waiver.by} ({waiver.role}) on {waiver.on}: {waiver.why}"
        yield "waiver ignored", f"{said}; {ignored.why}"
    if len(verdict.could_be) > 1:
        yield "could be", ", ".join(verdict.could_be)


def _holds(explained: Explained, kind: str) -> bool:
    return explained.finding.requirement.kind == kind and explained.finding.outcome in ("met", "waived")


def _still_open(explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What to record, item by item; and what no recording can mend."""
    words, record = explanation.verdict.record.words, explanation.verdict.procedure.record
    missing = {path for each in explanation.deciding for path in each.finding.missing}
    in_order = sorted(missing, key=lambda path: (place(path, record), path))
    for item, paths in groupby(in_order, key=_item_of):
        where = f"{item_label(item, words)}: " if item else ""
        yield "record", f"{where}{', '.join(label(path, words) for path in paths)}"
    stuck: dict[str, list[str]] = {}
    for each in explanation.deciding:
        for reason in each.finding.no_rule:
            stuck.setdefault(reason.told, []).append(each.finding.id)
    for told, ids in stuck.items():
        yield "open", f"{told} (asked by {', '.join(dict.fromkeys(ids))})"


def _item_of(path: str) -> str:
    first = path.partition(".")[0]
    return first if "[" in first else ""


def _rows(found: Iterable[Explained], words: Vocabulary) -> Iterator[list[str]]:
    """A row for each finding; items of which the same was found share one."""
    rows: dict[tuple[str, str, str], list[Explained]] = {}
    for each in found:
        where = "" if each.finding.item is None else f"{item_label(each.finding.item, words)}: "
        outcome = f"{each.finding.outcome}{', void' if each.finding.voided else ''}"
        rows.setdefault((each.finding.id, outcome, each.sentence.removeprefix(where)), []).append(each)
    for (id, outcome, sentence), together in rows.items():
        requirement = together[0].finding.requirement
        items = [item_label(each.finding.item, words) for each in together if each.finding.item is not None]
        strong = "" if outcome in ("met", "not applicable") else "**"
        yield [
            f"{strong}{inert(outcome)}{strong}", f"{code(id)}: {inert(requirement.title)}",
            inert(requirement.origin.clause or ""), inert(", ".join(items)), inert(sentence),
        ]  # fmt: skip


def _beside(found: Iterable[Explained], explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What stands beside findings: how figures were come by, misprints as they were read, notes."""
    words, edition = explanation.verdict.record.words, explanation.verdict.edition
    for id, together in groupby(found, key=lambda each: each.finding.id):
        group = list(together)
        requirement = group[0].finding.requirement
        compared = [comparison for each in group for comparison in each.comparisons]
        sides = [side for each in compared for side in (each.observed, each.limit) if side is not None]
        for text in dict.fromkeys(text for side in sides for text in derived_from(side, edition, words)):
            yield inert(id), inert(text)
        if requirement.reading:
            read = requirement.reading
            text = f"printed {read['printed']}, read as {read['read_as']}: {read['why']}"
            yield f"{inert(id)}, reading", inert(text)
        if requirement.note and any(each.finding.outcome not in ("met", "not applicable") for each in group):
            yield f"{inert(id)}, note", inert(requirement.note)
