"""Labels stay text, ticks are round and few, and a figure can stand inside a script element."""

import json
import math
from itertools import pairwise

import plotly.graph_objects as go
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.pages.charts import (
    CONFIG,
    Scale,
    draw,
    even_ticks,
    figure_text,
    label,
    ratio_ticks,
    safe,
    tone,
)


@pytest.mark.parametrize(
    ("low", "high", "most", "ticks"),
    [
        (0, 43, 5, [0, 10, 20, 30, 40]),
        (15000, 24500, 4, [15000, 17500, 20000, 22500]),
        (0.47, 1.02, 4, [0.6, 0.8, 1]),
        (-9000, 52000, 4, [0, 20000, 40000]),
        (7, 7, 4, [7]),
    ],
)
def test_even_ticks_by_hand(low, high, most, ticks):
    assert even_ticks(low, high, most) == pytest.approx(ticks)


@given(low=st.floats(-1e7, 1e7), width=st.floats(1e-3, 1e8), most=st.integers(2, 8))
def test_even_ticks_are_few_inside_and_even(low, width, most):
    high = low + width
    ticks = even_ticks(low, high, most)
    assert len(ticks) <= most
    slack = 1e-6 * max(width, abs(low) * 1e-3, 1e-3)
    assert all(low - slack <= t <= high + slack for t in ticks)
    gaps = [b - a for a, b in pairwise(ticks)]
    assert all(g == pytest.approx(gaps[0], rel=1e-3, abs=1e-6) for g in gaps)


def test_ratio_ticks_by_hand():
    """Span ln(4.2 / .45) = 2.23; six parts of .37: 1.5 is .29 from 2, too near; 4 is .69."""
    assert ratio_ticks(0.45, 4.2, 5) == [0.5, 1, 2, 4]


@given(low=st.floats(0.01, 0.99), high=st.floats(1.01, 150), most=st.integers(2, 6))
def test_ratio_ticks_hold_the_plan_and_keep_apart(low, high, most):
    ticks = ratio_ticks(low, high, most)
    assert 1 in ticks
    assert all(low <= t <= high for t in ticks)
    apart = math.log(high / low) / (most + 1)
    logs = [math.log(t) for t in ticks]
    assert all(b - a >= apart - 1e-9 for a, b in pairwise(logs))


@pytest.mark.parametrize(
    ("scale", "value", "text"),
    [
        (Scale("money", ""), 12500, "$12.5k"),
        (Scale("money", ""), -800, "-$800"),
        (Scale("money", "", "EUR"), 1_200_000, "€1.2M"),
        (Scale("money", "", "CHF"), 20000, "CHF 20k"),
        (Scale("days", ""), 7.5, "7.5"),
        (Scale("share", ""), 0.6, "60 %"),
        (Scale("ratio", ""), 1, "plan"),
        (Scale("ratio", ""), 1.5, "+50 %"),
        (Scale("ratio", ""), 0.5, "-50 %"),
    ],
)
def test_what_ticks_say(scale, value, text):
    assert scale.say(value) == text


def test_log_axis_ends_are_logarithms():
    axis = Scale("ratio", "").axis(0.1, 10)
    assert axis["type"] == "log"
    # Four parts in a hundred of two decades on each side.
    assert axis["range"] == pytest.approx([-1.08, 1.08])


def test_labels_are_read_as_text():
    assert safe('<b>"A & B"</b>') == '&lt;b&gt;"A &amp; B"&lt;/b&gt;'
    assert label("Tile & grout <i>") == "Tile &amp; grout &lt;i&gt;"


def test_labels_are_wrapped_between_words():
    shown = label("Backer, membrane, flood test", "planned $300")
    assert shown.split("<br>") == [
        "Backer, membrane,",
        "flood test",
        '<span style="font-size:11px">planned $300</span>',
    ]


def test_hyphened_words_stay_whole():
    assert label("Electrical rough-in") == "Electrical<br>rough-in"


def test_endless_words_are_broken():
    assert max(len(line) for line in label("x" * 60).split("<br>")) == 17


def test_figure_text_ends_no_script_and_is_the_figure():
    name = "</script><!-- & \u2028 東京"
    figure = draw([go.Scatter(x=[1.0], y=[2.0], text=[name])], {"height": 200})
    text = figure_text(figure)
    assert not set("<>&") & set(text)
    data = json.loads(text)
    assert data["data"][0]["text"] == [name]
    assert data["data"][0]["x"] == [1.0]
    assert data["layout"]["template"]["layout"]["paper_bgcolor"] == tone("paper")


def test_nothing_can_be_sent_away():
    assert CONFIG["showSendToCloud"] is False
    assert CONFIG["plotlyServerURL"] == ""
    assert CONFIG["displaylogo"] is False
    assert CONFIG["displayModeBar"] is False
