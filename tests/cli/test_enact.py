"""Enacting an edition, and what keeps an enacted one from changing unnoticed."""

from __future__ import annotations

import errno
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import click
import pytest
import yaml
from click.testing import CliRunner, Result

from tautbook import Shelf
from tautbook.cli.group import COMMANDS, tautbook
from tautbook.editions.enacted import signature
from tautbook.editions.read import read_edition

RULESETS = Path(__file__).parents[2] / "rulesets"
PASS = RULESETS / "tern-sound" / "examples" / "0401-pass-seven-eighths.yaml"


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(tautbook, [str(each) for each in arguments])


@pytest.fixture
def edition(tmp_path: Path) -> Path:
    """A copy of a shipped edition under another name: a draft of its own."""
    folder = tmp_path / "rules" / "wren-bay"
    folder.mkdir(parents=True)
    text = (RULESETS / "tern-sound" / "2016.yaml").read_text().replace("ruleset: tern-sound", "ruleset: wren-bay")
    (folder / "2016.yaml").write_text(text)
    return folder / "2016.yaml"


def test_a_draft_is_used_only_on_purpose_and_what_comes_out_says_so(edition: Path) -> None:
    refused = run("judge", PASS, "--under", edition)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "draft: wren-bay@2016 is a draft: nobody has enacted it" in refused.stderr and "--draft" in refused.stderr
    assert "draft: wren-bay@2016" in run("limits", "--procedure", "dti-lot", "--under", edition).stderr
    for form in ("text", "markdown", "json", "jsonl"):
        judged = run("judge", PASS, "--under", edition, "--draft", "--format", form)
        assert judged.exit_code == 0 and "draft rules, not enacted" in judged.stdout
        if form in ("text", "markdown"):
            assert judged.stdout.splitlines()[0].endswith("pass; draft rules, not enacted; demonstration figures")
        else:
            assert json.loads(judged.stdout)["rules"]["enacted"] is False
    many = run("judge", PASS.parent, "--under", edition, "--draft", "--rulesets", edition.parents[1])
    number = int(many.stdout.splitlines()[-2].split()[0])
    assert number > 100 and " ".join(many.stdout.split()).count("draft rules, not enacted") == number
    limits = run("limits", "--procedure", "dti-lot", "--under", edition, "--draft")
    assert limits.stdout.startswith("limits of dti-lot under wren-bay@2016; draft rules, not enacted; demonstration")


def test_an_enacted_edition_is_used_until_it_is_changed(edition: Path) -> None:
    told = run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    first, second = told.stdout.splitlines()
    assert told.exit_code == 0 and first.startswith("wren-bay@2016 is enacted, m1:")
    assert second == f"7 remarks on it; to see them: tautbook proofread {edition}"
    judged = run("judge", PASS, "--under", "wren-bay@2016", "--rulesets", edition.parents[1])
    assert judged.exit_code == 0 and "enacted on 2016-02-20 by J. Orr" in judged.stdout
    assert "draft rules" not in judged.stdout
    edition.write_text(edition.read_text().replace("1/2 in: 12 kip", "1/2 in: 12.1 kip"))
    assert "enacted-changed: wren-bay@2016 was enacted on 2016-02-20 and has" in run("shelf", "--show", edition).stderr


USES: dict[str, list[str]] = {
    "draft": ["wren-bay@2030", "--from", "EDITION"],
    "enact": ["EDITION", "--by", "J. Orr"],
    "judge": [str(PASS), "--under", "EDITION", "--draft"],
    "limits": ["--procedure", "dti-lot", "--under", "EDITION", "--draft"],
    "proofread": ["EDITION"],
    "redline": ["tern-sound@2021", "EDITION", "--draft"],
    "replay": ["tern-sound@2021", "EDITION", str(PASS), "--draft"],
    "sheet": ["--procedure", "dti-lot", "--under", "EDITION", "--draft"],
    "shelf": ["--show", "EDITION"],
}
"""How each command comes to use an edition. A new command belongs here, or among those that use none."""
USES_NONE: dict[str, str] = {
    "ready": "takes the edition that a job names",
    "recheck": "takes the edition that a stored verdict names, not one that is named to it",
}
"""Commands that are given no edition, each with the reason."""


def takes_draft(command: str) -> list[str]:
    """The arguments, without the option that the command does not have."""
    found = tautbook.get_command(click.Context(tautbook), command)
    assert found is not None
    known = {option for parameter in found.params for option in parameter.opts}
    return [each for each in USES[command] if each != "--draft" or each in known]


