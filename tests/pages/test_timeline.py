"""Jobs in time order: odd ones told by shape, limits drawn, years where they begin."""

from datetime import date

import pytest

from costlearn.pages.timeline import Moment, Stretch, time_chart

DAYS = [date(2023, 3, 1), date(2023, 9, 1), date(2024, 2, 1), date(2024, 8, 1), date(2025, 1, 5)]


def drawn(**values):
    moments = [Moment(i, 1.0 + 0.1 * i, i == 3, f"job {i}") for i in range(5)]
    return time_chart(moments, DAYS, (0.8, 1.1, 1.5), **values).to_plotly_json()


def test_odd_jobs_have_another_shape():
    marks = {t["marker"]["symbol"]: t["x"] for t in drawn()["data"] if t["mode"] == "markers"}
    assert marks == {"circle": [0, 1, 2, 4], "diamond": [3]}


def test_limits_middle_and_plan_are_drawn_apart():
    lines = {t["y"][0]: t["line"]["dash"] for t in drawn()["data"] if len(t["x"]) == 2}
    assert lines == {1.0: "solid", 1.1: "dot", 0.8: "dash", 1.5: "dash"}


def test_levels_before_and_since_a_change():
    found = drawn(stretches=(Stretch(0, 2, 0.95), Stretch(3, 4, 1.2)))
    thick = [t for t in found["data"] if t["mode"] == "lines" and t["line"]["width"] == 5]
    assert [(t["x"], t["y"][0]) for t in thick] == [([-0.4, 2.4], 0.95), ([2.6, 4.4], 1.2)]


def test_years_stand_where_they_begin():
    axis = drawn()["layout"]["xaxis"]
    assert list(zip(axis["tickvals"], axis["ticktext"], strict=True)) == [
        (0, "2023"),
        (2, "2024"),
        (4, "2025"),
    ]


def test_the_axis_holds_all_marks_and_limits():
    low, high = (10**e for e in drawn()["layout"]["yaxis"]["range"])
    assert low < 0.8
    assert high > 1.5


def test_undated_jobs_have_no_years():
    found = time_chart([Moment(0, 1.0), Moment(1, 1.1)], [None, None], (0.9, 1.0, 1.2))
    axis = found.to_plotly_json()["layout"]["xaxis"]
    assert axis["tickvals"] == []
    assert axis["title"]["text"] == "jobs in order"


@pytest.mark.parametrize("count", [30, 60])
def test_years_never_crowd(count):
    days = [date(2000 + i // 2, 1, 1) for i in range(count)]
    moments = [Moment(i, 1.0 + 0.01 * i) for i in range(count)]
    axis = time_chart(moments, days, (0.9, 1.0, 1.2)).to_plotly_json()["layout"]["xaxis"]
    apart = [b - a for a, b in zip(axis["tickvals"], axis["tickvals"][1:], strict=False)]
    assert min(apart) >= count / 8
