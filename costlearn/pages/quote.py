"""The page of a quote check: the odds of losing money, and where the quoted figures stand."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.pages import cash
from costlearn.pages.asked import particulars, subject
from costlearn.pages.charts import Scale
from costlearn.pages.curves import Spot, odds_curve
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture, Remarks, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.quoting.gaps import PhasePlan
from costlearn.questions.quoting.pricing import Standing
from costlearn.questions.quoting.quote import QuoteCheck
from costlearn.questions.wording import count_of, say, say_range
from costlearn.units import say_money, say_odds, say_percent

QUESTION = "Is this quote sane against your own history?"
STEP_SHAPES = ("circle", "square", "triangle")
FIGURES = {
    "cost": "Direct cost",
    "person_days": "Person-days of work",
    "site_days": "Days on site",
    "elapsed_days": "Working days, first to last",
}
SHARE_OF_MIDDLE = "share of the middle of such jobs"


def sheet(answer: QuoteCheck) -> Sheet:
    """What the page shows around the answer."""
    grounds = answer.grounds
    told = () if answer.trusted else answer.reasons
    fresh = tuple(_as_sentence(r) for r in told if r not in answer.sentence)
    drawn = (
        _odds(answer),
        cash.picture(answer.cash, grounds),
        _standings(answer),
        _phases(answer),
    )
    return Sheet(
        QUESTION,
        subject(answer.job, grounds.area_unit),
        particulars(answer.job, grounds.area_unit, grounds.currency, answer.asked_on),
        tuple(p for p in drawn if p is not None),
        (
            Remarks("Look at these first", fresh),
            Remarks("Outside what your jobs can tell", answer.outside),
        ),
    )


def _odds(answer: QuoteCheck) -> Picture | None:
    if not answer.curve:
        return None
    grounds = answer.grounds
    money = grounds.currency
    keeps = "covers direct cost" if answer.wanted_margin is None else "keeps the margin"
    spots: list[Spot] = []
    keys: list[Key] = []
    for step, shape in zip(answer.ladder, STEP_SHAPES, strict=False):
        said = f"{say_money(step.price, money)}: {keeps} with {say_percent(step.confidence)}"
        spots.append(Spot(step.price, step.loss, shape, "third", True, said, False))
        keys.append(Key(shape, "third", f"{said} certainty", True))
    if answer.price is not None and answer.loss is not None:
        said = f"{say_money(answer.price, money)}: your price; {say_odds(answer.loss)} cost more"
        spots.append(Spot(answer.price, answer.loss, "diamond", "signal", says=said))
        keys.insert(0, Key("diamond", "signal", said))
    thick = next((s.interval for s in answer.standings if s.target == "cost"), None)
    band = "" if thick is None else "; the thick stretch of the line holds the cost of 8 in 10"
    return Picture(
        "Odds that the job costs more than a price",
        odds_curve(
            answer.curve,
            spots,
            Scale("money", f"price, {money}", money),
            thick=(thick.low, thick.high) if thick else None,
        ),
        f"{count_of(grounds.jobs, 'finished job')}, {grounds.span}; {money}, direct cost before "
        f"overhead, jobs like this one{band}.",
        _curve_numbers(answer),
        tuple(keys),
    )


def _curve_numbers(answer: QuoteCheck) -> Table:
    """Every tenth point of the curve, and the marked prices."""
    money = answer.grounds.currency
    points = [(price, odds, "") for price, odds in answer.curve[9::10]]
    kept = "cost covered" if answer.wanted_margin is None else "margin kept"
    points += [
        (s.price, s.loss, f"{kept} with {say_percent(s.confidence)} certainty")
        for s in answer.ladder
    ]
    if answer.price is not None and answer.loss is not None:
        points.append((answer.price, answer.loss, "your price"))
    rows = tuple((say_money(p, money), say_odds(o), what) for p, o, what in sorted(points))
    return Table("The points drawn", ("price", "cost more than it", ""), rows)


def _standings(answer: QuoteCheck) -> Picture | None:
    drawn = [s for s in answer.standings if s.median > 0]
    if not drawn:
        return None
    money, span = answer.grounds.currency, answer.grounds.span
    rows = [
        Row(
            FIGURES[s.target],
            f"quoted {say(s.quoted, s.target, money)}",
            (Band(s.interval.low / s.median, s.interval.high / s.median),),
            (Mark(s.quoted / s.median, "diamond", "signal", says=_stands(s, money)),),
        )
        for s in drawn
    ]
    most = max(s.jobs for s in drawn)
    return Picture(
        "Your figures against such jobs",
        row_chart(rows, Scale("share", SHARE_OF_MIDDLE), ((1.0, "middle of such jobs"),)),
        f"Up to {count_of(most, 'finished job')}, {span}; each figure as a share of the middle of "
        "such jobs; a band holds 8 jobs in 10.",
        _standing_numbers(drawn, money),
        (
            Key("diamond", "signal", "quoted"),
            Key("middling", "middle", "8 in 10 such jobs end in here"),
        ),
    )


def _stands(s: Standing, money: str) -> str:
    where = {"inside": "inside its range", "low": "under its range", "high": "over its range"}
    return f"{say(s.quoted, s.target, money)}: {where[s.side]}"


def _standing_numbers(standings: Sequence[Standing], money: str) -> Table:
    rows = tuple(
        (
            FIGURES[s.target],
            say(s.quoted, s.target, money),
            say_percent(s.quoted / s.median),
            f"{say_percent(s.interval.low / s.median)} to "
            f"{say_percent(s.interval.high / s.median)}",
            say(s.median, s.target, money),
            str(s.jobs),
        )
        for s in standings
    )
    heads = ("", "quoted", "of the middle", "8 in 10", "middle", "jobs")
    return Table("The marks drawn", heads, rows)


def _phases(answer: QuoteCheck) -> Picture | None:
    drawn = [p for p in answer.phases if p.planned > 0]
    if not drawn:
        return None
    money, span = answer.grounds.currency, answer.grounds.span
    rows = [
        Row(
            p.name,
            f"planned {say(p.planned, p.target, money)}",
            (Band(p.interval.low / p.planned, p.interval.high / p.planned),),
            (Mark(1.0, "diamond", "signal", says=_plan_says(p, money)),),
        )
        for p in drawn
    ]
    return Picture(
        "Phases planned outside their range",
        row_chart(rows, Scale("ratio", "against your plan"), ((1.0, "your plan"),)),
        f"Finished jobs with phase records, {span}; cost in {money} and person-days, both against "
        "the plan of the phase; a band holds 8 jobs in 10.",
        Table(
            "The marks drawn",
            ("phase", "planned", "8 in 10 such jobs", "against your plan"),
            tuple((p.name, *_plan_cells(p, money)) for p in drawn),
        ),
        (
            Key("diamond", "signal", "planned"),
            Key("middling", "middle", "8 in 10 such jobs end in here"),
        ),
    )


def _plan_says(p: PhasePlan, money: str) -> str:
    planned = say(p.planned, p.target, money)
    return f"{planned} planned, {say_range(p.interval, p.target, money)} in 8 jobs of 10"


def _plan_cells(p: PhasePlan, money: str) -> tuple[str, str, str]:
    low, high = (
        say_percent(v / p.planned - 1, signed=True) for v in (p.interval.low, p.interval.high)
    )
    ranged = say_range(p.interval, p.target, money)
    return say(p.planned, p.target, money), ranged, f"{low} to {high}"


def _as_sentence(reason: str) -> str:
    return reason[:1].upper() + reason[1:].rstrip(".") + "."
