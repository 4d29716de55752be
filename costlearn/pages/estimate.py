"""The page of an estimate: where the job lands in money and days, in total and by phase."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.pages.asked import particulars, subject
from costlearn.pages.charts import Scale
from costlearn.pages.rows import Band, Mark, Row, nested, row_chart
from costlearn.pages.shell import Key, Picture, Remarks, Sheet
from costlearn.questions.answer import Grounds, Table
from costlearn.questions.byphase import PhaseShare
from costlearn.questions.estimate import Estimate, Target
from costlearn.questions.wording import count_of, say, say_range
from costlearn.units import say_money, say_percent

QUESTION = "What will this scope cost, and how long will it take?"
DAYS = ("person_days", "site_days", "elapsed_days")
SHORT = {
    "person_days": "Person-days of work",
    "site_days": "Days on site",
    "elapsed_days": "Working days, first to last",
}
KEYS = {
    0.5: Key("thick", "main", "5 in 10 end in here"),
    0.8: Key("middling", "middle", "8 in 10"),
    0.9: Key("thin", "main", "9 in 10"),
}
MIDDLE = Key("bar", "signal", "middle: half end above, half below")
SURE = 0.9
"""A phase less likely than this is drawn hollow: it may not occur at all."""


def sheet(answer: Estimate) -> Sheet:
    """What the page shows around the answer."""
    grounds = answer.grounds
    return Sheet(
        QUESTION,
        subject(answer.job, grounds.area_unit),
        particulars(answer.job, grounds.area_unit, grounds.currency, answer.asked_on),
        tuple(p for p in (_cost(answer), _days(answer), _phases(answer)) if p is not None),
        (Remarks("Outside what your jobs can tell", answer.outside),),
    )


def interval_table(targets: Sequence[Target], grounds: Grounds, names: Sequence[str]) -> Table:
    """The ranges and middles of a picture, one line a figure."""
    money = grounds.currency
    rows = []
    for name, t in zip(names, targets, strict=True):
        by_level = {i.level: say_range(i, t.target, money) for i in t.intervals}
        ranges = [by_level.get(v, "too few jobs") for v in (0.5, 0.8, 0.9)]
        rows.append((name, *ranges, say(t.median, t.target, money)))
    return Table("The ranges drawn", ("", "5 in 10", "8 in 10", "9 in 10", "middle"), tuple(rows))


def _cost(answer: Estimate) -> Picture | None:
    cost = answer.target("cost")
    if cost is None:
        return None
    grounds = answer.grounds
    money = grounds.currency
    ends = tuple((v, say_money(v, money)) for v in (cost.main.low, cost.main.high))
    row = Row(
        "",
        bands=nested(cost.intervals),
        marks=(_middle(cost, money),),
        over=((cost.median, say_money(cost.median, money)),),
        below=ends,
    )
    return Picture(
        "Direct cost",
        row_chart([row], Scale("money", f"direct cost, {money}", money)),
        f"{_lead(cost.jobs, grounds)}; {money}, prices of {_priced(answer)}; a band holds the "
        "next job like this so many times in 10, figures under it: 8 in 10.",
        interval_table([cost], grounds, ["Direct cost"]),
        _keys([cost]),
    )


def _days(answer: Estimate) -> Picture | None:
    found = [t for name in DAYS if (t := answer.target(name)) is not None]
    if not found:
        return None
    money = answer.grounds.currency
    names = [SHORT[t.target] for t in found]
    rows = [
        Row(
            name,
            say_range(t.main, t.target, money),
            nested(t.intervals),
            (_middle(t, money),),
        )
        for name, t in zip(names, found, strict=True)
    ]
    fewest, most = min(t.jobs for t in found), max(t.jobs for t in found)
    jobs = f"{fewest} to {most}" if fewest < most else f"{most}"
    return Picture(
        "Days",
        row_chart(rows, Scale("days", "days")),
        f"{jobs} finished jobs, {answer.grounds.span}; days of work and working days; a band "
        "holds the next job like this so many times in 10, figures at the left: 8 in 10.",
        interval_table(found, answer.grounds, names),
        _keys(found),
    )


def _phases(answer: Estimate) -> Picture | None:
    mine = [p for p in answer.phases if p.target == "cost"]
    if not mine:
        return None
    grounds = answer.grounds
    money = grounds.currency
    most = max(p.jobs for p in mine)
    keys = [
        Key("middling", "middle", "8 in 10 end in here"),
        Key("bar", "signal", "middle"),
    ]
    if any(p.chance < SURE for p in mine):
        keys.append(Key("circle", "signal", "middle of a phase that may not occur", True))
    return Picture(
        "Direct cost by phase",
        row_chart([_phase(p, money) for p in mine], Scale("money", f"direct cost, {money}", money)),
        f"Up to {count_of(most, 'finished job')} a phase, {grounds.span}; {money}, prices of "
        f"{_priced(answer)}; a band holds the phase of the next job 8 times in 10.",
        _phase_numbers(mine, money),
        tuple(keys),
    )


def _phase(p: PhaseShare, money: str) -> Row:
    said = f"{p.name}: {say_range(p.interval, 'cost', money)}, middle {say_money(p.median, money)}"
    unsure = p.chance < SURE
    mark = Mark(p.median, "circle" if unsure else "bar", "signal", unsure, said)
    return Row(p.name, bands=(Band(p.interval.low, p.interval.high),), marks=(mark,))


def _phase_numbers(phases: Sequence[PhaseShare], money: str) -> Table:
    rows = tuple(
        (
            p.name,
            say_range(p.interval, "cost", money),
            say_money(p.median, money),
            say_percent(p.chance),
            str(p.jobs),
        )
        for p in phases
    )
    heads = ("phase", "8 in 10", "middle", "chance it occurs", "jobs")
    return Table("The ranges drawn", heads, rows)


def _middle(t: Target, money: str) -> Mark:
    return Mark(t.median, "bar", "signal", says=f"middle: {say(t.median, t.target, money)}")


def _keys(targets: Sequence[Target]) -> tuple[Key, ...]:
    """The key of nested ranges: only the levels that are drawn."""
    drawn = {i.level for t in targets for i in t.intervals}
    return (*(key for level, key in KEYS.items() if level in drawn), MIDDLE)


def _lead(jobs: int, grounds: Grounds) -> str:
    return f"{count_of(jobs, 'finished job')}, {grounds.span}"


def _priced(answer: Estimate) -> str:
    return f"{answer.asked_on:%b %Y}" if answer.asked_on else "the jobs' own dates"
