"""What was found by one requirement: items of which the same thing was compared stand side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..explaining.comparisons import Comparison
from ..explaining.explain import Explained, Explanation
from ..explaining.sentences import asked, how_far, observed_label, value_of
from ..lang.quantity import Quantity
from ..shape.vocabulary import Vocabulary
from .account import Said, outcome, voided
from .edition_text import derived_from


@dataclass(frozen=True, slots=True)
class Found:
    """``said`` has outcomes and what they are the outcomes of; under ``heading``, what was compared with what."""

    heading: str | None
    said: tuple[Said, ...]


def grouped(findings: Iterable[Explained]) -> list[list[Explained]]:
    """The findings of each requirement together, in the order of the edition."""
    groups: dict[str, list[Explained]] = {}
    for each in findings:
        groups.setdefault(each.finding.id, []).append(each)
    return list(groups.values())


def found_by(group: list[Explained], explanation: Explanation) -> Iterator[Found]:
    """The findings of one requirement; where the same is compared in several items, those beside each other."""
    compared = [each for each in group if _is_compared(each)]
    forms = {_form(each, explanation.verdict.record.words) for each in compared}
    told = group
    if len(forms) == 1:
        yield from _side_by_side(compared, forms.pop())
        told = [each for each in group if not _is_compared(each)]
    if told:
        yield Found(None, tuple((outcome(each), each.sentence) for each in told))


def derivations(group: Iterable[Explained], explanation: Explanation) -> list[str]:
    """How each side was come by, down to table cells and readings, where it does not stand in the rule itself."""
    edition, words = explanation.verdict.edition, explanation.verdict.record.words
    compared = [comparison for each in group for comparison in each.telling]
    sides = [side for each in compared for side in (each.observed, each.limit) if side is not None]
    return list(dict.fromkeys(text for side in sides for text in derived_from(side, edition, words)))


def _is_compared(explained: Explained) -> bool:
    return explained.finding.item is not None and explained.finding.outcome in ("met", "not met")


def _form(explained: Explained, words: Vocabulary) -> tuple[str, ...]:
    """What is compared with what; where it is the same for several items, they stand side by side."""
    return tuple(_heading(each, words) for each in explained.comparisons)


def _heading(comparison: Comparison, words: Vocabulary) -> str:
    what = observed_label(comparison.observed, words)
    return f"{what} is recorded" if comparison.limit is None else f"{what}: {asked(comparison)}"


def _side_by_side(group: list[Explained], form: tuple[str, ...]) -> Iterator[Found]:
    """A heading for each thing compared, and below it the items by outcome."""
    for i, heading in enumerate(form):
        rows: dict[str, list[Explained]] = {}
        for each in group:
            rows.setdefault(f"{each.comparisons[i].outcome}{voided(each)}", []).append(each)
        yield Found(heading, tuple((held, _row(found, i)) for held, found in rows.items()))


def _row(found: list[Explained], i: int) -> str:
    """Items with their values; how far off each broken one is, and of those that hold the nearest to the limit."""
    texts = []
    for each in found:
        comparison = each.comparisons[i]
        far = how_far(comparison) if comparison.outcome == "not met" or len(found) == 1 else ""
        texts.append(f"{_number(each)} {value_of(comparison.observed)}{f' ({far})' if far else ''}")
    text = f"{found[0].finding.listed} {', '.join(texts)}"
    held = [each for each in found if each.comparisons[i].outcome == "met" and each.comparisons[i].margin is not None]
    if len(found) == 1 or not held:
        return text
    nearest = min(held, key=lambda each: _size(each.comparisons[i].margin))
    return f"{text}; nearest {_number(nearest)}, {how_far(nearest.comparisons[i])}"


def _number(explained: Explained) -> str:
    """``[2]``, as in the path of the item."""
    return f"[{(explained.finding.item or '').partition('[')[2]}"


def _size(margin: Quantity | int | None) -> Fraction:
    return margin.value if isinstance(margin, Quantity) else Fraction(margin or 0)
