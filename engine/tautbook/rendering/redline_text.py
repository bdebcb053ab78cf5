"""Redline -> text at most 100 columns wide: in plain words first, then effects, then every change of wording."""

from __future__ import annotations

from collections.abc import Iterator

from ..comparing.asked import RESTS_ON
from ..comparing.change import Change
from ..comparing.effect import Deciding, Effect
from ..comparing.redline import Redline
from ..lang.problem import visible
from .layout import labelled, paragraph
from .redline import (
    BOUNDS,
    Item,
    asked_by_procedure,
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

_COLUMN = 18
_WIDEST = 36
"""The first column is never wider, whatever is called how."""
_SHORT = 40
"""Before and after stand on one line up to this length together."""


def redline_text(redline: Redline) -> str:
    return "".join(f"{line}\n" for line in _lines(redline))


def _lines(redline: Redline) -> Iterator[str]:
    yield from paragraph(headline(redline), 0)
    yield ""
    for name, lines in identity(redline):
        for i, line in enumerate(lines):
            yield from labelled("" if i else name, line, column=_COLUMN)
    if redline.changes or redline.effects.effects:
        yield ""
        yield PLAIN
        for each in plain_words(redline):
            yield from paragraph(each.of, 2)
            for way, said in each.said:
                yield from labelled(way, said, indent=4, column=_COLUMN)
    yield from _asked(redline)
    yield from _effects(redline)
    yield from _wording(redline)


# Effects


def _asked(redline: Redline) -> Iterator[str]:
    if redline.programme:
        yield ""
        yield "tests asked for"
        yield from paragraph(RESTS_ON)
    for together in asked_by_procedure(redline):
        yield from paragraph(f"{together[0].procedure}: {together[0].title}", 2)
        for each in together:
            yield from labelled(each.asks, each.sentence, indent=4, column=_COLUMN)
        causes = "; ".join(because(together[0], redline))
        yield from labelled("because", causes, indent=4, column=_COLUMN)


def _effects(redline: Redline) -> Iterator[str]:
    changed = list(changed_by_requirement(redline))
    if changed:
        yield ""
        yield "effects"
    for together in changed:
        title = title_of(together[0])
        yield from paragraph(f"{name_of(together[0])}{f': {title}' if title else ''}", 2)
        for each in together:
            yield from _effect(each, redline)
    same = list(unchanged(redline))
    if same:
        yield ""
        yield "the same in effect"
    column = max((len(f"    {procedure}  ") for _, names in same for procedure in names), default=0)
    for reason, names in same:
        yield from paragraph(reason)
        for procedure, mine in names.items():
            yield from labelled(procedure, ", ".join(mine), indent=4, column=column)
    if redline.effects.bounds:
        yield ""
        yield "bounds of the proof"
        yield from paragraph(BOUNDS)
        for name, value in redline.effects.bounds:
            yield from labelled(name, value, column=36)


def _effect(effect: Effect, redline: Redline) -> Iterator[str]:
    yield from labelled(effect.effect, scope_text(effect), indent=4, column=_COLUMN)
    causes = "; ".join(because(effect, redline))
    if causes:
        yield from labelled("because", causes, indent=4, column=_COLUMN)
    if effect.reason is not None:
        yield from labelled("reason", effect.reason, indent=4, column=_COLUMN)
    for record in effect.records:
        yield from _record(record, redline)


def _record(record: Deciding, redline: Redline) -> Iterator[str]:
    about = f": {record.about}" if record.about else ""
    yield from labelled("record", f"{record.name}{about}", indent=4, column=_COLUMN)
    for name, outcome in zip(both_names(redline), (record.before, record.after), strict=True):
        why = f". {outcome.sentence}" if outcome.sentence else ""
        yield from labelled("", f"{name}: {outcome.verdict}{found_text(outcome)}{why}", indent=4, column=_COLUMN)


# Wording


def _wording(redline: Redline) -> Iterator[str]:
    for title, items in sections(redline).items():
        yield ""
        yield f"wording: {title}"
        for item in items:
            yield from _item(item)
    numbers = renumbered(redline)
    if numbers:
        yield ""
        yield "wording: clause numbers"
    column = max((len(f"  {before} became {after}  ") for before, after, _ in numbers), default=0)
    for before, after, names in numbers:
        yield from labelled(f"{before} became {after}", "; ".join(names), column=min(column, _WIDEST))


def _item(item: Item) -> Iterator[str]:
    title = f": {item.title}" if item.title else ""
    yield from paragraph(f"{item.name}{title}", 2)
    names = [name_in(change) for change in item.changes]
    column = max(_COLUMN, min(_WIDEST, 6 + max(map(len, names))))
    for why in item.whys:
        yield from labelled("why", why, indent=4, column=column)
    for name, change in zip(names, item.changes, strict=True):
        yield from _change(name, change, column)


def _change(name: str, change: Change, column: int) -> Iterator[str]:
    before, after = change.before, change.after
    if before is None or after is None:
        first, *rest = lines_of(change)
        if change.member:
            first = change.how if first == change.member else f"{change.how}: {first}"
        yield from labelled(name, first, indent=4, column=column)
        for line in rest:
            yield from labelled("", line, indent=4, column=column)
        return
    if len(before) + len(after) <= _SHORT:
        detail = f"; {change.detail}" if change.detail else ""
        yield from labelled(name, f"{before} became {after}{detail}", indent=4, column=column)
        return
    lead = visible(name).ljust(column - 4)
    for way, text in (("was", before), ("now", after), ("that is", change.detail)):
        if text:
            yield from labelled(f"{lead}{way}", text, indent=4, column=column + 9)
        lead = " " * (column - 4)
