"""What sentences call things: fields by the titles of the record, terms and tables by those of the edition.

Two things never have one name: where titles and clauses are alike, the name that rules use stands behind.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from ..editions.edition import Edition, Titled
from ..lang.kernel import Field
from ..lang.kinds import Kind, ListKind, NumberKind, YesNoKind
from ..lang.problem import visible
from ..shape.shaped import as_map, map_at, text_at
from ..shape.vocabulary import FieldInfo, Vocabulary, vocabulary

_PLACES = frozenset({"after", "at", "before", "beyond", "during", "in", "on", "once", "under", "when", "where", "with"})
"""A group whose title begins so says where or when: "tension at full load"."""
_OPEN_ENDS = frozenset({"after", "against", "at", "between", "by", "for", "from", "in", "of", "on", "to", "with"})
"""A title that ends so is the label of an answer, and stands in quotation marks."""

Bound = Mapping[str, str]
"""The list that each bound item is of: its singular, and the path of the list."""


@dataclass(frozen=True, slots=True)
class Names:
    """``words`` is the vocabulary of the record, if there is one; without it, fields go by their paths."""

    words: Vocabulary | None
    terms: Mapping[str, str] = field(default_factory=dict, hash=False)
    """By name: the title in quotation marks."""
    tables: Mapping[str, str] = field(default_factory=dict, hash=False)
    clauses: Mapping[str, str] = field(default_factory=dict, hash=False)
    """Where each term and table stands in the source, as far as that is said."""
    own: Mapping[str, str] = field(default_factory=dict, hash=False)
    """Observations of the authority's own: path to title."""
    here: str = ""
    """Said after a field of this record, where a rule speaks of another one as well."""

    def of(self, node: Field, bound: Bound) -> str:
        """A field of the record or of a bound item: "the capacity of the device", "“head held”"."""
        path = ".".join(node.path)
        if node.root is None:
            return self.at(path, node.kind) + (self.here if node.path[:1] != ("evidence",) else "")
        if not node.path:
            return f"the {node.root}"
        above = bound.get(node.root)
        said = _named(path) if above is None else self.at(f"{above}.{path}", node.kind, of_item=True)
        return f"{said} of the {node.root}"

    def at(self, path: str, kind: Kind | None = None, of_item: bool = False) -> str:
        """The field at a path that runs through lists without numbers. Of an item it was said already where it is."""
        if path.startswith("local."):
            title = self.own.get(path.removeprefix("local."))
            return _named(path) if title is None else _said(title, kind)
        other = self._other(path)
        if other is not None:
            names, rest, title = other
            if rest in ("", "verdict"):
                return f"the {'verdict on the ' if rest else ''}{title}"
            return names.at(rest, kind, of_item) + ("" if of_item else f" in the {title}")
        return _named(path) if self.words is None else _phrases(self.words).get(path, _named(path))

    def items(self, path: str, singular: str) -> tuple[str, str]:
        """One item of a list, and all of them: "correction point", "correction points of the device"."""
        other = self._other(path)
        if other is not None:
            one, all_ = other[0].items(other[1], singular)
            return f"{one} in the {other[2]}", f"{all_} in the {other[2]}"
        info = None if self.words is None else self.words.fields.get(path)
        if info is None:
            return f"{singular} of {_named(path)}", f"items of {_named(path)}"
        below = self.at(path)
        plural = info.title.endswith(f"{singular}s") and below.startswith(f"the {info.title}")
        if not plural:
            return f"{singular} of {below}", f"items of {below}"
        return f"{info.title.removesuffix('s')}{below.removeprefix(f'the {info.title}')}", below.removeprefix("the ")

    def _other(self, path: str) -> tuple[Names, str, str] | None:
        """Of a field of another record that this one rests on: names for it, its path there, what it is called."""
        slot = ".".join(path.split(".")[:2])
        info = None if self.words is None else self.words.fields.get(slot)
        other = None if info is None or info.procedure is None else vocabulary(info.procedure)
        if self.words is None or info is None or other is None:
            return None
        twice = [each for each in self.words.fields.values() if each.procedure and each.title == info.title]
        title = visible(info.title) if len(twice) == 1 else f"{visible(info.title)} `{slot}`"
        return Names(other), path[len(slot) :].removeprefix("."), title


def names_of(edition: Edition, procedure: str) -> Names:
    """The names that the rules of one procedure of ``edition`` speak in."""
    titled = [*edition.terms.values(), *edition.tables.values()]
    shown = Counter((each.title, each.origin.clause) for each in titled)

    def quoted(each: Titled) -> str:
        twice = shown[each.title, each.origin.clause] > 1
        return f"“{visible(each.title)}”" + (f" `{each.name}`" if twice else "")

    own = map_at(edition.written.shaped, "fields")
    return Names(
        vocabulary(procedure),
        {name: quoted(each) for name, each in edition.terms.items()},
        {name: quoted(each) for name, each in edition.tables.items()},
        {each.name: visible(each.origin.clause) for each in titled if each.origin.clause},
        {path: text_at(as_map(node), "title") or path for path, node in own.items()},
    )


@cache
def _phrases(words: Vocabulary) -> Mapping[str, str]:
    """Every field of the record of a procedure by its path, no two alike."""
    said = {info.path: _phrase(info, words) for info in words.fields.values()}
    times = Counter(said.values())
    return {path: phrase if times[phrase] == 1 else f"{phrase} (`{path}`)" for path, phrase in said.items()}


def _phrase(info: FieldInfo, words: Vocabulary) -> str:
    """A field by its title, and what it is part of where the title does not say so."""
    title = _said(info.title, info.kind)
    above = words.fields.get(info.path.rpartition(".")[0])
    if above is None or isinstance(above.kind, ListKind):
        return title
    group = visible(above.title)
    first, *_, last = group.split() * 2
    if first in _PLACES:
        return f"{title} {group}"
    if _says(info.title, above.title):
        return title
    return f"{title} under “{group}”" if last in _OPEN_ENDS else f"{title} of the {group}"


def _said(title: str, kind: Kind | None) -> str:
    """A title as it stands in a sentence. Answers of yes or no, and what is no thing, stand in quotation marks."""
    title = visible(title)
    words = title.split()
    if isinstance(kind, YesNoKind) or not words:
        return f"“{title}”"
    is_label = words[-1] in _OPEN_ENDS or (words[0].endswith("ed") and words[1:2] and words[1] in _PLACES | _OPEN_ENDS)
    name = f"“{title}”" if is_label or (isinstance(kind, ListKind) and not title.endswith("s")) else title
    if isinstance(kind, NumberKind) and words[0].endswith("s"):
        return f"the number of {name}"
    return name if name != title else f"the {title}"


def _says(title: str, part: str) -> bool:
    """Whether a title names what it is part of, in one number or the other."""
    of_title, of_part = ({word.removesuffix("s") for word in text.lower().split()} for text in (title, part))
    return bool((of_title & of_part) - _PLACES - _OPEN_ENDS - {"the", "a", "an"})


def _named(path: str) -> str:
    """Something of which no title is known."""
    return f"`{visible(path)}`"
