"""What a page judges by: whole, small, and the engine's own."""

import json
from fractions import Fraction

import pytest

from sheet.cases import edition_named
from tautbook.lang.kernel_json import kernel_from_json, kernel_json
from tautbook.lang.number import ratio
from tautbook.lang.units import UNITS
from tautbook.rendering.sheet_script import data_in_script
from tautbook.sheet.engine_tables import engine_tables
from tautbook.sheet.pack import pack, reachable


def test_a_pack_has_the_procedures_that_evidence_leads_to() -> None:
    assert reachable("rotational-capacity") == ("rotational-capacity",)
    assert reachable("dti-short-bolt") == ("dti-short-bolt", "dti-lot", "rotational-capacity")
    assert list(pack(edition_named("2025"), "dti-short-bolt")["procedures"]) == [*reachable("dti-short-bolt")]


def test_a_pack_holds_what_the_page_reads_and_nothing_else() -> None:
    told = pack(edition_named("2025"), "dti-lot")
    assert told.keys() == {
        "ruleset", "edition", "digest", "enacted", "procedure", "kinds", "nodes", "tables", "procedures",
    }  # fmt: skip
    of = told["procedures"]["dti-lot"]
    assert of.keys() == {"record", "derived", "sound", "judged"}
    assert of["judged"].keys() == {"months", "asks", "own", "terms", "tables", "requirements"}
    assert all(each.keys() == {"each", "singular", "at", "require", "message", "help"} for each in of["sound"])
    assert {key for each in of["judged"]["requirements"] for key in each} <= {
        "id", "kind", "standing", "voids", "each", "singular", "over", "covers", "waivable_by", "require", "applies",
        "absent", "unless", "otherwise",
    }  # fmt: skip


def test_a_procedure_without_rules_has_its_shape_alone() -> None:
    """A test that the edition does not know can be on file as evidence; it is read, and not judged."""
    found = pack(edition_named("2016"), "dti-short-bolt")["procedures"]["rotational-capacity"]
    assert found["judged"] is None and "specimens" in found["record"]["fields"]


@pytest.mark.parametrize("edition", ["2016", "2021", "2025"])
def test_the_rules_in_a_pack_are_the_kernel_trees_of_the_edition(edition: str) -> None:
    """Each rule is read back out of the list of nodes that all rules share, and is the tree that it was."""
    for name, procedure in edition_named(edition).procedures.items():
        told = pack(edition_named(edition), name)
        listed = {each["id"]: each for each in told["procedures"][name]["judged"]["requirements"]}
        assert list(listed) == [each.id for each in procedure.requirements]
        for each in procedure.requirements:
            if each.require is None:
                continue
            alone = {**kernel_json(each.require), "root": listed[each.id]["require"], "nodes": told["nodes"]}
            # Kinds are named more shortly in a page; the nodes tell their own parts.
            kinds = [kind if kind not in ("group", "list") else "text" for kind in told["kinds"]]
            assert kernel_from_json({**alone, "kinds": kinds}) == each.require, each.id


def test_units_are_those_of_the_engine() -> None:
    told = engine_tables()["units"]
    assert told.keys() == UNITS.keys()
    for spelling, (name, _, scale, offset, _) in told.items():
        unit = UNITS[spelling]
        assert (name, Fraction(scale), Fraction(offset)) == (unit.name, unit.scale, unit.offset)
        assert ratio(unit.scale) == scale


def test_data_cannot_end_the_element_that_holds_it() -> None:
    told = data_in_script({"text": "</script><!-- \u2028"})
    assert "<" not in told and "\u2028" not in told
    assert json.loads(told) == {"text": "</script><!-- \u2028"}
