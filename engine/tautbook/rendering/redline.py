"""What every report of a redline says: the first line, what is compared, effects, changes by item."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby

from .. import __version__
from ..comparing.asked import AskedOtherwise
from ..comparing.change import Change, What
from ..comparing.effect import Direction, Effect, Outcome
from ..comparing.redline import Redline
from ..explaining.labels import label
from ..shape.vocabulary import vocabulary
from .edition_text import enacted_text, in_force

_SECTIONS: Mapping[What, str] = {
    "text": "the edition", "effective": "the edition", "months": "the edition", "source": "sources",
    "covers": "what is covered", "field": "observations of its own", "table": "tables", "term": "terms",
    "procedure": "procedures and requirements", "requirement": "procedures and requirements",
    "left to people": "left to people", "programme": "programme",
}  # fmt: skip
_DIRECTIONS: tuple[Direction, ...] = ("stricter", "looser", "both ways", "not decided")


def many(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def headline(redline: Redline) -> str:
    """The editions, how many changes, and how many requirements come out otherwise."""
    told = " to ".join(both_names(redline)) + ": "
    if not redline.differs:
        return f"{told}no difference"
    numbers = sum(change.how == "renumbered" for change in redline.changes)
    wording = many(len(redline.changes), "change") + " of wording"
    if numbers:
        wording += f", {'all' if numbers == len(redline.changes) else numbers} of clause numbers only"
    programme = "; tests are asked for otherwise" if redline.programme else ""
    return f"{told}{wording}; {_in_effect(redline)}{programme}"


def _in_effect(redline: Redline) -> str:
    if redline.effects.missing is not None:
        return "effect not decided"
    changed = [each for each in redline.effects.effects if each.effect != "none"]
    told = []
    for name, mine in (
        ("requirements", [each for each in changed if each.requirement is not None and not each.advice]),
        ("advice", [each for each in changed if each.advice]),
    ):
        counts = {way: len({name_of(each) for each in mine if each.effect == way}) for way in _DIRECTIONS}
        if mine:
            told.append(f"{name}: {', '.join(f'{number} {way}' for way, number in counts.items() if number)}")
    return "; ".join(told) or ("only verdicts change in effect" if changed else "no effect")


def both_names(redline: Redline) -> tuple[str, str]:
    """How both are called: a draft as one, and two of one name as the earlier and the later."""
    old, new = (
        each.name if each.enacted is not None else f"{each.name} (draft)" for each in (redline.old, redline.new)
    )  # fmt: skip
    return (f"{old}, old", f"{new}, new") if old == new else (old, new)


def identity(redline: Redline) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What is compared: each edition with lines about it."""
    for name, edition in (("from", redline.old), ("to", redline.new)):
        yield name, (
            f"{edition.name}, {edition.title}", f"in force {in_force(edition)}; {enacted_text(edition)}",
            edition.digest,
        )  # fmt: skip
    if redline.old.ruleset != redline.new.ruleset:
        yield "remark", ("these are two rulesets, not two editions of one",)
    yield "with", (f"tautbook {__version__}",)


def by_procedure(effects: list[Effect]) -> dict[str, list[str]]:
    """The names of requirements by procedure, each once."""
    found: dict[str, list[str]] = {}
    for each in effects:
        names = found.setdefault(each.procedure, [])
        name = each.requirement or "verdict"
        if name not in names:
            names.append(name)
    return found


def the_same(redline: Redline) -> list[Effect]:
    """What stays the same in effect throughout."""
    changed = {name_of(each) for each in redline.effects.effects if each.effect != "none"}
    return [each for each in redline.effects.effects if each.effect == "none" and name_of(each) not in changed]


def name_of(effect: Effect) -> str:
    """``dti-lot, load-reached``, or ``dti-lot, verdict``."""
    advice = " (advice)" if effect.advice else ""
    return f"{effect.procedure}, {effect.requirement or 'verdict'}{advice}"


def title_of(effect: Effect) -> str:
    return effect.title.removeprefix("verdict: ")


def found_text(outcome: Outcome) -> str:
    """What became of the requirement in question, after a verdict."""
    if outcome.finding is None:
        return ""
    return ", nothing asked" if outcome.finding == "not asked" else f", finding {outcome.finding}"


def scope_text(effect: Effect) -> str:
    """For which values of the covered fields, in the words of the record; three neighbours and more as a range."""
    words = vocabulary(effect.procedure)
    every = dict(effect.among)
    told = (
        f"{path if words is None else label(path, words)} {_ranges(values, every.get(path, ()))}"
        for path, values in effect.scope
    )
    return "; ".join(told) or "whatever is tested"


