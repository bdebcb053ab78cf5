"""What the YAML parser objects to, in our own words: what is wrong, where, and the way out."""

from __future__ import annotations

import re
from typing import NamedTuple

import yaml


class Fault(NamedTuple):
    """A fault of form that ends reading; the fields of a problem, with offsets."""

    code: str
    message: str
    start: int
    end: int
    help: str | None


_FOUND = re.compile(r"but (?:found|got) (.*)", re.DOTALL)
_QUOTE = "put the whole value in quotes"
# Spaces of other kinds, which text that is pasted from elsewhere brings along: they do not count as an indent.
_INDENT = re.compile("^ *([\\u00a0\\u2000-\\u200b\\u202f\\u3000])", re.MULTILINE)

# The start of the parser's text -> code, message, help, and whether to point at where the construct began.
_TABLE: tuple[tuple[str, str, str, str, bool], ...] = (
    ("found unexpected end of stream", "unclosed-quote", "the quote opened here is never closed",
     "add the closing quote; a text that only begins with a quote goes in quotes of the other kind", True),
    ("found unexpected document separator", "unclosed-quote", "the quote opened here is never closed",
     "add the closing quote; a text that only begins with a quote goes in quotes of the other kind", True),
    ("could not find expected ':'", "colon-missing", "this line is neither a key with a colon nor an item of a list",
     "write `key: value`; if the line belongs to the text above, indent it further", True),
    ("mapping values are not allowed here", "colon-in-value", "a colon cannot stand here",
     "if the value holds a colon, put it in quotes; if this is a key, mend its indent, or that of the line above",
     False),
    ("sequence entries are not allowed here", "dash-place", "an item of a list cannot start here",
     "start each item on a line of its own; a value that begins with a dash goes in quotes", False),
    ("mapping keys are not allowed here", "reserved-character", "a value cannot begin with ?", _QUOTE, False),
    ("found unknown escape character", "escape", "this is not an escape in double quotes",
     "write \\\\ for one backslash, or use single quotes, where a backslash is a backslash", False),
    ("expected escape sequence of", "escape", "this escape has too few digits",
     "write \\\\ for one backslash, or use single quotes, where a backslash is a backslash", False),
)  # fmt: skip

# The construct that the parser was in -> the same, always pointing at where it began.
_CONSTRUCTS: tuple[tuple[str, str, str, str], ...] = (
    ("while scanning an alias", "alias", "a value that begins with * is an alias, which is not taken", _QUOTE),
    ("while scanning an anchor", "anchor", "a value that begins with & has an anchor, which is not taken", _QUOTE),
    ("while scanning a tag", "tag", "a value that begins with ! has a tag, which is not taken", _QUOTE),
    ("while parsing a tag", "tag", "a value that begins with ! has a tag, which is not taken", _QUOTE),
    ("while parsing a node", "tag", "a value that begins with ! has a tag, which is not taken", _QUOTE),
    ("while scanning a directive", "directive", "a line that begins with % is not taken", "delete it"),
    ("while parsing a directive", "directive", "a line that begins with % is not taken", "delete it"),
    ("while scanning a block scalar", "block-header", "a value that begins with | or > starts a text of several lines",
     "put a value of one line in quotes; write a longer text below the |, indented"),
)  # fmt: skip


def fault_of(error: yaml.MarkedYAMLError, text: str) -> Fault:
    """The fault that an error of the parser stands for."""
    problem, context = error.problem or "", error.context or ""
    at = error.problem_mark.index if error.problem_mark else len(text)
    began = error.context_mark.index if error.context_mark else at
    lines = text.rfind("\n", 0, max(0, text.rfind("\n", 0, at))) + 1  # of the line above, which the parser took
    if indent := _INDENT.search(text[lines : at + 1]):
        sign, start = indent[1], lines + indent.start(1)
        message = f"the indent of this line has U+{ord(sign):04X} in it, which is no plain space"
        return _at(Fault("indentation", message, start, 0, "delete the indent of this line, and type it anew"))
    for opening, code, message, help, at_start in _TABLE:
        if problem.startswith(opening):
            return _at(Fault(code, message, began if at_start else at, 0, help))
    for opening, code, message, help in _CONSTRUCTS:
        if context.startswith(opening):
            return _at(Fault(code, message, began, 0, help))
    found = match[1].strip("'") if (match := _FOUND.search(problem)) else ""
    if problem.startswith("found character"):
        return _character(text[at : at + 1], at)
    if problem.startswith(("found duplicate YAML", "found incompatible YAML", "duplicate tag handle")):
        return _at(Fault("directive", "a line that begins with % is not taken", at, 0, "delete it"))
    if problem.startswith("expected '<document start>'") and text.lstrip().startswith("%"):
        start = len(text) - len(text.lstrip())
        return _at(Fault("directive", "a line that begins with % is not taken", start, 0, "delete it"))
    return _structure(context, found, at, began, text)


