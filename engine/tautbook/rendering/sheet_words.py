"""What a form says beside a box, as HTML: what is asked of a reading, and where to stop."""

from __future__ import annotations

from ..sheet.form import Asked, Box, Stop
from .page import text

WRITE = '<span class="write"></span>'
"""An empty line for a figure."""

_WORDS = {
    "<=": "at most", "<": "less than", ">=": "at least", ">": "more than", "=": "must be", "!=": "must not be",
    "is one of": "must be", "is none of": "must not be",
}  # fmt: skip
_OF_DATES = {"<=": "no later than", "<": "before", ">=": "no earlier than", ">": "after"}


def asked_html(asked: Asked) -> str | None:
    """One line; None where there is nothing to say."""
    what = asked_for(asked)
    if what is None:
        return None
    name = f"{text(asked.watch)}: " if asked.watch is not None and asked.relation != "recorded" else ""
    fault = " <b>What is given breaks this.</b>" if asked.broken else ""
    return f"{name}<b>{what}</b>{_clause(asked)}{fault}"


def asked_for(asked: Asked) -> str | None:
    """What is asked for, without its name."""
    if asked.relation == "recorded":
        return "must be written down"
    words = {**_WORDS, **_OF_DATES} if asked.dates else _WORDS
    lead = words.get(asked.relation, "")
    if asked.figure is not None:
        said = f"{lead} {text(asked.figure)}".strip()
        if asked.dial is not None:
            return f"{lead} {text(asked.dial)} on the dial<span class=\"aside\"> (asked for: {said})</span>"
        return f"{said}, corrected" if asked.corrected else said
    if asked.of is not None:
        return f"{'the same as' if asked.relation == '=' else lead} the {text(asked.of)}"
    return f"{lead} {WRITE}" if asked.watch is not None else None


def stop_html(stop: Stop) -> str:
    """The line that holds the work."""
    at, aside = _mark(stop.at)
    what = f" {text(stop.what)}" if stop.what is not None else ""
    then = " and ".join(f"<b>{word}</b>" for word in stop.then)
    # What is counted has a name in the rules, so that a count of the test is not taken for one of the work.
    named = f" {text(stop.at.watch)}" if what and stop.at.watch is not None and not aside else ""
    named = f'<span class="past">{named}{_clause(stop.at)}</span>'
    said = f'<b class="halt">STOP</b> at <b>{at}{what}</b>{aside} and {then}.{named}'
    if stop.not_past is not None:
        past, aside = _mark(stop.not_past)
        said += f' <span class="past">Do not pass <b>{past}</b>{aside}.{_clause(stop.not_past)}</span>'
    return f'<p class="stop">{said}</p>'


def _mark(asked: Asked) -> tuple[str, str]:
    """The figure to stop at, as it is seen while working; and what else is to be known of it."""
    if asked.dial is not None:
        return f"{text(asked.dial)} on the dial", ""
    if asked.figure is not None and not asked.corrected:
        return text(asked.figure), ""
    if asked.figure is not None:
        return f"{WRITE} on the dial", f" ({text(asked.figure)} corrected)"
    named = asked.of or asked.watch
    return WRITE, f" ({text(named)})" if named is not None else ""


def _clause(asked: Asked) -> str:
    return clause_html(asked.clause)


def clause_html(clause: str | None) -> str:
    return f' <span class="clause">{text(clause)}</span>' if clause else ""


def label_html(box: Box) -> str:
    """The label of a box: its title, and the part of the work that it belongs to, so that two are never swapped."""
    within = f' <span class="within">{text(box.within)}</span>' if box.within is not None else ""
    return f"{text(box.title)}{within}"


def label_text(box: Box) -> str:
    return text(f"{box.title} {box.within}" if box.within is not None else box.title)
