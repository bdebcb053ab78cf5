"""The edition that governs a job: pinned by its digest or in force on the letting date, with the contract's layer."""

from __future__ import annotations

import datetime

from ..editions.edition import Edition
from ..editions.remembered import Found
from ..editions.shelf import Shelf
from ..lang.problem import Problem
from .job import Job


def edition_of(job: Job, shelf: Shelf) -> Found:
    """The edition, or why there is none."""
    named = job.edition
    if named.edition is None:
        assert job.letting is not None, "it was asked for when the job was read"
        base, problems = _in_force(job, job.letting, shelf)
    else:
        base, problems = shelf.find(f"{named.ruleset}@{named.edition}")
        if base is None:
            message = f"the edition of this job, {named.ruleset}@{named.edition}, cannot be used"
            return None, (Problem("job-edition", message, named.span, "its own problems are told beside"), *problems)
        if named.digest != base.digest:
            message = f"{base.name} is not the one that was pinned: its digest is {base.digest}"
            help = "name the folder that holds it as it was then: --rulesets DIR"
            return None, (Problem("job-digest", message, named.span, help),)
    if base is None or job.layer is None:
        return base, problems
    return _with_layer(job, base, shelf)


def _in_force(job: Job, day: datetime.date, shelf: Shelf) -> Found:
    """Of the enacted editions of the ruleset that had begun by ``day`` and not ended, the one that began last."""
    places, wrong = shelf.places()
    span, ruleset = job.edition.span, job.edition.ruleset
    mine = [place for place in places if place.ruleset == ruleset]
    if not mine:
        known = ", ".join(dict.fromkeys(place.ruleset for place in places))
        message = f"there is no ruleset `{ruleset}`"
        return None, (Problem("job-edition", message, span, f"at hand: {known}"), *wrong)
    found: list[Edition] = []
    for place in mine:
        edition, problems = shelf.read(place)
        if edition is None:
            # It may be the one that was in force: nobody can tell.
            message = f"{place.name} cannot be read, so that the edition in force on {day} is not known"
            return None, (Problem("job-edition", message, span, "mend it, or pin the edition by its digest"), *problems)
        start, end = edition.effective
        if edition.enacted is not None and start <= day and (end is None or day <= end):
            found.append(edition)
    if not found:
        message = f"no enacted edition of {ruleset} was in force on {day}"
        return None, (Problem("job-edition", message, span, "check the letting date, or pin the edition"),)
    last = max(edition.effective[0] for edition in found)
    latest = [edition for edition in found if edition.effective[0] == last]
    if len(latest) > 1:
        names = " and ".join(edition.name for edition in latest)
        return None, (Problem("job-edition", f"{names} came into force on one day", span, "pin the one that is meant"),)
    return latest[0], ()


def _with_layer(job: Job, base: Edition, shelf: Shelf) -> Found:
    """What the contract makes of ``base``."""
    assert job.layer is not None
    edition, problems = shelf.find(str(job.layer))
    if edition is None:
        return None, problems
    under = edition.layers[-1] if edition.layers else None
    if under is None or (under.name, under.digest) != (base.name, base.digest):
        over = "states its rules whole" if under is None else f"amends {under.name}"
        message = f"the layer of this contract {over}, and the contract names {base.name}"
        return None, (Problem("job-layer", message, edition.span.at(0, 0), "amend the edition that is named"),)
    return edition, ()
