"""Live pages, and one browser for all tests of them."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sheet.driven import Browser, browser
from sheet.live import PROCEDURES, run


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The blank sheet of each procedure by the edition of 2025, and of one by that of 2016."""
    folder = tmp_path_factory.mktemp("pages")
    made = {}
    for edition, procedure in [*(("2025", each) for each in PROCEDURES), ("2016", "dti-lot")]:
        file = folder / f"{edition}-{procedure}.html"
        status, said = run("sheet", "--under", f"tern-sound@{edition}", "--procedure", procedure, "--output", str(file))
        assert status == 0, said
        made[procedure if edition == "2025" else f"{procedure} {edition}"] = file
    return made


@pytest.fixture(scope="session")
def any_browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("browser")) as it:
        yield it


@pytest.fixture
def at(any_browser: Browser, pages: dict[str, Path]) -> Any:
    """Goes to a sheet on which nothing was ever typed."""

    def go(page: str) -> Browser:
        any_browser.accept = True
        any_browser.visit(pages[page])
        any_browser.run("localStorage.clear(); sessionStorage.clear()")
        any_browser.reload()
        any_browser.asked = []
        return any_browser

    return go
