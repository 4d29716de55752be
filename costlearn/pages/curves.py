"""Curves of odds over money, and points of single jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from costlearn.pages.charts import SHAPES, Scale, draw, safe, tone


@dataclass(frozen=True)
class Spot:
    """A marked place on a curve, or a single job: where, its shape and tone, what it says.

    ``lines`` draws dotted lines from it to both axes of a curve.
    """

    x: float
    y: float
    shape: str
    tone: str
    hollow: bool = False
    says: str = ""
    lines: bool = True


FOOT = -0.05
"""Where the axis of odds begins, so that marks at its ends are whole."""
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
        spots: what is marked on it, in the order drawn.
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
    left = axis["range"][0]
    shapes = [_segment(left, s.x, s.y, s.y, "dot") for s in spots if s.lines]
    shapes += [_segment(s.x, s.x, FOOT, s.y, "dot") for s in spots if s.lines and s.x != guide]
    if guide is not None:
        shapes.append(_segment(guide, guide, FOOT, 1 - FOOT, "dash"))
    layout: dict[str, Any] = {
        "height": 340,
        "xaxis": {**axis, "ticks": "outside", "ticklen": 4, "showgrid": False},
        "yaxis": {
            "range": [FOOT, 1 - FOOT],
            "tickmode": "array",
            "tickvals": list(ODDS),
            "ticktext": ["0"] + [f"{10 * o:.0f} in 10" for o in ODDS[1:]],
        },
        "shapes": shapes,
    }
    return draw(data, layout)


def points_chart(
    spots: Sequence[Spot],
    across: Scale,
    up: Scale,
    *,
    curve: Sequence[tuple[float, float]] = (),
    dashed: Sequence[tuple[float, float]] = (),
    levels: Sequence[tuple[float, str]] = (),
) -> go.Figure:
    """Draw single jobs by two measures, each from zero.

    Args:
        spots: the jobs.
        across: the axis along the foot.
        up: the axis at the side.
        curve: a line behind the jobs.
        dashed: a second line, dashed and in another tone.
        levels: at most two heights with a line from side to side, the first dashed, the second
            dotted, and what stands under each, at the left and at the right.
    """
    heights = [s.y for s in spots] + [y for _, y in (*curve, *dashed)] + [h for h, _ in levels]
    layout: dict[str, Any] = {
        "height": 360,
        "xaxis": {**_from_zero(across, [s.x for s in spots], 5), "ticks": "outside", "ticklen": 4},
        "yaxis": _from_zero(up, heights, 6),
    }
    right = layout["xaxis"]["range"][1]
    sides = (("dash", 0, "left"), ("dot", 1, "right"))
    layout["shapes"] = [
        _segment(0.0, right, h, h, dash)
        for (h, _), (dash, _, _) in zip(levels, sides, strict=False)
    ]
    layout["annotations"] = [
        _under(h, text, x, side) for (h, text), (_, x, side) in zip(levels, sides, strict=False)
    ]
    lines = [_line(curve, 2.5, "middle")] if curve else []
    lines += [_line(dashed, 2.5, "signal", "dash")] if dashed else []
    return draw([*lines, *_spots(spots, size=11)], layout)


def band_chart(
    points: Sequence[tuple[float, float, float, float]],
    across: Scale,
    up: Scale,
    *,
    crossings: Sequence[float] = (),
    held: tuple[float, float] | None = None,
) -> go.Figure:
    """Draw how a range moves with a figure: low, middle and high of it over the figure.

    Args:
        points: the figure, then low, middle and high, the figure rising.
        across: the axis of the figure, from zero.
        up: the axis of what is ranged; a line stands at zero.
        crossings: figures marked where the middle crosses zero.
        held: the stretch of the figure that was stated, drawn thick on the middle line.
    """
    figures = [p[0] for p in points]
    heights = [h for p in points for h in p[1:]]
    ends = _line(
        [*((p[0], p[1]) for p in points), *((p[0], p[3]) for p in reversed(points))], 0, ""
    )
    ends.update(fill="toself", fillcolor=tone("middle"), opacity=0.45)
    middle = [(p[0], p[2]) for p in points]
    data = [ends, _line(middle, 2.5, "main")]
    if held:
        inside = [p for p in middle if held[0] <= p[0] <= held[1]]
        data.append(_line(inside, 6, "main"))
    data += _spots([Spot(x, 0.0, "diamond", "signal", says=f"turns at {x:.1f}") for x in crossings])
    layout: dict[str, Any] = {
        "height": 340,
        "xaxis": {**_from_zero(across, figures, 5), "ticks": "outside", "ticklen": 4},
        "yaxis": up.axis(min(heights), max(heights), 5),
    }
    layout["shapes"] = [_segment(0.0, layout["xaxis"]["range"][1], 0.0, 0.0, "dash")]
    return draw(data, layout)


def _under(height: float, text: str, x: int, side: str) -> dict[str, Any]:
    """Words under a line from side to side, at one of its ends."""
    return {
        "x": x,
        "xref": "paper",
        "xanchor": side,
        "y": float(height),
        "yanchor": "top",
        "text": safe(text),
        "showarrow": False,
        "font": {"size": 12, "color": tone("muted")},
    }


def _from_zero(scale: Scale, values: Sequence[float], most: int) -> dict[str, Any]:
    axis = scale.axis(0.0, max(values), most)
    return {**axis, "range": [0.0, axis["range"][1]]}


def _line(
    curve: Sequence[tuple[float, float]], width: float, color: str, dash: str = "solid"
) -> go.Scatter:
    return go.Scatter(
        x=[float(x) for x, _ in curve],
        y=[float(y) for _, y in curve],
        mode="lines",
        line={"width": width, "color": tone(color or "middle"), "dash": dash},
        hoverinfo="skip",
    )


def _spots(spots: Sequence[Spot], size: int = 12) -> list[go.Scatter]:
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
                "size": size + 4 if hollow and size > 11 else size,
                "color": tone("paper") if hollow else tone(color),
                "line": {"width": 2, "color": tone(color) if hollow else tone("paper")},
            },
            text=[safe(s.says) for s in group],
            hovertemplate="%{text}<extra></extra>",
            cliponaxis=False,
        )
        for (shape, color, hollow), group in kinds.items()
    ]


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
