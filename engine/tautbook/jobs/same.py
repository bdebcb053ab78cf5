"""Whether a job and a record speak of the same thing: values as the edition reads them, other names resolved."""

from __future__ import annotations

from ..editions.edition import Procedure
from ..lang.evaluate import evaluate
from ..lang.kernel import key_of
from ..lang.values import Group, Leaf, Open, data_at


def meant(path: str, data: Group, procedure: Procedure) -> object:
    """The value at ``path`` as the edition reads it, in a form that can be compared; None where nothing is stated."""
    leaf = data_at(data, path)
    if not isinstance(leaf, Leaf):
        return None
    covered = procedure.rules.terms.get(f"covers {path}")
    if covered is not None:
        value = evaluate(covered.body, procedure.rules, data).value
        if not isinstance(value, Open):
            return key_of(value)
    return key_of(leaf.value)


def written(path: str, data: Group) -> str | None:
    """The value at ``path`` as it was written; None where nothing is stated."""
    leaf = data_at(data, path)
    return leaf.written if isinstance(leaf, Leaf) else None