def test_it_is_known_of_every_command_whether_it_uses_an_edition() -> None:
    assert set(COMMANDS) <= USES.keys() | USES_NONE.keys()


@pytest.mark.parametrize("named", ["by its file", "by its name"])
@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_refuses_an_enacted_edition_that_is_not_what_it_was(
    command: str, named: str, edition: Path
) -> None:
    """One figure was changed, or a field of the record changed its kind; in it, or in one that it amends."""
    if command in USES_NONE:
        return
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    listed, rules = edition.with_name("enacted.yaml"), edition.parents[1]
    text, entries = edition.read_text(), listed.read_text()
    changed, digest = text.replace("1/2 in: 12 kip", "1/2 in: 12.1 kip"), entries.split()[2]
    above = rules / "contract" / "1.yaml"
    above.parent.mkdir()

    def refused(by: Path) -> str:
        name = str(by) if named == "by its file" else f"{by.parent.name}@{by.stem}"
        result = run(command, *(name if each == "EDITION" else each for each in takes_draft(command)),
                     "--rulesets", rules)  # fmt: skip
        assert (result.exit_code, result.stdout) == (2, "") or command == "proofread"
        # The line is broken where the name of the file is long.
        assert "could not be read" in " ".join(result.stdout.split()) if command == "proofread" else True
        assert result.exit_code == 2
        return result.stderr

    def amended(base: str) -> Path:
        above.write_text(f"ruleset: contract\nedition: 1\nlanguage: 1\ntitle: Contract\n"
                         f"amends: {{ruleset: wren-bay, edition: 2016, digest: {base}}}\n")  # fmt: skip
        return above

    edition.write_text(changed)
    assert "enacted-changed: wren-bay@2016 was enacted on 2016-02-20 and has been changed since" in refused(edition)
    # Though the amendment states the new digest: what was enacted is another edition.
    other, _ = read_edition(changed.encode(), "2016.yaml")
    assert other is not None
    for base in ("m1:0", other.digest):
        told = refused(amended(base))
        assert "enacted-changed: wren-bay@2016 was enacted on 2016-02-20" in told and "write `digest" not in told
    edition.write_text(text)
    listed.write_text(entries.replace("dti-lot.head_held: yes-no", "dti-lot.head_held: text"))
    for by in (edition, amended(digest)):
        assert "enacted-fields: a record does not say any more what it said when wren-bay@2016" in refused(by)
    assert sorted(each.name for each in rules.rglob("*.yaml")) == ["1.yaml", "2016.yaml", "enacted.yaml"]


def test_an_edition_in_a_file_that_belongs_to_another_is_not_enacted(edition: Path) -> None:
    edition.write_text(edition.read_text().replace('edition: "2016"', 'edition: "2017"'))
    for more in ([], ["--rulesets", edition.parents[1]]):
        told = run("enact", edition, "--by", "J. Orr", *more)
        assert told.exit_code == 2 and "says that it is wren-bay@2017, and stands where wren-bay@2016" in told.stderr
    assert "edition-misplaced" in run("proofread", edition).stderr


def test_what_an_edition_in_a_file_amends_may_stand_beside_it(edition: Path) -> None:
    base, _ = read_edition(edition.read_bytes(), edition.name)
    assert base is not None
    later = edition.with_name("2028.yaml")
    later.write_text(f"ruleset: wren-bay\nedition: 2028\nlanguage: 1\ntitle: Later\n"
                     f"amends: {{ruleset: wren-bay, edition: 2016, digest: {base.digest}}}\n")  # fmt: skip
    assert run("proofread", later).stdout.startswith("wren-bay@2028: 0 errors")
    assert "enact-on-draft" in run("enact", later, "--by", "J. Orr").stderr
    # In any folder, but then only where it says itself that it is that edition.
    folder = edition.parent.rename(edition.parents[1] / "mine")
    limits = ("limits", "--procedure", "dti-lot", "--draft", "--under", folder / later.name)
    assert run(*limits).exit_code == 0
    text = (folder / "2016.yaml").read_text()
    (folder / "2016.yaml").write_text(text.replace("ruleset: wren-bay", "ruleset: wren-cove"))
    assert "amends-unknown" in run(*limits).stderr
    # Of two that differ nobody can tell which is meant.
    (folder / "2016.yaml").write_text(text)
    twin = folder.parent / "other" / "wren-bay" / "2016.yaml"
    twin.parent.mkdir(parents=True)
    twin.write_text(text)
    assert run(*limits, "--rulesets", twin.parents[1]).exit_code == 0
    twin.write_text(text.replace("1/2 in: 12 kip", "1/2 in: 12.1 kip"))
    assert "edition-twice" in run(*limits, "--rulesets", twin.parents[1]).stderr


