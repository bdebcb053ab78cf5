"""Strict YAML to a plain tree, over the events of the pure Python parser: no constructors, nothing typed.

Only the pure parser is used, wherever a compiled one exists too: the two differ on some texts, and a verdict must
not depend on the machine.
"""

from __future__ import annotations

import re

import yaml

from .limits import LIMITS, Limits
from .problem import Problem
from .reading_build import REFUSED, Builder, empty_file, refused_character
from .reading_yaml_faults import Fault, fault_of, fault_of_exception
from .source import Source, Span
from .tree import Scalar, Style, Tree

_STYLES: dict[str | None, Style] = {None: "plain", "'": "single", '"': "double", "|": "literal", ">": "folded"}
# Comments may stand between an anchor and a tag.
_PROPERTY = re.compile(r"(?:[ \t\r\n]|(?<=[ \t\r\n])#[^\r\n]*)*([&!][^ \t\r\n]*)")
# A comment has a space after its sign. `#12` right after a space reads two ways, so it is a problem, not a guess.
_CUT = re.compile(r" +(#[^\s#][^\r\n]*)")
_LINE = re.compile(r"([^\r\n]*)(\r\n|\r|\n|\Z)")


def read_yaml(source: Source, limits: Limits = LIMITS) -> tuple[Tree | None, tuple[Problem, ...]]:
    """Exactly one document. INVARIANT: ``text_problems(source)`` is empty. Never raises."""
    build = Builder(source, limits)
    loader = yaml.SafeLoader(source.text)
    begun = False
    try:
        while not build.full:
            event = _next(loader, source.text)
            if isinstance(event, Fault):
                build.problem(*event)
                break
            if isinstance(event, yaml.StreamEndEvent):
                break
            if isinstance(event, yaml.DocumentStartEvent):
                start = _range(event)[0]
                if begun:
                    message = "a second document starts here, a file holds one"
                    build.problem("second-document", message, start, start + 3, "put it in a file of its own")
                    break
                begun = True
                if source.text.startswith("%", start):
                    build.problem("directive", "a line that begins with % is not taken", start, start + 1, "delete it")
            else:
                _take(build, event)
    finally:
        loader.dispose()
    tree, problems = build.result()
    if isinstance(tree, Scalar) and not tree.span.text:
        return None, (empty_file(source),)
    return tree, problems


def _next(loader: yaml.SafeLoader, text: str) -> yaml.Event | Fault:
    """The one place where exceptions of the parser are met; some of them are not its own kind."""
    try:
        event: yaml.Event = loader.get_event()  # type: ignore[no-untyped-call]  # its stubs give this method no types
    except yaml.MarkedYAMLError as error:
        return fault_of(error, text)
    except Exception:  # it lets ValueError, OverflowError and others through, from escapes and directives
        return fault_of_exception(loader.index, text)
    return event


def _range(event: yaml.Event) -> tuple[int, int]:
    assert event.start_mark is not None and event.end_mark is not None
    return event.start_mark.index, event.end_mark.index


def _take(build: Builder, event: yaml.Event) -> None:
    start, end = _range(event)
    if isinstance(event, yaml.AliasEvent):
        help = "write the value out, or put it in quotes if it begins with *"
        build.problem("alias", "a value that begins with * is an alias, which is not taken", start, end, help)
        _place(build, build.scalar("", "plain", start, end, None), good=False)
    elif isinstance(event, yaml.ScalarEvent):
        _scalar(build, event, _properties(build, event))
    elif isinstance(event, yaml.CollectionStartEvent):
        mapping = isinstance(event, yaml.MappingStartEvent)
        build.open(_properties(build, event), mapping=mapping, braces=bool(event.flow_style))
    elif isinstance(event, yaml.CollectionEndEvent):
        # A block ends where its last part ends; its own end mark stands at whatever comes next.
        build.close(end if end > start else None)


def _place(build: Builder, scalar: Scalar, good: bool = True, colon: bool = True) -> None:
    if build.wants_key:
        build.key(scalar, good)
    else:
        build.value(scalar, colon)


def _properties(build: Builder, event: yaml.ScalarEvent | yaml.CollectionStartEvent) -> int:
    """Reports anchor and tag; where the value begins (with them, so that the span never turns round)."""
    start = _range(event)[0]
    at = start
    for _ in range((event.anchor is not None) + (event.tag is not None)):
        match = _PROPERTY.match(build.source.text, at)
        assert match is not None
        at = match.end()
        code, word = ("anchor", "an anchor") if match[1][0] == "&" else ("tag", "a tag")
        message = f"a value that begins with {match[1][0]} has {word}, which is not taken"
        help = f"delete {match[1][:40]}, or put the value in quotes if it begins with {match[1][0]}"
        build.problem(code, message, match.start(1), match.end(1), help)
    return start


def _scalar(build: Builder, event: yaml.ScalarEvent, start: int) -> None:
    end, text, source = _range(event)[1], event.value, build.source.text
    style, is_key = _STYLES[event.style], build.wants_key
    good = colon = True
    if style in {"literal", "folded"}:
        end = start + len(source[start:end].rstrip(" \t\r\n"))
    elif style == "double" and (refused := REFUSED.search(text)):
        build.problems.append(refused_character(refused[0], Span(build.source, start, end)))
    elif style == "plain" and is_key:
        good = _key_is_good(build, text, start, end)
    elif style == "plain":
        if cut := _CUT.match(source, end):
            message = "a # after a space begins a comment, so the value is cut short here"
            help = "put the whole value in quotes; for a comment, put a space after the #"
            build.problem("cut-at-hash", message, *cut.span(1), help)
        if not text and build.in_braces:
            colon = source[end - 1] == ":"  # the mark of an empty value stands right behind its colon, if it has one
    _place(build, build.scalar(text, style, start, end, _offsets(style, text, source, start, end)), good, colon)


def _key_is_good(build: Builder, text: str, start: int, end: int) -> bool:
    if not text:
        help = "write the key, or put the text in quotes"
        build.problem("key-empty", "a key is missing before this colon", start, start + 1, help)
    elif text == "<<":
        message = "<< would merge other keys in, which is not taken"
        build.problem("merge-key", message, start, end, "write the keys out")
    return text not in {"", "<<"}


def _offsets(style: Style, text: str, source: str, start: int, end: int) -> tuple[int, ...] | None:
    """Where each character of ``text`` and its end stand, for the scalar that ``source[start:end]`` writes."""
    if style == "literal":
        return _literal_offsets(text, source, start)
    quote = 0 if style == "plain" else 1
    if style != "folded" and source[start + quote : end - quote] == text:
        return tuple(range(start + quote, end - quote + 1))
    return None


def _literal_offsets(text: str, source: str, start: int) -> tuple[int, ...]:
    """Line by line below the header; the first line with text shows the indent."""
    header = _LINE.match(source, start)
    assert header is not None
    at = header.end()
    lines = text.split("\n")
    indent = 0
    offsets: list[int] = []
    for number, line in enumerate(lines):
        if not line and number == len(lines) - 1:
            return (*offsets, at)  # right behind the last line end
        match = _LINE.match(source, at)
        assert match is not None
        if line:
            indent = indent or len(match[1]) - len(line)
        offsets.extend(range(match.start() + indent if line else match.end(1), match.end(1) + 1))
        at = match.end()
    return tuple(offsets)
