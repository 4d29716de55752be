"""How crews change from one part of a job to another, by person-days over site days."""

from __future__ import annotations

import numpy as np

from costlearn.models.distribution import Floats


def crew_change(person_days: Floats, site_days: Floats, before: Floats, here: Floats) -> Floats:
    """Log of the people in some phases over those in others, for each job; NaN where not known.

    Only phases with both sorts of days count, and a crew is never under one.

    Args:
        person_days: shape (jobs, phases), NaN for none.
        site_days: the same.
        before: weights of the phases compared with, shape (phases,).
        here: weights of the phases asked about, likewise.
    """
    both = np.nan_to_num(person_days * site_days) > 0
    people, site = np.where(both, person_days, 0.0), np.where(both, site_days, 0.0)
    first, then = (_crew(people @ part, site @ part) for part in (before, here))
    return np.asarray(np.log(then / first), dtype=float)


def _crew(people: Floats, site: Floats) -> Floats:
    return np.maximum(people / np.where(site > 0, site, np.nan), 1.0)
