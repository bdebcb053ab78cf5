"""Redline -> what changes from this edition on, in plain words: what an office reads first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..comparing.effect import Effect
from ..comparing.redline import Redline
from .redline import by_procedure, many, name_of, scope_text, the_same, title_of

PLAIN = "from this edition on, in plain words"
"""The head of this part."""


@dataclass(frozen=True, slots=True)
class Plain:
    """One effect: of what, and what is stricter or looser about it; a remark has none of these."""

    of: str
    said: tuple[tuple[str, str], ...] = ()


def plain_words(redline: Redline) -> Iterator[Plain]:
    """Each effect: which tests are asked for, verdicts, requirements, advice; then what stays the same."""
    effects = redline.effects
    for asked in redline.programme:
        yield Plain(f"tests of {asked.title} ({asked.procedure})", ((asked.asks, asked.sentence),))
    if effects.missing is not None:
        yield Plain(effects.missing)
        return
    changed = [each for each in effects.effects if each.effect != "none"]
    told: dict[tuple[object, ...], list[Effect]] = {}
    for each in sorted(changed, key=lambda each: (each.advice, each.requirement is not None)):
        if each.effect != "not decided":
            # The same requirement of several procedures is told once.
            rule = (each.requirement, each.title, each.effect, each.scope) if each.requirement else (name_of(each),)
            told.setdefault(rule, []).append(each)
    for together in told.values():
        yield Plain(_of(together), together[0].said or ((together[0].effect, ""),))
    yield from _not_decided(changed)
    same = len({name_of(each) for each in the_same(redline) if each.requirement is not None})
    if not changed:
        yield Plain(f"No requirement and no verdict changes in effect: {_proved(same, 'requirement')}.")
    elif same:
        yield Plain(f"{_proved(same, 'other requirement')} in effect.")


def _of(together: list[Effect]) -> str:
    """What the effect is on, where, and in which procedures."""
    first = together[0]
    *others, last = (each.procedure for each in together)
    procedures = f"{', '.join(others)} and {last}" if others else last
    where = f"; {scope_text(first)}" if first.scope else ""
    if first.requirement is None:
        title = title_of(first)
        return f"verdict{f' on {title}' if title else ''} ({procedures}{where})"
    advice = ", advice" if first.advice else ""
    return f"{first.title or first.requirement} ({first.requirement} of {procedures}{advice}{where})"


def _not_decided(effects: list[Effect]) -> Iterator[Plain]:
    """What could not be decided, by the reason."""
    reasons: dict[str, list[Effect]] = {}
    for each in effects:
        if each.effect == "not decided":
            reasons.setdefault(each.reason or "", []).append(each)
    for reason, together in reasons.items():
        yield Plain(f"Not decided{f' ({reason})' if reason else ''}: {_names(together)}.")


def _names(effects: list[Effect]) -> str:
    return "; ".join(f"{procedure}: {', '.join(names)}" for procedure, names in by_procedure(effects).items())


def _proved(number: int, what: str) -> str:
    return f"{many(number, what)} {'is' if number == 1 else 'are'} proved to be the same"