@pytest.mark.parametrize(
    "change", [lambda text: f"# a remark\n{text}\n", lambda text: text.replace("  A325:\n", "  A325:   # grade\n")]
)
def test_layout_and_remarks_are_no_change(edition: Path, change: object) -> None:
    assert callable(change)
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    edition.write_text(change(edition.read_text()))
    assert run("judge", PASS, "--under", edition).exit_code == 0


def test_a_field_that_says_something_else_now_is_found(edition: Path) -> None:
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    listed = edition.with_name("enacted.yaml")
    listed.write_text(listed.read_text().replace("dti-lot.head_held: yes-no", "dti-lot.head_held: text"))
    told = run("judge", PASS, "--under", edition).stderr
    assert "enacted-fields: a record does not say any more what it said" in told and "dti-lot.head_held" in told


def test_a_second_edition_joins_the_list_and_the_first_stays_as_it_was(edition: Path) -> None:
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    listed = edition.with_name("enacted.yaml")
    before = listed.read_text()
    second = edition.with_name("2017.yaml")
    second.write_text(edition.read_text().replace('edition: "2016"', 'edition: "2017"'))
    assert run("enact", second, "--by", 'O. "Tern" Hale', "--on", "2017-01-05").exit_code == 0
    assert listed.read_text().startswith(before)
    assert yaml.safe_load(listed.read_text())["2017"]["by"] == 'O. "Tern" Hale'


def test_an_edition_of_another_ruleset_with_the_same_name_does_not_join_the_list(edition: Path) -> None:
    """As in the folder of a job, where amendments of two rulesets may lie side by side."""
    run("enact", edition, "--by", "J. Orr", "--on", "2016-02-20")
    listed = edition.with_name("enacted.yaml")
    before = listed.read_text()
    assert yaml.safe_load(before)["2016"]["ruleset"] == "wren-bay"
    other = edition.with_name("other.yaml")
    other.write_text(edition.read_text().replace("ruleset: wren-bay", "ruleset: tern-bay"))
    for use in (["enact", other, "--by", "J. Orr"], ["judge", PASS, "--under", other, "--draft"]):
        told = run(*use)
        assert told.exit_code == 2 and "enacted-changed" not in told.stderr
        assert "enacted-other-ruleset: the list of enacted editions beside it holds wren-bay@2016, so" in told.stderr
        assert "cannot hold tern-bay@2016 as well" in told.stderr and "a folder of its own" in told.stderr
    assert listed.read_text() == before
    assert run("judge", PASS, "--under", edition).exit_code == 0
    # A list that does not say of which ruleset it is holds what its folder does.
    listed.write_text(before.replace('  ruleset: "wren-bay"\n', ""))
    assert run("judge", PASS, "--under", edition).exit_code == 0


def test_the_list_is_on_the_disk_before_it_takes_the_place_of_the_old_one(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    fsync, replace = os.fsync, Path.replace
    monkeypatch.setattr(os, "fsync", lambda file: (done.append("kept"), fsync(file))[1])
    monkeypatch.setattr(Path, "replace", lambda old, new: (done.append("replaced"), replace(old, new))[1])
    assert run("enact", small, "--by", "J. Orr").exit_code == 0
    assert done == ["kept", "replaced", "kept"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "enact-by: say who enacts it"),
        (["--by", " "], "enact-by: say who enacts it"),
        (["--by", "J. Orr", "--on", "yesterday"], "enact-on: `yesterday` is not a day"),
    ],
)
def test_what_is_wanting_is_told(edition: Path, arguments: list[str], told: str) -> None:
    result = run("enact", edition, *arguments)
    assert result.exit_code == 2 and told in result.stderr
    assert not edition.with_name("enacted.yaml").exists()


