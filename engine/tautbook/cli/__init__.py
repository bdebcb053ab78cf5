"""The command line: one module a command, each imported only when it is called."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run ``tautbook`` with the arguments of the process, and end it with the exit status."""
    from .group import tautbook

    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # closed by whoever called: nothing to read  # noqa: SIM115
    if sys.stdout is None:
        sys.exit("output-unwritable: the output was closed")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # A terminal that knows few letters shows the others as escapes; nothing breaks off.
            stream.reconfigure(errors="backslashreplace")
    try:
        tautbook(prog_name="tautbook")
    except BrokenPipeError:
        # Whoever read the output has seen enough. Keep the interpreter from complaining when it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(2)
    except OSError as error:
        # What was read was dealt with where it was read; this is the output.
        sys.stderr.write(f"output-unwritable: the output could not be written: {(error.strerror or '').lower()}\n")
        sys.exit(2)
    except Exception as fault:
        if os.environ.get("TAUTBOOK_FAULTS"):
            raise
        place = fault.__traceback__
        while place is not None and place.tb_next is not None:
            place = place.tb_next
        where = "" if place is None else f" ({os.path.basename(place.tb_frame.f_code.co_filename)}:{place.tb_lineno})"
        sys.stderr.write(f"tautbook: a fault of the program, not of your files{where}\n")
        sys.stderr.write("  help: take no result from this run; please report it with the files that led here\n")
        sys.exit(2)
