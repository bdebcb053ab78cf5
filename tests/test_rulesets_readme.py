"""Everything that ``rulesets/README.md`` shows is done here, in its order, as its reader would do it.

Each fenced block says after its fence what it is. ``TAUTBOOK_REWRITE=1`` writes what comes out now, to be read.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
import yaml

from tautbook.editions.read import read_edition
from tautbook.lang.problem import show
from tautbook.shape.schemas import load_schema, procedures
from tautbook.shape.vocabulary import vocabulary

ROOT = Path(__file__).parents[1]
README = ROOT / "rulesets" / "README.md"
BLOCK = re.compile(r"^```(.*)\n((?:.*\n)*?)```$", re.MULTILINE)
MARKED_TABLE = re.compile(r"^<!-- (.+) -->\n\|.*\n\| ---.*\n((?:\|.*\n)+)", re.MULTILINE)
CODE = re.compile(r"`([^`]+)`")
EDITION = "my-rules/korvath/2026.yaml"
EXAMPLES = "my-rules/korvath/examples"
SHELF = "tautbook shelf --rulesets my-rules"


@dataclass(frozen=True)
class Step:
    """A block, the files that the reader has when she has followed the page so far, and the text shown below it."""

    number: int
    info: str
    text: str
    files: dict[str, str]
    shown: str | None

    @property
    def kind(self) -> str:
        return re.sub(r" (in|from|writes) .*", "", self.info) + (" writes" if " writes " in self.info else "")

    @property
    def named(self) -> str:
        return self.info.rpartition(" ")[2]


def changed(text: str, lines: str) -> str:
    """``text`` with the lines that begin alike changed, and the others put at its end."""
    for line in lines.splitlines():
        found = re.search(rf"^{re.escape(line.partition(':')[0])}:.*$", text, re.MULTILINE)
        text = f"{text}{line}\n" if found is None else text[: found.start()] + line + text[found.end() :]
    return text


def with_mistake(text: str, within: str, line: str) -> str:
    """``text`` with one line changed, the first that begins alike below ``within:``."""
    above, name, below = text.partition(f"  {within}:\n")
    assert name and re.search(rf"^{re.escape(line.partition(':')[0])}:", below, re.MULTILINE)
    return above + name + changed(below, line)


def records(step_info: str, text: str, files: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, body in re.findall(r"^# (\S+\.yaml)\n((?:(?!# \S+\.yaml$).*\n)+)", text, re.MULTILINE):
        _, copied, original = step_info.partition(" from ")
        yield f"{EXAMPLES}/{name}", changed(files[f"{EXAMPLES}/{original}"], body) if copied else body


@cache
def steps() -> tuple[Step, ...]:
    blocks = BLOCK.findall(README.read_text(encoding="utf-8"))
    files: dict[str, str] = {}
    found = []
    for i, (info, text) in enumerate(blocks):
        if info == "yaml edition":
            files = {**files, EDITION: f"{files[EDITION]}\n{text}" if EDITION in files else text}
        elif info.startswith("yaml records"):
            files = {**files, **dict(records(info, text, files))}
        elif info.startswith("yaml amendment"):
            files = {**files, info.rpartition(" ")[2]: text}
        elif info == "yaml verdicts":
            files = {**files, "my-rules/korvath/verdicts.yaml": text}
        below = blocks[i + 1] if i + 1 < len(blocks) else ("", "")
        found.append(Step(i, info, text, files, below[1] if below[0] == "text" else None))
    return tuple(found)


def of_kind(kind: str) -> list[Step]:
    return [step for step in steps() if step.kind == kind]


def final() -> dict[str, str]:
    return steps()[-1].files


def ran(command: str, files: dict[str, str], folder: Path) -> subprocess.CompletedProcess[str]:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    program, *arguments = shlex.split(command)
    assert program == "tautbook"
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "engine")}
    environment.pop("TAUTBOOK_RULESETS", None)
    return subprocess.run([sys.executable, "-m", "tautbook", *arguments], capture_output=True, text=True,
                          cwd=folder, env=environment, check=False)  # fmt: skip


def holds(step: Step, found: str) -> None:
    """The text shown, to its dots, is how ``found`` begins."""
    assert step.shown is not None
    part, dots, _ = step.shown.partition("...\n")
    if os.environ.get("TAUTBOOK_REWRITE"):
        new = "".join(f"{line}\n" for line in found.splitlines()[: len(part.splitlines())]) + dots if dots else found
        text = README.read_text(encoding="utf-8")
        block = list(BLOCK.finditer(text))[step.number + 1]
        README.write_text(text[: block.start(2)] + new + text[block.end(2) :], encoding="utf-8")
        return
    assert part
    assert found.startswith(part) if dots else found == step.shown


def edition_problems(text: str) -> list[str]:
    return [show(problem) for problem in read_edition(text.encode(), EDITION)[1]]


def test_every_block_is_of_a_kind_that_is_done_here() -> None:
    kinds = {step.kind for step in steps()}
    assert {kind for kind in kinds if not kind.startswith("yaml amendment ")} == {
        "text layout", "sh writes", "yaml edition", "yaml records", "yaml verdicts", "yaml mistake", "sh", "text"
    }  # fmt: skip
    for step, above in zip(steps()[1:], steps(), strict=False):
        assert step.kind != "text" or above.kind in ("sh", "yaml mistake"), step.text
    assert all(step.shown is not None for step in [*of_kind("sh"), *of_kind("yaml mistake")])
    assert README.read_text(encoding="utf-8").count("```") == 2 * len(steps())
    assert {mark.split()[0] for mark, _ in MARKED_TABLE.findall(README.read_text(encoding="utf-8"))} == {
        "rules", "values", "open", "fields", "keys",
    }  # fmt: skip


@pytest.mark.parametrize("step", of_kind("yaml edition"), ids=lambda step: f"block-{step.number}")
def test_the_edition_grows_part_by_part_and_is_whole_from_its_first_requirement_on(step: Step) -> None:
    text = step.files[EDITION]
    problems = edition_problems(text)
    if "\nprocedures:" in text:
        assert problems == []
    else:
        assert problems and all(": missing-key: " in problem for problem in problems)


@pytest.mark.parametrize("step", of_kind("sh"), ids=lambda step: f"block-{step.number}")
def test_a_command_prints_what_is_shown(step: Step, tmp_path: Path) -> None:
    assert len(step.text.splitlines()) == 1
    found = ran(step.text, step.files, tmp_path)
    holds(step, found.stdout + found.stderr)


@pytest.mark.parametrize("step", of_kind("sh writes"), ids=lambda step: step.named)
def test_a_draft_is_written_and_wants_only_to_be_filled_in(step: Step, tmp_path: Path) -> None:
    (tmp_path / step.named).parent.mkdir(parents=True)
    found = ran(step.text, step.files, tmp_path)
    assert (found.returncode, found.stdout + found.stderr) == (0, "")
    shown = ran(f"tautbook proofread {step.named} --rulesets my-rules --format json", {}, tmp_path)
    (report,) = yaml.safe_load(shown.stdout)
    assert {each["code"] for each in report["findings"] if each["severity"] == "error"} == {"to-fill-in"}
    drafted, written = (yaml.safe_load(text) for text in ((tmp_path / step.named).read_text(), final()[step.named]))
    # What the page writes out is what the draft becomes.
    assert drafted.keys() <= written.keys()
    assert drafted.get("amends", {}).get("digest") == written.get("amends", {}).get("digest")


@pytest.mark.parametrize("step", of_kind("yaml mistake"), ids=lambda step: f"block-{step.number}")
def test_a_mistake_gets_the_problems_shown(step: Step, tmp_path: Path) -> None:
    text = with_mistake(final()[EDITION], step.named, step.text.rstrip("\n"))
    assert text != final()[EDITION]
    found = ran(SHELF, {EDITION: text}, tmp_path)
    assert found.returncode == 2
    holds(step, found.stderr)


def test_the_folder_is_laid_out_as_shown() -> None:
    (step,) = of_kind("text layout")
    assert {line.split()[0] for line in step.text.splitlines()} <= final().keys()
    assert {name.rpartition("/")[0] for name in final()} == {"my-rules/korvath", EXAMPLES}


def test_the_verdicts_are_what_comes_out(tmp_path: Path) -> None:
    stated = yaml.safe_load(final()["my-rules/korvath/verdicts.yaml"])
    assert {f"{EXAMPLES}/{name}" for name in stated} == {name for name in final() if name.startswith(EXAMPLES)}
    found = ran(f"tautbook judge {EXAMPLES} --under korvath@2026 --rulesets my-rules --draft", final(), tmp_path)
    for name, ((said,)) in stated.items():
        assert said["under"] == ["2026"] and said["why"]
        if said["verdict"] == "no rules":
            assert re.search(rf"{name}:.*procedure-not-in-edition", found.stderr)
        else:
            assert re.search(rf"^{said['verdict']} +K-\d+ +{EXAMPLES}/{name} ", found.stdout, re.MULTILINE)
    assert {"pass", "fail", "invalid", "incomplete", "no rules"} == {said["verdict"] for (said,) in stated.values()}


# Tables of the page, each marked by a comment before it.


def rows(kind: str) -> list[tuple[list[str], list[list[str]]]]:
    """Of each table of that kind: the words of its mark, and the cells of its rows."""
    found = MARKED_TABLE.findall(README.read_text(encoding="utf-8"))
    return [
        (mark.split()[1:], [[cell.strip() for cell in row.strip("|").split(" | ")] for row in body.splitlines()])
        for mark, body in found
        if mark.split()[0] == kind
    ]


def outcomes(rules: list[str], procedure: str, each: str | None, record: str, folder: Path) -> list[set[str]]:
    """What comes out of each rule on a record, as a requirement of the small edition."""
    above, head, below = final()[EDITION].partition(f"\n  {procedure}:\n")
    inside, requirements, rest = below.partition("    requirements:\n")
    shown = "".join(
        f"      shown-{i}:\n        title: shown\n        kind: advice\n"
        f"{f'        each: {each}' if each else ''}\n        require: |\n          {rule}\n"
        for i, rule in enumerate(rules)
    )
    text = above + head + inside + requirements + shown + rest
    assert edition_problems(text) == []
    files = {**final(), EDITION: text}
    judged = f"tautbook judge {EXAMPLES}/{record} --under korvath@2026 --rulesets my-rules --draft --format json"
    findings = yaml.safe_load(ran(judged, files, folder).stdout)["findings"]
    return [{each["outcome"] for each in findings if each["requirement"] == f"shown-{i}"} for i in range(len(rules))]


def code(cell: str) -> str:
    (found,) = CODE.findall(cell)
    return found


@pytest.mark.parametrize(("kind", "outcome"), [("rules", "met"), ("open", "open")])
def test_each_rule_shown_checks_and_comes_out_as_said(kind: str, outcome: str, tmp_path: Path) -> None:
    for (procedure, each, record), table in rows(kind):
        rules = [code(row[0]) for row in table]
        found = outcomes(rules, procedure, each, record, tmp_path)
        assert dict(zip(rules, found, strict=True)) == {rule: {outcome} for rule in rules}


def test_each_value_shown_is_what_comes_out(tmp_path: Path) -> None:
    for (procedure, record), table in rows("values"):
        rules = [f"({code(row[0])}) = {code(row[1])}" for row in table]
        found = outcomes(rules, procedure, None, record, tmp_path)
        assert dict(zip(rules, found, strict=True)) == {rule: {"met"} for rule in rules}


def test_each_field_shown_is_in_the_records_said_and_in_no_other() -> None:
    known = {id: words.fields for id in procedures() if (words := vocabulary(id)) is not None}
    assert len(known) == 4
    ((_, table),) = rows("fields")
    for fields, where in table:
        said = set(known) if where == "all" else set(CODE.findall(where))
        for path in CODE.findall(fields):
            assert {id for id in known if path in known[id]} == said, path


def test_all_keys_of_a_requirement_are_listed() -> None:
    ((_, table),) = rows("keys")
    schema = load_schema("edition")
    for name in ("procedures", "requirements"):
        schema = schema["properties"][name]["additionalProperties"]
    assert {key for row in table for key in CODE.findall(row[0])} == schema["properties"].keys()
