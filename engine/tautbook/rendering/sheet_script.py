"""The script of a live page: plain files put together in their order, with the tables of the engine before them."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

from ..sheet.engine_tables import engine_tables
from .page import json_text

JUDGING = (
    "rational", "units", "calendar", "values", "operations", "pack", "evaluate", "reading", "record", "findings",
    "could_be", "judge", "explain", "labels", "comparisons", "sentences", "tautbook",
)  # fmt: skip
"""What a record is judged with: the same tree as the engine's, read a second time."""

LIVE = ("file", "form", "store", "show", "page")
"""What a page does with it: boxes, files, what the browser keeps, what is shown."""


@cache
def script_of(*names: str) -> str:
    """The files of these names as one script that leaves no name behind but `Tautbook`.

    Lines go without their indentation, and lines of comment not at all: both are for readers of the files.
    """
    folder = files("tautbook") / "rendering" / "script"
    texts = [(folder / f"{name}.js").read_text(encoding="utf-8") for name in names]
    tables = f"const ENGINE = {data_in_script(engine_tables())};"
    lines = (line.strip() for text in texts for line in text.splitlines())
    body = "\n".join([tables, *(line for line in lines if line and not line.startswith("//"))])
    begun = '"use strict";\nperformance.mark("started");'
    return f"{begun}\nglobalThis.Tautbook = (() => {{\n{body}\nreturn Tautbook;\n}})();\n"


def data_in_script(data: Any) -> str:
    """Data as JSON that neither ends its element nor a line of the script, whatever texts it holds."""
    return json_text(json.dumps(data, ensure_ascii=False, separators=(",", ":")))
