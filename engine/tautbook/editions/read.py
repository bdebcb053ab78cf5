"""Bytes of a file -> Edition: read, shaped, parsed, checked against the vocabulary of every procedure."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import cast

from ..lang.calendar import MonthPolicy
from ..lang.kernel import Axis, Table
from ..lang.kinds import ChoiceKind, Kind, NumberKind, QuantityKind
from ..lang.limits import OF_EDITIONS
from ..lang.parse import RESERVED
from ..lang.problem import Problem, did_you_mean, in_order
from ..lang.quantity import UNITS
from ..lang.reading import form_of, read_text, read_tree
from ..lang.units import Unit
from ..shape.convert import shape
from ..shape.digest import digest
from ..shape.schemas import load_schema, procedures
from ..shape.shaped import Raw, ShapedMap, ShapedValue, as_map, items_at, map_at, scalar_at, text_at, value_at
from ..shape.vocabulary import Vocabulary, vocabulary
from .amend import Lookup, told_of_both, whole
from .covers import field_kind
from .edition import AsWritten, Edition, LeftToPeople, Titled
from .kind_words import kind_named, own_fields
from .procedures import ground, read_procedure
from .programme import read_programme
from .remembered import remembered
from .tables import read_table
from .terms import Formula, in_order_of_need, names
from .unjudged import check_unjudged
from .written import Written, parse_rules, read_sources


def read_edition(
    data: bytes, name: str, lookup: Lookup | None = None
) -> tuple[Edition | None, tuple[Problem, ...]]:
    """The edition in the bytes of a file shown as ``name``, or everything that is wrong with it.

    ``lookup`` finds the editions that it amends, if it amends any.
    """
    return remembered(data, name, lookup, _read_bytes)


def _read_bytes(data: bytes, name: str, lookup: Lookup | None) -> tuple[Edition | None, tuple[Problem, ...]]:
    source, problems = read_text(data, name)
    if source is None:
        return None, problems
    tree, problems = read_tree(source, form_of(name, source.text), OF_EDITIONS)
    if tree is None:
        return None, problems
    found, problems = whole(tree, name, lookup)
    if found is None:
        return None, problems
    shaped, problems = shape(found.tree, load_schema("edition"))
    if not isinstance(shaped, ShapedMap):
        return None, told_of_both(problems, tree, found.layers)
    # Its own copy: what was parsed on the way is of rules that may be struck.
    written = Written(shaped, read_sources(shaped), expressions=dict(found.parsed), layers=found.layers)
    parse_rules(written)
    edition = _read(written, name)
    wrong = told_of_both(in_order(written.problems), tree, found.layers)
    return (None, wrong) if wrong else (replace(edition, reasons=found.reasons), ())


def _read(written: Written, name: str) -> Edition:
    """The edition. INVARIANT: not to be used where ``written`` has problems."""
    shaped = written.shaped
    own = own_fields(shaped, written.problems)
    known = _vocabularies(written)
    tables = _tables(written, known)
    formulas = _formulas(written, known)
    formulas = _sound(written, tables, formulas)
    order, rings = in_order_of_need(formulas)
    written.problems += rings
    months = cast("MonthPolicy", text_at(shaped, "months"))
    grounds = {id: ground(written, words, own, tables, formulas, order) for id, words in known.items()}
    found = {
        id: read_procedure(id, as_map(node), written, known[id], grounds[id], months)
        for id, node in map_at(shaped, "procedures").items()
        if id in known
    }
    _covers_lead_somewhere(written, known)
    check_unjudged(written, tuple(grounds.values()), months)
    programme = read_programme(written, known, grounds, months)
    return Edition(
        ruleset=text_at(shaped, "ruleset") or "", edition=text_at(shaped, "edition") or "",
        title=text_at(shaped, "title") or "", effective=_effective(written), sources=written.sources,
        tables={key: Titled(key, text_at(as_map(node), "title") or "", written.table_origin(as_map(node)))
                for key, node in map_at(shaped, "tables").items()},
        terms={key: Titled(key, text_at(as_map(node), "title") or "", written.origin(as_map(node)))
               for key, node in map_at(shaped, "terms").items()},
        procedures=found, left_to_people=_left(written), programme=programme,
        digest=digest(shaped, written.expressions), file=name, span=shaped.span, layers=written.layers,
        written=AsWritten(shaped, written.expressions),
    )  # fmt: skip


def _vocabularies(written: Written) -> Mapping[str, Vocabulary]:
    """The vocabulary of each procedure that the edition has rules for and records exist of."""
    found = {}
    owner = as_map(written.shaped.entries["procedures"])
    for id in owner.entries:
        words = vocabulary(id)
        if words is None:
            help = did_you_mean(id, procedures(), f"records exist of: {', '.join(procedures())}")
            written.add("unknown-procedure", f"there is no procedure `{id}`", owner.keys[id], help)
        else:
            found[id] = words
    return found


def _tables(written: Written, known: Mapping[str, Vocabulary]) -> Mapping[str, Table]:
    found = {}
    for name, node in map_at(written.shaped, "tables").items():
        node = as_map(node)
        _name_is_free(written, "tables", name, known)
        axes = tuple(axis for key in items_at(node, "by") if (axis := _axis(written, as_map(key), known)) is not None)
        rows = node.entries["rows"]
        assert isinstance(rows, Raw)
        if len(axes) == len(items_at(node, "by")):
            table, problems = read_table(name, axes, rows.tree, _unit(written, node))
            written.problems += problems
            if table is not None:
                found[name] = table
    return found


def _axis(written: Written, node: ShapedMap, known: Mapping[str, Vocabulary]) -> Axis | None:
    """A key of a table: of the kind that it says, else of the kind of the field of that path."""
    key, word = scalar_at(node, "key"), scalar_at(node, "kind")
    assert key is not None
    kind: Kind | Problem | None
    if word is not None:
        kind = kind_named(word)
    else:
        kinds = [kind for words in known.values() if (kind := field_kind(words.record, key.written)) is not None]
        kind = next(iter(kinds), None)
    if kind is None and not known:
        return None  # That no record has these fields was said where the procedure stands.
    if kind is None:
        paths = [path for words in known.values() for path in words.fields]
        help = did_you_mean(key.written, paths, "give the path of a field, or say its `kind`")
        written.add("unknown-name", f"no field is called `{key.written}`", key, help)
        return None
    if isinstance(kind, Problem):
        written.problems.append(kind)
        return None
    bands = value_at(node, "bands") is True
    if bands and not isinstance(kind, NumberKind | QuantityKind):
        written.add("band-form", f"`{key.written}` is no number, so that its rows cannot be bands", key)
        return None
    # Which words a field may hold is the record's to say, and grows; a table may know fewer or more.
    return Axis(key.written, ChoiceKind() if isinstance(kind, ChoiceKind) else kind, () if bands else None)


def _unit(written: Written, node: ShapedMap) -> Unit | None:
    unit = scalar_at(node, "unit")
    if unit is None or unit.written in UNITS:
        return None if unit is None else UNITS[unit.written]
    help = did_you_mean(unit.written, UNITS)
    written.add("unit-unknown", f"`{unit.written}` is not a unit here", unit, help)
    return None


def _formulas(written: Written, known: Mapping[str, Vocabulary]) -> Mapping[str, Formula]:
    found = {}
    for name, node in map_at(written.shaped, "terms").items():
        node = as_map(node)
        _name_is_free(written, "terms", name, known)
        parameters = []
        for parameter, word in map_at(node, "of").items():
            assert isinstance(word, ShapedValue)
            kind = kind_named(word)
            if isinstance(kind, Problem):
                written.problems.append(kind)
            else:
                parameters.append((parameter, kind))
            if parameter in RESERVED:
                message = f"`{parameter}` is a word of the language"
                written.add("name-taken", message, as_map(node.entries["of"]).keys[parameter], "give it another name")
        expression, place = written.rule(node, "is"), scalar_at(node, "is")
        if expression is not None and place is not None and len(parameters) == len(map_at(node, "of")):
            found[name] = Formula(name, tuple(parameters), expression, place.span)
    return found


def _sound(
    written: Written, tables: Mapping[str, Table], formulas: Mapping[str, Formula]
) -> Mapping[str, Formula]:
    """The formulas that rest on no faulty table or formula; other rules that do are passed over as well.

    What is wrong was said where the fault stands, and is not said again wherever it is used.
    """
    bad_tables = map_at(written.shaped, "tables").keys() - tables.keys()
    bad_terms = map_at(written.shaped, "terms").keys() - formulas.keys()
    left = dict(formulas)
    while True:
        lost = {name for name, each in left.items()
                if names(each.expression, bad_tables, bad_terms - {key for key, _ in each.parameters})}  # fmt: skip
        if not lost:
            break
        bad_terms |= lost
        left = {name: each for name, each in left.items() if name not in lost}
    for at, rule in list(written.expressions.items()):
        if names(rule, bad_tables, bad_terms):
            del written.expressions[at]
    return left


def _name_is_free(written: Written, part: str, name: str, known: Mapping[str, Vocabulary]) -> None:
    """A name means one thing: no word of the language, no field, and not both a table and a term."""
    key = as_map(written.shaped.entries[part]).keys[name]
    if name in RESERVED:
        written.add("name-taken", f"`{name}` is a word of the language", key, "give it another name")
    elif part == "terms" and name in map_at(written.shaped, "tables"):
        written.add("name-taken", f"a table is called `{name}` as well", key, "give one of them another name")
    for words in known.values():
        if name in words.record.fields or name == "local":
            message = f"`{name}` is a field of the record of `{words.procedure}`"
            written.add("name-taken", message, key, "give it another name")


def _covers_lead_somewhere(written: Written, known: Mapping[str, Vocabulary]) -> None:
    covers = as_map(written.shaped.entries["covers"])
    for path in covers.entries:
        if known and all(field_kind(words.record, path) is None for words in known.values()):
            help = did_you_mean(path, [each for words in known.values() for each in words.fields])
            written.add("unknown-name", f"no field is called `{path}`", covers.keys[path], help)


def _known_procedure(name: ShapedValue, written: Written) -> bool:
    """Whether the edition has rules for the procedure; if not, that is noted."""
    procedures = map_at(written.shaped, "procedures")
    if name.written not in procedures:
        help = did_you_mean(name.written, procedures)
        written.add("unknown-procedure", f"this edition has no procedure `{name.written}`", name, help)
    return name.written in procedures


def _effective(written: Written) -> tuple[datetime.date, datetime.date | None]:
    node = as_map(written.shaped.entries["effective"])
    start, end = value_at(node, "from"), value_at(node, "until")
    assert isinstance(start, datetime.date) and (end is None or isinstance(end, datetime.date))
    if end is not None and end < start:
        last = scalar_at(node, "until")
        assert last is not None
        written.add("effective-order", "the last day in force is before the first", last, "check both days")
    return start, end


def _left(written: Written) -> tuple[LeftToPeople, ...]:
    found = []
    for node in items_at(written.shaped, "left_to_people"):
        written.source(as_map(node), "source")
        named = [item for item in items_at(as_map(node), "procedures") if isinstance(item, ShapedValue)]
        for procedure in named:
            _known_procedure(procedure, written)
        what, clause = text_at(as_map(node), "what") or "", text_at(as_map(node), "clause")
        found.append(LeftToPeople(clause, what, tuple(procedure.written for procedure in named)))
    return tuple(found)
