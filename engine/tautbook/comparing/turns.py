"""What one edition makes of a deciding record and what the other, in plain words."""

from __future__ import annotations

import re

from ..explaining.comparisons import Comparison, Side
from ..explaining.explain import Explained, Explanation
from ..explaining.labels import label
from ..explaining.sentences import asked, compared, observed_label, value_of, why_open
from ..shape.vocabulary import Vocabulary
from .proof import Way

ORDER = {"accepted": 2, "open": 1, "not met": 0}
OUTCOMES = {"met": "accepted", "not applicable": "accepted", "waived": "accepted"}


_KINDS = {"setup": "a matter of set-up", "acceptance": "a matter of acceptance", "advice": "advice"}


def rank(explained: Explained) -> int:
    """How well a finding came out: accepted, open, not met."""
    outcome = explained.finding.outcome
    return ORDER[OUTCOMES.get(outcome, outcome)]


def worst(told: Explanation, id: str, item: str | None = None) -> Explained | None:
    """The finding of a requirement that came out worst; on one item, if that is named."""
    found = [each for each in told.findings if each.finding.id == id and item in (None, each.finding.item)]
    return min(found, key=rank) if found else None


def turn(better: Explained | None, worse: Explained, way: Way, words: Vocabulary) -> str:
    """What turns. ``better`` is the finding of the edition that accepts more (None: it asks nothing)."""
    if worse.finding.outcome == "open":
        return _opened(better, worse, way, words)
    broken = next((each for each in worse.comparisons if each.outcome == "not met"), None)
    if broken is None:
        return ""
    what = _told(broken, words)
    then, now = _limit(broken, was=True), _limit(broken)
    bad = now if way == "stricter" else then
    if better is not None and better.finding.outcome == "not met":
        # The same is not met by both: it weighs otherwise.
        lighter, heavier = better.finding.requirement.kind, worse.finding.requirement.kind
        before, after = (lighter, heavier) if way == "stricter" else (heavier, lighter)
        weighs = f"that was {_KINDS[before]}, and is {_KINDS[after]} now"
        if before == after:
            weighs = "a fault of the test weighs otherwise"
        return f"{what} is not accepted{now}; {weighs}"
    if better is not None and better.finding.outcome == "open":
        why = why_open(better.finding, words)
        if way == "stricter":
            return f"{what} was left open ({why}) and is not accepted now{bad}"
        return f"{what} was not accepted{bad} and is left open now ({why})"
    other = _beside(better, broken)
    good = _why_accepted(better, other, was=way == "stricter")
    if other is not None and asked(other) == asked(broken):
        good = ""
    if other is not None and other.observed.value != broken.observed.value:
        # The two editions do not even see the same value: a verdict on another record, or a corrected reading.
        name, seen, mine = observed_label(broken.observed, words), value_of(other.observed), value_of(broken.observed)
        was, is_ = ("was", "is") if _verdict(broken) else ("counted as", "counts as")
        if way == "stricter":
            return f"{name} {was} {seen}, and {is_} {mine} now, which is not accepted{bad}"
        return f"{name} {was} {mine}, which was not accepted{bad}, and {is_} {seen} now{good}"
    if way == "stricter":
        return f"{what} was accepted{good} and is not any more{bad}"
    return f"{what} was not accepted{bad} and is accepted now{good}"


def _told(comparison: Comparison, words: Vocabulary) -> str:
    """A reading with its value."""
    if comparison.limit is None or comparison.relation in ("recorded", "is covered"):
        return compared(comparison, words).partition(";")[0]
    colon = ":" * isinstance(comparison.observed.value, bool)
    return f"{observed_label(comparison.observed, words)}{colon} {value_of(comparison.observed)}"


def _verdict(comparison: Comparison) -> bool:
    """Whether it is the verdict on another record that is seen."""
    return comparison.observed.raw is None and (comparison.observed.path or "").endswith(".verdict")


def _limit(comparison: Comparison, was: bool = False) -> str:
    """What is asked for, or was, between brackets."""
    if comparison.limit is None or comparison.relation in ("recorded", "is covered"):
        return ""
    told = asked(comparison)
    if was:
        told = re.sub(r" is (allowed|asked for)$", r" was \1", told)
    return f" ({told})"


def _beside(better: Explained | None, broken: Comparison) -> Comparison | None:
    """The comparison of the same reading in the other edition: seen through the same term if there is one."""
    if better is None or better.finding.outcome == "not applicable":
        return None
    of = broken.observed
    alike = [each for each in better.comparisons if each.relation == broken.relation and _same(each.observed, of)]
    through = [each for each in alike if each.observed.term == of.term]
    return next(iter([*through, *alike]), None)


def _same(one: Side, two: Side) -> bool:
    if one.path is not None or two.path is not None:
        return one.path == two.path
    return (one.term, one.over) == (two.term, two.over)


def _why_accepted(better: Explained | None, other: Comparison | None, was: bool) -> str:
    if better is None:
        return f" (nothing {'was' if was else 'is'} asked of it)"
    if better.finding.outcome == "not applicable":
        named = better.finding.exception
        return f" ({named.title})" if named is not None else f" (it {'did' if was else 'does'} not apply)"
    return _limit(other, was) if other is not None else ""


def _opened(better: Explained | None, worse: Explained, way: Way, words: Vocabulary) -> str:
    """One edition leaves open what the other decides: for want of a reading, or of a rule."""
    uncovered = [each for each in worse.comparisons if (each.relation, each.outcome) == ("is covered", "not met")]
    if uncovered:
        told = " and ".join(f"{observed_label(each.observed, words)} {value_of(each.observed)}" for each in uncovered)
        one = len(uncovered) == 1
        if way == "stricter":
            return f"{told} {'was' if one else 'were'} covered, and {'is' if one else 'are'} not any more"
        return f"{told} {'was' if one else 'were'} not covered, and {'is' if one else 'are'} now"
    reasons = [_no_rule(reason.detail, words) for reason in worse.finding.no_rule]
    if reasons:
        told = "; ".join(reasons)
        if way == "stricter":
            return f"it was judged, and there is no rule for it any more: {told}"
        return f"it is judged now; before, there was no rule for it: {told}"
    paths = [path for path in worse.finding.missing if better is None or path not in better.finding.missing]
    told = ", ".join(dict.fromkeys(label(path, words) for path in paths))
    if way == "stricter":
        return f"{told} must be on record now, and did not have to be before"
    return f"{told} need not be on record any more"


def _no_rule(detail: str, words: Vocabulary) -> str:
    """Why there is no rule: of either edition, and with fields by their titles."""
    return re.sub(r"^this edition does not cover (\S+)", lambda found: f"not covered: {label(found[1], words)}", detail)
