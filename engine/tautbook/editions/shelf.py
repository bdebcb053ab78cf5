"""The editions at hand: those shipped, and those of an agency's own folders.

A name is matched against the listing of the folders, never joined to a path. Two files of one name are a
conflict, since nobody could tell which of them judged.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path

from ..lang.files import read_file, why
from ..lang.problem import Problem, did_you_mean
from ..shape.schemas import shipped
from .amend import Lookup
from .edition import Edition, Enacted
from .enacted import layer_problem, read_enacted, with_enacted
from .read import read_edition

BESIDE = frozenset({"enacted", "verdicts"})
"""Files in the folder of a ruleset that are no editions."""
ENACTED = "enacted.yaml"
"""The list of enacted editions in the folder of a ruleset."""
_ENDINGS = (".yaml", ".yml", ".json")

Found = tuple[Edition | None, tuple[Problem, ...]]


@dataclass(frozen=True, slots=True)
class Place:
    """Where an edition stands: named by its folder and file until it is read."""

    ruleset: str
    edition: str
    path: Path | Traversable
    shown: str
    enacted: Path | Traversable | None = None
    """The list of the enacted editions beside it, if there is one."""

    @property
    def name(self) -> str:
        return f"{self.ruleset}@{self.edition}"


@dataclass(frozen=True, slots=True)
class Shelf:
    """Folders that hold a folder for each ruleset, with a file for each edition."""

    folders: tuple[tuple[Path | Traversable, str], ...]
    """Each with the name it is shown under."""

    @classmethod
    def of(cls, folders: Iterable[Path]) -> Shelf:
        """The shipped rulesets and those in ``folders``."""
        return cls(((shipped("rulesets"), "shipped"), *((folder, str(folder)) for folder in folders)))

    def places(self) -> tuple[tuple[Place, ...], tuple[Problem, ...]]:
        """What is listed, by ruleset and edition; and the folders that cannot be."""
        found: list[Place] = []
        problems = []
        for folder, shown in self.folders:
            try:
                found += _places(folder, shown)
            except OSError as error:
                help = "a folder of rulesets holds a folder for each ruleset"
                problems.append(Problem("folder-unreadable", why(error), file=shown, help=help))
        return tuple(sorted(found, key=lambda place: (place.ruleset, place.edition, place.shown))), tuple(problems)

    def find(self, name: str) -> Found:
        """The edition ``RULESET@EDITION``, or in the file of that name."""
        places, problems = self.places()
        if problems:
            return None, problems
        found = [place for place in places if place.name == name]
        if len(found) > 1:
            where = " and ".join(place.shown for place in found)
            message = f"`{name}` stands in two places: {where}"
            return None, (Problem("edition-twice", message, help="name the file itself, or one folder less"),)
        if found:
            return self.read(found[0])
        if _is_file_name(name):
            return self._on_its_layers(read_edition_file(Path(name), self.bytes_of))
        known = sorted({place.name for place in places})
        help = did_you_mean(name, known, f"at hand: {', '.join(known)}")
        if "@" not in name:
            help = f"it is written RULESET@EDITION, or as the name of a file; at hand: {', '.join(known)}"
        return None, (Problem("unknown-edition", f"there is no edition `{name}`", help=help),)

    def read(self, place: Place) -> Found:
        """The edition that stands there, on what it amends."""
        return self._on_its_layers(read_place(place, self.bytes_of))

    def _on_its_layers(self, found: Found) -> Found:
        """The edition, if each that it amends is what was enacted under its name, or if nothing was."""
        edition, problems = found
        layers = () if edition is None else edition.layers
        places = {place.name: place for place in self.places()[0]} if layers else {}
        for layer in layers:
            beside = places[layer.name].enacted if layer.name in places else None
            if beside is None:
                continue
            listed, wrong = _listed(beside, f"{layer.file.rpartition('/')[0]}/{ENACTED}")
            assert edition is not None
            problem = layer_problem(edition, layer, listed)
            problems = (*problems, *wrong, *(() if problem is None else (problem,)))
        return (None, problems) if problems else found

    def bytes_of(self, name: str) -> tuple[bytes | None, str, tuple[Problem, ...]]:
        """The bytes of an edition that another one amends, and the name that its file is shown under."""
        places, problems = self.places()
        found = [place for place in places if place.name == name]
        if len(found) != 1:
            return None, name, problems
        data, problem = read_file(found[0].path, found[0].shown)
        return data, found[0].shown, () if problem is None else (problem,)


def _is_file_name(name: str) -> bool:
    return name.endswith(_ENDINGS) or "/" in name or "\\" in name


def _places(folder: Path | Traversable, shown: str) -> Iterator[Place]:
    for ruleset in folder.iterdir():
        if not ruleset.is_dir() or ruleset.name.startswith("."):
            continue
        files = list(ruleset.iterdir())
        enacted = next((file for file in files if file.name == ENACTED), None)
        for file in files:
            stem, dot, ending = file.name.rpartition(".")
            if dot + ending in _ENDINGS and stem and stem not in BESIDE and not stem.startswith("."):
                yield Place(ruleset.name, stem, file, f"{shown}/{ruleset.name}/{file.name}", enacted)


def read_edition_file(path: Path, lookup: Lookup | None = None) -> Found:
    """The edition in a file, whatever the file is called."""
    data, problem = read_file(path, str(path))
    if problem is not None:
        return None, (problem,)
    edition, problems = read_edition(data or b"", str(path), lookup)
    beside = path.parent / ENACTED
    return _held(edition, problems, beside if beside.is_file() else None, str(beside))


def _held(
    edition: Edition | None, problems: tuple[Problem, ...], enacted: Path | Traversable | None, shown: str
) -> Found:
    """The edition, if it is what was enacted under its name, or if nothing was."""
    if edition is None or enacted is None:
        return edition, problems
    listed, wrong = _listed(enacted, shown)
    return (None, wrong) if wrong else with_enacted(edition, listed)


def _listed(enacted: Path | Traversable, shown: str) -> tuple[Mapping[str, Enacted], tuple[Problem, ...]]:
    """What the list of enacted editions in that file says; or what is wrong with it."""
    data, problem = read_file(enacted, shown)
    return ({}, (problem,)) if problem is not None else read_enacted(data or b"", shown)


def read_place(place: Place, lookup: Lookup | None = None) -> Found:
    """The edition that stands there, if it says the same of itself as its folder and file do."""
    data, problem = read_file(place.path, place.shown)
    if problem is not None:
        return None, (problem,)
    edition, problems = read_edition(data or b"", place.shown, lookup)
    if edition is not None and edition.name != place.name:
        message = f"this file says that it is {edition.name}, and stands where {place.name} belongs"
        span = edition.span.at(0, 0)
        return None, (Problem("edition-misplaced", message, span, "mend its name, or move the file"),)
    return _held(edition, problems, place.enacted, f"{place.shown.rpartition('/')[0]}/{ENACTED}")