def test_what_cannot_be_enacted(edition: Path) -> None:
    run("enact", edition, "--by", "J. Orr")
    assert "enacted-already" in run("enact", edition, "--by", "J. Orr").stderr
    edition.with_name("enacted.yaml").write_text("2016: {digest: m1:0}\n")
    told = run("enact", edition, "--by", "J. Orr").stderr
    assert "missing-key: `2016` has no `by`" in told
    broken = edition.with_name("2018.yaml")
    broken.write_text(edition.read_text().replace("months: clamp", "months: clam"))
    assert "did you mean `clamp`?" in run("enact", broken, "--by", "J. Orr").stderr


def test_the_shipped_editions_are_enacted_with_all_that_they_read() -> None:
    listed = yaml.safe_load((RULESETS / "tern-sound" / "enacted.yaml").read_text())
    for name, entry in listed.items():
        edition = Shelf.default().edition("tern-sound", name)
        assert edition.enacted is not None and edition.digest == entry["digest"]
        assert signature(edition) == entry["fields"]
        assert entry["fields"]["dti-lot.specimens.at_verification.tension"] == "force"
    assert listed["2025"]["fields"]["dti-lot.device.corrections.points.correction"] == "force"
    assert listed["2025"]["fields"]["dti-short-bolt.evidence.long_bolt.verdict"] == "choice"
    assert re.fullmatch(r"m1:[0-9a-f]{64}", listed["2016"]["digest"])


GOOD = Path(__file__).parents[1] / "proofreading" / "good" / "edition.yaml"


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A short edition without a fault, in a folder of rulesets."""
    folder = tmp_path / "rules" / "sound"
    folder.mkdir(parents=True)
    (folder / "1.yaml").write_bytes(GOOD.read_bytes())
    return folder / "1.yaml"


def test_with_an_error_nothing_is_enacted(small: Path) -> None:
    small.write_bytes((GOOD.parents[1] / "broken" / "never-holds.yaml").read_bytes())
    refused = run("enact", small, "--by", "J. Orr")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert f"{small}:76:18: never-holds: `full` can never hold" in refused.stderr
    assert "enact-errors: sound@1 is not enacted: proofreading finds 1 error" in refused.stderr
    assert not small.with_name("enacted.yaml").exists()


def test_a_worked_record_that_comes_out_otherwise_is_an_error(small: Path) -> None:
    (small.parent / "examples").mkdir()
    (small.parent / "examples" / "one.yaml").write_text(PASS.read_text())
    small.with_name("verdicts.yaml").write_text("one.yaml: [{under: ['1'], verdict: fail, why: made up}]\n")
    refused = run("enact", small, "--by", "J. Orr")
    assert refused.exit_code == 2 and "worked-differs" in refused.stderr and "finds 1 error" in refused.stderr
    assert not small.with_name("enacted.yaml").exists()
    small.with_name("verdicts.yaml").write_text("one.yaml: [{under: ['1'], verdict: pass, why: made up}]\n")
    assert run("enact", small, "--by", "J. Orr").exit_code == 0


def test_what_it_amends_is_enacted_first(small: Path) -> None:
    """Its digest is stated, but a draft may still change, and nothing could then be judged by what was enacted."""
    digest = Shelf.default(small.parents[1]).edition("sound", "1").digest
    above = small.parents[1] / "agency" / "2.yaml"
    above.parent.mkdir()
    above.write_text("ruleset: agency\nedition: 2\nlanguage: 1\ntitle: Agency\n"
                     f"amends: {{ruleset: sound, edition: 1, digest: {digest}}}\n")  # fmt: skip
    folders = ["--rulesets", small.parents[1]]
    refused = run("enact", above, "--by", "J. Orr", *folders)
    assert refused.exit_code == 2 and not above.with_name("enacted.yaml").exists()
    assert "enact-on-draft: sound@1, which it amends, is a draft" in refused.stderr
    assert "help: enact sound@1 first" in refused.stderr
    assert run("enact", "sound@1", "--by", "J. Orr", *folders).exit_code == 0
    assert run("enact", "agency@2", "--by", "J. Orr", *folders).exit_code == 0
    assert yaml.safe_load(above.with_name("enacted.yaml").read_text())["2"]["title"] == "Agency"


def failing(error: BaseException) -> Callable[..., object]:
    def fails(*_: object, **__: object) -> object:
        raise error

    return fails


def full(file: tempfile._TemporaryFileWrapper[str], *_: object) -> None:
    """What was written is still on its way when the file is closed."""
    file.file.close()
    raise OSError(errno.ENOSPC, "No space left on device")


CRASHES: dict[str, Callable[[pytest.MonkeyPatch], None]] = {
    "the folder is read-only": lambda patch: patch.setattr(
        tempfile, "NamedTemporaryFile", failing(OSError(errno.EROFS, "Read-only file system"))
    ),
    "the disk is full": lambda patch: patch.setattr(tempfile._TemporaryFileWrapper, "__exit__", full),
    "the disk does not take it": lambda patch: patch.setattr(os, "fsync", failing(OSError(errno.EIO, "I/O error"))),
    "the list cannot be replaced": lambda patch: patch.setattr(
        Path, "replace", failing(OSError(errno.EACCES, "Permission denied"))
    ),
    "it is broken off": lambda patch: patch.setattr(Path, "replace", failing(KeyboardInterrupt())),
}


@pytest.mark.parametrize("listed", [False, True], ids=["first", "second"])
@pytest.mark.parametrize("crash", CRASHES)
def test_a_crash_leaves_edition_and_list_as_they_were(
    crash: str, listed: bool, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if listed:
        small.with_name("0.yaml").write_text(small.read_text().replace('edition: "1"', 'edition: "0"'))
        run("enact", small.with_name("0.yaml"), "--by", "J. Orr")
    before = {file: file.read_bytes() for file in small.parent.iterdir()}
    with monkeypatch.context() as patch:
        CRASHES[crash](patch)
        broken = run("enact", small, "--by", "J. Orr")
    assert broken.exit_code == (1 if crash == "it is broken off" else 2) and "is enacted" not in broken.stdout
    assert broken.exit_code == 1 or "file-unwritable: it could not be written" in broken.stderr
    left = {file: file.read_bytes() for file in small.parent.iterdir()}
    assert {file: text for file, text in left.items() if not file.name.startswith(".enacted.")} == before
    assert broken.exit_code == 1 or left == before
    # What a crash may leave behind is in nobody's way.
    assert run("enact", small, "--by", "J. Orr").exit_code == 0
    assert run("shelf", "--show", small).exit_code == 0


KILLED = """
import os, signal, sys
from pathlib import Path
Path.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
from tautbook.cli import main
sys.argv = ["tautbook", "enact", sys.argv[1], "--by", "J. Orr"]
main()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such signal")
def test_a_process_that_is_killed_leaves_both_as_they_were_and_no_lock(small: Path) -> None:
    text = small.read_bytes()
    ended = subprocess.run([sys.executable, "-c", KILLED, str(small)], capture_output=True, timeout=120)
    assert ended.returncode == -signal.SIGKILL and ended.stdout == b""
    assert small.read_bytes() == text and not small.with_name("enacted.yaml").exists()
    assert run("enact", small, "--by", "J. Orr").exit_code == 0


