"""Single jobs in time order against the limits they usually keep to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import plotly.graph_objects as go

from costlearn.pages.charts import Scale, draw, safe, tone


@dataclass(frozen=True)
class Moment:
    """One job: its place in the order, its ratio, whether it breaks a rule, what it says."""

    place: int
    ratio: float
    odd: bool = False
    says: str = ""


@dataclass(frozen=True)
class Stretch:
    """A level kept from one place to another, both counted."""

    first: int
    last: int
    level: float


def time_chart(
    moments: Sequence[Moment],
    days: Sequence[date | None],
    limits: tuple[float, float, float],
    stretches: Sequence[Stretch] = (),
) -> go.Figure:
    """Draw jobs in order with the middle and both limits.

    Args:
        moments: the jobs.
        days: the date of each place; years are written at the foot where they begin.
        limits: low, middle, high.
        stretches: levels drawn thick, before and after a change.
    """
    low, middle, high = limits
    scale = Scale("ratio", "actual against plan, jobs in order")
    seen = [*(m.ratio for m in moments), low, high, 1.0]
    axis = scale.axis(min(seen), max(seen), 5)
    right = len(moments) - 0.5
    data = [
        _level(-0.5, right, 1.0, "solid", 1.5, "rule"),
        _level(-0.5, right, middle, "dot", 1.5, "muted"),
        *(_level(-0.5, right, end, "dash", 1.5, "muted") for end in (low, high)),
    ]
    data += [_level(s.first - 0.4, s.last + 0.4, s.level, "solid", 5, "middle") for s in stretches]
    line = {"width": 1, "color": tone("faint")}
    data.append(
        go.Scatter(
            x=[m.place for m in moments],
            y=[float(m.ratio) for m in moments],
            mode="lines",
            line=line,
            hoverinfo="skip",
        )
    )
    data += _marks(moments)
    years = _years(days)
    layout: dict[str, Any] = {
        "height": 300,
        "xaxis": {
            "range": [-0.8, right + 0.3],
            "tickmode": "array",
            "tickvals": [i for i, _ in years],
            "ticktext": [text for _, text in years],
            "showgrid": False,
            "title": {"text": safe("jobs in order" + (", by year" if years else ""))},
        },
        "yaxis": {**axis, "title": {"text": ""}},
    }
    return draw(data, layout)


def _level(
    first: float, last: float, height: float, dash: str, width: float, color: str
) -> go.Scatter:
    return go.Scatter(
        x=[first, last],
        y=[float(height)] * 2,
        mode="lines",
        line={"width": width, "dash": dash, "color": tone(color)},
        hoverinfo="skip",
    )


def _marks(moments: Sequence[Moment]) -> list[go.Scatter]:
    looks = {False: ("circle", "main", 8), True: ("diamond", "signal", 12)}
    found = []
    for odd, (symbol, color, size) in looks.items():
        mine = [m for m in moments if m.odd is odd]
        if mine:
            edge = {"width": 1, "color": tone("paper")}
            found.append(
                go.Scatter(
                    x=[m.place for m in mine],
                    y=[float(m.ratio) for m in mine],
                    mode="markers",
                    marker={"symbol": symbol, "size": size, "color": tone(color), "line": edge},
                    text=[safe(m.says) for m in mine],
                    hovertemplate="%{text}<extra></extra>",
                    cliponaxis=False,
                )
            )
    return found


def _years(days: Sequence[date | None]) -> list[tuple[int, str]]:
    """Where each year begins, none nearer to the last than an eighth of the whole."""
    apart = math.ceil(len(days) / 8)
    found: list[tuple[int, str]] = []
    known = None
    for i, day in enumerate(days):
        if day is None or day.year == known:
            continue
        known = day.year
        if not found or i - found[-1][0] >= apart:
            found.append((i, str(day.year)))
    return found
