"""The page of the crew: days against size, the factor of each phase, and the year's gain."""

from __future__ import annotations

from costlearn.models.distribution import Interval
from costlearn.pages.charts import Scale
from costlearn.pages.crew_year import belief_said, year_pictures
from costlearn.pages.curves import Spot, points_chart
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture, Remarks, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.crewing.crew import Crew
from costlearn.questions.crewing.job import Way
from costlearn.questions.wording import count_of, say_range
from costlearn.units import SQFT_PER_SQM, say_area, say_days, say_percent

QUESTION = "Does a second crew member pay off?"
SIZES = (
    (1.5, "circle", "main", False, "mostly alone (crew under 1.5)"),
    (2.5, "square", "signal", True, "mostly two (1.5 to 2.5)"),
    (float("inf"), "triangle", "third", False, "more (2.5 and over)"),
)
"""Crew size under this: shape, tone, hollow, words."""


def sheet(answer: Crew) -> Sheet:
    """What the page shows around the answer."""
    drawn = (*year_pictures(answer), _factors(answer), _job(answer), _points(answer))
    return Sheet(
        QUESTION,
        _basis(answer),
        pictures=tuple(p for p in drawn if p is not None),
        remarks=(Remarks("Say this, and the year can be answered too", _asks(answer)),),
    )


def _basis(answer: Crew) -> str:
    if not answer.known:
        return ""
    if answer.believed:
        return "your belief, not your records"
    return f"{count_of(answer.alone, 'record')} with one person, {answer.together} with two"


def _asks(answer: Crew) -> tuple[str, ...]:
    return tuple(a[:1].upper() + a[1:].rstrip(".") + "." for a in answer.asks)


def _points(answer: Crew) -> Picture | None:
    if not answer.points:
        return None
    unit = answer.grounds.area_unit
    per = SQFT_PER_SQM if unit == "sqm" else 1.0
    spots = [
        Spot(
            area / per,
            days,
            *_look(size)[:3],
            f"{name}: {say_area(area, unit)}, {say_days(days)}, crew {size:.1f}",
        )
        for name, area, days, size in answer.points
    ]
    met = {_look(size) for _, _, _, size in answer.points}
    keys = tuple(Key(s, t, words, h) for _, s, t, h, words in SIZES if (s, t, h, words) in met)
    if answer.curves:
        keys += (
            Key("thin", "middle", "days alone, by size"),
            Key("dash", "signal", "days with two"),
        )
    rows = tuple(
        (name, say_area(area, unit), say_days(days), f"{size:.1f}")
        for name, area, days, size in answer.points
    )
    shown = "m²" if unit == "sqm" else "sq ft"
    return Picture(
        "Days on site and floor area, job by job",
        points_chart(
            spots,
            Scale("count", f"floor area, {shown}"),
            Scale("days", "days on site"),
            curve=[(area / per, alone) for area, alone, _ in answer.curves],
            dashed=[(area / per, two) for area, _, two in answer.curves],
        ),
        f"{count_of(len(spots), 'finished job')}, {answer.grounds.span}; {shown} and days on "
        "site, one mark a job, no band. Compare jobs of one size: big ones often get more people. "
        "The lines are a power of the area through the jobs, each brought to one crew.",
        Table("The jobs drawn", ("job", "floor", "days on site", "crew size"), rows),
        keys,
    )


def _look(size: float) -> tuple[str, str, bool, str]:
    return next((s, t, h, words) for under, s, t, h, words in SIZES if size < under)


def _factors(answer: Crew) -> Picture | None:
    if answer.factor is None or answer.interval is None:
        return None
    rows = [_factor("All work", answer.factor, answer.interval, answer.alone, answer.together)]
    rows += [_factor(p.name, p.factor, p.interval, p.alone, p.together) for p in answer.phases]
    guides = [(1.0, "as long as alone")]
    if answer.break_even:
        even = 1 / answer.break_even
        guides.append((even, f"pays below {say_percent(even)}"))
    records = answer.alone + answer.together
    return Picture(
        f"Days on site with two, as a share of the days alone{belief_said(answer)}",
        row_chart(rows, Scale("share", "share of the days alone"), guides),
        f"{count_of(records, 'record')}, {answer.grounds.span}; days on site, size and scope held "
        "equal, wait days left out; a band holds the true share with odds of 8 in 10.",
        _factor_numbers(answer),
        (
            Key("middling", "middle", "8 in 10"),
            Key("circle", "signal", "middle"),
            *((Key("dash", "muted", _even_says(answer)),) if answer.break_even else ()),
        ),
    )


def _even_says(answer: Crew) -> str:
    chance = answer.above_break_even
    odds = "" if chance is None else f"; for all work the chance of that is {say_percent(chance)}"
    return f"left of it a helper pays, if the days gained are sold{odds}"


def _factor(name: str, factor: float, interval: Interval, alone: int, together: int) -> Row:
    low, high = say_percent(interval.low), say_percent(interval.high)
    said = f"{name}: {low} to {high}, middle {say_percent(factor)}"
    return Row(
        name,
        f"alone {alone}, two {together}",
        (Band(interval.low, interval.high),),
        (Mark(factor, "circle", "signal", says=said),),
    )


def _factor_numbers(answer: Crew) -> Table:
    found = [("All work", answer.factor, answer.interval, answer.alone, answer.together)]
    found += [(p.name, p.factor, p.interval, p.alone, p.together) for p in answer.phases]
    rows = tuple(
        (
            name,
            f"{say_percent(i.low)} to {say_percent(i.high)}" if i else "not known",
            say_percent(factor),
            str(alone),
            str(together),
        )
        for name, factor, i, alone, together in found
    )
    heads = ("phase", "8 in 10", "middle", "records alone", "records with two")
    return Table("The ranges drawn", heads, rows)


def _job(answer: Crew) -> Picture | None:
    job = answer.job
    if job is None:
        return None
    rows = [_way(w) for w in job.ways]
    table = tuple(
        (
            w.name,
            say_range(w.site_days, "site_days", ""),
            say_range(w.elapsed, "elapsed_days", ""),
        )
        for w in job.ways
    )
    grounds = answer.grounds
    return Picture(
        f"This job, alone and with a second person{belief_said(answer)}",
        row_chart(rows, Scale("days", "days on site")),
        f"{count_of(grounds.jobs, 'finished job')}, {grounds.span}; days on site, wait days "
        f"({say_days(job.waits.total)}) come on top; a band holds this job 8 times in 10.",
        Table("The ranges drawn", ("", "days on site", "first to last day"), table),
        (Key("middling", "middle", "8 in 10"), Key("circle", "signal", "middle")),
    )


def _way(way: Way) -> Row:
    said = say_range(way.site_days, "site_days", "")
    return Row(
        way.name[:1].upper() + way.name[1:],
        said,
        (Band(way.site_days.low, way.site_days.high),),
        (Mark(way.site_middle, "circle", "signal", says=f"{way.name}: {said}"),),
    )
