"""The rules of a first edition: tables, terms and procedures, whole as they stand, with samples of what is rarer."""

from __future__ import annotations

from collections.abc import Sequence

from ..editions.to_fill_in import DAY_TO_FILL_IN, to_fill_in
from ..shape.schemas import Schema, load_schema
from .lines import in_brackets, remark, sample, says, text
from .picked import Picked, figure, keys, kind_word

SOURCE = "source_1"
_REST = "rest-of-the-source"
_ABSENT = "this edition is still being written"
_PLACE = to_fill_in()


def _look_up(test: Picked, number: int) -> str:
    return f"table_{number}[{', '.join(info.path for info in keys(test))}]"


def tables(tests: Sequence[Picked]) -> list[str]:
    whole = load_schema("edition")["properties"]["tables"]
    known = whole["additionalProperties"]
    lines = [
        *remark(
            f"{says(whole)} `by` names the keys, outermost first: fields of the record. `rows` has them in that "
            "order. Give each table a name that says what it holds: small letters, digits and underlines. Rules call "
            "it by that."
        ),
        "tables:",
    ]
    for number, test in enumerate(tests, start=1):
        first, *others = keys(test)
        cell = figure(test.reading)
        for info in reversed(others):
            cell = f"{{{in_brackets(info.examples[0])}: {cell}}}"
        lines += [
            f"  table_{number}:",
            f"    title: {to_fill_in('what the figures are')}",
            f"    by: [{', '.join(f'{{key: {info.path}}}' for info in keys(test))}]",
            "    source:",
            f"      of: {SOURCE}",
            f"      clause: {_PLACE}",
        ]
        if number == 1:
            lines += [
                *remark(f"{says(known['properties']['source']['properties']['checked'])} A second person does.", 6),
                *sample([f"      checked: {{by: {_PLACE}, on: {DAY_TO_FILL_IN}, against: {to_fill_in('the page')}}}"]),
            ]
        lines += [
            "    rows:",
            f"      {in_brackets(first.examples[0])}: {cell}",
            f"    note: {to_fill_in('the figure 1 is no figure of any source')}",
        ]
        if number == 1:
            lines += _crosscheck(test)
    return [*lines, *_bands(tests[0])]


def _crosscheck(test: Picked) -> list[str]:
    known = load_schema("edition")["properties"]["tables"]["additionalProperties"]["properties"]["crosscheck"]
    first = keys(test)[0]
    key = ", ".join(in_brackets(info.examples[0]) for info in keys(test))
    one, two = figure(test.reading), figure(test.reading, 2)
    return [
        *remark(
            f"{says(known)} `within` says how far a cell may be off; `except` lists the cells that are further off as "
            "printed, each with the reason.", 4
        ),
        *sample([
            "    crosscheck:",
            f'      formula: if {first.path} = "{first.examples[0]}" then {one} else {two}',
            f"      within: {one}",
            f"      except: [{{key: [{key}], why: {_PLACE}}}]",
        ]),
    ]  # fmt: skip


def _bands(test: Picked) -> list[str]:
    one, two, three = (figure(test.reading, number) for number in (1, 2, 3))
    return [
        *remark("The rows may be ranges of a number. A key that is no field says its `kind`.", 2),
        *sample([
            "  table_of_bands:",
            f"    title: {to_fill_in('what the figures are')}",
            "    by: [{key: ratio, kind: number, bands: true}]",
            f"    source: {{of: {SOURCE}, clause: {_PLACE}}}",
            f"    rows: {{up to 1: {one}, over 1 up to 2: {two}, over 2: {three}}}",
        ]),
    ]  # fmt: skip


def terms(test: Picked) -> list[str]:
    known = load_schema("edition")["properties"]["terms"]
    one = figure(test.reading)
    return [
        *remark(
            f"{says(known)} `nearest`, `up` and `down` round to a step; `nearest` says what happens halfway (`ties "
            "up` or `ties even`). `of` gives a term parameters with their kinds; a rule then calls it with values, "
            f"as in `term_2({one})`."
        ),
        *sample([
            "terms:",
            "  term_1:",
            f"    title: {to_fill_in('what the formula gives')}",
            f"    is: nearest(2 * {_look_up(test, 1)}, {one}, ties up)",
            f"    clause: {_PLACE}",
            "  term_2:",
            f"    title: {to_fill_in('what the formula gives')}",
            f"    of: {{given: {kind_word(test.reading.kind)}}}",
            f"    is: given + {one}",
            f"    clause: {_PLACE}",
        ]),
    ]  # fmt: skip


