"""Bytes of a file, or the problem why there are none."""

from __future__ import annotations

import errno
from importlib.resources.abc import Traversable
from pathlib import Path

from .limits import LIMITS
from .problem import Problem

_WHY = {
    errno.ENOENT: "there is no such file",
    errno.EACCES: "reading it is not allowed",
    errno.EEXIST: "a file is there already",
    errno.EISDIR: "this is a folder, not a file",
    errno.ENOTDIR: "this is a file, not a folder",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ELOOP: "it leads round in a ring of links",
}


def why(error: OSError) -> str:
    """What kept a file from being read or written, in plain words."""
    return _WHY.get(error.errno or 0, (error.strerror or "it failed").lower())


def read_file(path: Path | Traversable, name: str) -> tuple[bytes | None, Problem | None]:
    """At most one byte more than a file may have, so that reading says that it is too large, however large it is."""
    try:
        with path.open("rb") as file:
            return file.read(LIMITS.bytes + 1), None
    except OSError as error:
        return None, Problem("file-unreadable", why(error), file=name)
    except ValueError:
        # A name with a null character, which no file system takes.
        return None, Problem("file-unreadable", "there is no such file", file=name)