def fault_of_exception(at: int, text: str) -> Fault:
    """For what the parser did not foresee, say an escape that stands for no character."""
    line = max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1
    if text.startswith("%", line):
        return _at(Fault("directive", "a line that begins with % is not taken", line, 0, "delete it"))
    if text[max(0, at - 2) : at] in {"\\x", "\\u", "\\U"}:
        help = "write \\\\ for one backslash, or use single quotes, where a backslash is a backslash"
        return Fault("escape", "this escape stands for no character", at - 2, at, help)
    return _general(at)


def _at(fault: Fault) -> Fault:
    return fault._replace(end=fault.start + 1)


def _general(at: int) -> Fault:
    return _at(Fault("not-yaml", "this text has not the form of keys and values", at, 0,
                     "check quotes, brackets and indents in this line and the one above"))  # fmt: skip


def _character(char: str, at: int) -> Fault:
    if char == "\t":
        return _at(Fault("tab", "a tab cannot stand here", at, 0, "use spaces, for the indent and between words"))
    return _at(Fault("reserved-character", f"a value cannot begin with {char}", at, 0, _QUOTE))


def _structure(context: str, found: str, at: int, began: int, text: str) -> Fault:
    """Parts that do not fit together: ``found`` is the parser's name for what came at ``at``."""
    if found in {"<stream end>", "<document start>", "<document end>"} and "flow" in context:
        place = began if text[began : began + 1] in {"[", "{"} else at
        return _at(Fault("unclosed-bracket", "the bracket opened here is never closed", place, 0,
                         "add the closing bracket, or put the whole value in quotes"))  # fmt: skip
    inside = context in {"while parsing a flow sequence", "while parsing a flow mapping"}
    line = len(re.findall(r"\r\n|\r|\n", text[:began])) + 1
    if inside and found in {"]", "}"}:
        message = f"this {found} cannot close the {text[began : began + 1]} of line {line}"
        return _at(Fault("stray-bracket", message, at, 0, "close it with a bracket of its own kind, or put the whole "
                         "value in quotes"))  # fmt: skip
    if found in {",", "]", "}"}:
        return _at(Fault("stray-bracket", f"there should be something before this {found}", at, 0,
                         "delete it, or put the whole value in quotes"))  # fmt: skip
    if found == ":" and not inside:
        return _at(Fault("key-empty", "a key is missing before this colon", at, 0,
                         "write the key, or put the text in quotes"))  # fmt: skip
    if found in {"?", "-"} and "flow" in context and not inside:
        return _at(Fault("reserved-character", f"a value cannot begin with {found}", at, 0, _QUOTE))
    if inside:
        message = f"a comma is missing before this, or the {text[began : began + 1]} of line {line} is not closed"
        return _at(Fault("comma-missing", message, at, 0, "add it, or put the whole value in quotes"))
    if found in {"<block mapping start>", "<block sequence start>", "?", "-"}:
        return _at(Fault("indentation", "the indent of this line fits none of the lines above", at, 0,
                         "indent keys that belong together alike, with spaces"))  # fmt: skip
    if found in {"<scalar>", "[", "{", "<alias>", "<anchor>", "<tag>", "<directive>"}:
        return _at(Fault("stray-text", "more text follows after the value has ended", at, 0,
                         "put the whole value in quotes: single ones if it holds double ones"))  # fmt: skip
    return _general(at)
