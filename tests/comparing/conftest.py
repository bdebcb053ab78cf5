"""The suites that hold the solver compare as well, and are long: they run unmeasured."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from reference.conftest import _not_measured

__all__ = ["_not_measured"]
MEASURED = {"test_recheck", "test_replay"}
"""They read streams, of which no branch goes untested."""


@pytest.fixture(autouse=True, scope="module")
def _measured_after_all(request: pytest.FixtureRequest, _not_measured: None) -> Iterator[None]:
    try:
        from coverage import Coverage
    except ImportError:
        yield
        return
    measuring = Coverage.current() if request.module.__name__.rpartition(".")[2] in MEASURED else None
    if measuring is not None:
        measuring.start()
    yield
    if measuring is not None:
        measuring.stop()
