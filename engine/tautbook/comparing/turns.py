"""What one edition makes of a deciding record and what the other, in plain words."""

from __future__ import annotations

from ..explaining.comparisons import Comparison
from ..explaining.explain import Explained, Explanation
from ..explaining.labels import label
from ..explaining.sentences import asked, compared, observed_label, value_of, why_open
from ..shape.vocabulary import Vocabulary
from .proof import Way

ORDER = {"accepted": 2, "open": 1, "not met": 0}
OUTCOMES = {"met": "accepted", "not applicable": "accepted", "waived": "accepted"}


_KINDS = {"setup": "a matter of set-up", "acceptance": "one of acceptance", "advice": "advice"}


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
    what = compared(broken, words).partition(";")[0]
    if broken.limit is not None and broken.relation not in ("recorded", "is covered"):
        what = f"{observed_label(broken.observed, words)} {value_of(broken.observed)}"
    bad = _limit(broken)
    if better is not None and better.finding.outcome == "not met":
        # The same is not met by both: it weighs otherwise.
        lighter, heavier = better.finding.requirement.kind, worse.finding.requirement.kind
        was, now = (lighter, heavier) if way == "stricter" else (heavier, lighter)
        weighs = f"that was {_KINDS[was]}, and is {_KINDS[now]} now"
        if was == now:
            weighs = "a fault of the test weighs otherwise"
        return f"{what} is not accepted{bad}; {weighs}"
    if better is not None and better.finding.outcome == "open":
        why = why_open(better.finding, words)
        if way == "stricter":
            return f"{what} was left open ({why}) and is not accepted now{bad}"
        return f"{what} was not accepted{bad} and is left open now ({why})"
    other = _beside(better, broken)
    if other is not None and other.observed.value != broken.observed.value:
        # The two editions do not even see the same value: a verdict on another record, or a corrected reading.
        name, seen = observed_label(broken.observed, words), value_of(other.observed)
        if way == "stricter":
            return f"{name} was {seen}, and is {value_of(broken.observed)} now, which is not accepted{bad}"
        return f"{name} was {value_of(broken.observed)}, which was not accepted{bad}, and is {seen} now"
    good = _why_accepted(better, other)
    if way == "stricter":
        return f"{what} was accepted{good} and is not any more{bad}"
    return f"{what} was not accepted{bad} and is accepted now{good}"


def _limit(comparison: Comparison) -> str:
    if comparison.limit is None or comparison.relation in ("recorded", "is covered"):
        return ""
    return f" ({asked(comparison)})"


def _beside(better: Explained | None, broken: Comparison) -> Comparison | None:
    """The comparison of the same reading in the other edition."""
    if better is None or better.finding.outcome == "not applicable":
        return None
    of, raw = broken.observed, broken.observed.raw
    same = [
        each for each in better.comparisons
        if (each.observed.path, each.observed.term, each.observed.over) == (of.path, of.term, of.over)
        and each.relation == broken.relation
    ]  # fmt: skip
    return same[0] if same else next(
        (each for each in better.comparisons if raw is not None and each.observed.path == raw.path), None
    )  # fmt: skip


def _why_accepted(better: Explained | None, other: Comparison | None) -> str:
    if better is None:
        return " (nothing is asked of it)"
    if better.finding.outcome == "not applicable":
        named = better.finding.exception
        return f" ({named.title})" if named is not None else " (it does not apply)"
    return _limit(other) if other is not None else ""


def _opened(better: Explained | None, worse: Explained, way: Way, words: Vocabulary) -> str:
    """One edition leaves open what the other decides: for want of a reading, or of a rule."""
    reasons = [reason.detail for reason in worse.finding.no_rule]
    if reasons:
        told = "; ".join(reasons)
        return f"{told}; before, it was judged" if way == "stricter" else f"judged now; before: {told}"
    paths = [path for path in worse.finding.missing if better is None or path not in better.finding.missing]
    told = ", ".join(dict.fromkeys(label(path, words) for path in paths))
    if way == "stricter":
        return f"{told} must be on record, and need not before"
    return f"{told} need not be on record any more"
