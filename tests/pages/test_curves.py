"""Curves of odds and points of jobs: marks where they belong, axes that hold them."""

from costlearn.pages.charts import Scale
from costlearn.pages.curves import Spot, odds_curve, points_chart

MONEY = Scale("money", "price, USD")
CURVE = [(100.0 * k, 1 - k / 10) for k in range(1, 10)]


def test_curve_spots_and_thick_stretch():
    spots = [Spot(450.0, 0.55, "diamond", "signal", says="<yours>")]
    figure = odds_curve(CURVE, spots, MONEY, thick=(300.0, 600.0))
    thin, thick, mark = figure.data
    assert list(thin.x) == [x for x, _ in CURVE]
    assert list(thick.x) == [300.0, 400.0, 500.0, 600.0]
    assert thick.line.width > thin.line.width
    assert (mark.x[0], mark.y[0], mark.text[0]) == (450.0, 0.55, "&lt;yours&gt;")
    assert [(s.x1, s.y1) for s in figure.layout.shapes] == [(450.0, 0.55), (450.0, 0.55)]


def test_a_price_off_the_curve_is_still_in_the_picture():
    spots = [Spot(2500.0, 0.0, "diamond", "signal")]
    low, high = odds_curve(CURVE, spots, MONEY).layout.xaxis.range
    assert low < 100 < 2500 < high


def test_odds_are_said_in_tens():
    figure = odds_curve(CURVE, [], MONEY, guide=0.0)
    assert list(figure.layout.yaxis.ticktext) == [
        "0",
        "2 in 10",
        "4 in 10",
        "6 in 10",
        "8 in 10",
        "10 in 10",
    ]
    assert figure.layout.shapes[0].x0 == 0.0


def test_points_are_kept_apart_by_shape_and_begin_at_zero():
    spots = [Spot(40, 10, "circle", "main"), Spot(50, 9, "square", "signal", True)]
    figure = points_chart(spots, Scale("count", "sq ft"), Scale("days", "days"))
    assert [t.marker.symbol for t in figure.data] == ["circle", "square"]
    assert figure.layout.xaxis.range[0] == 0
    assert figure.layout.yaxis.range[0] == 0
