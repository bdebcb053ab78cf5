"""Boxes of a form as HTML: entries for a browser, and on paper the lines, boxes and words to tick."""

from __future__ import annotations

from collections.abc import Iterator

from ..sheet.form import Asked, Box, Item, Listed, Part, Stop, in_order
from .page import text
from .sheet_words import as_read, asked_html, label_html, label_text, stop_html

_FEW = 3
"""Boxes of a row of which two stand side by side on paper."""
_SHORT = 75
"""Characters of a description that is printed where nothing else tells what a box takes."""


def part_html(part: Part, level: int, told: frozenset[str] = frozenset()) -> Iterator[str]:
    """Boxes that belong together, under their heading where they have one. ``told``: what is meant by readings, where
    that is said on paper already."""
    titled = bool(part.path) and bool(part.title)
    at = f"part-{part.path}"
    size = {1: " alone", 4: " tail"}.get(len(part.boxes), "")
    named = f'" role="group" aria-labelledby="{text(at)}"' if titled else f' untitled{size}"'
    yield f'<div class="part{named}>'
    if titled:
        yield f'<h{level} id="{text(at)}">{text(part.title)}</h{level}>'
    if part.stop is not None:
        yield stop_html(part.stop)
    yield from boxes_html(part, level)
    meant = [each for each in dict.fromkeys(meant_by(part)) if each not in told]
    if meant:
        # On paper it takes less room below all boxes than beside one.
        yield f'<p class="below" aria-hidden="true">{" ".join(meant)}</p>'
    yield "</div>"


def meant_by(part: Part) -> Iterator[str]:
    """What is meant by the readings of an item."""
    for box in part.boxes:
        if isinstance(box, Box) and "[" in box.path:
            if box.definition is not None:
                yield f"<b>{text(box.title)}:</b> {text(box.definition)}"
            elif box.kind == "yes-no":
                yield f"<b>{text(box.title)}:</b> {_plain(box.description)}"


def boxes_html(part: Part, level: int) -> Iterator[str]:
    """What rules read first, then what is written down besides."""
    fixed = [box for box in part.boxes if isinstance(box, Box) and _fixed(box)]
    for box in fixed:
        yield f'<input type="hidden" name="{text(box.path)}" value="{text(box.value)}">'
    boxes = [box for box in in_order(part) if isinstance(box, Box) and not _fixed(box)]
    if boxes:
        yield '<div class="boxes">'
        for box in boxes:
            yield from box_html(box, part.stop)
        yield "</div>"
    for each in part.boxes:
        if isinstance(each, Listed):
            yield from rows_html(each, level + 1)


def _fixed(box: Box) -> bool:
    return len(box.words) == 1


def box_html(box: Box, stop: Stop | None = None) -> Iterator[str]:
    """One box: label, entry, what is asked of it, and what is meant by it."""
    id = text(box.path)
    listed = "[" in box.path
    deciding = listed and any(_decides(each, stop) for each in box.asked)
    weight = "" if box.read or box.required else " besides"
    yield f'<div class="box of-{box.kind}{weight}{" deciding" if deciding else ""}">'
    yield f'<label for="{id}">{label_html(box)}{" <i>(Y-M-D)</i>" if box.kind == "date" else ""}</label>'
    how = as_read(box)
    said = [] if how is None else [f"<p>{how}</p>"]
    for each in box.asked:
        line = asked_html(each) if not _in_stop(each, stop) else None
        # That something must be written down is said on paper by the weight of its label, and a limit that is another
        # field stands there once for all readings of an item.
        screen = ' class="what"' if each.relation == "recorded" or (listed and each.lent) else ""
        screen = ' class="decides"' if listed and _decides(each, stop) else screen
        said += [f"<p{screen}>{line}</p>"] if line is not None else []
    if box.covered:
        screen = ' class="what"' if box.value else ""
        said.append(f"<p{screen}>covered: {text(', '.join(box.offered))}</p>")
    if box.definition is not None:
        said.append(f'<p class="meant{" what" if listed else ""}">{text(box.definition)}</p>')
    paper = " paper" if not listed and _needs_telling(box) else ""
    said.append(f'<p class="what{paper}">{_plain(box.description)}</p>')
    yield f'<div class="entry">{_entry(box)}</div>'
    yield f'<div class="said" id="{id}-said">{"".join(said)}</div>'
    yield "</div>"


