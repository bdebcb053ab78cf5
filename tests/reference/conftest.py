"""These suites compare, and are long: no branch counts as tested by them, and they run at full speed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True, scope="module")
def _not_measured() -> Iterator[None]:
    try:
        from coverage import Coverage
    except ImportError:
        yield
        return
    measuring = Coverage.current()
    if measuring is not None:
        measuring.stop()
    yield
    if measuring is not None:
        measuring.start()
