"""Records as data: with other values at some places, as the text of a file, and read back from it."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from typing import Any

import yaml

from ..records.evidence import with_evidence
from ..records.read import Found, read_records

Content = dict[str, Any]
"""A whole record, as JSON data that reads back as it."""


def changed(whole: Any, changes: Mapping[str, str | None]) -> Content | None:
    """A copy of a record with other values at some paths; None: left out, with the groups that are then empty. None
    is given back where a place for one of them is not there."""
    record: Content = copy.deepcopy(whole)
    for path, value in changes.items():
        if not _put(record, _steps(path), value):
            return None
    return record


def _steps(path: str) -> list[str | int]:
    return [int(part) - 1 if part.isdigit() else part for part in re.findall(r"[^.\[\]]+", path)]


def _put(place: Any, steps: list[str | int], value: str | None) -> bool:
    first, *rest = steps
    if isinstance(first, int):
        if not isinstance(place, list) or first >= len(place):
            return False
    elif not isinstance(place, dict) or first not in place:
        if value is None or isinstance(place, list) or not isinstance(place, dict):
            return False
        place[first] = {}
    if not rest:
        if value is None:
            del place[first]
        else:
            place[first] = _plain(value, place[first])
        return True
    done = _put(place[first], rest, value)
    if done and value is None and not place[first]:
        del place[first]
    return done


def _plain(value: str, before: Any) -> Any:
    """A value as the data of a record has it: whole numbers and yes or no bare."""
    if value in ("true", "false") and isinstance(before, bool):
        return value == "true"
    return int(value) if isinstance(before, int) and re.fullmatch(r"0|-?[1-9][0-9]*", value) else value


def read_back(text: str, name: str) -> Found:
    """The record that a text is, with those that stand inside it."""
    ((record, problems),) = read_records(text.encode(), name)
    return (None, problems) if record is None else with_evidence(record, None)


# As text

_SCHEMAS = "../../../schemas"


def example_text(example: Content, schemas: str = _SCHEMAS) -> str:
    """The record as a YAML file that reads back the same. ``schemas`` leads from it to the shipped schemas."""
    first = f"# yaml-language-server: $schema={schemas}/records/{example['procedure']}.schema.json\n"
    return first + yaml.dump(example, Dumper=_Written, sort_keys=False, width=110, allow_unicode=True,
                             default_flow_style=None)  # fmt: skip


class _Written(yaml.SafeDumper):
    """Texts that the reader takes as they stand, numbers and dates among them, are written without quotes."""

    def ignore_aliases(self, data: Any) -> bool:
        return True

    def write_plain(self, text: str, split: bool = True) -> None:
        super().write_plain(text, False)

    def write_single_quoted(self, text: str, split: bool = True) -> None:
        super().write_single_quoted(text, False)


_Written.yaml_implicit_resolvers = {
    first: [(tag, form) for tag, form in found if tag.rpartition(":")[2] in {"bool", "null", "merge"}]
    for first, found in yaml.SafeDumper.yaml_implicit_resolvers.items()
}
_Written.add_representer(int, lambda dumper, value: dumper.represent_scalar("tag:yaml.org,2002:str", str(value)))