def procedures(tests: Sequence[Picked]) -> list[str]:
    known = load_schema("edition")["properties"]["procedures"]
    kind = load_schema("edition")["properties"]["procedures"]["additionalProperties"]["properties"]["requirements"][
        "additionalProperties"
    ]["properties"]["kind"]
    lines = [
        *remark(
            f"{says(known)} Give each requirement a name that stays the same in every edition, whatever its clause: "
            "small letters, digits, dots and hyphens."
        ),
        *remark(f"kind: {says(kind)}"),
        "procedures:",
    ]
    for number, test in enumerate(tests, start=1):
        lines += _procedure(test, number)
    return lines


def _procedure(test: Picked, number: int) -> list[str]:
    known = load_schema("edition")["properties"]["procedures"]["additionalProperties"]["properties"]
    parts = known["requirements"]["additionalProperties"]["properties"]
    full = number == 1
    look_up = _look_up(test, number)
    lines = [f"  {test.words.procedure}:", f"    title: {text(test.words.title)}"]
    if full:
        lines += [
            *remark(says(known["asks"]), 4),
            *sample([f"    asks: {{{test.each}: 1}}"]),
            *remark(says(known["figures"]), 4),
            *sample(["    figures:", "      figure-1:", f"        title: {to_fill_in('what the figure is')}",
                     f"        is: 2 * {look_up}", f"        clause: {_PLACE}"]),
        ]  # fmt: skip
    lines += [
        "    requirements:",
        "      acceptance-1:",
        f"        title: {to_fill_in('what is required in a few words')}",
        f"        clause: {_PLACE}",
        "        kind: acceptance",
        *(remark(f"each: {says(parts['each'])}", 8) if full else []),
        f"        each: {test.each}",
        *(remark("A comparison is =, !=, <, <=, > or >=, and may be joined by `and`, `or`, `not`.", 8) if full else []),
        f"        require: {test.reading_says} >= {look_up}",
        *(remark(says(parts["otherwise"]), 8) if full else []),
        f"        otherwise: {_PLACE}",
        *(_rarer(test, parts) if full else []),
        "      setup-1:",
        f"        title: {to_fill_in('how the test is to be made in a few words')}",
        f"        clause: {_PLACE}",
        "        kind: setup",
        *(remark("A field that is yes or no is a rule by itself.", 8) if full else []),
        f"        require: {test.answer.path}",
        f"        otherwise: {_PLACE}",
        *(_of_setup(parts) if full else []),
    ]
    if full:
        lines += [
            *remark("Advice never decides. Of these words take out those that your source does not allow.", 6),
            *sample(["      advice-1:", f"        title: {to_fill_in('what is worth saying')}",
                     f"        clause: {_PLACE}", "        kind: advice",
                     f"        require: {test.choice.path} is one of {_words(test)}"]),
            *remark(
                f"absent: {says(parts['absent'])} Where it applies the finding stays open, and no test passes. So no "
                "test passes by this file before you take this last requirement out: do that when all others stand.", 6
            ),
        ]  # fmt: skip
    return [
        *lines,
        f"      {_REST}:",
        "        title: provisions that are not in this file yet",
        "        clause: all others",
        "        kind: acceptance",
        f"        absent: {_ABSENT}",
    ]


def _words(test: Picked) -> str:
    options = ", ".join(f'"{word}"' for word in test.options)
    return f"{{{options}}}"


def _rarer(test: Picked, parts: Schema) -> list[str]:
    first = test.covered[0]
    return [
        *remark("What follows is rarer, and may stand in any requirement.", 8),
        *remark(says(parts["applies"]), 8),
        *sample([f'        applies: {first.path} = "{first.examples[0]}"']),
        *remark(says(parts["unless"]), 8),
        *sample(["        unless:", "          exception-1:", f"            title: {_PLACE}",
                 f'            when: {test.choice.path} = "{test.options[0]}"', f"            clause: {_PLACE}"]),
        *remark(says(parts["watch"]), 8),
        *sample([f"        watch: {_PLACE}"]),
        *remark(says(parts["reading"]), 8),
        *sample([f"        reading: {{printed: {_PLACE}, read_as: {_PLACE}, why: {_PLACE}}}"]),
        *remark(says(parts["standing"]), 8),
        *sample(["        standing: common practice"]),
        *sample([f"        note: {_PLACE}"]),
    ]  # fmt: skip


def _of_setup(parts: Schema) -> list[str]:
    return [
        *remark(f"{says(parts['voids'])} Where a bad result is bad enough all the same, write `passes`.", 8),
        *sample(["        voids: passes"]),
        *remark(says(parts["waivable_by"]), 8),
        *sample(["        waivable_by: [engineer]"]),
    ]
