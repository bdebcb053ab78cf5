"""What an edition holds once it is read, and how it is found on a shelf."""

from __future__ import annotations

from pathlib import Path

import pytest

from tautbook.editions.edition import Edition
from tautbook.editions.read import read_edition
from tautbook.editions.shelf import Shelf
from tautbook.lang.kinds import ChoiceKind, GroupKind, YesNoKind
from tautbook.lang.quantity import Quantity

GOOD = (Path(__file__).parents[1] / "mistakes" / "edition.yaml").read_text(encoding="utf-8")


def read(text: str) -> Edition:
    edition, problems = read_edition(text.encode(), "x.yaml")
    assert edition is not None, problems
    return edition


def changed(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, 1)


def test_bytes_that_are_no_text_and_text_that_is_no_yaml() -> None:
    assert read_edition(b"\xff\xfe\x00", "x.yaml")[0] is None
    assert [p.code for p in read_edition(b"a: [", "x.yaml")[1]] != []


def test_a_byte_order_mark_changes_nothing() -> None:
    edition, _ = read_edition(b"\xef\xbb\xbf" + GOOD.encode(), "x.yaml")
    assert edition is not None and edition.digest == read(GOOD).digest


def test_cells_without_a_unit_are_in_that_of_their_table() -> None:
    text = changed("A325: 39 kip", "A325: 39").replace("A490: 49 kip", "A490: 49")
    text = text.replace("    rows", "    unit: kip\n    rows")
    plain, written = (read(each).procedures["dti-lot"].rules.tables["least"] for each in (text, GOOD))
    values = [(a.value, b.value) for a, b in zip(plain.cells.values(), written.cells.values(), strict=True)]
    assert len(values) == 2
    for a, b in values:
        assert isinstance(a, Quantity) and isinstance(b, Quantity)
        assert a.value == b.value and a.unit == b.unit


def test_bands_that_touch_do_not_overlap() -> None:
    rows = "      over 6: 3 kip\n      up to 4: 1 kip\n      over 4 up to 6: 2 kip\n"
    text = changed("      A325: 39 kip\n      A490: 49 kip\n", rows)
    text = text.replace("{key: bolt.grade}", "{key: indicator.spaces, bands: true}")
    text = text.replace("least[bolt.grade]", "least[indicator.spaces]")
    table = read(text).procedures["dti-lot"].rules.tables["least"]
    assert table.axes[0].bands is not None
    assert [band.label for band in table.axes[0].bands] == ["over 6", "up to 4", "over 4 up to 6"]


def test_own_observations_stand_under_local_in_their_kinds() -> None:
    more = """
  coating.tested: {title: tested, description: Whether., kind: yes-no}
  shade: {title: shade, description: Its shade., kind: choice, options: [light, dark]}
"""
    local = read(changed("unit: mm}\n", "unit: mm}" + more)).procedures["dti-lot"].record.fields["local"]
    assert isinstance(local, GroupKind)
    coating = local.fields["coating"]
    assert isinstance(coating, GroupKind) and coating.fields["tested"] == YesNoKind()
    assert local.fields["shade"] == ChoiceKind(("light", "dark"))


def test_origin_is_the_only_source_or_the_one_that_is_named() -> None:
    assert read(GOOD).procedures["dti-lot"].requirements[-1].origin.source == "book"
    two = changed("  book:", "  other: {title: Other, standing: from memory}\n  book:")
    assert read(two).procedures["dti-lot"].requirements[-1].origin.source is None
    named = read(two.replace("        kind: acceptance", "        source: other\n        kind: acceptance"))
    origin = named.procedures["dti-lot"].requirements[-1].origin
    assert (origin.source, origin.standing) == ("other", "from memory")


def shelf(tmp_path: Path, *places: tuple[str, str]) -> Shelf:
    for folder, text in places:
        path = tmp_path / folder
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return Shelf(tuple((each, each.name) for each in sorted(tmp_path.iterdir())))


def found(shelf: Shelf, name: str) -> list[str]:
    edition, problems = shelf.find(name)
    return [edition.name] if edition is not None else [problem.code for problem in problems]


def test_an_edition_is_found_by_its_name_or_its_file(tmp_path: Path) -> None:
    here = shelf(tmp_path, ("a/sound/1.yaml", GOOD), ("a/sound/verdicts.yaml", "a: 1"), ("a/.git/1.yaml", "a: 1"))
    assert [place.name for place in here.places()[0]] == ["sound@1"]
    assert found(here, "sound@1") == ["sound@1"]
    assert found(here, str(tmp_path / "a/sound/1.yaml")) == ["sound@1"]
    assert found(here, str(tmp_path / "none.yaml")) == ["file-unreadable"]
    assert found(here, "sound@2") == found(here, "sound") == ["unknown-edition"]


def test_an_edition_in_two_places_or_in_the_wrong_one_is_not_taken(tmp_path: Path) -> None:
    here = shelf(tmp_path, ("a/sound/1.yaml", GOOD), ("b/sound/1.yaml", GOOD), ("b/sound/2.yaml", GOOD))
    assert found(here, "sound@1") == ["edition-twice"]
    assert found(here, "sound@2") == ["edition-misplaced"]


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    assert found(Shelf(((tmp_path / "none", "none"),)), "sound@1") == ["folder-unreadable"]


@pytest.mark.parametrize("rule", ["wanted(1.05) + 1 kip > 3 kip", "specimen.mark = \"1\""])
def test_a_digest_tells_rules_apart(rule: str) -> None:
    other = read(changed("require: specimen.at_verification.tension >= wanted(1.05)", f"require: {rule}"))
    assert other.digest != read(GOOD).digest
