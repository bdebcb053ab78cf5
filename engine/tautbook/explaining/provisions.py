"""An edition as provisions: everything that it says, resolved, in sentences and tables, each with its layer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..editions.edition import Edition, Procedure, Requirement
from ..editions.stated import Meant, layer_at, rule_meant, terms_meant
from ..lang.kernel import Cell, Constant
from ..lang.kinds import kind_of_value
from ..lang.problem import visible
from ..lang.tree import Scalar, Sequence
from ..lang.unreduce import print_kernel
from ..shape.shaped import Raw, Shaped, ShapedList, ShapedMap, ShapedValue, as_map, items_at, map_at, text_at
from ..shape.vocabulary import vocabulary
from .labels import label
from .prose import figure_sentence, spoken
from .prose_kernel import amount, condition
from .prose_names import names_of
from .prose_tree import Prose
from .prose_words import figure
from .provisions_stated import (
    AskStated,
    Checked,
    CoveredValue,
    CoverStated,
    Crosscheck,
    FieldStated,
    FigureStated,
    LeftStated,
    ProcedureStated,
    Provisions,
    RequirementStated,
    SourceStated,
    Stated,
    TableStated,
    TermStated,
    TestsAsked,
)


def provisions(edition: Edition) -> Provisions:
    """All that the edition says, with all that it amends put in."""
    shaped = edition.written.shaped
    reading = _Reading(edition, shaped)
    return Provisions(
        edition, tuple(reading.stated()), tuple(reading.sources()), tuple(reading.covers()), tuple(reading.tables()),
        tuple(reading.terms()), tuple(reading.procedures()), tuple(reading.programme()), tuple(reading.left()),
        tuple(reading.fields()),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Reading:
    edition: Edition
    shaped: ShapedMap

    def layer(self, node: Shaped) -> str:
        return layer_at(self.edition, node.span)

    def stated(self) -> Iterator[Stated]:
        for name in ("title", "effective", "months", "note"):
            node = self.shaped.entries.get(name)
            if isinstance(node, ShapedMap):
                until = text_at(node, "until")
                text = f"from {text_at(node, 'from')}{'' if until is None else f' until {until}'}"
                yield Stated("in force", text, self.layer(node))
            elif isinstance(node, ShapedValue):
                yield Stated(name, node.written, self.layer(node))

    def sources(self) -> Iterator[SourceStated]:
        for id, below in map_at(self.shaped, "sources").items():
            node = as_map(below)
            yield SourceStated(
                id, text_at(node, "title") or "", text_at(node, "year"), text_at(node, "publisher"),
                text_at(node, "standing") or "", text_at(node, "note"), self.layer(node),
            )  # fmt: skip

    def covers(self) -> Iterator[CoverStated]:
        for path, node in map_at(self.shaped, "covers").items():
            title = self.title_of(path)
            if isinstance(node, ShapedList):
                values = tuple(CoveredValue(_raw(item)) for item in node.items)
            else:
                values = tuple(self.value(key, as_map(below)) for key, below in as_map(node).entries.items())
            yield CoverStated(path, title, values, self.layer(node))

    def value(self, key: str, node: ShapedMap) -> CoveredValue:
        meant = rule_meant(self.edition, node, "when")
        when = None if meant is None else condition(meant.rule, names_of(self.edition, meant.procedure))
        return CoveredValue(
            key, tuple(map(_raw, items_at(node, "also"))), when, None if meant is None else print_kernel(meant.rule),
            text_at(node, "clause"), text_at(node, "note"),
        )  # fmt: skip

    def title_of(self, path: str) -> str:
        """A field of any of the records, in words."""
        for id in self.edition.procedures:
            words = vocabulary(id)
            if words is not None and path in words.fields:
                return label(path, words)
        term = self.edition.terms.get(path)
        return path.replace("_", " ") if term is None else term.title

    def tables(self) -> Iterator[TableStated]:
        read = next(iter(self.edition.procedures.values())).rules.tables
        for name, below in map_at(self.shaped, "tables").items():
            node, table = as_map(below), read[name]
            source = as_map(node.entries["source"])
            layer = self.layer(node)
            cells = {cell.keys: layer_at(self.edition, cell.span) for cell in table.cells.values()}
            yield TableStated(
                name, text_at(node, "title") or "", self.edition.tables[name].origin,
                tuple(self.title_of(axis.name) for axis in table.axes), table, text_at(node, "note"),
                text_at(source, "note"), _checked(source), self.crosscheck(node), layer,
                {keys: each for keys, each in cells.items() if each != layer},
            )  # fmt: skip

    def crosscheck(self, table: ShapedMap) -> Crosscheck | None:
        node = table.entries.get("crosscheck")
        meant = rule_meant(self.edition, node, "formula") if isinstance(node, ShapedMap) else None
        if meant is None or not isinstance(node, ShapedMap):
            return None
        listed = [as_map(item) for item in items_at(node, "except")]
        exceptions = tuple((_raw(each.entries["key"]), text_at(each, "why") or "") for each in listed)
        says = print_kernel(meant.rule)
        return Crosscheck(self.sentence(meant), says, _raw(node.entries["within"]), exceptions)

    def sentence(self, meant: Meant) -> Prose:
        return amount(meant.rule, names_of(self.edition, meant.procedure))

    def terms(self) -> Iterator[TermStated]:
        meant = terms_meant(self.edition)
        for name, below in map_at(self.shaped, "terms").items():
            node, titled = as_map(below), self.edition.terms[name]
            said: dict[Prose, list[str]] = {}
            for each in meant[name]:
                said.setdefault(self.sentence(each), []).append(each.procedure)
            of = map_at(node, "of").items()
            used = any(name in procedure.rules.terms for procedure in self.edition.procedures.values())
            yield TermStated(
                name, titled.title, titled.origin,
                tuple((each, kind.written) for each, kind in of if isinstance(kind, ShapedValue)),
                "" if not meant[name] else print_kernel(meant[name][0].rule),
                tuple((tuple(procedures), prose) for prose, procedures in said.items()), used,
                text_at(node, "note"), _checked(node), self.layer(node),
            )  # fmt: skip

    def procedures(self) -> Iterator[ProcedureStated]:
        for id, below in map_at(self.shaped, "procedures").items():
            node, procedure, words = as_map(below), self.edition.procedures[id], vocabulary(id)
            assert words is not None, "an edition has no rules for a procedure without records"
            asks = as_map(node.entries["asks"]) if "asks" in node.entries else None
            requirements, figures = map_at(node, "requirements"), map_at(node, "figures")
            yield ProcedureStated(
                procedure, words, text_at(node, "note"),
                tuple(AskStated(path, count, self.layer(asks.entries[path])) for path, count in procedure.asks.items())
                if asks is not None else (),
                tuple(self.requirement(each, procedure, requirements.get(each.id)) for each in procedure.requirements),
                tuple(
                    FigureStated(each, figure_sentence(each, procedure, self.edition), print_kernel(each.value),
                                 self.layer(figures[each.id]))
                    for each in procedure.figures
                ),
                self.layer(node.entries.get("title", node)),
            )  # fmt: skip

    def requirement(self, each: Requirement, procedure: Procedure, node: Shaped | None) -> RequirementStated:
        layer = self.layer(self.shaped.entries["covers"] if node is None else node)
        checked = None if node is None else _checked(as_map(node))
        return RequirementStated(each, spoken(each, procedure, self.edition), checked, layer)

    def programme(self) -> Iterator[TestsAsked]:
        for item, asked in zip(items_at(self.shaped, "programme"), self.edition.programme, strict=True):
            node = as_map(item)
            procedure = asked.procedure
            words = vocabulary(procedure)
            titled = tuple((path, path if words is None else label(path, words)) for path in asked.for_each)
            yield TestsAsked(
                procedure, titled, asked.when_says, text_at(node, "lasts"), asked.waivable_by, asked.clause, asked.note,
                self.layer(node),
            )  # fmt: skip

    def left(self) -> Iterator[LeftStated]:
        for item in items_at(self.shaped, "left_to_people"):
            node = as_map(item)
            of = tuple(each.written for each in items_at(node, "procedures") if isinstance(each, ShapedValue))
            what, clause, source = (text_at(node, key) for key in ("what", "clause", "source"))
            yield LeftStated(what or "", clause, source, of, self.layer(node))

    def fields(self) -> Iterator[FieldStated]:
        for path, below in map_at(self.shaped, "fields").items():
            node = as_map(below)
            options = tuple(each.written for each in items_at(node, "options") if isinstance(each, ShapedValue))
            kind = text_at(node, "dimension") or text_at(node, "kind") or ""
            yield FieldStated(
                path, text_at(node, "title") or "", text_at(node, "description") or "", kind, text_at(node, "unit"),
                options, self.layer(node),
            )  # fmt: skip


def cell_text(cell: Cell) -> str:
    """A cell as the edition writes it."""
    value = cell.value
    if isinstance(value, str):
        return visible(value)
    return figure(Constant(value, kind=kind_of_value(value), span=cell.span)).replace("minus ", "-", 1)


def _checked(node: ShapedMap) -> Checked | None:
    found = node.entries.get("checked")
    if not isinstance(found, ShapedMap):
        return None
    return Checked(text_at(found, "by") or "", text_at(found, "on") or "", text_at(found, "against") or "")


def _raw(node: Shaped) -> str:
    """A figure or a list of keys that a later stage reads, as it is written."""
    assert isinstance(node, Raw)
    if isinstance(node.tree, Sequence):
        return ", ".join(each.text for each in node.tree.items if isinstance(each, Scalar))
    return node.tree.text if isinstance(node.tree, Scalar) else ""
