"""Explanation -> Markdown with GitHub's tables: a verdict to be pasted into a message, an issue or a job file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import groupby

from .. import __version__
from ..editions.edition import Edition
from ..explaining.explain import Explained, Explanation
from ..explaining.labels import item_label
from ..lang.problem import visible
from ..shape.shaped import text_at
from ..shape.vocabulary import Vocabulary
from .account import NO_ACCEPTANCE, PARTS, circumstances, outcome, remarks, why
from .edition_text import derived_from, enacted_text
from .recorded_text import as_recorded, notes_on_items


def verdict_markdown(explanation: Explanation) -> str:
    """The report of one verdict."""
    return "\n\n".join(_blocks(explanation)) + "\n"


def summary_row(explanation: Explanation) -> str:
    """One record of many: the verdict, the number, the file and why."""
    verdict = explanation.verdict
    cells = [f"**{inert(verdict.verdict)}**", code(verdict.record.id), code(verdict.record.file),
             inert(explanation.headline)]  # fmt: skip
    return _row(cells)


def summary_markdown(rows: Iterable[str], counted: str, edition: Edition) -> str:
    """Many records by one edition, a row each."""
    said = [
        ("judged by", f"{_edition(edition)}, {code(edition.digest)}, with tautbook {inert(__version__)}"),
        ("caution", inert(NO_ACCEPTANCE)),
    ]
    table = "\n".join([_table(["verdict", "record", "file", "why"], []), *rows])
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
    return "\n".join(map(_row, [heads, ["---"] * len(heads), *rows]))


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


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
    yield _list((inert(name), inert(text)) for name, text in why(explanation))
    for kind, title in PARTS.items():
        mine = [each for each in explanation.findings if each.finding.requirement.kind == kind]
        if mine:
            yield f"### {title}"
            yield _table(["outcome", "requirement", "clause", "item", "found"], _rows(mine, verdict.record.words))
            said = _list(_beside(mine, explanation))
            if said:
                yield said
    noted = [(inert(name), inert(note)) for name, note in _notes(explanation)]
    if noted:
        yield "### notes on record"
        yield _list(noted)
    left_over = verdict.edition.left_in(verdict.procedure.id)
    if left_over:
        yield "### left to people: what these rules ask that no record here can show"
        yield _list((inert(left.clause or ""), inert(left.what)) for left in left_over)
    yield "### cautions"
    yield _list(("", inert(caution)) for caution in (*verdict.record.words.cautions, NO_ACCEPTANCE))


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
    yield "edition digest", f"{code(edition.digest)}, {inert(enacted_text(edition))}"
    for layer in edition.layers:
        yield "amends", f"{code(layer.name)}, {code(layer.digest)}"
    yield "with", inert(f"tautbook {__version__}")
    yield from ((inert(name), inert(text)) for name, text in circumstances(explanation))


def _notes(explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What was noted of the test, and of its items."""
    record = explanation.verdict.record
    whole = text_at(record.shaped, "notes")
    if whole is not None:
        yield "the test", whole
    yield from notes_on_items(as_recorded(explanation.verdict.observed), record.words)


def _rows(found: Iterable[Explained], words: Vocabulary) -> Iterator[list[str]]:
    """A row for each finding; items of which the same was found share one."""
    rows: dict[tuple[str, str, str], list[Explained]] = {}
    for each in found:
        where = "" if each.finding.item is None else f"{item_label(each.finding.item, words)}: "
        rows.setdefault((each.finding.id, outcome(each), each.sentence.removeprefix(where)), []).append(each)
    for (id, held, sentence), together in rows.items():
        requirement = together[0].finding.requirement
        items = [item_label(each.finding.item, words) for each in together if each.finding.item is not None]
        strong = "" if held in ("met", "not applicable") else "**"
        yield [
            f"{strong}{inert(held)}{strong}", f"{code(id)}: {inert(requirement.title)}",
            inert(requirement.origin.clause or ""), inert(", ".join(items)), inert(sentence),
        ]  # fmt: skip


def _beside(found: Iterable[Explained], explanation: Explanation) -> Iterator[tuple[str, str]]:
    """What stands beside findings: how figures were come by, misprints as they were read, notes."""
    words, edition = explanation.verdict.record.words, explanation.verdict.edition
    for id, together in groupby(found, key=lambda each: each.finding.id):
        group = list(together)
        compared = [comparison for each in group for comparison in each.telling]
        sides = [side for each in compared for side in (each.observed, each.limit) if side is not None]
        for text in dict.fromkeys(text for side in sides for text in derived_from(side, edition, words)):
            yield inert(id), inert(text)
        yield from ((f"{inert(id)}, {name}", inert(text)) for name, text in remarks(group))
