"""Provisions -> blocks: the whole edition in the order in which a printed one is read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..editions.edition import Edition, Origin
from ..explaining.labels import how_many
from ..explaining.prose_tree import Prose
from ..explaining.provisions_stated import (
    Checked,
    CoverStated,
    ProcedureStated,
    Provisions,
    RequirementStated,
    TableStated,
    TermStated,
)
from ..lang.kernel import Node
from ..lang.unreduce import print_kernel
from ..shape.shaped import Shaped, ShapedMap
from .edition_text import enacted_text
from .provisions_blocks import Block, Fact, Facts, Heading, fact
from .provisions_grid import grid

KINDS = {"setup": "set-up", "acceptance": "acceptance", "advice": "advice"}
VOIDS = {
    "both": "where this does not hold, {} counts neither as passed nor as failed",
    "passes": "where this does not hold, {} cannot pass; what fails still counts as failed",
    "failures": "where this does not hold, {} cannot fail; what passes still counts as passed",
}
MONTHS = {
    "clamp": "months are counted to the same day of the month, or to the last day of a shorter month",
    "roll over": "months are counted to the same day of the month; where there is none, on into the next month",
    "refuse": "months are counted to the same day of the month; where there is none, the date is refused",
}


def blocks(provisions: Provisions) -> Iterator[Block]:
    """All that the edition says."""
    edition = provisions.edition
    writing = _Writing(provisions.edition)
    yield Heading(1, edition.title)
    yield Facts(tuple(writing.identity(provisions)))
    yield Heading(2, "What these rules cover")
    for cover in provisions.covers:
        yield Heading(3, cover.title)
        yield Facts(tuple(writing.cover(cover)))
    yield Heading(2, "Sources")
    for source in provisions.sources:
        yield Heading(3, source.title)
        yield Facts((
            *fact("name", source.id, True), *fact("year", source.year), *fact("publisher", source.publisher),
            *fact("standing", source.standing), *fact("note", source.note), *writing.layer(source.layer),
            *writing.why("sources", source.id),
        ))  # fmt: skip
    for procedure in provisions.procedures:
        yield from writing.procedure(procedure)
    if provisions.terms:
        yield Heading(2, "Terms")
    for term in provisions.terms:
        yield Heading(3, _numbered(term.origin, term.title))
        yield Facts(tuple(writing.term(term)))
    if provisions.tables:
        yield Heading(2, "Tables")
    for table in provisions.tables:
        yield Heading(3, _numbered(table.origin, table.title))
        yield grid(table)
        yield Facts(tuple(writing.table(table)))
    yield from _rest(provisions, writing)


def _rest(provisions: Provisions, writing: _Writing) -> Iterator[Block]:
    titles = {each.procedure.id: each.procedure.title for each in provisions.procedures}
    if provisions.programme:
        yield Heading(2, "Programme of tests")
    for test in provisions.programme:
        yield Heading(3, titles.get(test.procedure, test.procedure))
        each = ", ".join(title for _, title in test.for_each)
        of = "" if len(test.for_each) == 1 else "combination of these: "
        yield Facts((
            *fact("asked for", f"one test for each {of}{each}"), *fact("only where", test.when),
            *fact("lasts", test.lasts), *fact("leave by", ", ".join(test.waivable_by) or None),
            *fact("clause", test.clause),
            *fact("note", test.note), *writing.layer(test.layer),
        ))  # fmt: skip
    if provisions.left_to_people:
        yield Heading(2, "Left to people: what these rules ask that no record can show")
        lines = []
        for left in provisions.left_to_people:
            of = f" (in: {'; '.join(titles.get(each, each) for each in left.procedures)})" if left.procedures else ""
            source = "" if left.source is None else f" [{left.source}]"
            layer = "".join(f" [{each.says.text}]" for each in writing.layer(left.layer))
            lines.append(Fact(left.clause or "no clause", Prose(f"{left.what}{of}{source}{layer}")))
        yield Facts(tuple(lines))
    if provisions.fields:
        yield Heading(2, "Observations of the authority's own")
    for field in provisions.fields:
        yield Heading(3, field.title)
        yield Facts((*fact("what", field.description), *fact("kind", field.kind), *fact("unit", field.unit),
                     *fact("one of", ", ".join(field.options)), *fact("name", f"local.{field.path}", True),
                     *writing.layer(field.layer), *writing.why("fields", field.path)))  # fmt: skip


class _Writing:
    """The parts of one edition."""

    def __init__(self, edition: Edition) -> None:
        self.edition = edition

    def layer(self, name: str) -> tuple[Fact, ...]:
        """From which layer a part is; nothing where the edition amends none, since all is then its own."""
        if not self.edition.layers:
            return ()
        return fact("layer", f"{name}, this edition" if name == self.edition.name else name)

    def why(self, *way: str) -> Iterator[Fact]:
        """Why an item was amended, and by which edition."""
        for reason in self.edition.reasons.get(way, ()):
            yield from fact("amended", f"{reason.why}{self.said(reason.edition)}")

    def struck(self) -> Iterator[Fact]:
        """What is struck, and is printed nowhere else."""
        for way, told in self.edition.reasons.items():
            if not _stands(self.edition.written.shaped, way):
                for reason in told:
                    yield from fact("taken out", f"{'.'.join(way)}: {reason.why}{self.said(reason.edition)}")

    def said(self, layer: str) -> str:
        return "".join(f" [{each.says.text}]" for each in self.layer(layer))

    def identity(self, provisions: Provisions) -> Iterator[Fact]:
        edition = self.edition
        yield from fact("edition", edition.name, True)
        for stated in provisions.stated:
            text = MONTHS[stated.text] if stated.name == "months" else stated.text
            yield from fact(stated.name, f"{text}{self.said(stated.layer)}")
        yield from fact("status", enacted_text(edition))
        yield from fact("digest", edition.digest, True)
        for layer in edition.layers:
            yield from fact("amends", f"{layer.name}, {layer.digest}", True)
        yield from self.struck()
        if not edition.layers:
            yield from fact("layers", "it amends no other edition: every part is its own")

    def cover(self, cover: CoverStated) -> Iterator[Fact]:
        plain = [value.value for value in cover.values if not (value.also or value.clause or value.note)]
        if plain:
            yield from fact("values", "; ".join(plain))
        for value in cover.values:
            if value.value in plain:
                continue
            also = f"also called {', '.join(value.also)}" if value.also else "has no other name"
            text = f"{value.value}, {also}"
            when = Prose(text) if value.when is None else replace(value.when, text=f"{text} if {value.when.text}")
            yield Fact("value", when)
            yield from fact("rule", value.says, True)
            yield from (*fact("clause", value.clause), *fact("note", value.note))
        yield from (*fact("name", cover.path, True), *self.layer(cover.layer), *self.why("covers", cover.path))

    def table(self, stated: TableStated) -> Iterator[Fact]:
        yield from (*fact("bands", _bands(stated)), *fact("note", stated.note))
        yield from self.origin(stated.origin, stated.layer)
        yield from fact("source note", stated.source_note)
        yield from _checked(stated.checked, f"nobody has compared {stated.name} with the printed page")
        check = stated.crosscheck
        if check is not None:
            lead = f"each figure is within {check.within} of this: "
            yield Fact("crosscheck", replace(check.formula, text=f"{lead}{check.formula.text}"))
            yield from fact("crosscheck rule", check.says, True)
            for keys, why in check.exceptions:
                yield from fact("further off", f"{keys}: {why}")
        yield from (*fact("name", stated.name, True), *self.why("tables", stated.name))

    def origin(self, origin: Origin, layer: str) -> tuple[Fact, ...]:
        """Where it stands in the source, how good that is, and from which layer it is."""
        where = ", ".join(part for part in (origin.clause, origin.source, origin.standing) if part)
        return fact("from", f"{where}{self.said(layer)}".strip())

    def procedure(self, stated: ProcedureStated) -> Iterator[Block]:
        procedure = stated.procedure
        yield Heading(2, procedure.title)
        asks = [f"{how_many(ask.count, ask.path, stated.words)}{self.said(ask.layer)}" for ask in stated.asks]
        yield Facts((
            *fact("name", procedure.id, True),
            *fact("asks for", f"at least {' and '.join(asks)}" if asks else None),
            *fact("note", stated.note), *self.layer(stated.layer),
        ))  # fmt: skip
        for each in stated.requirements:
            yield Heading(3, _numbered(each.requirement.origin, each.requirement.title))
            way = ("procedures", procedure.id, "requirements", each.requirement.id)
            yield Facts((*self.requirement(each), *self.why(*way)))
        for figure in stated.figures:
            yield Heading(3, _numbered(figure.figure.origin, figure.figure.title))
            yield Facts((
                Fact("figure", _opened(figure.sentence)), *fact("rule", figure.says, True),
                *fact("note", figure.figure.note),
                *self.origin(figure.figure.origin, figure.layer), *fact("name", figure.figure.id, True),
                *self.why("procedures", procedure.id, "figures", figure.figure.id),
            ))  # fmt: skip

    def requirement(self, stated: RequirementStated) -> Iterator[Fact]:
        of, said = stated.requirement, stated.spoken
        if said.must is not None:
            lead = "" if said.each is None else f"for each {said.each}: "
            yield Fact(KINDS[of.kind], _opened(replace(said.must, text=f"{lead}{said.must.text}")))
        else:
            yield from fact(KINDS[of.kind], f"no rule: {of.absent}")
        if said.applies is not None:
            yield Fact("applies only if", said.applies)
        for each in said.unless:
            clause = f" ({each.by.clause})" if each.by.clause else ""
            lead = f"{each.by.title}{clause}: "
            yield Fact("not asked if", replace(each.when, text=f"{lead}{each.when.text}"))
        if of.voids is not None:
            one = f"this {said.each} and what is asked of all of them together"
            yield from fact("a fault", VOIDS[of.voids].format("the whole test" if said.each is None else one))
        if of.kind == "advice":
            yield from fact("weight", "worth saying; it never decides a verdict")
        yield from fact("may be waived", f"by {' or '.join(of.waivable_by)}" if of.waivable_by else None)
        yield from (*fact("otherwise", of.otherwise), *fact("note", of.note), *fact("watch by", of.watch))
        for key, label in (("printed", "printed"), ("read_as", "read as"), ("why", "why so read")):
            yield from fact(label, of.reading.get(key))
        yield from (*self.origin(of.origin, stated.layer), *_checked(stated.checked, None))
        yield from (*fact("rule", of.says, True), *fact("rule: applies", _rule(of.applies), True))
        for each in said.unless:
            yield from fact("rule: not if", f"{each.by.id}: {_rule(each.by.when)}", True)
        yield from fact("name", of.id, True)

    def term(self, stated: TermStated) -> Iterator[Fact]:
        for procedures, prose in stated.sentences:
            alone = len(stated.sentences) == 1
            yield Fact("is" if alone else f"is, in {', '.join(procedures)}", _opened(prose))
        given = ", ".join(f"{name.replace('_', ' ')} ({kind})" for name, kind in stated.parameters)
        yield from (*fact("given", given), *fact("note", stated.note))
        if not stated.used:
            yield from fact("use", "no requirement reaches it: it serves for checking only")
        yield from (*self.origin(stated.origin, stated.layer), *_checked(stated.checked, None))
        yield from (*fact("rule", stated.says, True), *fact("name", stated.name, True))
        yield from self.why("terms", stated.name)


def _stands(shaped: ShapedMap, way: tuple[str, ...]) -> bool:
    """Whether there is an item of that name."""
    at: Shaped | None = shaped
    for key in way:
        at = at.entries.get(key) if isinstance(at, ShapedMap) else None
    return at is not None


def _bands(stated: TableStated) -> str | None:
    if all(axis.bands is None for axis in stated.table.axes):
        return None
    return "a row over one figure up to another speaks of more than the first, up to and including the second"


def _rule(node: Node | None) -> str | None:
    return None if node is None else print_kernel(node)


def _numbered(origin: Origin, title: str) -> str:
    return f"{origin.clause} {title}" if origin.clause else title


def _opened(prose: Prose) -> Prose:
    """A sentence with a capital at its start."""
    return replace(prose, text=prose.text[:1].upper() + prose.text[1:])


def _checked(checked: Checked | None, otherwise: str | None) -> tuple[Fact, ...]:
    if checked is None:
        return fact("checked", otherwise)
    return fact("checked", f"by {checked.by} on {checked.on} against {checked.against}")
