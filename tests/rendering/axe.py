"""What axe-core finds wrong with a page for those who cannot see it, or not well, as it stands in the browser."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from axe_core_python.base import AXE_FILE_PATH

from sheet.driven import Browser

WIDTHS = {"phone": (390, 844, True), "desk": (1280, 900, False)}
"""Sizes of screens in CSS px, and whether it is one in the hand."""

LOOK = """axe.run(document, { resultTypes: ["violations"] }).then((found) => ({
  version: found.testEngine.version,
  width: found.testEnvironment.windowWidth,
  held: found.passes.map((rule) => rule.id),
  faults: found.violations.flatMap((rule) => rule.nodes.map((node) =>
    `${node.impact} ${rule.id}: ${node.target.join(" ")}: ${node.failureSummary.replace(/\\s+/g, " ")}`)),
}))"""


@dataclass(frozen=True)
class Looked:
    """``faults``: impact, rule and place of each; ``held``: the rules that something on the page was held to and
    that it keeps; ``version`` of axe-core; ``width`` of the window in CSS px."""

    faults: tuple[str, ...]
    held: frozenset[str]
    version: str
    width: int


def looked(it: Browser) -> Looked:
    """The page as it stands, by all rules that axe-core has on: those of WCAG 2 A and AA, and its own good practice."""
    it.run(f"if (typeof axe === 'undefined') {{ {_source()} }}")
    found: Any = it.run(LOOK)
    return Looked(tuple(found["faults"]), frozenset(found["held"]), found["version"], found["width"])


@cache
def _source() -> str:
    """The script of axe-core. TAUTBOOK_AXE names the file of another version."""
    return Path(os.environ.get("TAUTBOOK_AXE", AXE_FILE_PATH)).read_text(encoding="utf-8")


def sized(it: Browser, screen: str) -> None:
    width, height, mobile = WIDTHS[screen]
    it.said("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=mobile)
    it.settled()
