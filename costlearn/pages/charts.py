"""What all pictures share: tones, shapes, ticks, safe labels, and the plain look of a chart.

A picture is drawn in the light tones. The page's own script swaps each tone for its dark twin where
the reader's screen is dark, and back again for paper.
"""

from __future__ import annotations

import json
import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import plotly.graph_objects as go

from costlearn.pages.style import CHART_SIZES, FONT, TONES
from costlearn.units import SYMBOLS, say_percent

SHAPES = {
    "circle": "circle",
    "square": "square",
    "diamond": "diamond",
    "triangle": "triangle-up",
    "down": "triangle-down",
    "bar": "line-ns",
}
"""Our names of marks to plotly's."""

CONFIG = {
    "displayModeBar": False,
    "displaylogo": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": False,
    "typesetMath": False,
    "scrollZoom": False,
}
"""No buttons, and nothing that could send a figure away."""


def tone(name: str) -> str:
    """The light form of a tone, as drawn."""
    return TONES[name][0]


WORDS, TICKS, UNDER = (CHART_SIZES[k] for k in ("words", "ticks", "under"))

TEMPLATE = go.layout.Template(
    layout={
        "font": {"family": FONT, "size": WORDS, "color": tone("ink")},
        "paper_bgcolor": tone("paper"),
        "plot_bgcolor": tone("paper"),
        "margin": {"l": 4, "r": 22, "t": 8, "b": 8, "pad": 4},
        # Charts of one row are lower than 64 px inside: under that no room is made for titles.
        "minreducedheight": 10,
        "showlegend": False,
        "dragmode": False,
        "hovermode": "closest",
        "hoverlabel": {
            "bgcolor": tone("paper"),
            "bordercolor": tone("muted"),
            "font": {"family": FONT, "size": WORDS, "color": tone("ink")},
            "align": "left",
        },
        "xaxis": {
            "automargin": True,
            "fixedrange": True,
            "gridcolor": tone("rule"),
            "linecolor": tone("muted"),
            "zeroline": False,
            "ticklabeloverflow": "allow",
            "tickangle": 0,
            "tickfont": {"size": TICKS, "color": tone("muted")},
            "title": {"font": {"size": TICKS, "color": tone("muted")}, "standoff": 8},
        },
        "yaxis": {
            "automargin": True,
            "fixedrange": True,
            "gridcolor": tone("rule"),
            "linecolor": tone("muted"),
            "zeroline": False,
            "tickfont": {"size": TICKS, "color": tone("ink")},
            "title": {"font": {"size": TICKS, "color": tone("muted")}, "standoff": 8},
        },
    }
)


def safe(text: str) -> str:
    """A text that plotly shows letter by letter: its labels are read as a kind of HTML."""
    return escape(text, quote=False)


def wrapped(text: str, width: int = 17) -> list[str]:
    """A label in lines of at most so many letters, each safe to show."""
    lines = textwrap.wrap(text, width, break_on_hyphens=False) or [""]
    return [safe(line) for line in lines]


def label(text: str, under: str = "", width: int = 17) -> str:
    """A row's label, wrapped, with a smaller line under it."""
    small = [
        f'<span style="font-size:{UNDER}px">{line}</span>' for line in wrapped(under, width + 1)
    ]
    return "<br>".join(wrapped(text, width) + (small if under else []))


@dataclass(frozen=True)
class Scale:
    """An axis: ``kind`` is "money", "days", "count", "share" or "ratio"; ``title`` its unit.

    A "ratio" scale is logarithmic: twice and half stand equally far from 1, which is called
    ``one``.
    """

    kind: str
    title: str
    currency: str = "USD"
    one: str = "plan"

    @property
    def log(self) -> bool:
        """True for a logarithmic axis."""
        return self.kind == "ratio"

    def say(self, value: float) -> str:
        """One tick's text."""
        if self.kind == "money":
            return _short_money(value, self.currency)
        if self.kind == "share":
            return say_percent(value)
        if self.kind == "ratio":
            return self.one if value == 1 else say_percent(value - 1, signed=True)
        return f"{value:,g}"

    def axis(self, low: float, high: float, most: int = 5) -> dict[str, Any]:
        """Range, ticks and their texts for values from ``low`` to ``high``, with a little room."""
        if self.log:
            pad = 0.04 * math.log10(high / low)
            ends = [math.log10(low) - pad, math.log10(high) + pad]
            ticks = ratio_ticks(10 ** ends[0], 10 ** ends[1], most)
        else:
            pad = 0.05 * (high - low)
            ends = [low - pad, high + pad]
            ticks = even_ticks(ends[0], ends[1], most)
        return {
            "type": "log" if self.log else "linear",
            "range": ends,
            "tickmode": "array",
            "tickvals": ticks,
            "ticktext": [safe(self.say(t)) for t in ticks],
            "title": {"text": safe(self.title)},
        }


def even_ticks(low: float, high: float, most: int) -> list[float]:
    """At most ``most`` round values between two ends, evenly spaced.

    >>> even_ticks(0, 43, 5)
    [0, 10, 20, 30, 40]
    """
    if not high > low:
        return [low]
    power = 10.0 ** (math.floor(math.log10((high - low) / most)) - 1)
    for step in (power * m for m in (1, 2, 2.5, 5, 10, 20, 25, 50, 100, 200, 500)):
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last - first < most:
            return [_whole(k * step) for k in range(first, last + 1)]
    return [low, high]


def ratio_ticks(low: float, high: float, most: int) -> list[float]:
    """At most ``most`` plain ratios between two ends, none too near another; 1 comes first.

    >>> ratio_ticks(0.45, 4.2, 5)
    [0.5, 1, 2, 4]
    """
    apart = math.log(high / low) / (most + 1)
    taken: list[float] = []
    plain = (
        1,
        2,
        0.5,
        4,
        0.25,
        1.5,
        2 / 3,
        0.6,
        3,
        1.25,
        0.8,
        1.1,
        0.9,
        8,
        0.1,
        20,
        0.05,
        100,
        0.01,
    )
    for value in plain:
        if low <= value <= high and all(abs(math.log(value / t)) >= apart for t in taken):
            taken.append(value)
    return sorted(taken)


def draw(data: Sequence[Any], layout: dict[str, Any]) -> go.Figure:
    """A figure in the look all pages share."""
    return go.Figure(list(data), go.Layout(template=TEMPLATE, **layout))


def figure_text(figure: go.Figure) -> str:
    """A figure as JSON that can stand inside a script element whatever its labels say."""
    text = json.dumps(figure.to_plotly_json(), ensure_ascii=True, cls=_Plain, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


class _Plain(json.JSONEncoder):
    """Plotly's own parts as plain data."""

    def default(self, o: Any) -> Any:
        if hasattr(o, "to_plotly_json"):
            return o.to_plotly_json()
        return super().default(o)


def _whole(value: float) -> float:
    value = round(value, 10)
    return int(value) if value == int(value) else value


def _short_money(value: float, currency: str) -> str:
    """Money on an axis: "$12.5k", "-$800"."""
    sign = SYMBOLS.get(currency, currency + " ")
    size = abs(value)
    if size >= 1e6:
        shown = f"{size / 1e6:g}M"
    elif size >= 1000:
        shown = f"{size / 1000:g}k"
    else:
        shown = f"{size:g}"
    return f"{'-' if value < 0 else ''}{sign}{shown}"
