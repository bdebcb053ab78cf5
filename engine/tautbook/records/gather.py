"""Names on the command line -> records: files, folders, standard input; many records are read one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from ..lang.files import why
from ..lang.problem import Problem
from .evidence import with_evidence
from .folder import ENDINGS, UNSEEN, Folder, records_in
from .read import Found, read_record_stream


def gather(name: str, stdin: BinaryIO) -> Iterator[Found]:
    """The records that a name stands for: a file, the files of a folder in the order of their names, or ``-``.

    Each with the records that it rests on, which lie in the same folder.
    """
    if name == "-":
        yield from _whole(read_record_stream(stdin, "-"), None)
        return
    if not name:
        yield None, (Problem("file-unreadable", "the name of a record is empty", help="name a file, or a folder"),)
        return
    path = Path(name)
    try:
        folder = path.is_dir()
        files = sorted(_files(path)) if folder else [path]
    except (OSError, ValueError) as error:
        message = why(error) if isinstance(error, OSError) else "there is no such file"
        yield None, (Problem("file-unreadable", message, file=name),)
        return
    if folder and not files:
        help = f"records are files ending in {', '.join(ENDINGS)}"
        yield None, (Problem("folder-empty", "there are no records in this folder", file=name, help=help),)
    around = Folder(path if folder else path.parent)
    for file in files:
        yield from _whole(records_in(file, str(file)), around)


def _whole(found: Iterator[Found], folder: Folder | None) -> Iterator[Found]:
    for record, problems in found:
        yield (None, problems) if record is None else with_evidence(record, folder)


def _files(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        if path.name.lower().endswith(ENDINGS) and not path.name.startswith(UNSEEN) and path.is_file():
            yield path
