"""Rows of ranges and marks on one scale: the picture most answers need.

Every row is one thing (a figure, a phase); a thick, a middling and a thin line hold 5, 8 and 9 jobs
in 10, and marks stand on them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from costlearn.models.distribution import Interval
from costlearn.pages.charts import SHAPES, Scale, draw, label, safe, tone

BANDS = {
    "thin": (2.5, "main"),
    "middling": (9, "middle"),
    "thick": (17, "main"),
    "tall": (15, "middle"),
    "missed": (3, "signal"),
}
"""Form of a range line to its width in pixels and tone; a tall one shows behind its mark."""
FORM_OF_LEVEL = {0.9: "thin", 0.8: "middling", 0.5: "thick"}
NARROW, WIDE = 17, 36
"""Letters in a line of a label: at phone width, and where there is room."""
LEAST = 60
"""Pixels a chart needs over its axis, or the axis runs into its title."""
MOST_DOTS = 4000
"""More single dots than this are thinned evenly, and the caption says so."""


@dataclass(frozen=True)
class Band:
    """A range on a row."""

    low: float
    high: float
    form: str = "middling"


@dataclass(frozen=True)
class Mark:
    """A mark on a row; ``shape`` is one of ``charts.SHAPES``; ``hollow`` draws its outline only.

    ``shift`` moves it down from the middle of its row, in rows, so that near marks stand apart.
    """

    at: float
    shape: str = "circle"
    tone: str = "ink"
    hollow: bool = False
    says: str = ""
    shift: float = 0.0


@dataclass(frozen=True)
class Row:
    """One row: its label, a smaller line under it, ranges, marks, single records behind them.

    ``over`` and ``below`` are texts beside values, over and under the row.
    """

    label: str
    under: str = ""
    bands: tuple[Band, ...] = ()
    marks: tuple[Mark, ...] = ()
    dots: tuple[float, ...] = ()
    over: tuple[tuple[float, str], ...] = ()
    below: tuple[tuple[float, str], ...] = ()

    def words(self, width: int) -> str:
        """Its label in lines of so many letters."""
        return label(self.label, self.under, width)

    def values(self) -> Iterable[float]:
        """All values on it."""
        for band in self.bands:
            yield from (band.low, band.high)
        yield from (m.at for m in self.marks)
        yield from self.dots


def nested(intervals: Sequence[Interval]) -> tuple[Band, ...]:
    """Ranges one in the other, widest first."""
    known = [i for i in intervals if i.level in FORM_OF_LEVEL]
    ranked = sorted(known, key=lambda i: -i.level)
    return tuple(Band(i.low, i.high, FORM_OF_LEVEL[i.level]) for i in ranked)


def thinning(rows: Sequence[Row]) -> int:
    """Every how manieth single dot is drawn: 1 unless there are very many."""
    return math.ceil(sum(len(r.dots) for r in rows) / MOST_DOTS) or 1


def row_chart(
    rows: Sequence[Row],
    scale: Scale,
    guides: Sequence[tuple[float, str]] = (),
    *,
    ends: Sequence[float] = (),
    pitch: int | None = None,
) -> go.Figure:
    """Draw rows, the first on top.

    Args:
        rows: what to draw; values that are not finite (or not positive on a ratio scale) are left
            out of the picture, never moved.
        scale: the axis under the rows.
        guides: values with a line from top to bottom (0 and 1 solid, others dashed), and its words.
        ends: values the axis holds besides, so that several pictures can share one axis.
        pitch: pixels a row; default what the longest label needs, with room around it.
    """
    seen = [v for v in (*(v for r in rows for v in r.values()), *ends) if _shown(v, scale)]
    seen += [g for g, _ in guides]
    low, high = (min(seen), max(seen)) if seen else (0.0, 1.0)
    if scale.kind in ("money", "days", "count") and low >= 0:
        low = 0.0 if low < 0.5 * high else low
    if low == high:
        low, high = low * 0.9, high * 1.1
    axis = scale.axis(low, high, 3 if scale.log else 4)
    roomy = scale.axis(low, high, 5 if scale.log else 7)
    top = 8 + 18 * len(guides)
    data = [*_dots(rows, scale), *_bands(rows, scale), *_marks(rows, scale)]
    named = any(r.label for r in rows)
    layout: dict[str, Any] = {
        "height": top + _height(rows, NARROW, pitch),
        "margin": {"t": top},
        "xaxis": {**axis, "ticks": "outside", "ticklen": 4},
        "yaxis": {
            "range": [len(rows) - 0.5, -0.5],
            "tickmode": "array",
            "tickvals": list(range(len(rows))),
            "ticktext": [r.words(NARROW) for r in rows],
            "showgrid": named,
            "visible": named,
        },
        # What the page changes where it has room: fewer lines of label, so a lower chart.
        "meta": {
            "wide": {
                "height": top + _height(rows, WIDE, pitch),
                "xaxis": {k: roomy[k] for k in ("tickvals", "ticktext")},
                "yaxis": {"ticktext": [r.words(WIDE) for r in rows]},
            }
        },
        "shapes": [_guide_line(v) for v, _ in guides],
        "annotations": [
            *(_guide_text(v, t, i, axis, scale) for i, (v, t) in enumerate(guides)),
            *_spoken(rows, scale),
        ],
    }
    return draw(data, layout)


def _height(rows: Sequence[Row], width: int, pitch: int | None) -> int:
    """Pixels all rows take with the axis under them, labels in lines of so many letters."""
    spoken = any(r.over or r.below for r in rows)
    lines = [r.words(width).count("<br>") + 1 for r in rows]
    least, room = (36, 14) if width == NARROW else (32, 6)
    row = pitch or max([least, *(15 * n + room for n in lines)]) + (26 if spoken else 0)
    return max(row * len(rows), LEAST) + 52


def _shown(value: float, scale: Scale) -> bool:
    return math.isfinite(value) and (value > 0 or not scale.log)


def _dots(rows: Sequence[Row], scale: Scale) -> list[go.Scatter]:
    """Single records, spread up and down a little so that equal ones can be told apart."""
    step = thinning(rows)
    x: list[float] = []
    y: list[float] = []
    for i, row in enumerate(rows):
        for k, value in enumerate(row.dots[::step]):
            if _shown(value, scale):
                x.append(float(value))
                y.append(round(i + 0.56 * ((k * 0.618034) % 1) - 0.28, 4))
    if not x:
        return []
    marker = {"symbol": "circle", "size": 6, "color": tone("faint"), "opacity": 0.5}
    return [go.Scatter(x=x, y=y, mode="markers", marker=marker, hoverinfo="skip")]


def _bands(rows: Sequence[Row], scale: Scale) -> list[go.Scatter]:
    traces = []
    for form, (width, color) in BANDS.items():
        x: list[float | None] = []
        y: list[float | None] = []
        for i, row in enumerate(rows):
            for band in row.bands:
                if band.form == form and _shown(band.low, scale) and _shown(band.high, scale):
                    x += [float(band.low), float(band.high), None]
                    y += [i, i, None]
        if x:
            line = {"width": width, "color": tone(color)}
            traces.append(go.Scatter(x=x, y=y, mode="lines", line=line, hoverinfo="skip"))
    return traces


def _marks(rows: Sequence[Row], scale: Scale) -> list[go.Scatter]:
    kinds: dict[tuple[str, str, bool], list[tuple[float, float, str]]] = {}
    for i, row in enumerate(rows):
        for m in row.marks:
            if _shown(m.at, scale):
                kinds.setdefault((m.shape, m.tone, m.hollow), []).append(
                    (m.at, i + m.shift, m.says)
                )
    size = 9 if any(r.dots for r in rows) else 11
    return [_mark_trace(kind, points, size) for kind, points in kinds.items()]


def _mark_trace(
    kind: tuple[str, str, bool], points: Sequence[tuple[float, float, str]], size: int
) -> go.Scatter:
    shape, color, hollow = kind
    if shape == "bar":
        edge = {"width": 3, "color": tone(color)}
        marker = {"symbol": "line-ns", "size": 17, "color": tone(color), "line": edge}
    else:
        fill = tone("paper") if hollow else tone(color)
        edge = (
            {"width": 2, "color": tone(color)} if hollow else {"width": 1, "color": tone("paper")}
        )
        marker = {"symbol": SHAPES[shape], "size": size, "color": fill, "line": edge}
    return go.Scatter(
        x=[float(p[0]) for p in points],
        y=[p[1] for p in points],
        mode="markers",
        marker=marker,
        text=[safe(p[2]) for p in points],
        hovertemplate="%{text}<extra></extra>" if all(p[2] for p in points) else None,
        hoverinfo=None if all(p[2] for p in points) else "skip",
        cliponaxis=False,
    )


def _guide_line(value: float) -> dict[str, Any]:
    return {
        "type": "line",
        "x0": value,
        "x1": value,
        "y0": 0,
        "y1": 1,
        "yref": "paper",
        "layer": "below",
        "line": {
            "width": 1.5,
            "dash": "solid" if value in (0, 1) else "dash",
            "color": tone("muted"),
        },
    }


def _guide_text(
    value: float, text: str, place: int, axis: dict[str, Any], scale: Scale
) -> dict[str, Any]:
    """The words over a guide line, leaning inwards near the edge, one above the other."""
    at = math.log10(value) if scale.log else value
    low, high = axis["range"]
    share = (at - low) / (high - low)
    side = "left" if share < 1 / 3 else "right" if share > 2 / 3 else "center"
    return {
        "x": at,
        "y": 1,
        "yref": "paper",
        "yanchor": "bottom",
        "yshift": 18 * place,
        "xanchor": side,
        "text": safe(text),
        "showarrow": False,
        "font": {"size": 12, "color": tone("muted")},
    }


def _spoken(rows: Sequence[Row], scale: Scale) -> list[dict[str, Any]]:
    notes = []
    for i, row in enumerate(rows):
        for shift, texts in ((21, row.over), (-21, row.below)):
            for value, text in texts:
                notes.append(
                    {
                        "x": math.log10(value) if scale.log else value,
                        "y": i,
                        "yshift": shift,
                        "text": safe(text),
                        "showarrow": False,
                        "font": {"size": 13, "color": tone("ink")},
                    }
                )
    return notes
