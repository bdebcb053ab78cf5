"""A first edition with remarks: whole and readable as it stands, to be filled in by somebody who is no programmer.

It claims nothing. Where only the authority can say what belongs there stands ``TO FILL IN``, which proofreading lists;
figures are 1; and each procedure has a requirement that is declared absent, so that no test passes before the last
provision is typed in. The words for fields come from the schemas of the records, those for parts of an edition from the
schema of editions.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..editions.to_fill_in import DAY_TO_FILL_IN, to_fill_in
from ..shape.schemas import load_schema
from .first_rules import SOURCE, procedures, tables, terms
from .lines import SAMPLE, heading, in_brackets, remark, sample, says, text
from .picked import Picked, keys, picked
from .readable import readable

_PLACE = to_fill_in()


def first_edition(ruleset: str, edition: str, wanted: Sequence[str], effective: str | None) -> str:
    """The text of the file, for the procedures ``wanted``. ``effective`` is the first day in force, if it is known."""
    tests = [picked(id) for id in wanted]
    lines = [
        "# yaml-language-server: $schema=../../schemas/edition.schema.json",
        *_how_to(ruleset, edition, len(tests) > 1),
        *heading("Who and when"),
        *who_and_when(ruleset, edition, effective),
        *_months(),
        *heading("Sources"),
        *_sources(),
        *heading("What it covers"),
        *_covers(tests),
        *heading("Fields of your own"),
        *_fields(),
        *heading("Tables"),
        *tables(tests),
        *heading("Terms"),
        *terms(tests[0]),
        *heading("Procedures"),
        *procedures(tests),
        *heading("Left to people, and the programme"),
        *_people(tests[0]),
        *heading("What rules can read"),
        *remark(
            "Words stand in double quotes, figures with their unit, as in the rules above. Where the unit is one of "
            "several, any of them will do: conversion is exact. What was not observed is missing, and leaves a rule "
            "open."
        ),
        "",
        *readable([each.words for each in tests]),
    ]
    return "".join(f"{line}\n" for line in lines)


def _how_to(ruleset: str, edition: str, several: bool) -> list[str]:
    tests = "It has every test that records exist of: take out those that your source does not ask for."
    return [
        "#",
        *remark(
            f"{ruleset}@{edition}, a first edition. Beside it you need the printed provisions. It stands in the folder "
            f"`{ruleset}`, in the file `{edition}.yaml`."
        ),
        "#",
        *remark(
            "What stands after # explains. How far a line is moved in says what it belongs to. Write a tab nowhere."
        ),
        *remark(
            f"A line that begins with {SAMPLE} is a sample: take these two signs away and nothing else, and it belongs "
            "to the edition. Lines of samples without another line between them belong together."
        ),
        *remark(
            f"{_PLACE} stands where only you know what belongs there, and the figure 1 where a figure of your source "
            "does. No figure here is real. What is of no use to you, take out."
        ),
        *(remark(tests) if several else []),
        *remark(
            "After each step `tautbook proofread` and the name of this file tells what is wrong, and lists what is "
            "still to be filled in. rulesets/README.md shows the whole way, from a printed table to a judged record."
        ),
    ]


def who_and_when(ruleset: str, edition: str, effective: str | None) -> list[str]:
    """The first lines of an edition, those of an amendment as well."""
    known = load_schema("edition")["properties"]
    day = f"  from: {effective}" if effective else f"  from: {DAY_TO_FILL_IN}   # {to_fill_in('first day in force')}"
    return [
        *remark("Names of the folder and of the file; a report calls the edition by both."),
        f"ruleset: {text(ruleset)}",
        f'edition: "{edition}"',
        f"language: {known['language']['const']}   # version of the language that the rules are written in",
        *remark(says(known["title"])),
        f"title: {to_fill_in('full name of these rules')}",
        *remark(f"{says(known['effective'])} `until`, the last one, is left out while no end is set."),
        "effective:",
        day,
        *sample([f"  until: {DAY_TO_FILL_IN}"]),
        *remark(says(known["note"])),
        *sample([f"note: {_PLACE}"]),
    ]


def _months() -> list[str]:
    return [*remark(says(load_schema("edition")["properties"]["months"])), "months: clamp"]


def _sources() -> list[str]:
    known = load_schema("edition")["properties"]["sources"]
    standing = known["additionalProperties"]["properties"]["standing"]
    return [
        *remark(
            f"{says(known)} Here {SOURCE}; with one source, rules need not name it; with more, each says `source:` "
            "and the short name."
        ),
        "sources:",
        f"  {SOURCE}:",
        f"    title: {to_fill_in('title as printed')}",
        *sample(["    year: 2000", f"    publisher: {_PLACE}"]),
        *remark(f"One of: {', '.join(standing['enum'])}. {says(standing)}", 4),
        *remark(
            "While `invented` stands here every verdict says so. Write `published` once the figures below are those of "
            "a printed text that you have read.", 4
        ),
        "    standing: invented",
    ]  # fmt: skip


def _covers(tests: Sequence[Picked]) -> list[str]:
    known = load_schema("edition")["properties"]["covers"]
    fields = {info.path: info for each in tests for info in each.covered}
    listed, renamed, *_ = tests[0].others
    other = f'{tests[0].covered[0].path} = "{tests[0].covered[0].examples[0]}"'
    note = to_fill_in("an example - put the values of your source")
    lines = [*remark(says(known)), "covers:"]
    for info in fields.values():
        lines += [f"  {info.path}:", f"    {in_brackets(info.examples[0])}: {{note: {note}}}"]
    return [
        *lines,
        *remark("Values without a note may stand as a list.", 2),
        *sample([f"  {listed.path}: [{', '.join(map(in_brackets, listed.examples))}]"]),
        *remark(
            "A value may have other names. `also` says which, and `when` under which condition (left out: always).", 2
        ),
        *sample([f"  {renamed.path}:", f"    {in_brackets(renamed.examples[0])}:", "      also: [ANOTHER NAME]",
                 f"      when: {other}", f"      clause: {_PLACE}"]),
    ]  # fmt: skip


def _fields() -> list[str]:
    known = load_schema("edition")["properties"]["fields"]
    kinds = known["additionalProperties"]["properties"]["kind"]["enum"]
    return [
        *remark(
            f"{says(known)} Only for what the list at the end of this file does not have. Rules read it as "
            f"`local.observation`. Kinds: {', '.join(kinds)}; a quantity says its `dimension`, such as force or "
            "length, and may say the `unit`; a choice may list its words as `options`."
        ),
        *sample(["fields:", f"  observation: {{kind: yes-no, title: {_PLACE}, description: {_PLACE}}}"]),
    ]


def _people(test: Picked) -> list[str]:
    known = load_schema("edition")["properties"]
    sizes = [test.lot.path, *(info.path for info in keys(test))]
    return [
        *remark(says(known["left_to_people"])),
        "left_to_people:",
        f"  - {{clause: {_PLACE}, what: {_PLACE}}}",
        *remark(says(known["programme"])),
        *sample(["programme:", f"  - procedure: {test.words.procedure}", f"    for_each: [{', '.join(sizes)}]",
                 f"    clause: {_PLACE}"]),
    ]  # fmt: skip
