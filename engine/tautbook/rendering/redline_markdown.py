"""Redline -> Markdown with GitHub's tables: for a change notice, or to be pasted into a pull request."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..comparing.asked import RESTS_ON
from ..comparing.change import Change
from ..comparing.effect import Deciding, Effect
from ..comparing.redline import Redline
from .redline import (
    BOUNDS,
    Item,
    because,
    both_names,
    changed_by_requirement,
    found_text,
    headline,
    identity,
    lines_of,
    name_in,
    name_of,
    renumbered,
    scope_text,
    sections,
    title_of,
    unchanged,
)
from .redline_plain import PLAIN, plain_words
from .verdict_markdown import code, inert

_RULES = frozenset({"require", "applies", "when", "is", "formula"})
"""Members that are rules, set as code."""


def redline_markdown(redline: Redline) -> str:
    return "\n\n".join(_blocks(redline)) + "\n"


def _blocks(redline: Redline) -> Iterator[str]:
    yield f"## {inert(headline(redline))}"
    (first, *rows) = ([name, inert("; ".join(lines))] for name, lines in identity(redline))
    yield _table(first, rows)
    if redline.changes or redline.effects.effects:
        yield f"### {PLAIN}"
        yield "\n".join(_plain(redline))
    if redline.programme:
        yield "### tests asked for"
        yield RESTS_ON
        yield _table(["asks", "test", "how", "because"], _asked(redline))
    yield from _effects(redline)
    for title, items in sections(redline).items():
        yield f"### wording: {title}"
        yield _table(["item", "what", "before", "after", "difference"], _rows(items))
    numbers = renumbered(redline)
    if numbers:
        yield "### wording: clause numbers"
        yield _table(
            ["before", "after", "items"],
            ([inert(before), inert(after), inert("; ".join(names))] for before, after, names in numbers),
        )


def _plain(redline: Redline) -> Iterator[str]:
    for each in plain_words(redline):
        yield f"- {inert(each.of)}"
        for way, said in each.said:
            yield f"  - **{way}**{f': {inert(said)}' if said else ''}"


def _asked(redline: Redline) -> Iterator[list[str]]:
    for each in redline.programme:
        causes = inert("; ".join(because(each, redline)))
        yield [f"**{each.asks}**", f"{code(each.procedure)}: {inert(each.title)}", inert(each.sentence), causes]


def _effects(redline: Redline) -> Iterator[str]:
    changed = [each for together in changed_by_requirement(redline) for each in together]
    if changed:
        yield "### effects"
        yield _table(["effect", "requirement", "where", "because"], (_effect(each, redline) for each in changed))
    records = [_record(record, redline) for each in changed for record in each.records]
    if records:
        yield "### deciding records"
        yield "\n".join(records)
    same = list(unchanged(redline))
    if same:
        yield "### the same in effect"
        yield "\n".join(
            line for reason, names in same for line in (
                f"- **{inert(reason)}**",
                *(f"  - {code(procedure)}: {inert(', '.join(mine))}" for procedure, mine in names.items()),
            )
        )  # fmt: skip
    if redline.effects.bounds:
        yield "### bounds of the proof"
        yield BOUNDS
        yield _list(f"{inert(name)}: {inert(value)}" for name, value in redline.effects.bounds)


def _effect(effect: Effect, redline: Redline) -> list[str]:
    title = f": {inert(title_of(effect))}" if effect.title else ""
    reason = f", {inert(effect.reason)}" if effect.reason else ""
    return [
        f"**{effect.effect}**{reason}", f"{code(name_of(effect))}{title}",
        inert(scope_text(effect)), inert("; ".join(because(effect, redline))),
    ]  # fmt: skip


def _record(record: Deciding, redline: Redline) -> str:
    lines = [f"- {code(record.name)}{f': {inert(record.about)}' if record.about else ''}"]
    for name, outcome in zip(both_names(redline), (record.before, record.after), strict=True):
        why = f". {inert(outcome.sentence)}" if outcome.sentence else ""
        lines.append(f"  - {code(name)}: **{inert(outcome.verdict)}**{inert(found_text(outcome))}{why}")
    return "\n".join(lines)


# Wording


def _rows(items: Iterable[Item]) -> Iterator[list[str]]:
    for item in items:
        title = f": {inert(item.title)}" if item.title else ""
        told = [*(("why", "", inert(why), "") for why in item.whys), *map(_change, item.changes)]
        for i, cells in enumerate(told):
            yield [f"{code(item.name)}{title}" if i == 0 else "", *cells]


def _change(change: Change) -> tuple[str, str, str, str]:
    name = inert(name_in(change))
    if change.before is None or change.after is None:
        told = code("; ".join(lines_of(change))) if _rule(change) else "; ".join(map(_line, lines_of(change)))
        lead = change.how if change.member else ""
        return (name, "", told, lead) if change.before is None else (name, told, "", lead)
    before, after = (code(each) if _rule(change) else inert(each) for each in (change.before, change.after))
    return name, before, after, _quoting(change.detail)


def _line(line: str) -> str:
    """A member of an item that only one edition has."""
    key, colon, rest = line.partition(": ")
    return f"{key}: {code(rest)}" if colon and key in _RULES else inert(line)


def _rule(change: Change) -> bool:
    return change.member.rpartition(", ")[2] in _RULES


def _quoting(text: str) -> str:
    """Text with parts of rules between backticks, those set as code; a stray backtick is but a sign."""
    parts = text.split("`")
    if len(parts) % 2 == 0:
        return inert(text)
    return "".join(code(part) if i % 2 else _inside(part) for i, part in enumerate(parts))


def _inside(text: str) -> str:
    """Inert text that keeps the spaces at its ends, where it stands between others."""
    found = inert(text)
    return f"{' ' * text.startswith(' ')}{found}{' ' * (text.endswith(' ') and len(text) > 1)}" if found else text


def _table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Cells are inert already."""
    heads = list(heads)
    return "\n".join(f"| {' | '.join(cells)} |" for cells in (heads, ["---"] * len(heads), *rows))


def _list(said: Iterable[str]) -> str:
    return "\n".join(f"- {text}" for text in said)
