"""Figures for everything that an edition covers, where it is not known yet which of it is tested."""

from __future__ import annotations

from ..explaining.limits import Limits
from .form import Grid


def grids_of(limits: Limits) -> tuple[Grid, ...]:
    return ()
