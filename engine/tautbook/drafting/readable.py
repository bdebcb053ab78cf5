"""What rules can read of the records of some procedures, as remarks of a draft."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..lang.kinds import ChoiceKind, DateKind, GroupKind, ListKind, NumberKind, QuantityKind, TextKind, YesNoKind
from ..shape.vocabulary import FieldInfo, Vocabulary
from .lines import columns, remark


def readable(known: Sequence[Vocabulary]) -> list[str]:
    """Each field once, below the procedures whose records have it."""
    found: dict[tuple[str, str], list[str]] = {}
    every = [words.procedure for words in known]
    for words in known:
        for info in words.fields.values():
            told = _told(info)
            if told is not None:
                found.setdefault((_says(info, words), told), []).append(words.procedure)
    below: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for field, procedures in found.items():
        below.setdefault(tuple(procedures), []).append(field)
    lines: list[str] = []
    for those in sorted(below, key=lambda each: (-len(each), [every.index(id) for id in each])):
        where = "the record of every test" if len(those) == len(every) > 1 else f"records of {', '.join(those)}"
        lines += ["", *remark(f"In {where}:")]
        width = max(len(says) for says, _ in below[those])
        for says, told in below[those]:
            lines += columns(says, told, width)
    return lines[1:]


def _says(info: FieldInfo, words: Vocabulary) -> str:
    """The path as a rule writes it: of one item of a list by its singular."""
    parts = info.path.split(".")
    for i in range(len(parts) - 1, 0, -1):
        above = words.fields[".".join(parts[:i])].kind
        if isinstance(above, ListKind):
            return ".".join([above.singular, *parts[i:]])
    return info.path


def _told(info: FieldInfo) -> str | None:
    """Its kind, and its title where the path does not say it already; None for what only holds others."""
    kind = _kind(info)
    if kind is None:
        return None
    said = info.path.replace("_", " ").split(".")
    return kind if info.title in (said[-1], " ".join(said[-2:])) else f"{kind}; {info.title}"


def _kind(info: FieldInfo) -> str | None:
    if info.procedure is not None:
        return f"another record, of {info.procedure}: all its fields and its `verdict`, after `{info.path}.`"
    match info.kind:
        case QuantityKind(dimension=dimension):
            return f"{dimension.name} ({', '.join(info.units)})"
        case NumberKind(whole=whole):
            return "whole number" if whole else "number"
        case ChoiceKind(options=None):
            return "any word" if not info.examples else f"any word, such as {_quoted(info.examples)}"
        case ChoiceKind(options=options) if options is not None and len(options) > 1:
            return f"one of {_quoted(options)}"
        case YesNoKind():
            return "yes or no"
        case DateKind():
            return "date"
        case TextKind():
            return "text"
        case ListKind(singular=singular):
            return f"list, each of its items a `{singular}`"
        case GroupKind() | ChoiceKind():
            return None
        case _:
            return "span of the calendar"


def _quoted(words: Iterable[str]) -> str:
    return ", ".join(f'"{word}"' for word in words)
