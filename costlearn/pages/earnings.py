"""The page of what earns most: kinds of job by the day, single jobs behind, overhead by year."""

from __future__ import annotations

from costlearn.pages.charts import Scale
from costlearn.pages.rows import Band, Mark, Row, row_chart, thinning
from costlearn.pages.shell import Key, Picture, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.earning.earnings import Earnings
from costlearn.questions.earning.takings import PLAIN, DayEarning, Mix
from costlearn.questions.wording import count_of
from costlearn.units import say_money

QUESTION = "What earns most a day?"
MOST_LISTED = 30
"""More single jobs of a kind than this are counted in the table, not listed."""


def sheet(answer: Earnings) -> Sheet:
    """What the page shows around the answer."""
    pictures = [_mix_picture(m, answer) for m in answer.mixes]
    if answer.sizes is not None:
        pictures.append(_mix_picture(answer.sizes, answer, " by size"))
    years = _years_picture(answer)
    return Sheet(QUESTION, pictures=(*pictures, *((years,) if years else ())))


def _mix_picture(mix: Mix, answer: Earnings, by: str = "") -> Picture:
    grounds, money = answer.grounds, answer.grounds.currency
    plain = PLAIN[mix.measure]
    singles = {
        e.name: tuple(
            v for t in answer.takings if t.key in e.keys and (v := t.a_day(mix.measure)) is not None
        )
        for e in mix.kinds
    }
    rows = [_row(e, singles[e.name], money) for e in mix.kinds]
    must = answer.overhead_per_day
    guides = ((must, f"overhead of a day, {say_money(must, money)}"),) if must else ()
    step = thinning(rows)
    thin = "" if step == 1 else f", every {step}th drawn"
    key = [
        Key("middling", "middle", "8 in 10 for the mean of the kind"),
        Key("thick", "main", "5 in 10"),
        Key("circle", "ink", "middle"),
        Key("dot", "faint", "one job"),
    ]
    return Picture(
        f"What a {plain} leaves after direct cost{by}",
        row_chart(rows, Scale("money", f"left for each {plain}", money), guides),
        f"{count_of(mix.jobs, 'finished job')}, {grounds.span}; {money} for each {plain}, price "
        f"less direct cost, prices {grounds.prices.split(' (')[0]}; a band holds the kind's true "
        f"mean with odds of 8 in 10, pooled over the kinds; a dot is one job{thin}.",
        _numbers(mix, singles, money),
        tuple(key),
    )


def _row(e: DayEarning, singles: tuple[float, ...], money: str) -> Row:
    if not e.told:
        return Row(e.name, f"{count_of(e.jobs, 'job')}, too few to say", dots=singles)
    low, high = say_money(e.interval.low, money), say_money(e.interval.high, money)
    return Row(
        e.name,
        count_of(e.jobs, "job"),
        (Band(e.interval.low, e.interval.high), Band(e.half.low, e.half.high, "thick")),
        (Mark(e.middle, says=f"{e.name}: {low} to {high}, middle {say_money(e.middle, money)}"),),
        singles,
    )


def _numbers(mix: Mix, singles: dict[str, tuple[float, ...]], money: str) -> Table:
    rows = tuple(
        (
            e.name,
            f"{say_money(e.interval.low, money)} to {say_money(e.interval.high, money)}"
            if e.told
            else "too few jobs",
            say_money(e.middle, money) if e.told else "",
            _listed(singles[e.name], money),
        )
        for e in mix.kinds
    )
    return Table("The marks drawn", ("kind", "8 in 10", "middle", "single jobs"), rows)


def _listed(values: tuple[float, ...], money: str) -> str:
    ranked = sorted(values)
    if len(ranked) > MOST_LISTED:
        ends = f"{say_money(ranked[0], money)} to {say_money(ranked[-1], money)}"
        return f"{len(ranked)} jobs, {ends}"
    return ", ".join(say_money(v, money) for v in ranked)


def _years_picture(answer: Earnings) -> Picture | None:
    against, money = answer.overhead, answer.grounds.currency
    if against is None or len(against.years) < 2:
        return None
    rows = [
        Row(
            str(y.year),
            count_of(y.jobs, "job"),
            (Band(min(y.left, 0.0), max(y.left, 0.0), "thick"),),
            (
                Mark(
                    y.overhead,
                    "diamond",
                    "signal",
                    says=f"{y.year}: {say_money(y.left, money)} left against "
                    f"{say_money(y.overhead, money)} of overhead",
                ),
            ),
        )
        for y in against.years
    ]
    counted = sum(y.jobs for y in against.years)
    return Picture(
        "What the jobs left against overhead",
        row_chart(rows, Scale("money", "a year", money)),
        f"{count_of(counted, 'finished job')}, {answer.grounds.span}; {money}, price less direct "
        "cost, by the year a job ended in; the thick stretch is what the jobs left, the diamond "
        "the overhead of that part of the year, as your settings have it now.",
        Table(
            "The marks drawn",
            ("year", "left", "overhead"),
            tuple(
                (str(y.year), say_money(y.left, money), say_money(y.overhead, money))
                for y in against.years
            ),
        ),
        (
            Key("thick", "main", "left after direct cost"),
            Key("diamond", "signal", "overhead"),
        ),
    )
