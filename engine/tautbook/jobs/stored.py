"""Stored verdicts of a job, held to the records beside them: what was edited, altered, or is not there any more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..comparing.stored import Stored
from ..editions.edition import Edition
from .fault import Fault
from .judged import Judged


def against_stored(stored: Sequence[Stored], judged: Sequence[Judged], edition: Edition) -> Iterator[Fault]:
    """What the stored verdicts show. A record that was edited after its verdict was stored does not count."""
    by_id: dict[str, list[Judged]] = {}
    for one in judged:
        by_id.setdefault(one.id, []).append(one)
    for each in stored:
        same = by_id.get(each.record_id, [])
        if not same:
            text = f"a verdict on record {each.record_id} is stored ({each.verdict}), and the record is gone"
            yield Fault("record-gone", text, "Put the record back.", (each.record_id,))
            continue
        as_stored = [other for other in same if other.record.digest == each.record_digest]
        if not as_stored:
            text = f"record {each.record_id} is not what it was when its verdict was stored ({each.verdict})"
            fault = Fault("edited", text, "Find out what was changed, by whom and why.", (each.record_id,))
            for other in same:
                other.doubts.append(fault)
            yield fault
        elif each.digest != edition.digest:
            now = as_stored[0].verdict
            text = f"the stored verdict on record {each.record_id} is by {each.rules}: {each.verdict}"
            text += f"; by {edition.name}, which governs, it is {now}"
            yield Fault("other-edition", text, None, (each.record_id,))
        elif each.verdict != as_stored[0].verdict:
            text = f"the stored verdict on record {each.record_id} says {each.verdict}, and judging it gives"
            text += f" {as_stored[0].verdict}"
            yield Fault("verdict-altered", text, "Find out who altered it.", (each.record_id,))
