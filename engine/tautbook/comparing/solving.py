"""The solver, for one question at a time: each has a context of its own.

In a context that many questions share, which of several records is found depends on what was asked before, in this
redline or in another of the same process. So formulas are copied into a fresh context, and models are copied back.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import z3

from .symbols import Flag

STEPS = 20_000_000
"""Of the solver for one question: a limit of work and not of time, so that answers are the same on any machine."""
MINUTES = 2
"""For one question all the same: in numbers of very many digits a few steps can take as long as all others."""
LIMITS = f"{STEPS:,} steps of the solver, or {MINUTES} minutes"


class Solver:
    """Holds what must be, and finds whether it can be."""

    def __init__(self, must: Iterable[Flag], steps: int = STEPS, thorough: bool = False) -> None:
        """``thorough``: for the many questions about one record, where what the plain solver does not know is worth the
        work of others. For one question the plain one is many times faster."""
        self._context = z3.Context()
        self._solver = (z3.Solver if thorough else z3.SimpleSolver)(ctx=self._context)
        self._solver.set("rlimit", steps)
        self._solver.set("timeout", MINUTES * 60_000)
        self.add(must)

    def add(self, must: Iterable[Flag]) -> None:
        """``must`` are flags; copied together, so that what they share stays shared."""
        flags = [_as_formula(flag) for flag in must if flag is not True]
        if flags:
            self._solver.add(z3.And(flags).translate(self._context).children())

    def check(self, *marks: Any) -> str:
        """sat, unsat or unknown, with the marks taken to be true. A mark is a yes or no of its own."""
        return str(self._solver.check(*(mark.translate(self._context) for mark in marks)))

    def model(self) -> Any:
        """What was found, in the context of the formulas that were asked about."""
        return self._solver.model().translate(z3.main_ctx())

    def shows(self, flag: Any) -> bool:
        """Whether ``flag`` holds in what was found."""
        return bool(z3.is_true(self._solver.model().eval(flag.translate(self._context), model_completion=True)))

    def core(self) -> list[str]:
        """Names of marks that cannot be true together."""
        return [str(mark) for mark in self._solver.unsat_core()]

    def push(self) -> None:
        self._solver.push()

    def pop(self) -> None:
        self._solver.pop()


def _as_formula(flag: Flag) -> Any:
    return z3.BoolVal(flag) if isinstance(flag, bool) else flag
