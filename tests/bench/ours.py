"""Our own method in the benchmark, by the path a user's question takes: records to interval."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from laws import Floats
from scores import LEVELS, Said
from worlds import ITEMS, Sample

from costlearn.models.scoring import CHANCES
from costlearn.questions.learning import predict
from costlearn.records import NOTHING, Amounts, History, Job
from costlearn.units import to_cents

FIRST_DAY = date(2019, 1, 7)


def records_of(sample: Sample, state: str) -> tuple[Job, ...]:
    """The sample as the records a firm would have on file, oldest first."""
    return tuple(_job(sample, i, state) for i in range(len(sample.jobs.area)))


def _job(sample: Sample, i: int, state: str) -> Job:
    jobs = sample.jobs
    scope = {key: float(v) for key, v in zip(ITEMS, jobs.items[i], strict=True)}
    scope |= {"wall_tile": jobs.wall[i], "move_drain": jobs.moved[i], "lighting": jobs.lights[i]}
    finished = state == "finished"
    crew = float(jobs.crew[i])

    def amounts(totals: dict[str, Floats]) -> Amounts:
        return Amounts(
            cost=to_cents(float(totals["cost"][i])),
            person_days=float(totals["person_days"][i]),
            elapsed_days=float(totals["elapsed_days"][i]),
            crew=crew,
        )

    return Job(
        key=f"{state}{i}",
        name=f"{state} {i}",
        state=state,
        started=FIRST_DAY + timedelta(days=round(float(jobs.date[i]) * 365.25)),
        area_sqft=float(jobs.area[i]),
        grade=float(jobs.grade[i]),
        plan=amounts(dict(sample.quote)),
        actual=amounts(dict(sample.actual)) if finished else NOTHING,
        books_closed=finished,
        scope=scope,
    )


def costlearn(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said | None:
    """One fit for each job ahead, as a question makes it."""
    firm = History(jobs=records_of(history, "finished"))
    ends = np.empty((len(LEVELS), len(ahead.jobs.area), 2))
    points = np.empty((len(ahead.jobs.area), len(CHANCES)))
    for i, job in enumerate(records_of(ahead, "quoted")):
        answer = predict(firm, job, target, quoted=quoted)
        if answer is None:
            return None
        points[i] = answer.spread.quantiles(CHANCES)
        for k, level in enumerate(LEVELS):
            one = answer.spread.interval(level)
            ends[k, i] = one.low, one.high
    return Said(ends, points)
