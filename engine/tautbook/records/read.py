"""Bytes of a file -> records: one in YAML or JSON, one a line, or in the rows of a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import BinaryIO

from ..lang.problem import Problem, did_you_mean, in_order
from ..lang.reading import form_of, read_json_lines, read_text, read_tree
from ..lang.reading_parts import bounded_lines, opening, rest_of
from ..lang.source import Source
from ..lang.tree import Mapping, Scalar, Tree
from ..shape.convert import shape
from ..shape.digest import digest
from ..shape.schemas import procedures, record_schema
from ..shape.shaped import ShapedMap, text_at
from ..shape.vocabulary import vocabulary
from .record import Record
from .table import Table
from .table_file import is_table, open_table
from .table_trees import Meanings, meanings, trees

Found = tuple[Record | None, tuple[Problem, ...]]
"""A record, or what is wrong with it."""


def read_records(data: bytes, name: str) -> Iterator[Found]:
    """The records in the bytes of a file: many if it is JSON lines or a table, else one."""
    if is_table(data, name):
        yield from read_record_table(data, name)
        return
    source, problems = read_text(data, name)
    if source is None:
        yield None, problems
    elif _is_lines(source):
        yield from read_record_lines(data.splitlines(keepends=True), name)
    else:
        tree, problems = read_tree(source, form_of(name, source.text))
        yield (None, problems) if tree is None else record_of(tree, name)


def read_record_stream(file: BinaryIO, name: str) -> Iterator[Found]:
    """The records that come through a pipe: JSON lines with the memory of one line, anything else as a whole."""
    head, lines = opening(file)
    if lines:
        yield from read_record_lines(chain(head, bounded_lines(file)), name)
    else:
        yield from read_records(rest_of(file, head), name)


def read_record_lines(lines: Iterable[bytes], name: str) -> Iterator[Found]:
    """One record a line, with the memory of one line."""
    for number, tree, problems in read_json_lines(lines, name):
        yield (None, problems) if tree is None else record_of(tree, f"{name} line {number}")


def read_record_table(data: bytes, name: str) -> Iterator[Found]:
    """The records in the rows of a table. Where the table itself has problems, all are told and no record is read."""
    table, wrong = open_table(data, name)
    if table is None:
        yield None, wrong
        return
    means = meanings(table)
    found = _of_rows(table, means)
    if table.problems:
        yield None, in_order([*table.problems, *(problem for _, problems in found for problem in problems)])
    else:
        yield from found


def _of_rows(table: Table, means: Meanings) -> Iterator[Found]:
    for shown, tree, problems in trees(table, means):
        record, more = record_of(tree, shown)
        if problems or table.problems:
            # What is missing may be what cannot be read.
            more = tuple(problem for problem in more if problem.code not in {"missing-key", "not-a-record"})
        wrong = in_order([*problems, *more])
        yield (None, wrong) if wrong else (record, ())


def _is_lines(source: Source) -> bool:
    """Whether it is JSON lines: by its name, or because a first line is a whole JSON object and others follow."""
    if source.name.lower().endswith(".jsonl"):
        return True
    lines = [line for line in source.text.splitlines() if line.strip()][:2]
    if form_of(source.name, source.text) != "json" or len(lines) < 2 or not lines[0].rstrip().endswith("}"):
        return False
    tree, _ = read_tree(Source(source.name, lines[0]), "json")
    return tree is not None


def record_of(tree: Tree, name: str) -> Found:
    """The record that a tree is, shaped by the schema of its procedure."""
    if not isinstance(tree, Mapping):
        help = "a record has fields, the first of them `procedure:`"
        return None, (Problem("not-a-record", "this is not a record of a test", tree.span, help),)
    procedure = tree.get("procedure")
    if procedure is None:
        return None, (_no_procedure(tree),)
    if not isinstance(procedure, Scalar):
        help = f"write one of: {', '.join(procedures())}"
        return None, (Problem("one-value-expected", "a record is of one procedure", procedure.span, help),)
    schema, word = record_schema(procedure.text), procedure.text
    if schema is None:
        nearest = did_you_mean(word, procedures(), f"records exist of: {', '.join(procedures())}")
        return None, (Problem("unknown-procedure", f"there is no procedure `{word}`", procedure.span, nearest),)
    shaped, problems = shape(tree, schema)
    words = vocabulary(procedure.text)
    if not isinstance(shaped, ShapedMap) or words is None:
        return None, problems
    return Record(text_at(shaped, "id") or "", name, words, shaped, digest(shaped)), ()


def _no_procedure(tree: Mapping) -> Problem:
    span = tree.entries[0].key.span if tree.entries else tree.span
    if tree.get("ruleset") is not None:
        message = "this is an edition of a ruleset, not a record of a test"
        return Problem("not-a-record", message, span, "name it after `--under` to judge a record by it")
    help = f"write `procedure:` and one of: {', '.join(procedures())}"
    return Problem("not-a-record", "this record does not say which procedure it is of", span, help)
