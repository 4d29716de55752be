"""The page of a running job, and the page of how far such forecasts can be trusted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from costlearn.pages.asked import subject
from costlearn.pages.charts import Scale
from costlearn.pages.estimate import KEYS, MIDDLE
from costlearn.pages.rows import Band, Mark, Row, nested, row_chart
from costlearn.pages.shell import Key, Picture, Sheet
from costlearn.questions.answer import Grounds, Table
from costlearn.questions.running.ending import Landing
from costlearn.questions.running.midjob import Forecast
from costlearn.questions.running.tables import PhaseAhead
from costlearn.questions.running.trust import AfterPhase, MidjobTrust
from costlearn.questions.wording import PLAIN_TARGET, count_of, say, say_range
from costlearn.units import say_money, say_percent

QUESTION = "Where will this running job end?"
TRUST_QUESTION = "How good are forecasts of running jobs?"
DAYS = ("person_days", "site_days", "elapsed_days")
SHORT = {
    "cost": "Direct cost",
    "person_days": "Person-days of work",
    "site_days": "Days on site",
    "elapsed_days": "Working days, first to last",
}
SPENT = Key("square", "third", "so far")
PLANNED = Key("triangle", "ink", "planned, with approved changes")
INDEX = Key("diamond", "muted", "by the standard index", True)
TO_COME = Key("circle", "signal", "middle of what is to come")
PLAN_LEFT = Key("triangle", "ink", "planned")


def sheet(answer: Forecast) -> Sheet:
    """What the page of a running job shows around the answer."""
    pictures = (_cost(answer), _days(answer), _phases(answer))
    return Sheet(
        QUESTION,
        subject(answer.job, answer.grounds.area_unit),
        _asked(answer),
        tuple(p for p in pictures if p is not None),
    )


def trust_sheet(answer: MidjobTrust) -> Sheet:
    """What the page of the backtest shows around the answer."""
    if not answer.known:
        return Sheet(TRUST_QUESTION)
    rows = answer.of(answer.stages[0].target)
    return Sheet(
        TRUST_QUESTION,
        f"{count_of(answer.grounds.jobs, 'finished job')} with plan and actual by phase, "
        f"{answer.grounds.span}",
        pictures=(_narrowing(rows, answer.grounds),),
    )


def _asked(answer: Forecast) -> tuple[tuple[str, str], ...]:
    job, finish = answer.job, answer.finish
    money = answer.grounds.currency
    price = job.agreed_price
    found = [
        ("Started", f"{job.started.day} {job.started:%B %Y}" if job.started else ""),
        ("Agreed price", say_money(price / 100, money) if price is not None else ""),
        (
            "Counted from the evening of",
            f"{finish.since.day} {finish.since:%B %Y}" if finish else "",
        ),
    ]
    return tuple((name, said) for name, said in found if said)


def _cost(answer: Forecast) -> Picture | None:
    cost = answer.landing("cost")
    if cost is None:
        return None
    money = answer.grounds.currency
    # Without what is spent so far: it would squeeze the ends together.
    marks = [replace(m, shift=0.0) for m in _marks(cost, money)[1:]]
    keys = [*_drawn([cost]), MIDDLE]
    if cost.plan is not None:
        keys.append(PLANNED)
    index = None if answer.index is None else answer.index.at_index
    if index is not None:
        marks.append(Mark(index, "diamond", "muted", True, f"index: {say_money(index, money)}"))
        keys.append(INDEX)
    # Room at both sides, so that the words under a narrow range are whole.
    ends = (0.75 * min(cost.curve), 1.25 * max(cost.curve))
    row = Row(
        "",
        bands=nested(cost.intervals),
        marks=tuple(marks),
        over=((cost.median, say_money(cost.median, money)),),
        below=((cost.median, say_range(cost.main, "cost", money)),),
    )
    return Picture(
        "Direct cost at the end",
        row_chart([row], Scale("money", f"direct cost, {money}", money), ends=ends),
        f"{_lead(cost.jobs, answer.grounds)}; {money}; a band holds the end of such a job so many "
        "times in 10, figures under it: 8 in 10.",
        _numbers([cost], money),
        tuple(keys),
    )


def _days(answer: Forecast) -> Picture | None:
    found = [one for name in DAYS if (one := answer.landing(name)) is not None]
    if not found:
        return None
    money = answer.grounds.currency
    rows = [
        Row(
            SHORT[one.target],
            say_range(one.main, one.target, money),
            nested(one.intervals),
            tuple(_marks(one, money)),
        )
        for one in found
    ]
    keys = [*_drawn(found), MIDDLE, SPENT]
    if any(one.plan is not None for one in found):
        keys.append(PLANNED)
    fewest, most = min(o.jobs for o in found), max(o.jobs for o in found)
    jobs = f"{fewest} to {most}" if fewest < most else f"{most}"
    return Picture(
        "Days at the end",
        row_chart(rows, Scale("days", "days")),
        f"{jobs} finished jobs, {answer.grounds.span}; days in all, elapsed ones as working days; "
        "a band holds the end of such a job so many times in 10, figures at the left: 8 in 10.",
        _numbers(found, money),
        tuple(keys),
    )


def _phases(answer: Forecast) -> Picture | None:
    ahead = [p for p in answer.phases if p.done < 1 and p.to_come is not None]
    if not ahead:
        return None
    money, target = answer.grounds.currency, ahead[0].target
    scale = (
        Scale("money", f"direct cost still to come, {money}", money)
        if target == "cost"
        else Scale("days", "person-days still to come")
    )
    rows = [_phase_row(p, money) for p in ahead]
    numbers = Table(
        "The figures drawn",
        ("phase", "to come, middle", "planned of it", "part in the spread"),
        tuple(
            (p.name, *(_say(v, p, money) for v in (p.to_come, _left(p))), say_percent(p.share))
            for p in ahead
        ),
    )
    return Picture(
        "What is still to come, and where it is open",
        row_chart(rows, scale),
        f"{_lead(answer.landings[0].jobs, answer.grounds)}; single figures, no band: the "
        "middle of each phase still to come; under its name, its part in the spread of the rest.",
        numbers,
        (TO_COME, PLAN_LEFT),
    )


def _phase_row(p: PhaseAhead, money: str) -> Row:
    marks = [
        Mark(p.to_come or 0.0, "circle", "signal", says=f"to come: {_say(p.to_come, p, money)}")
    ]
    planned = _left(p)
    if planned is not None:
        marks.insert(
            0,
            Mark(planned, "triangle", "ink", says=f"planned: {_say(planned, p, money)}", shift=0.3),
        )
    return Row(p.name, f"{say_percent(p.share)} of the spread", marks=tuple(marks))


def _left(p: PhaseAhead) -> float | None:
    return None if p.planned is None else p.planned * (1 - p.done)


def _say(value: float | None, p: PhaseAhead, money: str) -> str:
    return "not known" if value is None else say(value, p.target, money)


def _narrowing(rows: Sequence[AfterPhase], grounds: Grounds) -> Picture:
    """Half the typical width either way of the plan, after each number of phases."""
    drawn = [
        Row(
            f"after {count_of(r.phases, 'phase')}",
            f"held {r.held.held} of {r.held.of}",
            (Band(1 - r.width / 2, 1 + r.width / 2),),
        )
        for r in rows
    ]
    numbers = Table(
        "The widths drawn",
        ("phases finished", "typical width", "held"),
        tuple((str(r.phases), say_percent(r.width), f"{r.held.held} of {r.held.of}") for r in rows),
    )
    return Picture(
        f"How the range narrows: {PLAIN_TARGET[rows[0].target]}",
        row_chart(drawn, Scale("ratio", "share of the plan"), ((1.0, "middle"),)),
        f"{max(r.jobs for r in rows)} of your finished jobs, {grounds.span}; typical width of the "
        "8-in-10 range (band), as a share of the job's plan, drawn about its middle.",
        numbers,
        (Key("middling", "middle", "8 in 10 should end in here"),),
    )


def _marks(one: Landing, money: str) -> list[Mark]:
    marks = [
        Mark(one.so_far, "square", "third", says=f"so far: {say(one.so_far, one.target, money)}"),
        Mark(one.median, "bar", "signal", says=f"middle: {say(one.median, one.target, money)}"),
    ]
    if one.plan is not None:
        said = f"planned: {say(one.plan, one.target, money)}"
        marks.append(Mark(one.plan, "triangle", "ink", says=said, shift=0.32))
    return marks


def _drawn(landings: Sequence[Landing]) -> list[Key]:
    levels = {i.level for one in landings for i in one.intervals}
    return [key for level, key in KEYS.items() if level in levels]


def _numbers(landings: Sequence[Landing], money: str) -> Table:
    rows = []
    for one in landings:
        by_level = {i.level: say_range(i, one.target, money) for i in one.intervals}
        ranges = [by_level.get(v, "too few jobs") for v in (0.5, 0.8, 0.9)]
        rows.append(
            (
                SHORT[one.target],
                say(one.so_far, one.target, money),
                *ranges,
                say(one.median, one.target, money),
            )
        )
    heads = ("", "so far", "5 in 10", "8 in 10", "9 in 10", "middle")
    return Table("The ranges drawn", heads, tuple(rows))


def _lead(jobs: int, grounds: Grounds) -> str:
    return f"{count_of(jobs, 'finished job')}, {grounds.span}"
