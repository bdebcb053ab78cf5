"""The editions at hand: those shipped, and those of an agency's own folders.

A name is matched against the listing of the folders, never joined to a path. Two files of one name are a
conflict, since nobody could tell which of them judged. What an edition in a file amends may also stand beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.resources.abc import Traversable
from pathlib import Path, PurePosixPath

from ..lang.files import read_file, why
from ..lang.limits import OF_EDITIONS
from ..lang.problem import Problem, did_you_mean
from ..lang.reading import form_of, read_text, read_tree
from ..lang.source import Source
from ..lang.tree import Mapping as TreeMapping
from ..lang.tree import Scalar
from ..shape.schemas import shipped
from .amend import Lookup
from .edition import Edition, Enacted
from .enacted import layer_problem, read_enacted, with_enacted
from .read import read_edition
from .remembered import Found

BESIDE = frozenset({"enacted", "verdicts"})
"""Files in the folder of a ruleset that are no editions."""
ENACTED = "enacted.yaml"
"""The list of enacted editions in the folder of a ruleset."""
_ENDINGS = (".yaml", ".yml", ".json")


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
    beside: Path | None = None
    """The folder of a file that was named: what the edition in it amends may stand there too."""

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

    def around(self, name: str) -> Shelf:
        """The shelf for the edition ``name``: where that is a file, with the files beside it."""
        if not _is_file_name(name) or any(place.name == name for place in self.places()[0]):
            return self
        return replace(self, beside=Path(name).parent)

    def find(self, name: str) -> Found:
        """The edition ``RULESET@EDITION``, or in the file of that name."""
        found, problems = self._named(name)
        if problems:
            return None, problems
        if found:
            return self.read(found[0])
        places, _ = self.places()
        if _is_file_name(name):
            path, near = Path(name), self.around(name)
            own = next((place for place in places if _same(place.path, path)), None)
            return near._on_its_layers(read_edition_file(path, near.bytes_of, own))
        known = sorted({place.name for place in places})
        # Another edition of the same ruleset is other rules, no other spelling: a contract's own would be lost by it.
        ruleset, _, edition = name.partition("@")
        at_hand = f"at hand: {', '.join(known)}"
        help: str | None
        if any(place.ruleset == ruleset for place in places):
            help = f"if it is the edition of a job's contract, name the job: --job FOLDER; {at_hand}"
        else:
            help = did_you_mean(name, [each for each in known if each.endswith(f"@{edition}")], at_hand)
        if "@" not in name:
            help = f"it is written RULESET@EDITION, or as the name of a file; at hand: {', '.join(known)}"
        return None, (Problem("unknown-edition", f"there is no edition `{name}`", help=help),)

    def _named(self, name: str) -> tuple[list[Place], tuple[Problem, ...]]:
        """The one place of the edition ``name``, or none; or what is wrong, as where it stands in two."""
        places, problems = self.places()
        found = [place for place in places if place.name == name]
        found += [place for place in _beside(self.beside, name) if not any(_alike(place, each) for each in found)]
        if problems or len(found) < 2:
            return found, problems
        where = " and ".join(place.shown for place in found)
        message = f"`{name}` stands in two places: {where}"
        return [], (Problem("edition-twice", message, help="name the file itself, or one folder less"),)

    def read(self, place: Place) -> Found:
        """The edition that stands there, on what it amends."""
        return self._on_its_layers(read_place(place, self.bytes_of))

    def _on_its_layers(self, found: Found) -> Found:
        """The edition, if each that it amends is what was enacted under its name, or if nothing was."""
        edition, problems = found
        if edition is None:
            return None, tuple(each for problem in problems for each in self._changed_below(problem))
        for layer in edition.layers:
            places, _ = self._named(layer.name)
            beside = places[0].enacted if places else None
            if beside is None:
                continue
            listed, wrong = _listed(beside, _list_beside(layer.file))
            problem = layer_problem(edition, layer, listed)
            problems = (*problems, *wrong, *(() if problem is None else (problem,)))
        return (None, problems) if problems else found

    def _changed_below(self, problem: Problem) -> tuple[Problem, ...]:
        """The problem; in place of a digest that does not fit, that the edition amended is not what was enacted: then
        that change is to be undone, and its digest of now is not the one to write."""
        if problem.code != "amends-digest" or problem.span is None:
            return (problem,)
        name = _stated_name(problem.span.source, "amends")
        _, wrong = (None, ()) if name is None else self.find(name)
        return tuple(each for each in wrong if each.code == "enacted-changed") or (problem,)

    def bytes_of(self, name: str) -> tuple[bytes | None, str, tuple[Problem, ...]]:
        """The bytes of an edition that another one amends, and the name that its file is shown under."""
        found, problems = self._named(name)
        if not found:
            return None, name, problems
        data, problem = read_file(found[0].path, found[0].shown)
        return data, found[0].shown, problems if problem is None else (*problems, problem)


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


def _beside(folder: Path | None, name: str) -> Iterator[Place]:
    """The files for the edition ``name`` in ``folder``: called as the edition, in a folder called as the ruleset, or
    in any other where the file says that it is that edition."""
    ruleset, _, edition = name.partition("@")
    if folder is None or not folder.is_dir():
        return
    for file in sorted(folder.iterdir()):
        if file.stem != edition or file.suffix not in _ENDINGS or edition in BESIDE or not file.is_file():
            continue
        if folder.resolve().name == ruleset or _says(file, name):
            enacted = folder / ENACTED
            yield Place(ruleset, edition, file, str(file), enacted if enacted.is_file() else None)


def _says(file: Path, name: str) -> bool:
    data, _ = read_file(file, str(file))
    source, _ = read_text(data or b"", str(file))
    return source is not None and _stated_name(source) == name


def _stated_name(source: Source, *under: str) -> str | None:
    """The name RULESET@EDITION that a file states of itself, or under the key ``under``."""
    tree, _ = read_tree(source, form_of(source.name, source.text), OF_EDITIONS)
    for key in under:
        tree = tree.get(key) if isinstance(tree, TreeMapping) else None
    if not isinstance(tree, TreeMapping):
        return None
    ruleset, edition = tree.get("ruleset"), tree.get("edition")
    if not isinstance(ruleset, Scalar) or not isinstance(edition, Scalar):
        return None
    return f"{ruleset.text}@{edition.text}"


def _alike(one: Place, other: Place) -> bool:
    """Whether two places are one file, or hold the very same bytes, so that it does not matter which is read."""
    if isinstance(one.path, Path) and _same(other.path, one.path):
        return True
    first, second = (read_file(each.path, each.shown)[0] for each in (one, other))
    return first is not None and first == second


def _same(path: Path | Traversable, other: Path) -> bool:
    try:
        return isinstance(path, Path) and path.samefile(other)
    except OSError:
        return False


def _list_beside(shown: str) -> str:
    return str(PurePosixPath(shown).with_name(ENACTED))


def read_edition_file(path: Path, lookup: Lookup | None = None, place: Place | None = None) -> Found:
    """The edition in a file, whatever the file is called; but in ``place``, its place on a shelf, and in any folder
    called as its ruleset, it must be called as the edition."""
    data, problem = read_file(path, str(path))
    if problem is not None:
        return None, (problem,)
    edition, problems = read_edition(data or b"", str(path), lookup)
    if edition is not None:
        folder = path.resolve().parent.name
        belongs = f"{folder}@{path.stem}" if folder == edition.ruleset else edition.name
        misplaced = _misplaced(edition, belongs if place is None else place.name)
        if misplaced is not None:
            return None, (misplaced,)
    beside = path.parent / ENACTED
    return _held(edition, problems, beside if beside.is_file() else None, str(beside))


def _misplaced(edition: Edition, belongs: str) -> Problem | None:
    if edition.name == belongs:
        return None
    message = f"this file says that it is {edition.name}, and stands where {belongs} belongs"
    return Problem("edition-misplaced", message, edition.span.at(0, 0), "mend its name, or move the file")


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
    misplaced = None if edition is None else _misplaced(edition, place.name)
    if misplaced is not None:
        return None, (misplaced,)
    return _held(edition, problems, place.enacted, _list_beside(place.shown))
