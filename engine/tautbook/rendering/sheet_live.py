"""The form with what makes it live: the rules it is judged by, and the script that judges."""

from __future__ import annotations

import json
from collections.abc import Iterator

from ..sheet.form import Form
from ..sheet.pack import pack
from .sheet import sheet_html
from .sheet_script import JUDGING, LIVE, script_of


def live_sheet(form: Form) -> Iterator[str]:
    """The page, line by line. Where scripts do not run it is the paper form all the same."""
    rules = json.dumps(pack(form.edition, form.procedure.id), ensure_ascii=False, separators=(",", ":"))
    yield from sheet_html(form, [script_of(*JUDGING, *LIVE)], [("rules", rules)])
