"""The shipped schemas: valid, whole, described for people, and of one vocabulary with the language."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tautbook.lang.parse import RESERVED, parse_text
from tautbook.shape import schemas
from tautbook.shape.schemas import load_schema, procedures, record_schema, schema_names

SHAPING = ("edition", "job", *(f"records/{procedure}" for procedure in procedures()))


def parts(schema: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema inside a schema that speaks of a value, with the way to it."""
    if not isinstance(schema, dict):
        return
    yield path, schema
    for name, below in schema.get("properties", {}).items():
        yield from parts(below, f"{path}.{name}")
    for word in ("items", "additionalProperties"):
        yield from parts(schema.get(word), f"{path}.{word}")
    for i, below in enumerate(schema.get("oneOf", ())):
        if "x-kind" in below:
            yield from parts(below, f"{path}.oneOf[{i}]")


def every_part() -> list[tuple[str, dict[str, Any]]]:
    return [(f"{name}{path}", part) for name in SHAPING for path, part in parts(load_schema(name))]


def test_the_listing_finds_what_is_shipped() -> None:
    assert {"edition", "parts", "records/dti-lot"} <= set(schema_names())
    assert "dti-lot" in procedures()


def test_only_schemas_count_among_what_lies_beside_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "records").mkdir()
    for name in ("edition.schema.json", "records/own.schema.json", "records/own.schema.json~", "notes.md"):
        (tmp_path / name).write_text("{}", encoding="utf-8")
    monkeypatch.setattr(schemas, "shipped", lambda kind: tmp_path)
    assert sorted(schemas._listing.__wrapped__()) == ["edition", "records/own"]


def test_an_id_is_matched_against_the_listing_and_never_joined_to_a_path() -> None:
    assert record_schema("../edition") is None
    with pytest.raises(KeyError):
        load_schema("records/../edition")


@pytest.mark.parametrize("name", schema_names())
def test_each_schema_is_valid_and_leads_nowhere_else(name: str) -> None:
    schema = load_schema(name)
    Draft202012Validator.check_schema(dict(schema))
    assert "$ref" not in str(schema)


def test_what_stands_beside_a_reference_holds_too() -> None:
    bolt = load_schema("records/dti-lot")["properties"]["bolt"]
    assert bolt["required"] == ["grade", "diameter"]
    assert bolt["additionalProperties"] is False
    assert "lot" in bolt["properties"]


@pytest.mark.parametrize(("path", "part"), every_part())
def test_each_part_is_described_for_people(path: str, part: dict[str, Any]) -> None:
    if set(part) <= {"type", "minItems", "items"}:
        return  # the form of a raw value, described where the value is
    assert part.get("title", "").strip(), path
    assert part.get("description", "").strip().endswith((".", '"')), path


@pytest.mark.parametrize(("path", "part"), [(path, part) for path, part in every_part() if "x-kind" in part])
def test_each_kind_has_the_type_that_editors_check(path: str, part: dict[str, Any]) -> None:
    word = ["string", "number"]
    by_kind: dict[str, list[Any]] = {
        "text": [word], "choice": [word, "string"], "expression": [word], "number": [word],
        "whole": ["integer"],
        "quantity": ["string"], "date": ["string"], "span": ["string"], "yes-no": ["boolean"],
        "list": ["array"],
        "group": ["object"], "map": ["object"], "raw": [word, "object", "array"],
        "evidence": [[*word, "object"]],
    }  # fmt: skip
    if "oneOf" in part:
        return
    assert part["type"] in by_kind[part["x-kind"]]
    assert (part["x-kind"] == "quantity") == ("x-dimension" in part)
    assert (part["x-kind"] == "evidence") == (part.get("x-procedure") in procedures())
    if part["x-kind"] == "group":
        assert part["additionalProperties"] is False
    if part["x-kind"] == "quantity":
        assert part["x-unit"] and part["x-range"]
        assert set(part["x-resolution"]) <= set(part["x-unit"])
    if part["x-kind"] == "whole" and "const" not in part:
        assert [str(part["minimum"]), str(part["maximum"])] == part["x-range"]
    if part["x-kind"] == "choice" and "enum" not in part and "const" not in part:
        assert part["examples"]


@pytest.mark.parametrize("procedure", procedures())
def test_field_names_are_names_of_the_language(procedure: str) -> None:
    for path, part in parts(record_schema(procedure)):
        names = [*part.get("properties", {}), *([part["x-singular"]] if "x-singular" in part else [])]
        for name in names:
            assert name not in RESERVED, path
            assert name.replace("_", "a").isalnum() and name.islower() and name.isascii(), path
        if part.get("x-kind") == "list":
            assert part["x-singular"] not in part["items"].get("properties", {}), path


@pytest.mark.parametrize("procedure", procedures())
def test_derived_fields_and_soundness_checks_parse(procedure: str) -> None:
    schema = record_schema(procedure)
    assert schema is not None
    texts = [part["x-derived"] for _, part in parts(schema) if "x-derived" in part]
    texts += [check["require"] for check in schema["x-sound"]]
    assert texts
    for text in texts:
        assert parse_text(text)[1] == ()
    ids = [check["id"] for check in schema["x-sound"]]
    assert len(set(ids)) == len(ids)


def test_numbers_of_schemas_are_exact() -> None:
    graduation = load_schema("parts")
    assert graduation == {key: graduation[key] for key in ("$schema", "title", "description")}
    device = load_schema("records/dti-lot")["properties"]["device"]
    step = device["properties"]["graduation"]["x-resolution"]["kip"]
    assert Fraction(step) == Fraction(1, 10)


def test_structure_checks_have_words_for_each_keyword_in_use() -> None:
    """A keyword that a schema uses and structure.py cannot say would end in a fault of ours."""
    said = {
        "required", "dependentRequired", "additionalProperties", "propertyNames", "pattern", "enum",
        "minItems",
        "minProperties", "maxItems", "oneOf", "const", "not", "minimum", "maximum", "type",
    }  # fmt: skip
    silent = {
        "$schema", "$defs", "title", "description", "examples", "properties", "items", "allOf", "if",
        "then", "else",
        "patternErrorMessage",
    }  # fmt: skip
    for name in SHAPING:
        assert {word for word in keywords(load_schema(name)) if not word.startswith("x-")} <= said | silent


def keywords(schema: Any) -> Iterator[str]:
    """Every keyword of a schema and the schemas in it."""
    for word, value in schema.items():
        yield word
        if word == "properties":
            below = list(value.values())
        elif word in {"allOf", "oneOf"}:
            below = value
        else:
            below = (
                [value]
                if word in {"items", "additionalProperties", "propertyNames", "if", "then", "else", "not"}
                else []
            )
        for schema_below in below:
            if isinstance(schema_below, dict):
                yield from keywords(schema_below)


def test_each_pattern_says_in_words_what_it_asks_for() -> None:
    text = str([load_schema(name) for name in SHAPING])
    assert text.count("'pattern':") == text.count("'patternErrorMessage':") > 0
