"""Rules of structural bolting tests as data: judge a recorded test by a chosen edition, and explain the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .api import (
        Edition,
        Explanation,
        Record,
        Replayed,
        Shelf,
        Unusable,
        Verdict,
        explain,
        judge,
        read_record,
        replay,
    )

__version__ = "0.1.0"
LANGUAGE = 1
"""Version of the language that rules are written in."""
__all__ = [
    "Edition", "Explanation", "Record", "Replayed", "Shelf", "Unusable", "Verdict", "explain", "judge", "read_record",
    "replay",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """The library is imported when something of it is asked for, so that ``--help`` and ``--version`` are quick."""
    if name in __all__:
        from . import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
