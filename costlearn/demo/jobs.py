"""The invented jobs as they really went: clean records in memory, before any dirt.

A job is quoted from what its phases should take, with the firm's own quoting noise and no knowledge
of what usually overruns; then it is built, day by day.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache

from costlearn.demo.scopes import CALENDAR, RUNNING, draw_scope
from costlearn.demo.truth import (
    CREW_LEANING,
    GOODS_NOISE,
    HELPER_FROM,
    HOURS_PER_DAY,
    JOB_EFFECT,
    MARGIN,
    OVERRUN,
    PHASE_NOISE,
    QUOTING_NOISE,
    SEED,
    Content,
    Dice,
    Scope,
    content_of,
    crew_change,
    day_rate,
    expected_waits,
    price_level,
    solo_days,
)
from costlearn.demo.workdays import WorkDay, build, move
from costlearn.units import to_cents

IN_PHASE_BOOK = {
    2021: (2, 6),
    2022: (1, 2, 7),
    2023: (1, 2, 4, 6, 7),
    2024: (1, 2, 4, 5, 6, 8),
    2025: (1, 2, 3, 4, 6, 8),
    2026: (1, 2, 3, 4, 5, 6, 7),
}
"""Which jobs of a year (counted from 1) have their phases written down."""

CHANGES: dict[str, tuple[tuple[str, str, float], ...]] = {
    "B21-02": (("approved", "framing", 0.8),),
    "L21-04": (("verbal", "cabs_trim", 0.3),),
    "B21-06": (("approved", "elec_rough", 0.5), ("declined", "tile", 0.7)),
    "B22-02": (("approved", "plumb_rough", 0.6),),
    "B22-08": (("approved", "tile", -0.5),),
    "B23-01": (("approved", "finish_set", 0.4),),
    "B23-04": (("approved", "cabs_trim", 0.7),),
    "K23-07": (("declined", "cabs_trim", 1.0),),
    "B24-01": (("approved", "plumb_rough", 0.5),),
    "B24-04": (("verbal", "finish_set", 0.3),),
    "B24-08": (("approved", "framing", 0.9), ("declined", "elec_rough", 0.4)),
    "B25-01": (("approved", "tile", 0.6), ("approved", "finish_set", 0.4)),
    "L25-05": (("approved", "finish_set", 0.5),),
    "B25-08": (("approved", "tile", -0.6), ("verbal", "elec_rough", 0.3)),
    "B26-04": (("approved", "elec_rough", 0.5),),
    "B26-07": (("approved", "cabs_trim", 0.5),),
    "B26-08": (("approved", "framing", 0.6),),
}
"""Change orders by job: state, phase, person-days alone (negative: work left out)."""

CHANGE_TEXTS = {
    "tile": "extra row of tile and a ledge",
    "elec_rough": "two more lights on a dimmer",
    "framing": "rot under the old tub",
    "finish_set": "second towel rail and a shelf",
    "cabs_trim": "taller cabinet with side panel",
    "plumb_rough": "new shut-offs at the wall",
}
LEFT_OUT = "leave out the accent band"


@dataclass(frozen=True)
class Change:
    """A change order; the work of approved and verbal ones was done."""

    label: str
    state: str
    phase: str
    hours: float
    cost: int
    price: int

    @property
    def done(self) -> bool:
        """True if the work was done, paid for or not."""
        return self.state != "declined"


@dataclass(frozen=True)
class PhaseTruth:
    """One phase of a job: person-hours, cents, wait days; planned and as they were.

    ``late`` is what had not been billed when the books were copied (cents, part of ``costs``).
    ``share`` is how much of it is done, in person-hours.
    """

    phase: str
    crew: int
    plan_hours: float
    plan_cost: int
    plan_wait: float
    hours: float
    costs: Mapping[str, int]
    wait_days: int
    late: int = 0
    share: float = 1.0

    @property
    def cost(self) -> int:
        """Direct cost in cents, all kinds together."""
        return sum(self.costs.values())

    @property
    def booked(self) -> int:
        """Direct cost in cents as far as it had been billed."""
        return self.cost - self.late

    @property
    def site_hours(self) -> float:
        """Hours the crew was at it, whatever its size."""
        return self.hours / self.crew


@dataclass(frozen=True)
class JobTruth:
    """One invented job: scope, quote, phases, changes and the days it was built on."""

    code: str
    scope: Scope
    quoted_on: date
    started: date
    finished: date | None
    price: int
    phases: tuple[PhaseTruth, ...]
    changes: tuple[Change, ...]
    days: tuple[WorkDay, ...]
    has_phases: bool
    books_closed: bool = True

    @property
    def name(self) -> str:
        """Code and title, as the job list writes it."""
        return f"{self.code} {self.scope.title}"

    @property
    def plan_cost(self) -> int:
        """Planned direct cost in cents."""
        return sum(p.plan_cost for p in self.phases)

    @property
    def plan_person_days(self) -> float:
        """Planned person-days."""
        return sum(p.plan_hours for p in self.phases) / HOURS_PER_DAY

    @property
    def plan_site_days(self) -> float:
        """Planned days of the crew on site."""
        return sum(p.plan_hours / p.crew for p in self.phases) / HOURS_PER_DAY

    @property
    def plan_elapsed(self) -> int:
        """Planned working days from first to last day on site."""
        return math.ceil(self.plan_site_days + sum(p.plan_wait for p in self.phases))

    @property
    def booked(self) -> int:
        """Direct cost in cents as far as it had been billed."""
        return sum(p.booked for p in self.phases)

    @property
    def person_days(self) -> float:
        """Person-days worked."""
        return sum(p.hours for p in self.phases) / HOURS_PER_DAY

    @property
    def site_days(self) -> int:
        """Days on which somebody worked there."""
        return len({d.day for d in self.days if not d.waiting})

    @property
    def wait_days(self) -> int:
        """Working days lost to drying, curing, inspection or late goods."""
        return len({d.day for d in self.days if d.waiting})

    @property
    def paid(self) -> int:
        """What the client paid, in cents: price and approved changes."""
        return self.price + sum(c.price for c in self.changes if c.state == "approved")

    def changed_cost(self, phase: str) -> int:
        """Cents that approved changes added to the cost of a phase."""
        return sum(c.cost for c in self.changes if c.phase == phase and c.state == "approved")


@cache
def invented_jobs(seed: int = SEED) -> tuple[JobTruth, ...]:
    """All jobs of the invented firm, oldest first; the last two are still running."""
    jobs: list[JobTruth] = []
    free = date(2021, 2, 8)
    for year, styles in CALENDAR.items():
        listed = styles.split()
        for number, style in enumerate(listed, start=1):
            code = f"{style[0].upper() if style in ('laundry', 'kitchen') else 'B'}"
            code += f"{year % 100}-{number:02d}"
            dice = Dice(f"job {code}", seed)
            slot = _slot(year, number, len(listed))
            begin = move(max(free, slot), dice.whole(1, 4))
            job = _finished(code, draw_scope(style, dice), begin, dice)
            job = replace(job, has_phases=number in IN_PHASE_BOOK[year])
            free = job.finished or free
            jobs.append(job)
    jobs[-1] = _open_books(jobs[-1])
    return (*jobs, *_running(seed))


def draw_crews(scope: Scope, begin: date, dice: Dice) -> dict[str, int]:
    """How many people do each phase: bigger jobs more often get two, once there is a helper."""
    content = content_of(scope)
    if begin < HELPER_FROM:
        return dict.fromkeys(content, 1)
    odds = min(max(0.12 + 0.022 * (solo_days(scope) - 8), 0.1), 0.85)
    return {p: 2 if dice.chance(min(odds * CREW_LEANING.get(p, 1.0), 0.95)) else 1 for p in content}


def quarter(hours: float) -> float:
    """Hours as people write them down: to the quarter, never nothing."""
    return max(round(hours * 4), 1) / 4


def _slot(year: int, number: int, jobs: int) -> date:
    """The earliest day a job of the year's calendar is taken up."""
    first = date(year, 1, 11) if year > 2021 else date(2021, 2, 8)
    length = (date(year, 9, 1) if year == 2026 else date(year, 12, 1)) - first
    return first + timedelta(days=round(length.days * (number - 1) / jobs))


