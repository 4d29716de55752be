"""Money in and out over the course of a job: steps of payments over the band of what is spent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import plotly.graph_objects as go

from costlearn.pages.charts import SHAPES, Scale, draw, safe, tone
from costlearn.pages.shell import Key, Picture
from costlearn.questions.answer import Grounds, Table
from costlearn.questions.quoting.cash import CashPlan, Moment
from costlearn.questions.wording import count_of
from costlearn.units import exact_money, say_days, say_money
from costlearn.vocabulary import standard


def picture(plan: CashPlan | None, grounds: Grounds) -> Picture | None:
    """The picture of a payment plan; None where there are no payments."""
    if plan is None or not plan.payments:
        return None
    money = grounds.currency
    known = plan.days is not None
    paid = [
        (day, payment.paid, f"{exact_money(payment.amount, money)} {_when(payment.due, name)}")
        for day, payment, name in zip(plan.payment_days, plan.payments, _phases(plan), strict=True)
    ]
    scale = Scale("days" if known else "count", "working days" if known else "phases finished")
    counted = "working days from the first" if known else "phases one after another, not in days"
    return Picture(
        "Paid in and spent over the course of the job",
        cash_chart(plan.spending, paid, scale, Scale("money", "", money)),
        f"{count_of(grounds.jobs, 'finished job')}, {grounds.span}; {money}, direct cost "
        f"before overhead; {counted}; the band holds what 8 jobs in 10 have spent by then.",
        _numbers(plan, money),
        (
            Key("diamond", "signal", "paid in, each payment at a diamond"),
            Key("line", "main", "spent, the middle"),
            Key("middling", "middle", "8 in 10 such jobs have spent within"),
        ),
    )


def cash_chart(
    spending: Sequence[Moment],
    paid: Sequence[tuple[float, float, str]],
    across: Scale,
    up: Scale,
) -> go.Figure:
    """Draw what has been paid in as steps over what has been spent.

    Args:
        spending: the band of what is spent, days rising.
        paid: day, all that is paid in by then, and what a mark says; the first is the deposit.
        across: the axis of days.
        up: the axis of money.
    """
    days = [m.day for m in spending]
    heights = [m.high for m in spending] + [p for _, p, _ in paid]
    band = go.Scatter(
        x=[*days, *reversed(days)],
        y=[*(m.low for m in spending), *(m.high for m in reversed(spending))],
        mode="lines",
        line={"width": 0},
        fill="toself",
        fillcolor=tone("middle"),
        opacity=0.45,
        hoverinfo="skip",
    )
    middle = go.Scatter(
        x=days,
        y=[m.middle for m in spending],
        mode="lines",
        line={"width": 2.5, "color": tone("main")},
        hoverinfo="skip",
    )
    steps = go.Scatter(
        x=[d for d, _, _ in paid],
        y=[p for _, p, _ in paid],
        mode="lines+markers",
        line={"width": 2.5, "color": tone("signal"), "shape": "hv"},
        marker={
            "symbol": SHAPES["diamond"],
            "size": 12,
            "color": tone("signal"),
            "line": {"width": 2, "color": tone("paper")},
        },
        text=[safe(says) for _, _, says in paid],
        hovertemplate="%{text}<extra></extra>",
        cliponaxis=False,
    )
    along = across.axis(0.0, max(days), 6)
    height = up.axis(0.0, max(heights), 5)
    layout: dict[str, Any] = {
        "height": 360,
        "xaxis": {**along, "ticks": "outside", "ticklen": 4, "showgrid": False},
        "yaxis": {**height, "range": [0.0, height["range"][1]]},
    }
    return draw([band, middle, steps], layout)


def _phases(plan: CashPlan) -> list[str]:
    words = standard()
    return [words.phase_name(p.phase).lower() if p.phase else "" for p in plan.payments]


def _when(due: str, phase: str) -> str:
    return f"{due} {phase}".rstrip()


def _numbers(plan: CashPlan, money: str) -> Table:
    """What is spent by the time of each payment, just before it, and what is paid in then."""
    rows = []
    before = 0.0
    for day, payment, phase in zip(plan.payment_days, plan.payments, _phases(plan), strict=True):
        at = _by(plan.spending, day)
        rows.append(
            (
                _when(payment.due, phase),
                say_days(day) if plan.days is not None else f"{day:g}",
                f"{say_money(at.low, money)} to {say_money(at.high, money)}",
                say_money(at.middle, money),
                exact_money(before, money),
                exact_money(payment.paid, money),
            )
        )
        before = payment.paid
    when = "working days in" if plan.days is not None else "phases finished"
    heads = ("payment", when, "spent, 8 in 10", "middle", "paid in before", "and after")
    return Table("The steps drawn", heads, tuple(rows))


def _by(spending: Sequence[Moment], day: float) -> Moment:
    """The last point of the band at or before a day."""
    return next((m for m in reversed(spending) if m.day <= day + 1e-9), spending[0])
