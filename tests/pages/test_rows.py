"""Rows draw what they are given, where it stands, and nothing that is not finite."""

import math

import pytest

from costlearn.models.distribution import Interval
from costlearn.pages.charts import Scale
from costlearn.pages.rows import Band, Mark, Row, nested, row_chart, thinning

DAYS = Scale("days", "days")
RATIO = Scale("ratio", "against plan")


def traces(figure, mode):
    return [t for t in figure.data if t.mode == mode]


def test_bands_and_marks_stand_on_their_rows():
    rows = [
        Row("A", bands=(Band(2, 5),), marks=(Mark(3, says="three"),)),
        Row("B", bands=(Band(4, 9),), marks=(Mark(6, says="six"),)),
    ]
    figure = row_chart(rows, DAYS)
    (line,) = traces(figure, "lines")
    assert list(line.x) == [2, 5, None, 4, 9, None]
    assert list(line.y) == [0, 0, None, 1, 1, None]
    (mark,) = traces(figure, "markers")
    assert (list(mark.x), list(mark.y), list(mark.text)) == ([3, 6], [0, 1], ["three", "six"])
    assert list(figure.layout.yaxis.range) == [1.5, -0.5]
    assert list(figure.layout.yaxis.ticktext) == ["A", "B"]


def test_nested_ranges_are_drawn_widest_first_and_thickest_inside():
    levels = (Interval(0.5, 4, 6), Interval(0.8, 3, 8), Interval(0.9, 2, 9))
    assert [(b.low, b.form) for b in nested(levels)] == [
        (2, "thin"),
        (3, "middling"),
        (4, "thick"),
    ]
    widths = [
        t.line.width for t in traces(row_chart([Row("", bands=nested(levels))], DAYS), "lines")
    ]
    assert widths == sorted(widths)
    assert len(set(widths)) == 3


def test_values_that_are_no_numbers_are_left_out_not_moved():
    rows = [
        Row("A", bands=(Band(math.nan, 5), Band(1, 2)), marks=(Mark(math.inf), Mark(1.5))),
        Row("B", marks=(Mark(0.0), Mark(-1.0)), dots=(0.0, 2.0)),
    ]
    figure = row_chart(rows, RATIO)
    (line,) = traces(figure, "lines")
    assert list(line.x) == [1, 2, None]
    points = [x for t in traces(figure, "markers") for x in t.x]
    assert sorted(points) == [1.5, 2.0]


def test_money_and_days_begin_at_zero_unless_that_would_squeeze_them():
    near = row_chart([Row("", bands=(Band(8, 10),))], DAYS).layout.xaxis
    far = row_chart([Row("", bands=(Band(2, 10),))], DAYS).layout.xaxis
    assert near.range[0] > 7
    assert 0 in far.tickvals


def test_guides_are_drawn_and_named():
    rows = [Row("A", bands=(Band(0.5, 0.8),))]
    figure = row_chart(rows, Scale("share", ""), ((1.0, "as alone"), (0.68, "pays below <68>")))
    assert [s.x0 for s in figure.layout.shapes] == [1.0, 0.68]
    assert [s.line.dash for s in figure.layout.shapes] == ["solid", "dash"]
    assert [a.text for a in figure.layout.annotations] == ["as alone", "pays below &lt;68&gt;"]
    # One above the other, so that near ones cannot cover each other.
    assert len({a.yshift for a in figure.layout.annotations}) == 2


def test_guides_on_a_log_axis_stand_where_the_value_is():
    figure = row_chart([Row("A", bands=(Band(0.5, 10),))], RATIO, ((1.0, "on plan"),))
    assert figure.layout.shapes[0].x0 == 1.0
    assert figure.layout.annotations[0].x == pytest.approx(0.0)


def test_one_value_alone_still_makes_a_picture():
    axis = row_chart([Row("A", marks=(Mark(5.0),))], DAYS).layout.xaxis
    assert axis.range[0] < 5 < axis.range[1]


def test_many_dots_are_thinned_evenly_and_counted():
    few = [Row("A", dots=(1.0,) * 4000)]
    many = [Row("A", dots=tuple(1 + i / 9000 for i in range(9000)))]
    assert thinning(few) == 1
    assert thinning(many) == 3
    (drawn,) = traces(row_chart(many, RATIO), "markers")
    assert len(drawn.x) == 3000


def test_rows_grow_with_their_labels():
    short = row_chart([Row("A", bands=(Band(1, 2),))] * 3, DAYS).layout.height
    tall = row_chart([Row("A word " * 12, "below", (Band(1, 2),))] * 3, DAYS).layout.height
    assert tall > short + 3 * 40


def test_where_there_is_room_labels_take_fewer_lines_and_the_chart_is_lower():
    rows = [Row("Backer, membrane, flood test", "at stake $1,030", (Band(1, 2),))] * 3
    layout = row_chart(rows, DAYS).layout
    wide = layout.meta["wide"]
    assert layout.yaxis.ticktext[0].count("<br>") > wide["yaxis"]["ticktext"][0].count("<br>") == 1
    assert wide["height"] < layout.height
    assert len(wide["xaxis"]["tickvals"]) >= len(layout.xaxis.tickvals)
