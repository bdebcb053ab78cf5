"""Bytes -> source text -> plain tree, strictly: one form of text, one tree, or problems with their places."""

from __future__ import annotations

import re
from typing import Literal

from .limits import LIMITS, Limits
from .problem import Problem
from .reading_json import read_json
from .reading_yaml import read_yaml
from .source import Source, Span
from .tree import Tree

Form = Literal["yaml", "json"]

_HIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")


def read_text(data: bytes, name: str, limits: Limits = LIMITS) -> tuple[Source | None, tuple[Problem, ...]]:
    """The text of a file: UTF-8 without control characters, a byte-order mark at its start taken off."""
    if len(data) > limits.bytes:
        message = f"a file may have at most {limits.bytes} bytes, this one has {len(data)}"
        return None, (Problem("file-large", message, file=name, help="split it into several files"),)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8-sig")
        source = Source(name, before + "\ufffd")
        span = Span(source, len(before), len(before) + 1)
        return None, (Problem("not-utf-8", "this is not UTF-8 text", span, "save the file as UTF-8"),)
    source = Source(name, text)
    problems = tuple(
        Problem(
            "hidden-character", f"the character U+{ord(found[0]):04X} cannot be seen and is not allowed",
            Span(source, found.start(), found.end()), "delete it, or type the text again",
        )
        for found in list(_HIDDEN.finditer(text))[:20]
    )  # fmt: skip
    return (None, problems) if problems else (source, ())


def form_of(name: str, text: str) -> Form:
    """By the ending of the name; for other names JSON if the text begins as a JSON object or list."""
    if name.endswith((".json", ".jsonl")):
        return "json"
    if name.endswith((".yaml", ".yml")):
        return "yaml"
    return "json" if re.match(r'\s*(\{\s*["}]|\[)', text) else "yaml"


def read_tree(source: Source, form: Form, limits: Limits = LIMITS) -> tuple[Tree | None, tuple[Problem, ...]]:
    """The plain tree of a text, or the problems that stand in the way."""
    return read_json(source, limits) if form == "json" else read_yaml(source, limits)
