"""A finding in one sentence: what was observed, what was asked for, and what is to spare or wanting."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..judging.findings import Finding
from ..lang.quantity import Quantity
from ..shape.vocabulary import Vocabulary
from .comparisons import Comparison, Side
from .labels import item_label, label, shown

_ASKED = {
    "<=": "at most {} is allowed",
    "<": "less than {} is asked for",
    ">=": "at least {} is asked for",
    ">": "more than {} is asked for",
    "=": "{} is asked for",
    "!=": "anything but {} is allowed",
    "is one of": "{} is asked for",
    "is none of": "anything but {} is allowed",
}
_ASKED_OF_DATES = {
    "<=": "no later than {} is asked for",
    "<": "before {} is asked for",
    ">=": "no earlier than {} is asked for",
    ">": "after {} is asked for",
}

_TAKEN = {
    "count": "count of", "sum": "sum over", "mean": "mean over", "smallest": "smallest of", "largest": "largest of",
}


def sentence(
    finding: Finding, comparisons: Iterable[Comparison], exceptions: Sequence[tuple[Comparison, ...]],
    vocabulary: Vocabulary,
) -> str:  # fmt: skip
    """What the finding says, and why. ``exceptions`` has what each named exception came down to."""
    told = "; ".join(compared(each, vocabulary) for each in comparisons if _telling(each, finding))
    where = f"{item_label(finding.item, vocabulary)}: " if finding.item is not None else ""
    match finding.outcome:
        case "met":
            return f"{where}{told or 'as asked'}"
        case "not met":
            told += "".join(f"; no exception: {each}" for each in _told(finding, exceptions, vocabulary, holding=False))
            return f"{where}{told}{'; a fault of the test voids this' if finding.voided else ''}"
        case "waived":
            waiver = finding.waiver
            by = "" if waiver is None else f"; waived by {waiver.by} ({waiver.role}) on {waiver.on}: {waiver.why}"
            return f"{where}{told}{by}"
        case "not applicable":
            why = "it does not apply"
            if finding.exception is not None:
                reasons = "; ".join(_told(finding, exceptions, vocabulary, holding=True))
                why = f"{finding.exception.title}{f': {reasons}' if reasons else ''}"
            return f"{where}not applicable: {why}"
        case "open":
            return f"{where}{why_open(finding, vocabulary)}"


def _told(
    finding: Finding, exceptions: Sequence[tuple[Comparison, ...]], vocabulary: Vocabulary, holding: bool
) -> Iterator[str]:
    """What made an exception hold, or kept each one from holding."""
    for named, comparisons in zip(finding.requirement.unless, exceptions, strict=True):
        told = told_of_exception(comparisons)
        if told and (named is finding.exception) is holding:
            yield "; ".join(compared(each, vocabulary) for each in told)


def told_of_exception(comparisons: tuple[Comparison, ...]) -> tuple[Comparison, ...]:
    """What is worth telling of an exception: nothing where it is no more than a word of the record, which its title
    says; of one with figures all that holds where it holds, else what kept it from holding."""
    if all(each.margin is None for each in comparisons):
        return ()
    broken = tuple(each for each in comparisons if each.outcome == "not met")
    return broken or comparisons


def _telling(comparison: Comparison, finding: Finding) -> bool:
    """Of a broken requirement only what broke it is told."""
    return finding.outcome not in ("not met", "waived") or comparison.outcome == "not met"


def why_open(finding: Finding, vocabulary: Vocabulary) -> str:
    """What is still missing, and what no reading can mend."""
    parts = []
    if finding.missing:
        parts.append("not recorded: " + ", ".join(label(path, vocabulary) for path in finding.missing))
    parts += [reason.told for reason in finding.no_rule]
    return "; ".join(parts)


def compared(comparison: Comparison, vocabulary: Vocabulary) -> str:
    """One comparison: what it is about, the value, the limit, and how far from it."""
    what = observed_label(comparison.observed, vocabulary)
    value = value_of(comparison.observed)
    match comparison.relation:
        case "recorded":
            known = comparison.observed.value is not None
            return f"{what} is recorded{f', {value}' if known else ''}" if comparison.outcome == "met" else f"no {what}"
        case "is covered":
            held = {"met": "is covered", "not met": "is not covered by this edition", "open": "is not known"}
            return f"{what} {value} {held[comparison.outcome]}"
    if comparison.outcome == "met" and comparison.relation in ("=", "is one of"):
        return f"{what} {value}, as asked"
    return f"{what} {value}; {asked(comparison)}{_how_far(comparison)}"


def observed_label(side: Side, vocabulary: Vocabulary) -> str:
    if side.path is not None:
        return label(side.path, vocabulary)
    if side.over is not None:
        what, path = side.over
        return f"{_TAKEN[what]} {label(path, vocabulary)}"
    return "the value worked out" if side.term is None else in_words(side.term)


def in_words(term: str) -> str:
    """The name of a term, as people say it."""
    return term.replace("_", " ")


def value_of(side: Side) -> str:
    """A reading as it was written, and what was made of it; a worked-out value for people."""
    if side.raw is not None and side.term is not None:
        made = "not known" if side.value is None else shown(side.value)
        return f"{side.raw.written} ({in_words(side.term)} {made})"
    if side.value is None:
        return "not known"
    return side.written if side.path is not None and side.written is not None else shown(side.value)


def asked(comparison: Comparison) -> str:
    """What the rule asks for, in words."""
    limit = comparison.limit
    if limit is None:
        return comparison.relation
    forms = _ASKED
    if limit.value is not None and not isinstance(limit.value, Quantity | str | bool):
        forms = {**_ASKED, **_ASKED_OF_DATES}
    if isinstance(limit.value, bool):
        return f"{'yes' if limit.value else 'no'} is asked for"
    text = limit.written if isinstance(limit.value, str) else value_of(limit)
    return forms[comparison.relation].format(text)


def _how_far(comparison: Comparison) -> str:
    far = how_far(comparison)
    return f" ({far})" if far else ""


def how_far(comparison: Comparison) -> str:
    """What is to spare or wanting: "1 over", "0.5 kip short", "3 days to spare", "exactly at the limit"."""
    margin = comparison.margin
    if comparison.tie:
        return "exactly at the limit"
    if margin is None:
        return ""
    dates = isinstance(margin, int)
    less = (margin < 0) if isinstance(margin, int) else margin.value < 0
    size = abs(margin) if isinstance(margin, int) else Quantity(abs(margin.value), margin.unit)
    text = f"{size} day{'' if size == 1 else 's'}" if isinstance(size, int) else shown(size)
    if not less:
        return f"{text} to spare"
    over = comparison.relation in ("<=", "<")
    return f"{text} {('late' if over else 'early') if dates else 'over' if over else 'short'}"
