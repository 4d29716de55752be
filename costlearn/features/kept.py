"""What is worked out once of a job and then kept for as long as the job is in memory.

A job never changes, and one answer measures it dozens of times: once for each target, each phase
and each of the moments a backtest goes back to.
"""

from __future__ import annotations

import weakref
from collections.abc import Callable
from typing import Generic, TypeVar

from costlearn.records import Job

T = TypeVar("T")


class OncePerJob(Generic[T]):
    """A function of a job that is called once for each job.

    Jobs are told apart as objects: two equal ones are worked out twice. What is kept goes with the
    job.

    >>> calls = []
    >>> once = OncePerJob(lambda job: calls.append(job.key) or len(job.name))
    >>> job = Job(key="a", name="A")
    >>> once(job), once(job), calls
    (1, 1, ['a'])
    """

    def __init__(self, work: Callable[[Job], T]) -> None:
        self._work = work
        self._kept: dict[int, tuple[weakref.ref[Job], T]] = {}

    def __call__(self, job: Job) -> T:
        """What the function says of the job."""
        key = id(job)
        known = self._kept.get(key)
        # The number of an object may be given again once it is gone, so the object is compared too.
        if known is not None and known[0]() is job:
            return known[1]
        value = self._work(job)
        self._kept[key] = weakref.ref(job, lambda _: self._kept.pop(key, None)), value
        return value

    def __len__(self) -> int:
        """How many jobs are kept."""
        return len(self._kept)
