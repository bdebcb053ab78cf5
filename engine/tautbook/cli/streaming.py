"""Long work: its results kept on disk until all are there, and a line of progress where a person is watching."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from types import TracebackType
from typing import Self

_IN_MEMORY = 1_000_000
_CHUNK = 1_000_000
_EVERY = 20


class Spool:
    """Text that grows without taking memory: beyond a size it lies in a temporary file. Nothing is shown of it until
    the work is done, so that what comes out comes out whole."""

    def __init__(self) -> None:
        self._file = tempfile.SpooledTemporaryFile(  # noqa: SIM115  # closed when the work is done
            _IN_MEMORY, "w+", encoding="utf-8", newline=""
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        self._file.close()

    def add(self, text: str) -> None:
        self._file.write(text)

    @property
    def empty(self) -> bool:
        return self._file.tell() == 0

    def parts(self) -> Iterator[str]:
        self._file.seek(0)
        while part := self._file.read(_CHUNK):
            yield part


class Progress:
    """How many records were read so far, on a terminal only; it leaves nothing behind."""

    def __init__(self, what: str) -> None:
        self.what = what
        self.done = 0
        self.shown = sys.stderr.isatty()
        self._length = 0

    def step(self) -> None:
        self.done += 1
        if self.shown and self.done % _EVERY == 0:
            text = f"{self.done} {self.what}"
            self._length = len(text)
            sys.stderr.write(f"\r{text}")
            sys.stderr.flush()

    def clear(self) -> None:
        """Make room for what is told on the same terminal."""
        if self._length:
            sys.stderr.write(f"\r{' ' * self._length}\r")
            sys.stderr.flush()
            self._length = 0