def _ranges(values: tuple[str, ...], every: tuple[str, ...]) -> str:
    """Values that have a figure, in order, with what lies between the first and the last of neighbours left out."""
    if not all(value[:1].isdigit() and value in every for value in values):
        return ", ".join(values)
    runs: list[list[str]] = []
    for value in values:
        if runs and every.index(value) == every.index(runs[-1][-1]) + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def changed_by_requirement(redline: Redline) -> Iterator[tuple[Effect, ...]]:
    """Effects other than none, those of one requirement together: they may differ by what is tested."""
    found: dict[str, list[Effect]] = {}
    for each in redline.effects.effects:
        if each.effect != "none":
            found.setdefault(name_of(each), []).append(each)
    yield from map(tuple, found.values())


def unchanged(redline: Redline) -> Iterator[tuple[str, dict[str, list[str]]]]:
    """How it is known that they stay the same in effect, with requirements and verdicts by procedure."""
    reasons: dict[str, list[Effect]] = {}
    for each in the_same(redline):
        reasons.setdefault(each.reason or "proved", []).append(each)
    yield from ((reason, by_procedure(together)) for reason, together in reasons.items())


# Changes


@dataclass(frozen=True, slots=True)
class Item:
    """A table, a term, a requirement, ... with all that changed of it, clause numbers aside."""

    names: tuple[str, ...]
    """More than one where the very same changed of several, as of one requirement in several procedures."""
    title: str
    changes: tuple[Change, ...]

    @property
    def name(self) -> str:
        """``dti-lot and dti-short-bolt, head-held`` where it is the same requirement of several procedures."""
        parts = [name.split(", ", 1) for name in self.names]
        if len(parts) > 1 and all(len(part) == len({each[-1] for each in parts}) + 1 for part in parts):
            *first, last = (part[0] for part in parts)
            return f"{', '.join(first)} and {last}, {parts[0][1]}"
        return "; ".join(self.names)

    @property
    def said(self) -> tuple[object, ...]:
        return self.title, tuple(
            (each.member, each.how, each.before, each.after, each.detail, each.why) for each in self.changes
        )

    @property
    def whys(self) -> tuple[str, ...]:
        """Why it was amended, with the edition that says so."""
        told = dict.fromkeys(reason for change in self.changes for reason in change.why)
        return tuple(f"{reason.why} ({reason.edition})" for reason in told)


BOUNDS = "Within these bounds every effect is found; beyond them nothing is said."


def sections(redline: Redline) -> dict[str, list[Item]]:
    """Changes by part of the edition and by item; without clause numbers."""
    found: dict[str, dict[tuple[object, ...], Item]] = {}
    told = [change for change in redline.changes if change.how != "renumbered"]
    for (section, name), together in groupby(told, key=lambda change: (_SECTIONS[change.what], change.item)):
        changes = tuple(together)
        item = Item((name,), changes[0].title, changes)
        same = found.setdefault(section, {}).get(item.said)
        found[section][item.said] = item if same is None else replace(same, names=(*same.names, name))
    return {section: list(items.values()) for section, items in found.items()}


def renumbered(redline: Redline) -> list[tuple[str, str, list[str]]]:
    """Clause numbers that only became others, before and after, each with the items that stand under it."""
    found: dict[tuple[str, str], list[str]] = {}
    for change in redline.changes:
        if change.how == "renumbered":
            names = found.setdefault((change.before or "", change.after or ""), [])
            name = change.where.removesuffix(", clause").removesuffix(", source")
            names.append("left to people" if change.what == "left to people" else name)
    return [(before, after, names) for (before, after), names in sorted(found.items(), key=_by_numbers)]


def _by_numbers(numbered: tuple[tuple[str, str], list[str]]) -> list[tuple[int, str]]:
    """Clause 7.10 after 7.9."""
    return [(int(part), "") if part.isdigit() else (0, part) for part in re.findall(r"[0-9]+|[^0-9]+", numbered[0][1])]


def lines_of(change: Change) -> list[str]:
    """An item that only one edition has, line by line; without its title, which stands above."""
    lines = (change.after or change.before or "").split("\n")
    moved = [change.detail] if change.detail else []
    return [*moved, *(line for line in lines if line != f"title: {change.title}")] or [""]


def asked_by_procedure(redline: Redline) -> Iterator[tuple[AskedOtherwise, ...]]:
    """What the programme asks otherwise, by the kind of test."""
    for _, together in groupby(redline.programme, key=lambda each: each.procedure):
        yield tuple(together)


def because(effect: Effect | AskedOtherwise, redline: Redline) -> Iterator[str]:
    """The changes that cause an effect, by item; figures of one table together."""
    ids = set(effect.because)
    told = [change for change in redline.changes if change.id in ids]
    for name, together in groupby(told, key=lambda change: change.item):
        mine = tuple(together)
        if len(mine) == 1:
            yield mine[0].where
        elif len(mine) <= _FEW:
            yield f"{name} ({'; '.join(name_in(change) for change in mine)})"
        else:
            yield f"{name} ({len(mine)} changes)"


_FEW = 3


def name_in(change: Change) -> str:
    """What of its item changed: ``require``, ``[A325, 7/8 in]``; of a whole item how it did."""
    keyed = change.where == f"{change.item} [{change.member}]"
    return f"[{change.member}]" if keyed else change.member or change.how
