"""Histories and answers the tests of the pages share; all invented, all seeded."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np

from costlearn.demo.jobs import JobTruth, PhaseTruth, invented_jobs
from costlearn.demo.quotes import QUOTE_DAY, WALK_IN
from costlearn.firm import Firm
from costlearn.questions.answer import Answer
from costlearn.questions.crewing.crew import Crew, crew
from costlearn.questions.crewing.year import YearTerms
from costlearn.questions.estimate import Estimate, estimate
from costlearn.questions.options import Options, option_prices
from costlearn.questions.overrun.overruns import Overruns, overruns
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.planning.calendar import site_calendar
from costlearn.questions.quoting.quote import QuoteCheck, check
from costlearn.questions.running.midjob import Forecast, forecast
from costlearn.questions.running.trust import MidjobTrust, after_each_phase
from costlearn.questions.trust import Trust, backtest
from costlearn.records import Amounts, History, Job, PhaseRecord, job_key

FIRM = Firm(
    name="Tern & Tallow Renovation",
    day_rate=512,
    wanted_margin=0.27,
    overhead_per_year=46000,
    working_days_per_year=205,
    helper_day_cost=310,
    owner_day_cost=420,
)
EVIL = "Ø bath \"<script>document.title='taken'</script>\" & </script><b>loud</b> 東京 'x'"
LONG = "Mezzanine-and-" * 12 + "bath"
SCOPE: dict[str, float | None] = dict(WALK_IN)


@cache
def history() -> History:
    """The invented firm's jobs, straight from what was planted."""
    return History(FIRM, tuple(_job(t) for t in invented_jobs()))


@cache
def evil_history() -> History:
    """The same jobs, two of them with names that must stay text."""
    jobs = list(history().jobs)
    jobs[3] = replace(jobs[3], name=EVIL)
    jobs[4] = replace(jobs[4], name=LONG)
    return History(FIRM, tuple(jobs))


@cache
def totals_only() -> History:
    """Eight jobs of which only cost, area, date and one item are known; in another currency."""
    rng = np.random.default_rng(5)
    jobs = tuple(
        Job(
            key=f"t{i}",
            name=f"T-{i:02d}",
            kind="bathroom",
            started=date(2024, 1 + i, 6),
            finished=date(2024, 1 + i, 27),
            area_sqft=40.0 + 5 * i,
            scope={"wall_tile": 60.0 + 10 * i},
            actual=Amounts(cost=int(1_400_000 * (1 + 0.06 * i) * np.exp(rng.normal(0, 0.1)))),
        )
        for i in range(8)
    )
    return History(Firm(currency="CHF", area_unit="sqm"), jobs)


def quoted(name: str = "Q-117 walk-in") -> Job:
    """A bathroom quoted too low in tile and waterproofing, with a forgotten fan."""
    plans = {
        "demo": (143000, 2.0),
        "tile": (210000, 2.5),
        "waterproof": (30000, 0.5),
        "board": (132000, 2.0),
        "finish_set": (211000, 1.5),
    }
    return Job(
        key=job_key(name),
        name=name,
        kind="bathroom",
        state="quoted",
        quoted_on=QUOTE_DAY,
        area_sqft=52.0,
        house_year=1974,
        price=2100000,
        plan=Amounts(cost=1420000, person_days=17, site_days=10.5, elapsed_days=17, crew=2),
        scope={**SCOPE, "bath_fan": None, "heated_floor": 0.0},
        phases=tuple(PhaseRecord(p, Amounts(cost=c, person_days=d)) for p, (c, d) in plans.items()),
    )


@cache
def estimated(name: str = "Walk-in shower, hall bath") -> Estimate:
    """An estimate out of the invented firm."""
    job = replace(quoted(name), price=None, plan=Amounts(), phases=())
    return estimate(evil_history(), job, on=QUOTE_DAY)


@cache
def checked(name: str = "Q-117 walk-in") -> QuoteCheck:
    """A quote check out of the invented firm."""
    return check(evil_history(), quoted(name))


@cache
def overran() -> Overruns:
    """The overruns of the invented firm."""
    return overruns(evil_history())


@cache
def crewed() -> Crew:
    """The crew question with a job and a year."""
    return crew(evil_history(), quoted(), YearTerms(backlog=14))


@cache
def trusted() -> Trust:
    """How far the estimates of the invented firm can be trusted."""
    return backtest(evil_history())


@cache
def foretold(name: str = "B26-08 main bath") -> Forecast:
    """Where the first running job of the invented firm ends."""
    job = evil_history().running[0]
    return forecast(evil_history(), replace(job, name=name, price=job.price or 3_000_000))


@cache
def stopped() -> MidjobTrust:
    """The finished jobs of the invented firm, stopped after each phase."""
    return after_each_phase(evil_history())


@cache
def priced(name: str = "Walk-in shower, hall bath") -> Options:
    """Options on top of a bathroom of the invented firm."""
    job = replace(quoted(name), price=None, plan=Amounts(), phases=())
    return option_prices(evil_history(), job, on=QUOTE_DAY)


@cache
def planned(name: str = "Q-117 walk-in", start: date = date(2026, 12, 14)) -> SiteCalendar:
    """A quote of the invented firm on the calendar, over two weeks of holidays."""
    off = tuple(date.fromordinal(date(2026, 12, 24).toordinal() + i) for i in range(11))
    return site_calendar(evil_history(), quoted(name), start, holidays=off)


@cache
def unknown() -> tuple[Answer, ...]:
    """Every question asked of an empty history."""
    none = History(FIRM)
    return (
        estimate(none, quoted(EVIL)),
        check(none, quoted(EVIL)),
        overruns(none),
        crew(none),
        backtest(none),
        forecast(none, replace(evil_history().running[0], name=EVIL)),
        after_each_phase(none),
        option_prices(none),
        site_calendar(none, quoted(EVIL), date(2026, 12, 14)),
    )


def _job(t: JobTruth) -> Job:
    crew_size = t.person_days / t.site_days if t.finished and t.site_days else None
    return Job(
        key=job_key(t.code),
        name=f"{t.code} {t.name}",
        kind=t.scope.kind,
        state="finished" if t.finished else "running",
        quoted_on=t.quoted_on,
        started=t.started,
        finished=t.finished,
        area_sqft=t.scope.area,
        house_year=t.scope.house_year,
        price=t.price,
        plan=Amounts(cost=t.plan_cost),
        actual=Amounts(
            cost=sum(p.cost for p in t.phases),
            labour=sum(p.costs.get("labour", 0) for p in t.phases),
            person_days=t.person_days,
            site_days=t.site_days,
            wait_days=t.wait_days,
            elapsed_days=float(np.busday_count(t.started, t.finished) + 1) if t.finished else None,
            crew=crew_size,
        ),
        books_closed=t.books_closed,
        scope=dict(t.scope.items),
        phases=tuple(_phase(p) for p in t.phases) if t.has_phases else (),
    )


def _phase(p: PhaseTruth) -> PhaseRecord:
    return PhaseRecord(
        p.phase,
        Amounts(cost=p.plan_cost, person_days=p.plan_hours / 8 or None),
        Amounts(
            cost=p.cost or None,
            person_days=p.hours / 8 or None,
            site_days=p.site_hours / 8 or None,
            crew=float(p.crew),
        ),
    )