def _finished(code: str, scope: Scope, begin: date, dice: Dice) -> JobTruth:
    """Quote a job and build it."""
    quoted_on = move(begin, -dice.whole(12, 30))
    crews = draw_crews(scope, begin, dice)
    changes = _changes(code, crews, begin, dice)
    shared = dice.normal(JOB_EFFECT)
    late_goods = dice.pick(("", "", "", "tile", "cabs_trim"))
    phases = tuple(
        _phase(p, c, crews[p], quoted_on, begin, shared, changes, scope, late_goods, dice)
        for p, c in content_of(scope).items()
    )
    days, finished = build(begin, [(p.phase, p.crew, p.site_hours, p.wait_days) for p in phases])
    margin = MARGIN + dice.normal(0.012)
    price = round(sum(p.plan_cost for p in phases) / (1 - margin) / 10_000) * 10_000
    return JobTruth(
        code, scope, quoted_on, begin, finished, price, phases, changes, days, has_phases=False
    )


def _phase(
    phase: str,
    content: Content,
    crew: int,
    quoted_on: date,
    begin: date,
    shared: float,
    changes: tuple[Change, ...],
    scope: Scope,
    late_goods: str,
    dice: Dice,
) -> PhaseTruth:
    """Plan one phase, then let it happen."""
    full_hours = content.days * crew_change(phase, crew) * HOURS_PER_DAY
    quoting = math.exp(dice.normal(QUOTING_NOISE))
    plan_hours = quarter(full_hours * quoting)
    plan_goods = sum(content.goods.values()) * price_level(quoted_on) * quoting
    plan_cost = plan_hours / HOURS_PER_DAY * day_rate(quoted_on) + plan_goods
    done = [c for c in changes if c.phase == phase and c.done]
    factor = OVERRUN.get(phase, 1.0) * math.exp(shared)
    worked = (full_hours + sum(c.hours for c in done)) * factor
    hours = crew * quarter(worked * math.exp(dice.normal(PHASE_NOISE[phase])) / crew)
    rate = day_rate(begin) / HOURS_PER_DAY
    costs = {"labour": to_cents(hours * rate)}
    extra = sum(c.cost / 100 - c.hours * rate for c in done)
    bought = sum(content.goods.values())
    for kind, amount in content.goods.items():
        spent = amount * price_level(begin) + extra * (amount / bought)
        costs[kind] = to_cents(spent * factor * math.exp(dice.normal(GOODS_NOISE)))
    wait = expected_waits(scope).get(phase, 0.0)
    waited = int(wait) + (1 if dice.chance(wait - int(wait)) else 0)
    if phase == late_goods:
        waited += dice.whole(1, 4)
    return PhaseTruth(phase, crew, plan_hours, to_cents(plan_cost), wait, hours, costs, waited)


