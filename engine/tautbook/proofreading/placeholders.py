"""What a draft leaves for the authority to say, and is not said yet: told once for each item, say a requirement.

An error, so that nothing half written is enacted.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..editions.to_fill_in import DAY_TO_FILL_IN, TO_FILL_IN
from ..lang.source import Span
from ..shape.shaped import Shaped, ShapedList, ShapedMap, ShapedValue
from .galley import Galley
from .report import Finding, error, listed

Path = tuple[str, ...]
_HELP = "write what the source says, in place of the whole text"


def placeholders(copy: Galley) -> Iterator[Finding]:
    found: dict[Path, list[tuple[str, Span]]] = {}
    for path, value in _values(copy.written.shaped, ()):
        if value.written.startswith(TO_FILL_IN) or (path == ("effective", "from") and value.written == DAY_TO_FILL_IN):
            item = _item(path)
            found.setdefault(item, []).append((".".join(path[len(item) :]), value.span))
    for item, places in found.items():
        parts = [part for part, _ in places if part]
        told = f": {listed(parts)}" if parts else ""
        message = f"`{'.'.join(item)}` is still to be filled in{told}"
        yield error("provenance", "to-fill-in", message, places[0][1], _HELP)


def _item(path: Path) -> Path:
    """What a place belongs to, as it would be struck or replaced."""
    if path[0] == "procedures":
        return path[:4] if len(path) > 4 else path
    return path[:2] if len(path) > 2 else path


def _values(node: Shaped, path: Path) -> Iterator[tuple[Path, ShapedValue]]:
    match node:
        case ShapedMap(entries=entries):
            for key, below in entries.items():
                yield from _values(below, (*path, key))
        case ShapedList(items=items):
            for i, below in enumerate(items, start=1):
                yield from _values(below, (*path, str(i)))
        case ShapedValue():
            yield path, node
