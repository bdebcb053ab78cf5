"""The figures a test must meet before any reading, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..explaining.comparisons import Comparison
from ..explaining.explain import DEMONSTRATION, DRAFT
from ..explaining.labels import how_many, label, shown
from ..explaining.limits import FigureShown, Limit, Limits
from ..explaining.sentences import asked, compared, observed_label
from ..lang.kinds import TextKind
from ..lang.values import Leaf
from .edition_text import clause, derived_from, enacted_text, left_to_people
from .layout import WIDTH, labelled, paragraph
from .parts_json import engine_json, from_json, left_json, rules_json, value_json
from .recorded_text import leaves, written

_COLUMN = 36


def limits_json(limits: Limits) -> dict[str, Any]:
    """The object that ``schemas/limits.schema.json`` describes."""
    return {
        "headline": headline(limits),
        "advisory": limits.advisory,
        "demonstration": limits.demonstration,
        "procedure": limits.procedure.id,
        "rules": rules_json(limits.edition),
        "engine": engine_json(),
        "given": [{"path": leaf.path, **value_json(leaf.value)} for leaf in leaves(limits.known)],
        "asks": dict(limits.procedure.asks),
        "limits": [_limit(each, limits) for each in limits.limits],
        "figures": [_figure(each, limits) for each in limits.figures],
        "left_to_people": left_json(limits.edition.left_in(limits.procedure.id)),
    }


def _limit(limit: Limit, limits: Limits) -> dict[str, Any]:
    requirement, comparison = limit.requirement, limit.comparison
    found: dict[str, Any] = {
        "requirement": requirement.id,
        "title": requirement.title,
        "watch": requirement.watch,
        "kind": requirement.kind,
        "each": requirement.each,
        "clause": requirement.origin.clause,
        "source": requirement.origin.source,
        "standing": requirement.origin.standing,
        "state": limit.state,
        "rule": limit.rule,
        "applies": limit.applies,
        "unless": [each.title for each in requirement.unless],
        "label": None,
        "path": None,
        "observed": None,
        "relation": None,
        "limit": None,
        "dial": None if limit.dial is None else value_json(limit.dial),
        "needs": list(limit.needs),
        "no_rule": [reason.told for reason in limit.no_rule],
    }
    if comparison is not None:
        side = comparison.limit
        found |= {
            "label": observed_label(comparison.observed, limits.words),
            "path": comparison.observed.path or comparison.unknown,
            "observed": None if comparison.observed.value is None else value_json(comparison.observed.value),
            "relation": comparison.relation,
            "limit": None if side is None or side.value is None
            else {**value_json(side.value), "from": [from_json(origin, limits.edition) for origin in side.origins]},
        }  # fmt: skip
    return found


def _figure(shown: FigureShown, limits: Limits) -> dict[str, Any]:
    return {
        "id": shown.figure.id,
        "title": shown.figure.title,
        "clause": shown.figure.origin.clause,
        "note": shown.figure.note,
        **value_json(shown.value),
        "from": [from_json(origin, limits.edition) for origin in shown.origins],
        "needs": list(shown.needs),
        "no_rule": [reason.told for reason in shown.no_rule],
    }


def headline(limits: Limits) -> str:
    """What these figures are, and whether they are for use."""
    text = f"limits of {limits.procedure.id} under {limits.edition.name}"
    if limits.edition.enacted is None:
        text += f"; {DRAFT}"
    if limits.advisory:
        text += "; figures from memory, not for acceptance"
    return f"{text}; {DEMONSTRATION}" if limits.demonstration else text


def limits_text(limits: Limits) -> str:
    """What to watch during the test first, then everything else that is asked; at most 100 columns."""
    return "".join(f"{line}\n" for line in _lines(limits))


def _lines(limits: Limits) -> Iterator[str]:
    yield from paragraph(headline(limits), 0)
    yield ""
    edition = limits.edition
    yield from labelled("edition", f"{edition.title}, {enacted_text(edition)}; {edition.digest}")
    yield from labelled("procedure", limits.procedure.title)
    for path, count in limits.procedure.asks.items():
        yield from labelled("asks for", how_many(count, path, limits.words))
    known = ", ".join(f"{leaf.path} {written(leaf)}" for leaf in leaves(limits.known) if _telling(leaf, limits))
    yield from labelled("known", known or "nothing yet; give --given PATH=VALUE, or --record FILE")
    watched = [each for each in limits.limits if _watched(each)]
    broken = [each for each in limits.limits if each.state == "broken"]
    parts = [("broken already: the test as set up would not count", broken), ("watch in the test", watched)]
    for title, found in parts:
        if found:
            yield ""
            yield title
            for each in found:
                yield from _line(each, limits)
    if limits.figures:
        yield ""
        yield "have ready"
        for figure in limits.figures:
            yield from _figure_line(figure, limits)
    stuck = [each for each in limits.limits if each.state == "no rule"]
    rest = [each for each in limits.limits if each.state in ("limit", "open") and not _watched(each)]
    held = [each for each in limits.limits if each.state == "holds" and not _watched(each)]
    for title, found in (("no rule", stuck), ("also asked", rest), ("holds already", held)):
        if found:
            yield ""
            yield title
            for each in found:
                yield from _line(each, limits)
    left = limits.edition.left_in(limits.procedure.id)
    if left:
        yield ""
        yield "left to people"
        yield from left_to_people(left)
    yield ""
    yield "cautions"
    for caution in limits.words.cautions:
        yield from paragraph(caution)


def _watched(limit: Limit) -> bool:
    """Whether it is a figure with a label to watch by."""
    comparison = limit.comparison
    has_figure = comparison is not None and comparison.limit is not None
    return limit.requirement.watch is not None and has_figure and limit.state in ("limit", "open", "holds")


def _telling(leaf: Leaf, limits: Limits) -> bool:
    """Names and numbers of people, lots and papers say nothing of a figure."""
    info = limits.words.fields.get(leaf.path)
    return info is None or not isinstance(info.kind, TextKind)


def _line(limit: Limit, limits: Limits) -> Iterator[str]:
    requirement = limit.requirement
    name = (requirement.watch if _watched(limit) else None) or requirement.id
    yield from labelled(name, f"{said(limit, limits)}{clause(requirement.origin)}", column=_COLUMN)
    if limit.dial is not None and limit.comparison is not None and _watched(limit):
        most = limit.comparison.relation in ("<=", "<")
        yield from labelled("", f"on the dial: {'not past' if most else 'stop at'} {shown(limit.dial)}", column=_COLUMN)
    side = limit.comparison.limit if limit.comparison is not None else None
    if side is not None and limit.state == "limit":
        for text in derived_from(side, limits.edition, limits.words):
            yield from labelled("", text, column=_COLUMN)
    if limit.applies is not None:
        yield from labelled("", f"where {limit.applies}", column=_COLUMN)
    for exception in requirement.unless:
        yield from labelled("", f"unless {exception.title}", column=_COLUMN)


def said(limit: Limit, limits: Limits) -> str:
    """What a requirement asks, in a few words."""
    comparison = limit.comparison
    if limit.no_rule:
        return "; ".join(reason.told for reason in limit.no_rule)
    if comparison is None:
        return limit.rule if len(limit.rule) <= WIDTH else limit.requirement.title
    if limit.needs:
        return f"{observed_label(comparison.observed, limits.words)}: depends on {', '.join(limit.needs)}"
    if limit.state in ("holds", "broken"):
        return compared(comparison, limits.words)
    return _to_come(comparison, limits)


def _to_come(comparison: Comparison, limits: Limits) -> str:
    path = comparison.observed.path or comparison.unknown
    what = observed_label(comparison.observed, limits.words) if path is None else label(path, limits.words)
    return f"{what}: {'must be recorded' if comparison.limit is None else asked(comparison)}"


def figure_text(figure: FigureShown) -> str:
    """The figure, or what it depends on, or why there is none."""
    if figure.value is not None:
        return shown(figure.value)
    if figure.needs:
        return f"depends on {', '.join(figure.needs)}"
    return "; ".join(reason.told for reason in figure.no_rule)


def _figure_line(figure: FigureShown, limits: Limits) -> Iterator[str]:
    text = figure_text(figure)
    yield from labelled(figure.figure.title, f"{text}{clause(figure.figure.origin)}", column=_COLUMN)
    if figure.figure.note:
        yield from labelled("", figure.figure.note, column=_COLUMN)
