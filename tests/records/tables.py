"""Records written as tables: a row an item of the main list, columns by field path. Shares no code with the engine."""

from __future__ import annotations

import csv
import datetime
import io
import re
from collections.abc import Iterator
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

Row = dict[str, str]
MAIN = {"dti-lot": "specimens", "dti-short-bolt": "specimens", "rotational-capacity": "specimens",
        "dti-installed": "locations"}  # fmt: skip


def holds(content: dict[str, Any]) -> bool:
    """Whether a table can hold a record: all but a record that is written out inside it."""
    return not any(isinstance(other, dict) for other in content.get("evidence", {}).values())


def rows_of(content: dict[str, Any]) -> list[Row]:
    main = MAIN[content["procedure"]]
    whole = dict(flat({name: part for name, part in content.items() if name != main}, ""))
    items = [dict(flat(item, f"{main}.")) for item in content.get(main, [])]
    return [{**whole, **(items[0] if items else {})}, *({"id": whole["id"], **item} for item in items[1:])]


def flat(part: Any, prefix: str) -> Iterator[tuple[str, str]]:
    for name, below in part.items():
        path = f"{prefix}{name}"
        if isinstance(below, dict):
            yield from flat(below, f"{path}.")
        elif isinstance(below, list):
            for n, item in enumerate(below, 1):
                yield from flat(item, f"{path}[{n}].") if isinstance(item, dict) else [(f"{path}[{n}]", said(item))]
        else:
            yield path, str(below).lower() if path.startswith("local.") and isinstance(below, bool) else said(below)


def said(value: Any) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def with_units(rows: list[Row]) -> list[Row]:
    """The same, with the unit in the heading of each column whose cells are all in one."""
    quantity = re.compile(r"(-?[0-9./-]+) ([A-Za-z%-]+)")
    found: dict[str, set[str | None]] = {}
    for row in rows:
        for path, text in row.items():
            match = quantity.fullmatch(text)
            found.setdefault(path, set()).add(match[2] if match else None)
    units = {path: next(iter(each)) for path, each in found.items() if len(each) == 1 and None not in each}
    known = {"kip", "lbf", "kN", "N", "in", "mm", "degF", "degC", "degree", "turn", "ft-lbf", "N-m"}
    units = {path: unit for path, unit in units.items() if unit in known}
    return [
        {f"{path} [{units[path]}]" if path in units else path: text.partition(" ")[0] if path in units else text
         for path, text in row.items()}
        for row in rows
    ]  # fmt: skip


def columns(rows: list[Row]) -> list[str]:
    return list(dict.fromkeys(path for row in rows for path in row))


def as_csv(rows: list[Row]) -> bytes:
    file = io.StringIO(newline="")
    writer = csv.DictWriter(file, columns(rows), restval="")
    writer.writeheader()
    writer.writerows(rows)
    return file.getvalue().encode()


def as_excel(rows: list[Row]) -> bytes:
    """Dates as dates, decimals as binary numbers, yes and no as such: what people type into a workbook."""
    book = Workbook()
    sheet = page(book)
    head = columns(rows)
    sheet.append(head)
    for row in rows:
        sheet.append([typed(path, row.get(path)) for path in head])
    return saved(book)


def typed(path: str, text: str | None) -> Any:
    if text in ("yes", "no", "true", "false"):
        return text in ("yes", "true")
    if text is None or path == "id" or path.endswith((".lot", ".serial", ".id")):
        return text
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return datetime.date.fromisoformat(text)
    if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", text):
        return float(text) if "." in text else int(text)
    return text


def page(book: Workbook) -> Worksheet:
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    return sheet


def saved(book: Workbook) -> bytes:
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()
