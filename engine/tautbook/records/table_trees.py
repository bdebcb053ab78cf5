"""The rows of a record -> the tree that a record file would be read as.

What is said of the whole record stands in its first row, or again in rows below it. From here on a record takes the way
that record files take, so that both are held to the same shape.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ..lang.limits import LIMITS
from ..lang.problem import Problem
from ..lang.source import Span
from ..lang.tree import Entry, Scalar, Sequence, Tree
from ..lang.tree import Mapping as TreeMapping
from ..shape.scalars import short
from ..shape.schemas import record_schema
from .table import NUMBER, PROCEDURE, Group, Table
from .table_cells import scalar_of
from .table_headings import Column, Heading, Step, column_of
from .table_parts import Placed

_SLASH = r"[\\/]"

Meaning = Mapping[int, Column | Problem]
"""What each column means in records of one procedure."""

Meanings = Mapping[tuple[int, str | None], Meaning]
"""By page and procedure."""


@dataclass(slots=True)
class _Node:
    """A mapping, or a list whose keys are the numbers of its items."""

    below: dict[str | int, _Node | Scalar] = field(default_factory=dict)

    def put(self, steps: tuple[Step, ...], scalar: Scalar) -> bool:
        """Whether there was room: no value can stand where there are fields."""
        keys: list[str | int] = []
        for name, number in steps:
            keys += [name] if number is None else [name, number]
        node = self
        for key in keys[:-1]:
            found = node.below.setdefault(key, _Node())
            if not isinstance(found, _Node):
                return False
            node = found
        return node.below.setdefault(keys[-1], scalar) is scalar


def trees(table: Table, means: Meanings) -> Iterator[tuple[str, Tree, list[Problem]]]:
    """Each record with the name it is shown under, and what is wrong with its cells."""
    for group in table.groups:
        problems: list[Problem] = []
        tree = _tree(table, group, means.get((group.page, group.procedure), {}), problems)
        yield _shown(table, group), tree, problems


def _shown(table: Table, group: Group) -> str:
    name = table.source.name
    if len(table.groups) == 1:
        return name
    pages = {each.page for each in table.groups}
    # The name of a page must not look like a folder: names of other records count from the folder of this file.
    page = f" page {re.sub(_SLASH, '_', table.source.pages[group.page] or '')}" if len(pages) > 1 else ""
    return f"{name}{page} row {group.rows[0].number}"


def meanings(table: Table) -> Meanings:
    """What headings mean. One that means nothing in any record of its page is added to the problems of the table."""
    words: dict[int, list[str]] = {}
    for group in table.groups:
        word = group.procedure
        if word is not None and record_schema(word) is not None and word not in words.setdefault(group.page, []):
            words[group.page].append(word)
    found: dict[tuple[int, str | None], dict[int, Column | Problem]] = {}
    for page, here in words.items():
        for number, heading in table.headings[page].items():
            schemas = {word: schema for word in here if (schema := record_schema(word)) is not None}
            means = {word: column_of(heading, schema, helped=False) for word, schema in schemas.items()}
            if any(isinstance(each, Column) for each in means.values()):
                for word, each in means.items():
                    found.setdefault((page, word), {})[number] = each
            elif len(table.problems) < LIMITS.told:  # a page of nonsense has hundreds
                told = (column_of(heading, schema) for schema in schemas.values())
                table.problems += [each for each in told if isinstance(each, Problem)][:1]
    return found


def _tree(table: Table, group: Group, means: Meaning, problems: list[Problem]) -> Tree:
    root, each = _Node(), None
    said: dict[tuple[Step, ...], tuple[str, int]] = {}
    items: list[tuple[_Node, Span]] = []
    for row in group.rows:
        item = _Node()
        items.append((item, row.cells[0].span))
        for cell in row.cells:
            heading = table.headings[group.page][cell.cell.column]
            column = means.get(cell.cell.column)
            if column is None and heading.steps in (NUMBER, PROCEDURE):
                # Of no known procedure: enough of the record to say so.
                column = Column(heading.steps, None, {"x-kind": "text"}, None)
            if column is None:
                continue  # told at its heading
            found = scalar_of(cell, column) if isinstance(column, Column) else _of_others(column, heading, cell)
            if isinstance(found, Problem) or isinstance(column, Problem):
                problems += [found] if isinstance(found, Problem) else []
            elif column.each is not None:
                each = column.each
                item.put(column.steps, found)
            else:
                problems += _say(root, said, column.steps, found, row.number, group.rows[0].number)
    if group.procedure is not None and PROCEDURE not in said:
        root.put(PROCEDURE, Scalar(group.procedure, "double", group.rows[0].cells[0].span))
    while items and not items[-1][0].below:
        items.pop()
    if len(items) > LIMITS.items:
        message = f"a list may have at most {LIMITS.items} items"
        problems.append(Problem("list-long", message, items[LIMITS.items][1], "has each record a number of its own?"))
    entries = list(_mapping(root, problems).entries) if root.below else []
    if each is not None and items:
        listed = tuple(_mapping(item, problems) if item.below else TreeMapping((), at) for item, at in items)
        whole = Sequence(listed, listed[0].span.to(listed[-1].span))
        entries.append(Entry(Scalar(each, "plain", _start(whole.span)), whole))
    cells = [cell for row in group.rows for cell in row.cells]
    return TreeMapping(tuple(entries), cells[0].span.to(cells[-1].span))


def _of_others(wrong: Problem, heading: Heading, cell: Placed) -> Problem:
    """A field of other records in the same table."""
    message = f"`{heading.path}` is no field of these records"
    help = wrong.help or "see whether the procedure is right, or leave this cell empty"
    return Problem(wrong.code, message, cell.span, help)


def _say(
    root: _Node, said: dict[tuple[Step, ...], tuple[str, int]], steps: tuple[Step, ...], found: Scalar, row: int,
    first: int,
) -> Iterator[Problem]:  # fmt: skip
    """What is said of the whole record: in its first row, and the same in any other. ``said`` keeps text and row."""
    if steps in said:
        text, before = said[steps]
        if found.text != text:
            message = f"this row says `{short(found.text)}` of the record, and row {before} says `{short(text)}`"
            help = "say it once, in the first row of the record, or the same in every row"
            yield Problem("row-conflict", message, found.span, help)
        return
    said[steps] = (found.text, row)
    if row != first and steps not in (NUMBER, PROCEDURE):
        message = "this is said of the whole record, and does not stand in its first row"
        yield Problem("row-late", message, found.span, f"write it into row {first}")
    elif not root.put(steps, found):
        message = "another column holds fields of this one, or the other way round"
        yield Problem("duplicate-column", message, found.span, "keep one of the two")


def _mapping(node: _Node, problems: list[Problem]) -> TreeMapping:
    entries = []
    for name, below in node.below.items():
        tree = _below(str(name), below, problems)
        entries.append(Entry(Scalar(str(name), "plain", _start(tree.span)), tree))
    return TreeMapping(tuple(entries), _around([entry.value for entry in entries]))


def _below(name: str, node: _Node | Scalar, problems: list[Problem]) -> Tree:
    if isinstance(node, Scalar):
        return node
    if not any(isinstance(key, int) for key in node.below):
        return _mapping(node, problems)
    numbers = sorted(key for key in node.below if isinstance(key, int))
    listed = tuple(_below(name, node.below[number], problems) for number in numbers)
    for wanted, (number, tree) in enumerate(zip(numbers, listed, strict=True), 1):
        if number != wanted:
            message = f"`{name}[{wanted}]` is empty, and `{name}[{number}]` is not"
            problems.append(Problem("list-gap", message, _start(tree.span), "fill in the items from the first on"))
            break
    return Sequence(listed, _around(listed))


def _around(trees: list[Tree] | tuple[Tree, ...]) -> Span:
    return min((tree.span for tree in trees), key=lambda span: span.start).to(
        max((tree.span for tree in trees), key=lambda span: span.end)
    )


def _start(span: Span) -> Span:
    """Where to point at a part of several cells: its first cell."""
    end = span.text.find("\n")
    return span if end < 0 else span.at(0, end)
