"""Two programmes -> which tests are asked for otherwise: newly, no longer, on other combinations, for longer.

The lines of both are compared as they stand, by procedure and by what a test is asked for each of. Nothing here is
proved, and no record is looked for: a line is about the tests of a job, not about what one record shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from ..editions.covers import COVERS
from ..editions.edition import Asked, Edition
from ..explaining.labels import label
from ..explaining.prose_kernel import condition
from ..explaining.prose_names import names_of
from ..explaining.prose_tree import flat
from ..lang.calendar import show_span
from ..lang.kernel import Lookup, Node, Shift, Table, Term, parts_of
from ..shape.vocabulary import vocabulary
from .change import Change

RESTS_ON = (
    "The lines of both programmes, compared as they are written, by procedure and by what a test is asked for each of; "
    "nothing here is proved."
)
Asks = Literal["more", "less", "otherwise"]
"""``more``: a job that had all its tests may lack one now. ``less``: never. ``otherwise``: it depends on the job."""


@dataclass(frozen=True, slots=True)
class AskedOtherwise:
    """One thing that the programme asks otherwise of one kind of test."""

    procedure: str
    title: str
    asks: Asks
    sentence: str
    because: tuple[str, ...]
    """Ids of the changes of wording."""


def asked_otherwise(old: Edition, new: Edition, changes: Sequence[Change]) -> tuple[AskedOtherwise, ...]:
    """What the programme of ``new`` asks otherwise than that of ``old``, by procedure, in the order of ``new``."""
    return tuple(
        AskedOtherwise(procedure, _title(procedure, old, new), asks, sentence, tuple(_because(procedure, changes)))
        for procedure in dict.fromkeys(each.procedure for each in (*new.programme, *old.programme))
        for asks, sentence in _of_procedure(procedure, old, new)
    )


def _title(procedure: str, old: Edition, new: Edition) -> str:
    return (new if procedure in new.procedures else old).procedures[procedure].title


def _because(procedure: str, changes: Sequence[Change]) -> Iterator[str]:
    for change in changes:
        if change.part[:2] == ("programme", procedure) or change.part == ("months",):
            yield change.id


Said = tuple[Asks, str]


def _of_procedure(procedure: str, old: Edition, new: Edition) -> Iterator[Said]:
    before, after = ([each for each in side.programme if each.procedure == procedure] for side in (old, new))
    pairs = list(_pairs(before, after))
    for one, two in pairs:
        yield from _line(one, two, old, new)
    gone, came = (
        [each for each in lines if all(each is not pair[n] for pair in pairs)]
        for n, lines in enumerate((before, after))
    )  # fmt: skip
    for each in came:
        yield "more", f"{'also' if before else 'newly'} asked for, {_whole(each, new)}"
    for each in gone:
        yield "less", f"no longer asked for, {_whole(each, old)}"


def _pairs(before: Sequence[Asked], after: Sequence[Asked]) -> Iterator[tuple[Asked, Asked]]:
    """Lines that stand for each other: of the same combinations and condition, then of the same combinations, then
    the only ones that are left on either side."""
    left, right = list(before), list(after)
    for key in (lambda each: (frozenset(each.for_each), each.when_says), lambda each: frozenset(each.for_each)):
        for one in list(left):
            two = next((each for each in right if key(each) == key(one)), None)
            if two is not None:
                left.remove(one)
                right.remove(two)
                yield one, two
    if len(left) == len(right) == 1:
        yield left[0], right[0]


def _line(one: Asked, two: Asked, old: Edition, new: Edition) -> Iterator[Said]:
    was, now = set(one.for_each), set(two.for_each)
    if was != now:
        asks: Asks = "more" if now > was else "less" if now < was else "otherwise"
        yield asks, f"asked for, {_each(two)}; before, {_each(one)}"
    yield from _when(one, two, old, new)
    yield from _lasting(one, two, old, new)
    roles = [role for role in two.waivable_by if role not in one.waivable_by]
    if roles:
        yield "less", f"leave not to make it may be given by {_or(roles)}; before, {_leave(one)}"
    roles = [role for role in one.waivable_by if role not in two.waivable_by]
    if roles:
        yield "more", f"leave not to make it may no longer be given by {_or(roles)}; {_leave(two)} now"


def _when(one: Asked, two: Asked, old: Edition, new: Edition) -> Iterator[Said]:
    if one.when is None and two.when is None:
        return
    if one.when is None:
        yield "less", f"asked for only where {_condition(two, new)}; before, whatever the case"
    elif two.when is None:
        yield "more", f"asked for whatever the case; before, only where {_condition(one, old)}"
    elif one.when != two.when:
        yield "otherwise", f"asked for only where {_condition(two, new)}; before, only where {_condition(one, old)}"
    else:
        parts = ", ".join(_parts(one, two))
        if parts:
            where = _condition(two, new)
            yield "otherwise", f"asked for only where {where}, as before; what that comes to changed ({parts})"


def _condition(asked: Asked, edition: Edition) -> str:
    assert asked.when is not None
    return flat(condition(asked.when, names_of(edition, asked.procedure)))


def _parts(one: Asked, two: Asked) -> Iterator[str]:
    """Names of what the same condition comes to, and that is not the same."""
    assert one.when is not None and one.rules is not None and two.rules is not None
    found: dict[str, None] = {}
    seen: set[str] = set()
    stack: list[Node] = [one.when]
    while stack:
        node = stack.pop()
        stack += parts_of(node)
        match node:
            case Term(name=name) if name not in seen:
                seen.add(name)
                before, after = (rules.terms[name].body for rules in (one.rules, two.rules))
                stack.append(after)
                if before != after:
                    found[name.removeprefix(COVERS)] = None
            case Lookup(table=table):
                if _figures(one.rules.tables[table]) != _figures(two.rules.tables[table]):
                    found[table.removeprefix(COVERS)] = None
            case Shift() if one.rules.months != two.rules.months:
                found["months"] = None
    yield from found


def _figures(table: Table) -> object:
    return table.axes, {key: cell.value for key, cell in table.cells.items()}


def _lasting(one: Asked, two: Asked, old: Edition, new: Edition) -> Iterator[Said]:
    was, now = one.lasts, two.lasts
    if was == now:
        if now is not None and now.months and _months(old) != _months(new):
            yield "otherwise", (
                f"a test counts for {show_span(now)} from its day, as before; where the last month has no such day, "
                "another day is the last"
            )
        return
    if was is None and now is not None:
        yield "more", f"a test counts for {show_span(now)} from its day; before, no end was set"
    elif was is not None and now is None:
        yield "less", f"a test counts without an end; before, for {show_span(was)} from its day"
    elif was is not None and now is not None:
        # Months and days have no order between them: which is longer depends on the month.
        longer = now.months >= was.months and now.days >= was.days
        shorter = now.months <= was.months and now.days <= was.days
        asks: Asks = "less" if longer else "more" if shorter else "otherwise"
        how = {"less": "longer, ", "more": "less long, ", "otherwise": ""}[asks]
        yield asks, f"a test counts {how}for {show_span(now)} from its day; before, for {show_span(was)}"


def _months(edition: Edition) -> str:
    return next((procedure.rules.months for procedure in edition.procedures.values()), "")


def _whole(asked: Asked, edition: Edition) -> str:
    """All that a line of a programme asks for."""
    told = _each(asked)
    if asked.when is not None:
        told += f", only where {_condition(asked, edition)}"
    return told if asked.lasts is None else f"{told}; a test counts for {show_span(asked.lasts)} from its day"


def _each(asked: Asked) -> str:
    words = vocabulary(asked.procedure)
    titles = [path if words is None else label(path, words) for path in asked.for_each]
    *first, last = titles
    return f"for each combination of {', '.join(first)} and {last}" if first else f"for each {last}"


def _leave(asked: Asked) -> str:
    return f"by {_or(asked.waivable_by)}" if asked.waivable_by else "by nobody"


def _or(roles: Sequence[str]) -> str:
    *first, last = roles
    return f"{', '.join(first)} or {last}" if first else last
