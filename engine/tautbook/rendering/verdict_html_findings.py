"""Explanation -> the parts of an HTML report that rest on findings: scales, tables of findings, the statement."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..explaining.comparisons import Side
from ..explaining.explain import Explained, Explanation
from ..explaining.labels import how_many, item_label
from .account import PARTS, Said, outcome, remarks
from .edition_text import clause, enacted_text
from .page import facts, text
from .side_by_side import derivations, found_by, grouped
from .verdict_html_drawing import scale_table
from .verdict_html_scales import scales

STYLE = """
table.findings { width: 100%; table-layout: fixed; }
table.findings th, table.findings td { overflow-wrap: anywhere; padding: .35rem .8rem .35rem 0; }
table.findings .outcome { width: 15%; }
table.findings .asked { width: 27%; }
table.findings tbody th { font-weight: 400; font-size: .9rem; }
table.findings tr.broken .outcome, table.findings tr.broken th { font-weight: 700; }
table.findings td p { margin: 0; }
table.findings td.found { font-size: .92rem; }
table.findings td.found p.beside { font-size: .82rem; color: #444; }
table.findings td.found p.compared { font-style: italic; }
@media (max-width: 34rem) { table.findings .outcome { width: 21%; } }
"""
_BROKEN = '"broken"'


def scales_part(explanation: Explanation) -> Iterator[str]:
    """Readings against their limits: acceptance first; nothing where no figure was compared with a limit."""
    words = explanation.verdict.record.words
    groups = grouped(explanation.findings)
    for kind in PARTS:
        for group in groups:
            requirement = group[0].finding.requirement
            if requirement.kind == kind:
                for scale in scales(group, words):
                    yield from scale_table(scale, f"{requirement.title}{clause(requirement.origin)}")


def findings_part(explanation: Explanation, level: int) -> Iterator[str]:
    """Every finding, a table for each kind of requirement."""
    groups = grouped(explanation.findings)
    for kind, title in PARTS.items():
        mine = [group for group in groups if group[0].finding.requirement.kind == kind]
        if mine:
            yield f"<h{level}>{text(title)}</h{level}>"
            yield from _table(mine, title.partition(":")[0], explanation)


def _table(groups: Iterable[list[Explained]], kind: str, explanation: Explanation) -> Iterator[str]:
    yield '<table class="findings">'
    yield f"<caption>findings of {text(kind)}, a row for each requirement</caption>"
    yield '<thead><tr><th scope="col" class="outcome">outcome</th><th scope="col" class="asked">requirement</th>'
    yield '<th scope="col">found</th></tr></thead>'
    yield "<tbody>"
    for group in groups:
        requirement = group[0].finding.requirement
        outcomes = list(dict.fromkeys(map(outcome, group)))
        broken = any(held not in ("met", "not applicable") for held in outcomes)
        yield f'<tr{" class=" + _BROKEN if broken else ""}><td class="outcome">{text("; ".join(outcomes))}</td>'
        yield f'<th scope="row">{text(requirement.title)}{text(clause(requirement.origin))}'
        yield f"<br><code>{text(requirement.id)}</code></th>"
        yield f'<td class="found">{"".join(_found(group, explanation))}</td></tr>'
    yield "</tbody>"
    yield "</table>"


def _found(group: list[Explained], explanation: Explanation) -> Iterator[str]:
    several = len({outcome(each) for each in group}) > 1
    for found in found_by(group, explanation):
        if found.heading is not None:
            yield f'<p class="compared">{text(found.heading)}</p>'
        for held, said in found.said:
            lead = f"{held}: " if several or found.heading is not None else ""
            # The outcome stands beside it already.
            yield f"<p>{text(f'{lead}{said}'.removeprefix('not applicable: '))}</p>"
    for said in derivations(group, explanation):
        yield f'<p class="beside">{text(said)}</p>'
    for name, said in remarks(group):
        yield f'<p class="beside">{text(f"{name}: {said}")}</p>'


# The statement of conformity


def statement_part(explanation: Explanation) -> Iterator[str]:
    """What ISO/IEC 17025:2017, 7.8.6 asks to be said with a statement of conformity."""
    yield from facts((label, text(said)) for label, said in _statement(explanation))


def _statement(explanation: Explanation) -> Iterator[Said]:
    verdict = explanation.verdict
    edition = verdict.edition
    yield "stated", _stated(explanation)
    yield "of which results", "; ".join(_results(explanation))
    digest = f"{enacted_text(edition)}; {edition.digest}"
    yield "by which specification", f"{edition.name}, {edition.title}; {digest}"
    for id in dict.fromkeys(each.finding.requirement.origin.source for each in explanation.findings):
        source = None if id is None else edition.sources.get(id)
        if source is not None:
            yield "its source", f"{source.title}{f', {source.year}' if source.year else ''}; figures {source.standing}"
    for kind, title in PARTS.items():
        if kind != "advice":
            yield title.partition(":")[0], _outcomes(explanation, kind)
    yield "decision rule", (
        "the edition's own: each figure is compared exactly with the limit that the edition sets for it, and one that"
        " is equal to a limit of the kind at least or at most meets it. A requirement of acceptance that is not met,"
        " unless a fault of the test voids that, is a fail; nothing is averaged, and no best of several is taken,"
        " unless the edition says so"
    )  # fmt: skip
    yield "measurement uncertainty", (
        f"{_as_compared(explanation)} No guard band is added to any limit; where the edition builds a margin into a"
        " limit, it is part of the limit shown. Uncertainty is not worked out here: what the edition asks of the"
        " equipment and of its calibration stands under set-up and under what is left to people. The probability of"
        " a wrong statement is not stated"
    )  # fmt: skip


def _stated(explanation: Explanation) -> str:
    verdict = explanation.verdict
    match verdict.verdict:
        case "pass" if explanation.advisory:
            return "no conformity is stated: figures that decide are from memory, and this is not for acceptance"
        case "pass":
            waived = " but for what was waived, which stands as waived and not as met" if explanation.waived else ""
            said = f"the results below meet the requirements of acceptance of the specification{waived}"
        case "fail":
            said = "the results below do not meet the specification"
        case "invalid":
            return "no conformity is stated: the test was not validly run, and its results decide nothing"
        case "incomplete":
            return "no conformity is stated: the test is not complete"
    if explanation.demonstration:
        said += "; figures that decide are invented, for demonstration"
    return said


def _results(explanation: Explanation) -> Iterator[str]:
    verdict = explanation.verdict
    record, words = verdict.record, verdict.record.words
    yield f"the readings on record {record.id}, {record.digest}"
    for path, listed in verdict.lists.items():
        asked = f", {listed.asked} asked for" if listed.asked else ""
        yield f"{how_many(listed.recorded, path, words)} recorded{asked}"
    for path in verdict.observed.set_aside:
        yield f"not of {item_label(path, words)}, which was set aside"
    for item in sorted(explanation.void):
        yield f"{item_label(item, words)} is void and does not count"
    for other in record.evidence.values():
        yield f"and those on record {other.id}, {other.digest}, as far as findings rest on them"


def _outcomes(explanation: Explanation, kind: str) -> str:
    """The requirements of a kind by what was found of them; one with several outcomes under each."""
    words = explanation.verdict.record.words
    found: dict[str, list[str]] = {}
    for group in grouped(each for each in explanation.findings if each.finding.requirement.kind == kind):
        held = dict.fromkeys(map(outcome, group))
        for word in held:
            items = [item_label(each.finding.item or "", words) for each in group if outcome(each) == word]
            which = f" ({', '.join(items)})" if len(held) > 1 else ""
            found.setdefault(word, []).append(f"{group[0].finding.id}{which}")
    return "; ".join(f"{held}: {', '.join(ids)}" for held, ids in found.items()) or "nothing is asked"


def _as_compared(explanation: Explanation) -> str:
    """Whether readings were compared as they were recorded, or through which terms."""
    terms = explanation.verdict.edition.terms
    sides: list[Side] = [each.observed for found in explanation.findings for each in found.telling]
    seen = dict.fromkeys(side.term for side in sides if side.term in terms)
    names = [f"{terms[term].title}{clause(terms[term].origin)}" for term in seen if term is not None]
    if not names:
        return "Limits are compared with readings as recorded."
    return f"Limits are compared with readings as recorded but for what the edition works out: {'; '.join(names)}."
