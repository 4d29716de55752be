"""What was on file on an earlier day, so that a past job can be foretold as it was quoted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from costlearn.records import History, Job

NEWEST = 150
"""At most so many of the newest jobs are tried; older ones say little about today."""
MOST_KNOWN = 2000
"""Each is foretold from at most so many jobs, the newest known then: going back to 150 days in a
hundred thousand jobs would otherwise be as many fits of them all. What is not yet known of the
effects adds their number over the number of jobs to the variance of one, so a range from 2,000
differs by 1 % or less from one of all (``compare_bound`` in ``tests/bench/scale.py``)."""


def quote_day(job: Job) -> date | None:
    """The day a job was priced: the quote's date, else its start."""
    return job.quoted_on or job.started


def known_on(history: History, day: date) -> History:
    """What was on file on a day: the usable jobs finished before it.

    A job whose finish nobody wrote down is never known. Stated rates and usual figures are of
    today, so they are left out. Of very many, the newest :data:`MOST_KNOWN` are given.
    """
    jobs = tuple(j for j in history.usable if j.finished and j.finished < day)[-MOST_KNOWN:]
    past = History(replace(history.firm, rates={}, usual={}), jobs)
    # They are usable and each there once; finding that out anew for every day takes longer than
    # many a fit.
    vars(past)["usable"] = jobs
    return past


def bounds_met(history: History, known: Iterable[int]) -> tuple[str, ...]:
    """What to say where there were more jobs than are tried or learned from; empty where not.

    Args:
        history: the firm's jobs.
        known: from how many jobs each of those tried was foretold.
    """
    counts = list(known)
    dated = sum(j.finished is not None and quote_day(j) is not None for j in history.usable)
    said = []
    if len(counts) == NEWEST < dated:
        said.append(f"Of {dated:,} finished jobs with dates the newest {NEWEST} were tried")
    if max(counts, default=0) >= MOST_KNOWN:
        said.append(
            f"Each was priced from at most the newest {MOST_KNOWN:,} jobs known on that day: more "
            "of them hardly change a range, and old ones say little about today"
        )
    return tuple(said)
