"""A field of marks: rows and columns of single ratios, told apart by shape, filling and tone.

Over is a triangle that points up, under one that points down, on plan a small ring: the sign is
read without colour. Filled marks are far off. The tones run from blue over grey to rust.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from costlearn.pages.charts import SHAPES, draw, label, safe, tone
from costlearn.pages.rows import NARROW, WIDE

SOME, FAR = 1.1, 1.3
"""Ratios up to ``SOME`` are on plan, over ``FAR`` far over; under plan their inverses."""


@dataclass(frozen=True)
class Grade:
    """A class of ratios: its words, shape, tone, filling and size in pixels."""

    text: str
    shape: str
    tone: str
    hollow: bool
    size: int


GRADES = (
    Grade("over by more than 30 %", "triangle", "signal", False, 12),
    Grade("over by 10 to 30 %", "triangle", "signal", True, 9),
    Grade("within 10 %", "circle", "faint", True, 5),
    Grade("under by up to 23 %", "down", "main", True, 9),
    Grade("under by more than 23 %", "down", "main", False, 12),
)
"""From far over to far under. 1 / 1.3 is 23 % under, as far from plan as 30 % over."""


@dataclass(frozen=True)
class Cell:
    """One mark: its row and column, its ratio, what it says, and whether it is set apart.

    A cell set apart is drawn with a bar through it.
    """

    row: int
    column: int
    ratio: float
    says: str = ""
    apart: bool = False


def grade(ratio: float) -> Grade:
    """The class of a ratio.

    >>> grade(1.5).text
    'over by more than 30 %'
    """
    size = abs(math.log(ratio))
    if size <= math.log(SOME) + 1e-12:
        return GRADES[2]
    far = size > math.log(FAR) + 1e-12
    if ratio > 1:
        return GRADES[0 if far else 1]
    return GRADES[4 if far else 3]


def matrix_chart(
    rows: Sequence[str], columns: Sequence[str], cells: Sequence[Cell], axis: str
) -> go.Figure:
    """Draw the field, the first row on top.

    Args:
        rows: their labels.
        columns: their labels; an empty one is not written, so that few words stand apart.
        cells: the marks.
        axis: what runs along the foot.
    """
    ticks = [i for i, text in enumerate(columns) if text]
    data = [trace for g in GRADES if (trace := _trace(g, cells)) is not None]
    apart = [c for c in cells if c.apart]
    if apart:
        marker = {"symbol": "line-ew", "size": 13, "line": {"width": 1.5, "color": tone("ink")}}
        data.append(_points(apart, marker, "skip"))
    narrow, wide = ([label(r, width=w) for r in rows] for w in (NARROW, WIDE))
    layout = {
        "height": _height(narrow),
        "meta": {"wide": {"height": _height(wide), "yaxis": {"ticktext": wide}}},
        "xaxis": {
            "range": [-0.7, len(columns) - 0.3],
            "tickmode": "array",
            "tickvals": ticks,
            "ticktext": [safe(columns[i]) for i in ticks],
            "showgrid": False,
            "title": {"text": safe(axis)},
        },
        "yaxis": {
            "range": [len(rows) - 0.5, -0.5],
            "tickmode": "array",
            "tickvals": list(range(len(rows))),
            "ticktext": narrow,
        },
    }
    return draw(data, layout)


def _height(labels: Sequence[str]) -> int:
    lines = max(text.count("<br>") + 1 for text in labels)
    return 8 + max(24, 15 * lines + 6) * len(labels) + 56


def _trace(one: Grade, cells: Sequence[Cell]) -> go.Scatter | None:
    mine = [c for c in cells if grade(c.ratio) is one]
    if not mine:
        return None
    marker = {
        "symbol": SHAPES[one.shape],
        "size": one.size,
        "color": tone("paper") if one.hollow else tone(one.tone),
        "line": {"width": 1.5, "color": tone(one.tone)},
    }
    return _points(mine, marker, None)


def _points(cells: Sequence[Cell], marker: dict[str, object], hover: str | None) -> go.Scatter:
    return go.Scatter(
        x=[c.column for c in cells],
        y=[c.row for c in cells],
        mode="markers",
        marker=marker,
        text=[safe(c.says) for c in cells],
        hovertemplate=None if hover else "%{text}<extra></extra>",
        hoverinfo=hover,
        cliponaxis=False,
    )
