"""Amendments: an edition that states only what changes, put together with the edition that it amends.

An item that is named replaces the whole item of that name, or is added; ``cells`` replaces or adds cells of a table;
``strike`` takes items out. Anything else stays. Every part keeps its place in the file that it was written in, so that
a problem, and an explanation, say from which layer it came.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from ..lang.limits import LIMITS, OF_EDITIONS
from ..lang.problem import Problem, did_you_mean, in_order
from ..lang.reading import form_of, read_text, read_tree
from ..lang.surface import Expression
from ..lang.tree import Entry, Mapping, Scalar, Tree
from ..shape.convert import shape
from ..shape.digest import digest
from ..shape.schemas import load_schema
from ..shape.shaped import ShapedMap, ShapedValue, as_map, map_at, scalar_at, text_at
from .edition import Layer, layer_of
from .reasons import Reasons, Way, reasons
from .written import Written, parse_rules, read_sources

Answer = tuple[bytes | None, str, tuple[Problem, ...]]
Lookup = Callable[[str], Answer]
"""The bytes of the edition RULESET@EDITION and the name that its file is shown under; or why there is none."""

_ITEMS = ("sources", "covers", "fields", "tables", "terms")
"""Parts of an edition that are items by name."""
_OF_PROCEDURE = ("asks", "figures", "requirements")
"""Parts of a procedure that are items by name."""


@dataclass(frozen=True, slots=True)
class Whole:
    """The tree of an edition with all that it amends put in, the layers below it (the first one first), the rules that
    were parsed on the way, by the identity of their scalar, and why items were amended."""

    tree: Tree
    layers: tuple[Layer, ...] = ()
    parsed: dict[int, Expression] = field(default_factory=dict)
    reasons: Reasons = field(default_factory=dict)


def whole(
    tree: Tree, name: str, lookup: Lookup | None, above: tuple[str, ...] = ()
) -> tuple[Whole | None, tuple[Problem, ...]]:
    """The whole edition that ``tree``, from the file ``name``, states or amends; or why there is none.

    ``above`` has the names of the editions that amend this one.
    """
    if not isinstance(tree, Mapping) or tree.get("amends") is None:
        return Whole(tree), ()
    shaped, problems = shape(tree, load_schema("amendment"))
    if not isinstance(shaped, ShapedMap):
        return None, problems
    base, problems = _base(shaped, lookup, (*above, _name(shaped)))
    if base is None:
        return None, problems
    joining = _Joining(shaped)
    joined = joining.edition(base.tree, tree)
    if joining.problems:
        return None, in_order(joining.problems)
    told = reasons(_items(tree), joining.struck_ways, _name(shaped), base.reasons)
    return Whole(joined, base.layers, base.parsed, told), ()


def _items(tree: Mapping) -> Iterator[tuple[Way, Tree]]:
    """Every item that an amendment states."""
    for entry in tree.entries:
        below = entry.value.entries if isinstance(entry.value, Mapping) else ()
        if entry.key.text in _ITEMS:
            yield from (((entry.key.text, each.key.text), each.value) for each in below)
        for each in below if entry.key.text == "procedures" else ():
            for part in each.value.entries if isinstance(each.value, Mapping) else ():
                inside = part.value.entries if isinstance(part.value, Mapping) else ()
                for item in inside if part.key.text in _OF_PROCEDURE else ():
                    yield ("procedures", each.key.text, part.key.text, item.key.text), item.value


def _name(shaped: ShapedMap) -> str:
    return f"{text_at(shaped, 'ruleset')}@{text_at(shaped, 'edition')}"


def _base(shaped: ShapedMap, lookup: Lookup | None, above: tuple[str, ...]) -> tuple[Whole | None, tuple[Problem, ...]]:
    """The whole edition that is amended, itself the last of the layers."""
    amends = as_map(shaped.entries["amends"])
    name, span = _name(amends), shaped.key_span("amends")
    if name in above:
        message = f"editions cannot amend each other: {' -> '.join([*above, name])}"
        return None, (Problem("amends-ring", message, span, "let one of them state its rules whole"),)
    if len(above) > LIMITS.layers:
        message = f"more than {LIMITS.layers} editions amend each other"
        return None, (Problem("amends-deep", message, span, "state one of them whole"),)
    if lookup is None:
        help = "put both in folders of rulesets, and name this one as RULESET@EDITION"
        return None, (Problem("amends-unknown", f"{name}, which this amends, is not at hand", span, help),)
    data, shown, problems = lookup(name)
    if data is None:
        help = "name the folder of its rulesets with --rulesets"
        message = f"{name}, which this amends, is not at hand"
        return None, (Problem("amends-unknown", message, span, help), *problems)
    source, problems = read_text(data, shown)
    tree, problems = (None, problems) if source is None else read_tree(source, form_of(shown, source.text), OF_EDITIONS)
    found, problems = (None, problems) if tree is None else whole(tree, shown, lookup, above)
    complete, problems = (None, problems) if found is None else shape(found.tree, load_schema("edition"))
    if found is None or not isinstance(complete, ShapedMap):
        message = f"{name}, which this amends, cannot be used"
        help = "its own problems are told beside"
        return None, (Problem("amends-unusable", message, span, help), *problems)
    written = Written(complete, read_sources(complete), expressions=dict(found.parsed))
    parse_rules(written)
    layer = Layer(name, digest(complete, written.expressions), shown)
    wrong = _other_digest(amends, layer)
    if wrong is not None:
        return None, (wrong,)
    return Whole(found.tree, (*found.layers, layer), written.expressions, found.reasons), ()


def _other_digest(amends: ShapedMap, layer: Layer) -> Problem | None:
    """What is wrong where another state of the edition is amended than the one that was meant."""
    stated = scalar_at(amends, "digest")
    help = f"compare what changed in it; if this still amends it, write `digest: {layer.digest}`"
    if stated is None:
        message = f"the digest of {layer.name} is not stated, so that it could change under this"
        return Problem("amends-digest", message, amends.span, f"write `digest: {layer.digest}`")
    if stated.written != layer.digest:
        message = f"{layer.name} is not what it was when this was written: its digest is another one"
        return Problem("amends-digest", message, stated.span, help)
    return None


class _Joining:
    """One amendment being put into its base."""

    def __init__(self, shaped: ShapedMap) -> None:
        self.shaped = shaped
        self.problems: list[Problem] = []
        self.sources: Tree | None = None
        """Those of the base."""
        self.struck_ways: dict[Way, str] = {}
        """What was struck, and why."""

    def edition(self, base: Tree, tree: Mapping) -> Mapping:
        assert isinstance(base, Mapping)
        self.sources = base.get("sources")
        self.struck_and_stated(base, tree)
        struck = self.struck(base)
        entries = {entry.key.text: entry for entry in struck.entries}
        for entry in tree.entries:
            key = entry.key.text
            if key in ("amends", "strike"):
                continue
            below = entries[key].value if key in entries else None
            if key in _ITEMS and isinstance(below, Mapping) and isinstance(entry.value, Mapping):
                entry = Entry(entry.key, self.items(below, entry.value, key))
            elif key == "procedures" and isinstance(below, Mapping) and isinstance(entry.value, Mapping):
                entry = Entry(entry.key, self.procedures(below, entry.value))
            elif isinstance(entry.value, Mapping) and key in (*_ITEMS, "procedures"):
                entry = Entry(entry.key, self.items(Mapping((), entry.value.span), entry.value, key))
            entries[key] = entry
        return Mapping(tuple(entries.values()), tree.span)

    def procedures(self, base: Mapping, tree: Mapping) -> Mapping:
        entries = {entry.key.text: entry for entry in base.entries}
        for entry in tree.entries:
            below = entries[entry.key.text].value if entry.key.text in entries else None
            if isinstance(below, Mapping) and isinstance(entry.value, Mapping):
                entry = Entry(entry.key, self.procedure(below, entry.value))
            entries[entry.key.text] = entry
        return Mapping(tuple(entries.values()), tree.span)

    def procedure(self, base: Mapping, tree: Mapping) -> Mapping:
        entries = {entry.key.text: entry for entry in base.entries}
        for entry in tree.entries:
            key = entry.key.text
            below = entries[key].value if key in entries else None
            if key in _OF_PROCEDURE and isinstance(below, Mapping) and isinstance(entry.value, Mapping):
                entry = Entry(entry.key, self.items(below, entry.value, key))
            entries[key] = entry
        return Mapping(tuple(entries.values()), tree.span)

    def items(self, base: Mapping, tree: Mapping, part: str) -> Mapping:
        entries = {entry.key.text: entry for entry in base.entries}
        for entry in tree.entries:
            value = entry.value
            if part == "tables" and isinstance(value, Mapping) and value.get("cells") is not None:
                before = entries[entry.key.text].value if entry.key.text in entries else None
                value = self.with_cells(before, value, entry.key)
            entries[entry.key.text] = Entry(entry.key, _without(value, "why"))
        return Mapping(tuple(entries.values()), tree.span)

    def with_cells(self, before: Tree | None, value: Mapping, key: Scalar) -> Tree:
        """A table of which only some cells change."""
        others = [entry for entry in value.entries if entry.key.text not in ("cells", "why")]
        cells = value.entry("cells")
        assert cells is not None
        if not isinstance(before, Mapping):
            message = f"there is no table `{key.text}` whose cells could change"
            self.problems.append(Problem("amends-cells", message, key.span, "check its name, or state it whole"))
            return value
        if others:
            message = "beside `cells` nothing of the table changes"
            help = "state the table whole instead, with `rows`"
            self.problems.append(Problem("amends-cells", message, others[0].key.span, help))
        if self.standing(before) == "published":
            message = f"the figures of `{key.text}` are published, and these cells would be told as printed there"
            help = "state the table whole instead, with `rows`, and with the `source` that these figures come from"
            self.problems.append(Problem("amends-published", message, cells.key.span, help))
        changed = {"rows": lambda rows: _with(rows, cells.value), "source": _unchecked}
        return Mapping(
            tuple(
                Entry(entry.key, changed[entry.key.text](entry.value)) if entry.key.text in changed else entry
                for entry in before.entries
            ),
            before.span,
        )

    def standing(self, table: Mapping) -> str | None:
        """What its figures stand on: what the table says itself, else what its source says."""
        source = table.get("source")
        own = source.get("standing") if isinstance(source, Mapping) else None
        of = source.get("of") if isinstance(source, Mapping) else None
        if own is None and isinstance(of, Scalar) and isinstance(self.sources, Mapping):
            named = self.sources.get(of.text)
            own = named.get("standing") if isinstance(named, Mapping) else None
        return own.text if isinstance(own, Scalar) else None

    def struck_and_stated(self, base: Mapping, tree: Mapping) -> None:
        """Items that are struck, and stated all the same: to state one replaces the whole item already."""
        strike = self.shaped.entries.get("strike")
        for path in map_at(self.shaped, "strike"):
            keys = _split(path, base) or ()
            # A part or a whole procedure that is struck can be stated anew: stated alone it only adds to what is there.
            if len(keys) != (4 if keys[:1] == ("procedures",) else 2):
                continue
            stated = _entry_at(tree, keys)
            if stated is not None:
                assert isinstance(strike, ShapedMap)
                help = f"strike it, or state it; `{path}` as stated here replaces what was there"
                for message, at in ((f"`{path}` is struck here, and stated as well", strike.key_span(path)),
                                    (f"`{path}` is stated here, and struck as well", stated.key.span)):  # fmt: skip
                    self.problems.append(Problem("amends-struck-stated", message, at, help))

    def struck(self, base: Mapping) -> Mapping:
        """``base`` without what is struck."""
        strike = self.shaped.entries.get("strike")
        for path, why in map_at(self.shaped, "strike").items():
            found = _split(path, base)
            if found is None:
                assert isinstance(strike, ShapedMap)
                message = f"there is nothing called `{path}` that could be struck"
                help = _full_path(path, list(_paths(base)))
                self.problems.append(Problem("amends-strike", message, strike.key_span(path), help))
            else:
                base = _struck(base, found)
                assert isinstance(why, ShapedValue)
                self.struck_ways[found] = " ".join(why.written.split())
        return base


def told_of_both(problems: tuple[Problem, ...], tree: Tree, layers: tuple[Layer, ...]) -> tuple[Problem, ...]:
    """Problems in a layer below, and where the amendment stands that brought them about: that layer fitted together."""
    places = [layer_of(each.span, layers) for each in problems if each.span is not None]
    hurt = [name for name in places if name is not None]
    if not hurt or not isinstance(tree, Mapping):
        return problems
    at = tree.entry("strike") or tree.entry("amends")
    assert at is not None
    message = f"with these changes {', '.join(dict.fromkeys(hurt))} does not fit together any more"
    help = "amend the places that are told as well"
    return in_order([*problems, Problem("amends-leaves", message, at.key.span, help)])


def _unchecked(source: Tree) -> Tree:
    """The source of a table of which cells changed: who compared it with the printed page did not see these."""
    return _without(source, "checked")


def _without(tree: Tree, key: str) -> Tree:
    if not isinstance(tree, Mapping) or tree.entry(key) is None:
        return tree
    return replace(tree, entries=tuple(entry for entry in tree.entries if entry.key.text != key))


def _with(rows: Tree, cells: Tree) -> Tree:
    """The rows of a table with some cells replaced or added."""
    if not isinstance(rows, Mapping) or not isinstance(cells, Mapping):
        return cells
    entries = {entry.key.text: entry for entry in rows.entries}
    for entry in cells.entries:
        key = entry.key.text
        if key in entries:
            entry = Entry(entry.key, _with(entries[key].value, entry.value))
        entries[key] = entry
    return Mapping(tuple(entries.values()), rows.span)


def _entry_at(tree: Tree, keys: tuple[str, ...]) -> Entry | None:
    """The entry that ``keys`` lead to."""
    *above, key = keys
    at: Tree | None = tree
    for each in above:
        at = at.get(each) if isinstance(at, Mapping) else None
    return at.entry(key) if isinstance(at, Mapping) else None


def _split(path: str, base: Mapping) -> tuple[str, ...] | None:
    """The keys that lead to what ``path`` names; names of covered fields have dots in them."""
    first, _, rest = path.partition(".")
    if not rest:
        return (first,) if base.get(first) is not None else None
    keys: tuple[str, ...] = (first, rest)
    if first == "procedures" and rest.count(".") == 2:
        keys = (first, *rest.split("."))
    at: Tree | None = base
    for key in keys:
        at = at.get(key) if isinstance(at, Mapping) else None
    return keys if at is not None else None


def _full_path(path: str, known: list[str]) -> str | None:
    """The whole name of what was probably meant: items are struck by where they stand, not by their last name."""
    whole = [each for each in known if each.endswith(f".{path}")]
    if whole:
        return f"write {' or '.join(f'`{each}`' for each in whole[:3])}"
    return did_you_mean(path, known, "such as tables.NAME or procedures.NAME.requirements.NAME")


def _paths(base: Mapping) -> Iterator[str]:
    """Everything that can be struck."""
    for entry in base.entries:
        for below in entry.value.entries if isinstance(entry.value, Mapping) else ():
            if entry.key.text in (*_ITEMS, "procedures"):
                yield f"{entry.key.text}.{below.key.text}"
            if entry.key.text == "procedures" and isinstance(below.value, Mapping):
                for part in below.value.entries:
                    for item in part.value.entries if isinstance(part.value, Mapping) else ():
                        yield f"procedures.{below.key.text}.{part.key.text}.{item.key.text}"


def _struck(tree: Mapping, keys: tuple[str, ...]) -> Mapping:
    key, *rest = keys
    if not rest:
        return replace(tree, entries=tuple(entry for entry in tree.entries if entry.key.text != key))
    return replace(
        tree,
        entries=tuple(
            Entry(entry.key, _struck(entry.value, tuple(rest)))
            if entry.key.text == key and isinstance(entry.value, Mapping)
            else entry
            for entry in tree.entries
        ),
    )
