"""Draws of the next of a few numbers that cannot be below zero, such as days a job stood still."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from costlearn.models.distribution import Floats

PRIOR_JOBS = 2.0
"""How many jobs the first guess of the spread counts for."""
PRIOR_SHARE, LEAST_SPREAD = 0.5, 0.5
"""First guess of the spread: half of the middle, at least half a day (trade judgement, no
source)."""
SMOOTH = 4.0
"""The smooth curve counts for so many records beside the records themselves."""


def next_counts(values: Sequence[float], size: int, seed: int) -> Floats:
    """Draws of what the next one comes to, shape (size,); the same seed gives the same draws.

    A mixture: with few records mostly a t distribution (normal errors, the spread pulled to a
    first guess, what is under zero taken for zero), with many mostly the records as they were, so
    that "mostly none, now and then ten" stays what it is. No records: zeros.
    """
    seen = np.asarray(values, dtype=float)
    if seen.size == 0:
        return np.zeros(size)
    rng = np.random.default_rng(seed)
    count, middle = seen.size, float(seen.mean())
    guess = max(PRIOR_SHARE * middle, LEAST_SPREAD)
    df = count - 1 + PRIOR_JOBS
    variance = (PRIOR_JOBS * guess**2 + float(np.sum((seen - middle) ** 2))) / df
    smooth = middle + np.sqrt(variance * (1 + 1 / count)) * rng.standard_t(df, size)
    again = rng.choice(seen, size)
    drawn = np.where(rng.random(size) < count / (count + SMOOTH), again, smooth)
    return np.asarray(np.maximum(drawn, 0.0), dtype=float)
