"""What every form of a job's standing says: the first line, and the words for states and faults."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from ..explaining.explain import DEMONSTRATION, DRAFT
from ..jobs.fault import Fault
from ..jobs.ready import Ready

RELEASE = "Release is the Engineer's: that every test is on record and passes does not say that bolting may start."

_COUNTED = {
    "unusable": ("something could not be used", "things could not be used"),
    "two-records": ("number given to two records", "numbers given to two records"),
    "edited": ("record edited after its verdict", "records edited after their verdicts"),
    "verdict-altered": ("stored verdict altered", "stored verdicts altered"),
    "record-gone": ("record gone", "records gone"),
    "other-job": ("record of another job", "records of another job"),
    "lot-not-delivered": ("record of a lot that did not come", "records of lots that did not come"),
    "other-than-delivered": ("lot not recorded as delivered", "lots not recorded as delivered"),
    "other-than-in-the-work": ("record not as in the work", "records not as in the work"),
    "not-told-apart": ("record that does not say of what", "records that do not say of what"),
    "not-placed": ("record of no test asked for", "records of no test asked for"),
    "equipment-not-on-job": ("record with equipment not of the job", "records with equipment not of the job"),
    "other-equipment": ("record not as its certificate", "records not as their certificates"),
    "not-drawn-so": ("sample not as drawn", "samples not as drawn"),
    "held": ("lot decided against", "lots decided against"),
    "split": ("lot treated in parts", "lots treated in parts"),
    "not-stated": ("assembly not stated whole", "assemblies not stated whole"),
    "no-leave": ("left out without leave", "left out without leave"),
    "out-of-calibration": ("out of calibration", "out of calibration"),
    "hidden-failure": ("failure hidden by a retest", "failures hidden by retests"),
    "failed": ("failed", "failed"),
    "invalid": ("invalid", "invalid"),
    "incomplete": ("incomplete", "incomplete"),
    "missing": ("missing", "missing"),
    "expired": ("expired", "expired"),
    "advisory": ("not for acceptance", "not for acceptance"),
}


def headline(ready: Ready) -> str:
    """How many of the tests asked for are on record and pass, and what is in the way, in the order to mend it."""
    way = [f"in the way: {', '.join(said for _, said in counted(ready))}"] if ready.in_the_way else []
    return "; ".join([on_record(ready), *way, *remarks(ready)])


def on_record(ready: Ready) -> str:
    """The state, and how many of the tests asked for are on record and pass."""
    tests = f"{ready.passed} of {ready.asked} test{'s' * (ready.asked != 1)}"
    text = f"{ready.state}: {tests} that {ready.edition.name} asks for {'is' if ready.asked == 1 else 'are'} on record"
    return text + " and pass" + "es" * (ready.asked == 1)


def counted(ready: Ready) -> Iterator[tuple[str, str]]:
    """What is in the way by its kind, in the order to mend it: the code, and how many in words."""
    for code, number in Counter(each.code for each in ready.in_the_way).items():
        yield code, f"{number} {_COUNTED[code][number > 1]}" if code != "unusable" else _COUNTED[code][0]


def remarks(ready: Ready) -> Iterator[str]:
    """What is to be known of the rules and of their figures before anything else is read."""
    if ready.edition.enacted is None:
        yield DRAFT
    if ready.demonstration:
        yield DEMONSTRATION


def kind_of(fault: Fault) -> str:
    """The kind of a fault in a few words."""
    return _COUNTED[fault.code][0] if fault.code in _COUNTED else fault.code.replace("-", " ")


def sentence(said: str) -> str:
    return f"{said[:1].upper()}{said[1:]}."


def how_chosen(ready: Ready) -> str:
    """Why this edition governs."""
    job = ready.job
    if job.edition.digest is not None:
        chosen = f"{job.edition.ruleset}@{job.edition.edition}, pinned by its digest"
    else:
        base = ready.edition.layers[-1].name if job.layer is not None else ready.edition.name
        chosen = f"{base}, in force on the letting date {job.letting}"
    return chosen if job.layer is None else f"{chosen}; as the contract's {job.layer.name} amends it"
