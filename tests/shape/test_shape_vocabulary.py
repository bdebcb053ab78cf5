from __future__ import annotations

from fractions import Fraction

from tautbook.lang.kinds import ChoiceKind, GroupKind, ListKind, NumberKind, QuantityKind
from tautbook.lang.quantity import dimension_named, read_quantity
from tautbook.shape.vocabulary import Vocabulary, vocabulary


def words() -> Vocabulary:
    found = vocabulary("dti-lot")
    assert found is not None
    return found


def test_an_unknown_procedure_has_none() -> None:
    assert vocabulary("dti-lots") is None
    assert vocabulary("../edition") is None


def test_a_reading() -> None:
    info = words().fields["specimens.at_verification.tension"]
    force = dimension_named("force")
    assert force is not None
    assert info.kind == QuantityKind(force)
    assert info.units[:2] == ("kip", "kN")
    assert info.resolution["kip"] == Fraction(1, 2)
    assert info.range == (read_quantity("0 kip"), read_quantity("1000 kip"))
    assert not info.required and info.derived is None


def test_a_count_that_follows_from_single_results() -> None:
    info = words().fields["specimens.at_verification.refusals"]
    assert info.kind == NumberKind(whole=True)
    assert info.derived == 'count(specimen.at_verification.spaces, space is one of {"partial", "refused"})'
    assert info.definition is not None and "bolt shank" in info.definition
    spaces = words().fields["specimens.at_verification.spaces"]
    assert spaces.kind == ListKind("space", ChoiceKind(("through", "partial", "refused")))


def test_kinds_of_groups_lists_and_choices() -> None:
    record = words().record
    specimens = record.fields["specimens"]
    assert isinstance(specimens, ListKind) and specimens.singular == "specimen"
    bolt = record.fields["bolt"]
    assert isinstance(bolt, GroupKind) and bolt.fields["grade"] == ChoiceKind(None)
    assert record.fields["procedure"] == ChoiceKind(("dti-lot",))
    assert "local" not in record.fields
    points = words().fields["device.corrections.points"].kind
    assert isinstance(points, ListKind) and points.points == ("dial", "correction")


def test_required_fields() -> None:
    required = {
        path for path, info in words().fields.items() if info.required and not path.startswith("waivers")
    }
    assert {
        "procedure",
        "id",
        "tested",
        "bolt.grade",
        "bolt.diameter",
        "indicator.type",
        "indicator.spaces",
    } <= required
    assert "specimens" not in required


def test_soundness_checks_point_at_fields_of_the_record() -> None:
    for check in words().sound:
        start = "" if check.each is None else "specimens" + check.at.removeprefix("specimen")
        assert check.each in {None, "specimens"}
        assert (start or check.at) in words().fields
