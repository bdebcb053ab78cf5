"""What a form says beside a box, as HTML: what is asked of a reading, and where to stop."""

from __future__ import annotations

from ..sheet.form import Asked, Box, Stop
from .page import text

WRITE = '<span class="write"></span>'
"""An empty line for a figure."""
SHORT = '<span class="write short"></span>'

_WORDS = {
    "<=": "at most", "<": "less than", ">=": "at least", ">": "more than", "=": "must be", "!=": "must not be",
    "is one of": "must be", "is none of": "must not be",
}  # fmt: skip
OF_MARKS = {
    ">=": "first mark at or above", ">": "first mark above", "<=": "last mark at or below", "<": "last mark below",
}  # fmt: skip
_OF_DATES = {"<=": "no later than", "<": "before", ">=": "no earlier than", ">": "after"}


def asked_html(asked: Asked) -> str | None:
    """One line; None where there is nothing to say."""
    what = asked_for(asked)
    if what is None:
        return None
    fault = " <b>What is given breaks this.</b>" if asked.broken else ""
    bare = asked.relation == "recorded" or (asked.lent and (asked.dates or asked.relation not in OF_MARKS))
    named = text(asked.title if asked.lent else asked.watch or "")
    if bare or not named:
        return f"<b>{what}</b>{_clause(asked)}{fault}"
    if asked.dates:
        # A name before a day would be read as what the day is of.
        return f"<b>{what}</b> ({named}){_clause(asked)}{fault}"
    return f"{named}: <b>{what}</b>{_clause(asked)}{fault}"


def watched_html(what: str, asked: Asked) -> str:
    """The same with what is read, for a list of figures."""
    figure = asked_for(asked, blank=False) or WRITE
    if asked.dates:
        return f"{text(what)}: <b>{figure}</b> ({text(asked.watch or '')}){_clause(asked)}"
    of = f" ({text(what)})" if what else ""
    return f"{text(asked.watch or '')}{of}: <b>{figure}</b>{_clause(asked)}"


def asked_for(asked: Asked, blank: bool = True) -> str | None:
    """What is asked for, without its name. ``blank``: with a line for a mark of the dial that is worked out."""
    if asked.relation == "recorded":
        return "must be written down"
    words = {**_WORDS, **_OF_DATES} if asked.dates else _WORDS
    lead = words.get(asked.relation, "")
    if asked.letter is not None and (blank or asked.dial is not None):
        return f"{lead} {''.join(_mark(asked))}"
    if asked.figure is not None:
        said = f"{lead} {text(asked.figure)}".strip()
        if asked.dial is not None:
            return f'{lead} {text(asked.dial)} on the dial<span class="aside"> (asked for: {said})</span>'
        return f"{said}, corrected" if asked.corrected else said
    if asked.of is not None:
        corrected = ", corrected" if asked.corrected else ""
        return f"{'the same as' if asked.relation == '=' else lead} the {text(asked.of)}{corrected}"
    return f"{lead} {WRITE}" if asked.watch is not None else None


def stop_html(stop: Stop) -> str:
    """The line that holds the work."""
    at, aside = _mark(stop.at)
    what = f" {text(stop.what)}" if stop.what is not None else ""
    then = " and ".join(f"<b>{word}</b>" for word in stop.then)
    # What is counted has a name in the rules, so that a count of the test is not taken for one of the work.
    name = stop.at.watch if what and not aside else None
    named = "" if name is None else f' <span class="past">({text(name)})</span>'
    said = f'<b class="halt">STOP</b> at <b>{at}{what}</b>{named}{aside} and {then}.'
    more = " If as many or more are there already, write them." if what else ""
    said += f'<span class="past">{_clause(stop.at)}{more}</span>'
    if stop.not_past is not None:
        past, aside = _mark(stop.not_past)
        said += f' <span class="past">Do not pass <b>{past}</b>{aside}.{_clause(stop.not_past)}</span>'
    return f'<p class="stop">{said}</p>'


def _mark(asked: Asked) -> tuple[str, str]:
    """The figure to stop at, as it is seen while working; and what else is to be known of it."""
    if asked.letter is not None:
        mark = SHORT if asked.dial is None else text(asked.dial)
        mark = f'<span class="by"><span class="letter">{asked.letter}</span> {mark}</span> on the dial'
        corrected = asked.watch or "" if asked.figure is None else f"{asked.figure} corrected"
        return mark, f' <span class="past">({text(corrected)})</span>'
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


def as_read(box: Box) -> str | None:
    """How a reading is written that rules do not compare as it stands."""
    if any(each.corrected for each in box.asked):
        return "as read on the dial, not corrected"
    return "as read on the dial" if any(each.dial is not None for each in box.asked) else None


def label_text(box: Box) -> str:
    return text(f"{box.title} {box.within}" if box.within is not None else box.title)
