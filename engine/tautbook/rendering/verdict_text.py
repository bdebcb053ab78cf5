"""Explanation -> text: the verdict first, then why, then every requirement with what it was compared with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from .. import __version__
from ..editions.edition import Edition
from ..explaining.comparisons import Comparison
from ..explaining.explain import Explained, Explanation
from ..explaining.sentences import asked, how_far, observed_label, value_of
from ..lang.quantity import Quantity
from ..shape.shaped import text_at
from ..shape.vocabulary import Vocabulary
from .account import NO_ACCEPTANCE, PARTS, Said, circumstances, outcome, remarks, voided, why
from .edition_text import clause, derived_from, enacted_text, left_to_people
from .layout import labelled, paragraph
from .recorded_text import as_recorded, on_record


def verdict_text(explanation: Explanation) -> str:
    """The report of one verdict, at most 100 columns wide, each line ended."""
    return "".join(f"{line}\n" for line in _lines(explanation))


def _lines(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    edition = verdict.edition
    yield from paragraph(explanation.headline, 0)
    yield ""
    yield from _identity(explanation)
    yield ""
    yield "why"
    yield from _said(why(explanation))
    groups = _grouped(explanation.findings)
    for kind, title in PARTS.items():
        mine = [group for group in groups if group[0].finding.requirement.kind == kind]
        if mine:
            yield ""
            yield title
            for group in mine:
                yield from _requirement(group, edition, explanation)
    yield ""
    yield "on record"
    yield from on_record(as_recorded(verdict.observed), verdict.record.words)
    left = edition.left_in(verdict.procedure.id)
    if left:
        yield ""
        yield "left to people: what these rules ask that no record here can show"
        yield from left_to_people(left)
    yield ""
    yield "cautions"
    for caution in (*verdict.record.words.cautions, NO_ACCEPTANCE):
        yield from paragraph(caution)


def _identity(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    record, edition = verdict.record, verdict.edition
    tested = text_at(record.shaped, "tested")
    yield from labelled("record", f"{record.id}, {verdict.procedure.title}{f', tested {tested}' if tested else ''}")
    yield from labelled("", record.file)
    yield from labelled("", record.digest)
    yield from labelled("judged by", f"{edition.name}, {edition.title}")
    yield from labelled("", f"{enacted_text(edition)}; {edition.digest}")
    for layer in edition.layers:
        yield from labelled("", f"amends {layer.name}, {layer.digest}")
    yield from labelled("with", f"tautbook {__version__}")
    yield from _said(circumstances(explanation))


def _said(said: Iterable[Said]) -> Iterator[str]:
    for name, text in said:
        yield from labelled(name, text) if name else paragraph(text)


def _grouped(findings: Iterable[Explained]) -> list[list[Explained]]:
    """The findings of each requirement together, in the order of the edition."""
    groups: dict[str, list[Explained]] = {}
    for each in findings:
        groups.setdefault(each.finding.id, []).append(each)
    return list(groups.values())


def _requirement(group: list[Explained], edition: Edition, explanation: Explanation) -> Iterator[str]:
    requirement = group[0].finding.requirement
    yield from paragraph(f"{requirement.id}{clause(requirement.origin)}: {requirement.title}")
    compared = [each for each in group if _is_compared(each)]
    forms = {_form(each, explanation) for each in compared}
    if len(forms) == 1:
        yield from _side_by_side(compared, forms.pop())
        told = [each for each in group if not _is_compared(each)]
    else:
        told = group
    for each in told:
        yield from labelled(outcome(each), each.sentence, indent=4, column=20)
    derived = dict.fromkeys(
        text for each in group for comparison in each.telling for text in _derived(comparison, edition, explanation)
    )
    for text in derived:
        yield from labelled("", text, indent=4, column=20)
    for name, text in remarks(group):
        yield from labelled(name, text, indent=4, column=20)


def _is_compared(explained: Explained) -> bool:
    return explained.finding.item is not None and explained.finding.outcome in ("met", "not met")


def _form(explained: Explained, explanation: Explanation) -> tuple[str, ...]:
    """What is compared with what; where it is the same for several items, they stand side by side."""
    words = explanation.verdict.record.words
    return tuple(_heading(each, words) for each in explained.comparisons)


def _heading(comparison: Comparison, words: Vocabulary) -> str:
    what = observed_label(comparison.observed, words)
    return f"{what} is recorded" if comparison.limit is None else f"{what}: {asked(comparison)}"


def _side_by_side(group: list[Explained], form: tuple[str, ...]) -> Iterator[str]:
    """A heading for each thing compared, and below it the items by outcome."""
    for i, heading in enumerate(form):
        yield from paragraph(heading, 4)
        rows: dict[str, list[Explained]] = {}
        for each in group:
            rows.setdefault(f"{each.comparisons[i].outcome}{voided(each)}", []).append(each)
        for held, found in rows.items():
            yield from labelled(held, _row(found, i), indent=6, column=20)


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


def _derived(comparison: Comparison, edition: Edition, explanation: Explanation) -> Iterator[str]:
    """How each side was come by, down to table cells and readings, where it does not stand in the rule itself."""
    for side in (comparison.observed, comparison.limit):
        if side is not None:
            yield from derived_from(side, edition, explanation.verdict.record.words)


def summary_lines(explanation: Explanation) -> str:
    """One record of many: the verdict, its number, its file and why."""
    record = explanation.verdict.record
    text = f"{record.id}  {record.file}  {explanation.headline}"
    return "".join(f"{line}\n" for line in labelled(explanation.verdict.verdict, text, indent=0, column=12))
