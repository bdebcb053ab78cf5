"""These suites compare as well, and are long: they run unmeasured."""

from reference.conftest import _not_measured

__all__ = ["_not_measured"]
