"""Every kind of page in a real browser, on a phone and on a desk: axe-core finds no fault in it. The suite looks at one
page or two of each kind; ``-m slow`` at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from reference.changes import RECORDS, written_out
from reference.shapes import schema
from rendering.axe import WIDTHS, looked, sized
from sheet.cases import filed
from sheet.driven import Browser, browser
from sheet.test_form import ALL, YEARS
from sheet.test_live import filled_in
from tautbook.cli.group import tautbook

RULESETS = Path(__file__).parents[2] / "rulesets" / "tern-sound"
EXAMPLES = RULESETS / "examples"
JOB = RULESETS / "jobs" / "wren-creek"
EVERYWHERE = {"color-contrast", "document-title", "html-has-lang", "landmark-one-main", "region"}
"""Rules that have something to look at on each page: where one is missing, nobody looked."""
IN_FORMS = {"button-name", "label", "select-name"}

Words = tuple[str, ...]


@dataclass(frozen=True)
class Shown:
    """A page as it is looked at: the words of its command, and a record filled in or opened on it."""

    words: Words
    typed: str | None = None
    opened: str | None = None

    def __str__(self) -> str:
        what = " ".join(word.rpartition("/")[2] for word in self.words if not word.startswith("--"))
        done = f" with {self.typed} typed" if self.typed else f" with {self.opened} open" if self.opened else ""
        return f"{what}{done}"


def sheet(year: str, procedure: str, *more: str) -> Words:
    return "sheet", "--under", f"tern-sound@{year}", "--procedure", procedure, *more


def verdict(year: str, *names: str) -> Words:
    files = (str(EXAMPLES / f"{name}.yaml") for name in names)
    return "judge", *files, "--under", f"tern-sound@{year}", "--format", "html"


def edition(year: str) -> Words:
    return "shelf", "--show", f"tern-sound@{year}", "--format", "html"


def job(*more: str) -> Words:
    return "ready", str(JOB), *more, "--format", "html"


def of_each_verdict() -> dict[tuple[str, str], list[str]]:
    """Of each edition and procedure the first worked record of each verdict."""
    found: dict[tuple[str, str], dict[str, str]] = {}
    for file, said in yaml.safe_load((RULESETS / "verdicts.yaml").read_text(encoding="utf-8")).items():
        for each in said:
            for year in each["under"]:
                if each["verdict"] in ("pass", "fail", "invalid", "incomplete"):
                    of = found.setdefault((year, RECORDS[file]["procedure"]), {})
                    of.setdefault(each["verdict"], file.removesuffix(".yaml"))
    return {of: list(names.values()) for of, names in found.items()}


BY_VERDICT = of_each_verdict()
SPECIAL = (
    "0401-pass-seven-eighths", "0411-fail-closed-early", "0434-pass-one-set-aside", "0437-incomplete-size-not-covered",
    "0454-fail-too-high-once-corrected", "0456-invalid-waiver-by-the-wrong-role",
    "0457-pass-threads-waived-by-the-engineer", "0463-pass-retest-by-leave", "0467-pass-own-observation",
    "0608-incomplete-evidence-incomplete", "0614-pass-evidence-written-out",
    "0617-invalid-evidence-of-another-lot-that-failed", "0621-pass-evidence-with-a-waiver",
    "0806-pass-inspected-again-whole",
)  # fmt: skip
"""Waivers, what was set aside, evidence, corrections, own observations, what is not covered, earlier records."""
def given(*fields: str) -> Words:
    return tuple(word for each in fields for word in ("--given", each))


FEW = (
    ("phone", Shown(sheet("2025", "dti-lot"), typed="0411-fail-closed-early")),
    ("desk", Shown(sheet("2021", "dti-short-bolt"), opened="0608-incomplete-evidence-incomplete")),
    ("phone", Shown(verdict("2025", "0457-pass-threads-waived-by-the-engineer"))),
    ("desk", Shown(verdict("2025", "0434-pass-one-set-aside", "0608-incomplete-evidence-incomplete"))),
    ("phone", Shown(job("--on", "2026-10-05"))),
    ("desk", Shown(edition("2016"))),
)
MANY = tuple(dict.fromkeys([
    *(Shown(sheet(*of)) for of in ALL),
    *(Shown(sheet(*of), typed=names[0]) for of, names in BY_VERDICT.items()),
    *(Shown(sheet(*of), opened=name) for of, names in BY_VERDICT.items()
      for name in (names if of[0] == "2025" else names[1:2])),
    *(Shown(sheet("2025", RECORDS[f"{name}.yaml"]["procedure"]), opened=name) for name in SPECIAL),
    Shown(sheet("2021", "dti-lot", *given("bolt.grade=A325", "bolt.standard=F3125", "bolt.diameter=7/8 in",
                                          "indicator.spaces=5", "indicator.finish=plain"))),
    Shown(sheet("2025", "dti-lot", "--record", str(EXAMPLES / "0444-pass-retest.yaml"), "--items", "12")),
    Shown(("sheet", "--job", str(JOB), "--procedure", "dti-lot",
           *given("indicator.lot=D-78", "bolt.lot=B-101", "device.serial=TD-3"))),
    *(Shown(verdict(year, name)) for (year, _), names in BY_VERDICT.items() for name in names),
    *(Shown(verdict("2025", name)) for name in SPECIAL),
    Shown(verdict("2025", *SPECIAL[::3])),
    Shown(("judge", str(JOB / "records" / "WC-04-lot-d100.yaml"), "--job", str(JOB), "--format", "html")),
    Shown(job()), *(Shown(job("--on", day)) for day in ("2026-04-01", "2026-10-05", "2030-01-01")),
    *(Shown(edition(year)) for year in YEARS),
]))  # fmt: skip


@pytest.fixture(scope="module")
def any_browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("browser")) as it:
        yield it


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Words], Path]:
    """The page that a command writes, written once."""
    folder = tmp_path_factory.mktemp("pages")
    made: dict[Words, Path] = {}

    def write(words: Words) -> Path:
        if words not in made:
            file = folder / f"{len(made)}.html"
            done = CliRunner().invoke(tautbook, [*words, "--output", str(file)])
            assert done.exit_code in (0, 1, 3) and file.is_file(), done.output
            made[words] = file
        return made[words]

    return write


def seen(it: Browser, page: Path, shown: Shown, folder: Path) -> None:
    """Goes to the page, on a phone on which nothing was ever typed, and does there what is to be done."""
    it.visit(page)
    sized(it, "phone")
    if shown.words[0] != "sheet":
        return
    it.run("localStorage.clear()")
    it.reload()
    if shown.typed is not None:
        filled_in(it, RECORDS[f"{shown.typed}.yaml"])
        it.type("tested", "some day")
        assert it.text("tested-refused").startswith("Not taken: ")
    if shown.opened is not None:
        record = written_out(RECORDS[f"{shown.opened}.yaml"])
        file = folder / f"{shown.opened}.yaml"
        file.write_text(filed(record, schema(record["procedure"])), encoding="utf-8")
        it.open(file)
        assert it.text("told").startswith(f"{file.name} is open.")


def held_to_axe(it: Browser, shown: Shown, screens: Iterable[str]) -> None:
    for screen in screens:
        sized(it, screen)
        found = looked(it)
        assert found.faults == (), (str(shown), screen)
        # What was looked at is a page, as wide as the screen and no wider.
        assert found.held >= EVERYWHERE | (IN_FORMS if shown.words[0] == "sheet" else set())
        assert found.width == WIDTHS[screen][0]


@pytest.mark.parametrize(("screen", "shown"), FEW, ids=str)
def test_a_page_of_each_kind_has_no_fault(
    screen: str, shown: Shown, any_browser: Browser, page: Callable[[Words], Path], tmp_path: Path
) -> None:
    seen(any_browser, page(shown.words), shown, tmp_path)
    held_to_axe(any_browser, shown, (screen,))


@pytest.mark.slow
@pytest.mark.parametrize("shown", MANY, ids=str)
def test_no_page_has_a_fault_on_a_phone_or_on_a_desk(
    shown: Shown, any_browser: Browser, page: Callable[[Words], Path], tmp_path: Path
) -> None:
    seen(any_browser, page(shown.words), shown, tmp_path)
    held_to_axe(any_browser, shown, WIDTHS)


BROKEN = {
    "document.querySelector('label[for=id]').remove()": ("critical label: #id", "serious label-title-only: #id"),
    "document.getElementById('wrench').labels[0].remove()":
        ("critical select-name: #wrench", "serious label-title-only: #wrench"),
    "document.getElementById('save').textContent = ''": ("critical button-name: #save",),
    "document.documentElement.removeAttribute('lang')": ("serious html-has-lang: html",),
    "document.querySelector('h1').style.color = '#999'": ("serious color-contrast: h1",),
    "document.querySelector('h2').outerHTML = '<h5>x</h5>'": ("moderate heading-order: h5",),
}  # fmt: skip
"""What breaks a sheet, and what is to be told of it."""


def test_faults_are_found(any_browser: Browser, page: Callable[[Words], Path], tmp_path: Path) -> None:
    """All at once on one sheet, and nothing else."""
    blank = Shown(sheet("2025", "dti-lot"))
    seen(any_browser, page(blank.words), blank, tmp_path)
    for script in BROKEN:
        any_browser.run(script)
    told = [": ".join(fault.split(": ")[:2]) for fault in looked(any_browser).faults]
    assert sorted(told) == sorted(each for all_of_it in BROKEN.values() for each in all_of_it)
