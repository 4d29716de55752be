"""A running job on the calendar: the phases it still has, on the days its forecast gives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.models.distribution import LogSpread
from costlearn.models.midjob import Topped
from costlearn.models.phases import DRAWS, PhaseChance, draw_matrix
from costlearn.questions.byphase import phase_models
from costlearn.questions.calendar import Between, Waits, between
from costlearn.questions.planning.drawn import WHOLE, SiteDays, shuffled
from costlearn.questions.running.crews import crew_change
from costlearn.questions.running.ending import Measured, measured, spoken
from costlearn.questions.running.finish import last_on_file
from costlearn.questions.running.stage import Standing, standings
from costlearn.records import NOTHING, Amounts, History, Job
from costlearn.vocabulary import Vocabulary


@dataclass(frozen=True)
class Underway:
    """What a running job still has before it.

    ``since`` is the evening the days are counted from, ``rest`` the working days still to come as
    ``costlearn.questions.running`` foretells them; ``days`` and ``idle`` are its parts. ``onward``
    is, for each phase of ``days``, how many times the crew so far is taken to be at work there.
    """

    since: date
    rest: LogSpread
    days: SiteDays
    idle: Between
    onward: tuple[float, ...]


def underway(history: History, job: Job, on: date | None, words: Vocabulary) -> Underway | None:
    """What a running job still has before it; None where its days to come cannot be told.

    Args:
        history: the firm's jobs.
        job: the running job.
        on: the day to count from; default the last its records speak of.
        words: the words of the trade and the firm.
    """
    workdays = history.firm.workdays
    found = standings(job, None, words)
    work = measured(history, job, found, "person_days")
    since = on or last_on_file(job, workdays)
    if work is None or since is None:
        return None
    said = spoken(job, found, {"person_days": work}, since, workdays)
    if said.days is None:
        return None
    ends = said.ends.get("site_days")
    site = ends.rest if isinstance(ends, Topped) else said.days
    ahead = [s for s in found if s.done < 1]
    days, share = _site_days(history, job, ahead, site, work.jobs, words)
    idle = _idle(history, job, days, ahead, share, words)
    return Underway(since, said.days, days, idle, _onward(work, days.keys))


def _onward(work: Measured, keys: Sequence[str]) -> tuple[float, ...]:
    """People in each phase over people so far, as finished jobs went on from this stage.

    Geometric means, as if one more job had changed nothing. A forecast divides work by the crew so
    far and corrects that by how finished jobs went on: these are the people its days stand for.
    Where a helper always leaves before the tile, the days of the tile are those of one.
    """
    table, done = work.table, work.now.done
    found = []
    for key in keys:
        here = 1 - done if key == WHOLE else np.array([p == key for p in table.phases], dtype=float)
        change = crew_change(table.actual, table.site, done, here)
        known = change[np.isfinite(change)]
        found.append(float(np.exp(known.sum() / (len(known) + 1))))
    return tuple(found)


def _site_days(
    history: History,
    job: Job,
    ahead: list[Standing],
    site: LogSpread,
    jobs: tuple[Job, ...],
    words: Vocabulary,
) -> tuple[SiteDays, float]:
    """Site days of the phases ahead, and which part of the whole job's they are."""
    asked = replace(job, actual=NOTHING, phases=(), plan=Amounts(crew=job.actual.crew))
    models = phase_models(history, asked, "site_days", words)
    left = {s.phase: 1 - s.done for s in ahead}
    kept = [f for f in models.fitted if f.phase in left] if models else []
    if models is None or not kept:
        whole = shuffled(site)[:, None]
        return SiteDays((WHOLE,), whole, (1.0,), (len(jobs),), jobs, ""), 1.0
    # A phase on the job's own list is certain to come, in the part that is not done.
    chances = [PhaseChance(f.phase, f.spread.times(left[f.phase]), 1.0) for f in kept]
    every = sum(c.spread.median * c.chance for c in models.chances)
    share = min(sum(c.spread.median for c in chances) / every, 1.0)
    return (
        SiteDays(
            tuple(f.phase for f in kept),
            draw_matrix(chances, models.shared, site),
            (1.0,) * len(kept),
            tuple(f.jobs for f in kept),
            jobs,
            "",
        ),
        share,
    )


def _idle(
    history: History,
    job: Job,
    days: SiteDays,
    ahead: list[Standing],
    share: float,
    words: Vocabulary,
) -> Between:
    """The waits of the phases ahead, of a whole job's; other gaps in the part of work to come."""
    every = [p.key for p in words.phases]
    idle = between(history, job, every, DRAWS)
    left = {s.phase: 1 - s.done for s in ahead}
    by = {k: w * left[k] for k, w in idle.waits.by_phase.items() if k in left}
    whole = sum(idle.waits.by_phase.values())
    part = sum(by.values()) / whole if whole else share
    total = idle.waits.total * part
    return replace(
        idle,
        waits=Waits(total, {k: w for k, w in by.items() if k in days.keys}, idle.waits.source),
        wait_draws=np.asarray(idle.wait_draws * part),
        gap_draws=np.asarray(idle.gap_draws * share),
    )
