"""What counts as tested is what tests of a part run of it. Suites of whole commands, and those that compare, are long:
they run unmeasured, at full speed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

UNMEASURED = frozenset({"cli", "comparing", "drafting", "jobs", "proofreading", "reference", "rendering", "sheet"})
MEASURED = frozenset({"test_recheck", "test_replay"})
"""They read streams, of which no branch goes untested."""


@pytest.fixture(autouse=True, scope="module")
def _measured_or_not(request: pytest.FixtureRequest) -> Iterator[None]:
    try:
        from coverage import Coverage
    except ImportError:
        yield
        return
    path = Path(str(request.path))
    whole = path.parent.name not in UNMEASURED or path.stem in MEASURED
    measuring = None if whole else Coverage.current()
    if measuring is not None:
        measuring.stop()
    yield
    if measuring is not None:
        measuring.start()