def _needs_telling(box: Box) -> bool:
    """Whether what is meant by a box is told on paper as well."""
    short = box.read and len(box.description) <= _SHORT
    return box.kind == "yes-no" or (short and not (box.value or box.asked or box.covered))


def _plain(said: str) -> str:
    """A description without the marks that schemas put around words to be written as they stand."""
    return text(said.replace("`", ""))


def _in_stop(asked: Asked, stop: Stop | None) -> bool:
    return stop is not None and asked in (stop.at, stop.not_past)


def _decides(asked: Asked, stop: Stop | None) -> bool:
    """Whether it is a limit with a name that is held against what was read when the work stood."""
    return asked.watch is not None and asked.relation != "recorded" and not _in_stop(asked, stop)


def lent_html(item: Item) -> str:
    """On paper: limits of the readings of an item that are other fields, each once."""
    lines = []
    for part in item.parts:
        for box in part.boxes:
            asked = box.asked if isinstance(box, Box) else ()
            lines += [asked_html(each) for each in asked if each.lent and not _in_stop(each, part.stop)]
    said = " ".join(dict.fromkeys(line for line in lines if line is not None))
    return f'<p class="below lent" aria-hidden="true">{said}</p>' if said else ""


def _entry(box: Box, told_below: bool = True) -> str:
    id = text(box.path)
    told = f' aria-describedby="{id}-said"' if told_below else ""
    if box.words:
        return _select(box.path, box.words, box.value, f'id="{id}"{told}') + _ticks(box.words)
    kind = ' inputmode="text" placeholder="YYYY-MM-DD" maxlength="10"' if box.kind == "date" else ""
    kind = kind or f' inputmode="{box.entry}"'
    value = f' value="{text(box.value)}"' if box.value else ""
    offered = f' list="{id}-offered"' if box.offered else ""
    made = f'<input type="text" id="{id}" name="{id}"{kind}{value}{offered} autocomplete="off"{told}>'
    if box.offered:
        # With their units: the one that stands beside may be another.
        options = "".join(f"<option>{text(word)}</option>" for word in box.offered)
        made += f'<datalist id="{id}-offered">{options}</datalist>'
    if box.units:
        unit = f'aria-label="unit of {label_text(box)}"'
        made += _select(f"{box.path} unit", box.units, box.unit or "", unit, empty=box.unit is None)
        made += _ticks(box.units) if box.unit is None and len(box.units) > 1 else ""
    return made


def _select(name: str, words: tuple[str, ...], chosen: str, more: str, empty: bool = True) -> str:
    options = '<option value=""></option>' if empty else ""
    for word in words:
        options += f"<option{' selected' if word == chosen else ''}>{text(word)}</option>"
    # Off, as in all boxes: what a browser fills in by itself was judged by nobody.
    return f'<select name="{text(name)}" {more} autocomplete="off">{options}</select>'


def _ticks(words: tuple[str, ...]) -> str:
    """Words to tick on paper, where nothing was chosen."""
    marks = "".join(f'<span class="mark"><span class="tick"></span>{text(word)}</span> ' for word in words)
    return f'<span class="ticks" aria-hidden="true">{marks}</span>'


def rows_html(listed: Listed, level: int | None) -> Iterator[str]:
    """A list of few fields: a row for each item; under a heading of its own where there is none above."""
    at = f"part-{listed.path}"
    many = any(len(part.boxes) > _FEW for item in listed.items for part in item.parts)
    named = f' role="group" aria-labelledby="{text(at)}"' if level is not None else ""
    yield f'<div class="rows{" long" if many else ""}"{named} data-list="{text(listed.path)}">'
    if level is not None:
        yield f'<h{level} id="{text(at)}">{text(listed.title)}</h{level}>'
    yield f'<p class="what paper">{text(listed.description)}</p>'
    for item in listed.items:
        yield from row_html(item)
    yield "</div>"


def row_html(item: Item) -> Iterator[str]:
    yield f'<div class="row" data-row="{text(item.path)}" role="group" aria-label="{text(item.title)}">'
    yield f'<span class="number" aria-hidden="true">{text(item.path.rpartition("[")[2].rstrip("]"))}</span>'
    for part in item.parts:
        for box in part.boxes:
            if isinstance(box, Box):
                id = text(box.path)
                yield f'<div class="box of-{box.kind}"><label for="{id}">{label_html(box)}</label>'
                yield f'<div class="entry">{_entry(box, False)}</div></div>'
    yield "</div>"
