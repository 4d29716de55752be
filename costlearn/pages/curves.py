"""Curves of odds over money, and points of single jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from costlearn.pages.charts import SHAPES, Scale, draw, safe, tone


@dataclass(frozen=True)
class Spot:
    """A marked place on a curve, or a single job: where, its shape and tone, what it says."""

    x: float
    y: float
    shape: str
    tone: str
    hollow: bool = False
    says: str = ""


ODDS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


def odds_curve(
    curve: Sequence[tuple[float, float]],
    spots: Sequence[Spot],
    scale: Scale,
    *,
    thick: tuple[float, float] | None = None,
    guide: float | None = None,
) -> go.Figure:
    """Draw how the odds fall as an amount rises.

    Args:
        curve: amount and chance, amounts rising.
        spots: what is marked on it, each with dotted lines to both axes.
        scale: the axis of amounts.
        thick: the stretch of amounts drawn thick.
        guide: an amount with a dashed line from top to bottom.
    """
    amounts = [float(x) for x, _ in curve] + [s.x for s in spots]
    amounts += [] if guide is None else [guide]
    axis = scale.axis(min(amounts), max(amounts), 4)
    data = [_line(curve, 2.5, "main")]
    if thick:
        inside = [p for p in curve if thick[0] <= p[0] <= thick[1]]
        data.append(_line(inside, 6, "main"))
    data += _spots(spots)
    lines = [_drop(s, axis["range"][0]) for s in spots]
    shapes = [part for pair in lines for part in pair]
    if guide is not None:
        shapes.append(_segment(guide, guide, 0, 1, "dash"))
    layout: dict[str, Any] = {
        "height": 340,
        "xaxis": {**axis, "ticks": "outside", "ticklen": 4, "showgrid": False},
        "yaxis": {
            "range": [0, 1.03],
            "tickmode": "array",
            "tickvals": list(ODDS),
            "ticktext": ["0"] + [f"{10 * o:.0f} in 10" for o in ODDS[1:]],
        },
        "shapes": shapes,
    }
    return draw(data, layout)


def points_chart(spots: Sequence[Spot], across: Scale, up: Scale) -> go.Figure:
    """Draw single jobs by two measures, each from zero."""
    layout: dict[str, Any] = {
        "height": 360,
        "xaxis": {**across.axis(0, max(s.x for s in spots), 5), "ticks": "outside", "ticklen": 4},
        "yaxis": up.axis(0, max(s.y for s in spots), 6),
    }
    return draw(_spots(spots, size=11), layout)


def _line(curve: Sequence[tuple[float, float]], width: float, color: str) -> go.Scatter:
    return go.Scatter(
        x=[float(x) for x, _ in curve],
        y=[float(y) for _, y in curve],
        mode="lines",
        line={"width": width, "color": tone(color)},
        hoverinfo="skip",
    )


def _spots(spots: Sequence[Spot], size: int = 14) -> list[go.Scatter]:
    kinds: dict[tuple[str, str, bool], list[Spot]] = {}
    for s in spots:
        kinds.setdefault((s.shape, s.tone, s.hollow), []).append(s)
    return [
        go.Scatter(
            x=[float(s.x) for s in group],
            y=[float(s.y) for s in group],
            mode="markers",
            marker={
                "symbol": SHAPES[shape],
                "size": size,
                "color": tone("paper") if hollow else tone(color),
                "line": {"width": 2, "color": tone(color) if hollow else tone("paper")},
            },
            text=[safe(s.says) for s in group],
            hovertemplate="%{text}<extra></extra>",
            cliponaxis=False,
        )
        for (shape, color, hollow), group in kinds.items()
    ]


def _drop(spot: Spot, left: float) -> tuple[dict[str, Any], dict[str, Any]]:
    """Dotted lines from a spot down to the amounts and left to the odds."""
    return (
        _segment(spot.x, spot.x, 0, spot.y, "dot"),
        _segment(left, spot.x, spot.y, spot.y, "dot"),
    )


def _segment(x0: float, x1: float, y0: float, y1: float, dash: str) -> dict[str, Any]:
    return {
        "type": "line",
        "layer": "below",
        "x0": float(x0),
        "x1": float(x1),
        "y0": float(y0),
        "y1": float(y1),
        "line": {"width": 1.5, "dash": dash, "color": tone("muted")},
    }