def _changes(code: str, crews: Mapping[str, int], begin: date, dice: Dice) -> tuple[Change, ...]:
    """The change orders of a job, at a price of their own."""
    made: list[Change] = []
    for number, (state, phase, days) in enumerate(CHANGES.get(code, ()), start=1):
        hours = round(days * crew_change(phase, crews[phase]) * HOURS_PER_DAY * 2) / 2
        goods = math.copysign(dice.between(60, 200), days) * price_level(begin)
        cost = round(hours / HOURS_PER_DAY * day_rate(begin) + goods)
        price = round(cost / 0.7 / 10) * 10
        text = LEFT_OUT if days < 0 else CHANGE_TEXTS[phase]
        made.append(Change(f"CO{number} {text}", state, phase, hours, cost * 100, price * 100))
    return tuple(made)


def _open_books(job: JobTruth) -> JobTruth:
    """The last finished job: the glass and part of the tile have not been billed yet."""
    late = {"finish_set": ("sub", 1.0), "tile": ("material", 0.4)}
    phases = tuple(
        replace(p, late=round(p.costs[late[p.phase][0]] * late[p.phase][1]))
        if p.phase in late and late[p.phase][0] in p.costs
        else p
        for p in job.phases
    )
    return replace(job, phases=phases, books_closed=False)


def _running(seed: int) -> tuple[JobTruth, ...]:
    """Two jobs under way: one waits for tile since the other was begun."""
    made: list[JobTruth] = []
    spans = ((date(2026, 10, 5), date(2026, 10, 21)), (date(2026, 10, 22), date(2026, 10, 30)))
    for number, (style, (begin, last)) in enumerate(zip(RUNNING, spans, strict=True), start=8):
        code = f"{'L' if style == 'laundry' else 'B'}26-{number:02d}"
        dice = Dice(f"job {code}", seed)
        whole = _finished(code, draw_scope(style, dice), begin, dice)
        made.append(_cut(replace(whole, has_phases=True), last))
    return tuple(made)


def _cut(job: JobTruth, last: date) -> JobTruth:
    """A job as it stood at the end of a day: nothing is known of what came after."""
    days = tuple(d for d in job.days if d.day <= last)
    phases = []
    for p in job.phases:
        worked = sum(d.hours * d.crew for d in days if d.phase == p.phase and not d.waiting)
        share = worked / p.hours
        costs = {k: round(v * share) for k, v in p.costs.items()} if worked else {}
        waited = sum(1 for d in days if d.phase == p.phase and d.waiting)
        phases.append(replace(p, hours=worked, costs=costs, wait_days=waited, share=share))
    seen = {p.phase for p in phases if p.share > 0}
    changes = tuple(c for c in job.changes if c.phase in seen)
    return replace(
        job, days=days, phases=tuple(phases), changes=changes, finished=None, books_closed=False
    )
