"""Curves of odds and points of jobs: marks where they belong, axes that hold them."""

from costlearn.pages.charts import Scale
from costlearn.pages.curves import Spot, band_chart, odds_curve, points_chart

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


def test_two_lines_behind_the_points_are_told_apart_by_dash_and_tone():
    spots = [Spot(40, 10, "circle", "main")]
    figure = points_chart(
        spots,
        Scale("count", "sq ft"),
        Scale("days", "days"),
        curve=[(30, 8), (60, 30)],
        dashed=[(30, 5), (60, 9)],
    )
    first, second, _ = figure.data
    assert (first.line.dash, second.line.dash) == ("solid", "dash")
    assert first.line.color != second.line.color
    assert figure.layout.yaxis.range[1] > 30


def test_a_band_goes_up_one_end_and_back_the_other_with_its_turn_marked():
    points = [(0.0, -9.0, -8.0, -7.0), (5.0, -6.0, -2.0, 1.0), (10.0, -1.0, 2.0, 6.0)]
    figure = band_chart(
        points, Scale("count", "jobs"), Scale("money", "gain"), crossings=[7.5], held=(4.0, 10.0)
    )
    band, middle, stated, turn = figure.data
    assert list(band.x) == [0.0, 5.0, 10.0, 10.0, 5.0, 0.0]
    assert list(band.y) == [-9.0, -6.0, -1.0, 6.0, 1.0, -7.0]
    assert band.fill == "toself"
    assert list(middle.y) == [-8.0, -2.0, 2.0]
    assert list(stated.x) == [5.0, 10.0] and stated.line.width > middle.line.width
    assert (turn.x[0], turn.y[0]) == (7.5, 0.0)
    low, high = figure.layout.yaxis.range
    assert low < -9 and high > 6
    assert figure.layout.shapes[0].y0 == figure.layout.shapes[0].y1 == 0.0