def test_of_many_who_enact_at_once_no_entry_is_lost(small: Path) -> None:
    years = [str(year) for year in range(2001, 2005)]
    for year in years:
        small.with_name(f"{year}.yaml").write_text(small.read_text().replace('edition: "1"', f'edition: "{year}"'))
    command = [sys.executable, "-m", "tautbook", "enact", "--by", "J. Orr"]
    # One edition twice: the second to come finds it there.
    files = [*(small.with_name(f"{year}.yaml") for year in years), small.with_name("2001.yaml")]
    running = [subprocess.Popen([*command, str(file)], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)
               for file in files]  # fmt: skip
    told = [each.communicate(timeout=240)[1] for each in running]
    assert sorted(each.returncode for each in running) == [0, 0, 0, 0, 2]
    assert sum("enacted-already" in each or "duplicate-key" in each for each in told) == 1
    assert sorted(yaml.safe_load(small.with_name("enacted.yaml").read_text())) == years
    assert not [file for file in os.listdir(small.parent) if file.startswith(".")]


def test_two_that_write_the_list_wait_for_each_other(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between reading the list and writing it another process tries to: it must find the folder taken."""
    fcntl = pytest.importorskip("fcntl")
    seen = []
    replace = Path.replace

    def watched(self: Path, target: Path) -> Path:
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            fcntl.flock(folder, fcntl.LOCK_EX | fcntl.LOCK_NB)
            seen.append("free")
        except BlockingIOError:
            seen.append("taken")
        finally:
            os.close(folder)
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", watched)
    assert run("enact", small, "--by", "J. Orr").exit_code == 0
    assert seen == ["taken"]
