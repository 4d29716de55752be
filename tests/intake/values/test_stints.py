"""Cells that say how long a job took and who worked; the figures are worked out beside each."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.cells import Raw, Reading
from costlearn.intake.values.stints import Stint, read_stint, team_shown


def read(raw: Raw, unit: str | None = "days", team: int | None = None) -> Reading[Stint]:
    return read_stint(raw, unit=unit, hours_per_day=8, team=team)


def figures(reading: Reading[Stint]) -> tuple[float | None, float | None, float | None]:
    stint = reading.value
    assert stint is not None, reading.problem
    return stint.site_days, stint.crew, stint.person_days


@pytest.mark.parametrize(
    ("text", "days", "crew"),
    [
        ("17 days, two of us", 17, 2), ("9 days me alone", 9, 1), ("solo 9 days", 9, 1),
        ("9 days by myself", 9, 1), ("12 days 1 man", 12, 1), ("4 days", 4, None),
        ("26 x 2", 26, 2),
        ("2 x 26", 26, 2), ("11 days, 2 men", 11, 2), ("3 weeks, both of us", 15, 2),
        ("2 1/2 wks", 12.5, None), ("2½ wks", 12.5, None), ("12 jours à deux", 12, 2),
        ("half day", 0.5, None), ("day and a half", 1.5, None), ("17", 17, None),
        (17.5, 17.5, None),
        ("17 days x 2 men", 17, 2), ("2 men x 17 days", 17, 2), ("2-man crew 11 days", 11, 2),
        ("crew of 2, 9 days", 9, 2), ("me and T, 11 days", 11, 2), ("11 days with helper", 11, 2),
        ("11 days me + 1", 11, 2), ("4 days + 2 days", 6, None), ("2 weeks 3 days", 13, None),
        ("9 d x 2", 9, 2), ("one week alone", 5, 1), ("9 days, tile late", 9, None),
        ("9 days T", 9, None),
        ("1 wk, Dee only", 5, 1), ("a week and a half, Lou alone", 7.5, 1), ("3 men 2 days", 2, 3),
    ],
)  # fmt: skip
def test_days_and_people(text: Raw, days: float, crew: float | None) -> None:
    assert figures(read(text)) == (days, crew, None if crew is None else days * crew)


@pytest.mark.parametrize(
    ("text", "unit", "person_days"),
    [
        ("4 man-days", "days", 4), ("40 man hrs", "days", 5), ("2 men 7 hrs", "days", 1.75),
        ("4 x 3", "days", 12), ("120 hrs", "days", 15), ("12", "person-days", 12),
        ("T 6h, K 4h", "hours", 1.25), ("me 10, T 6", "days", 16), (timedelta(hours=12), None, 1.5),
    ],
)  # fmt: skip
def test_work_whose_days_on_site_are_not_said(
    text: Raw, unit: str | None, person_days: float
) -> None:
    site, _, work = figures(read(text, unit))
    assert (site, work) == (None, person_days)


@pytest.mark.parametrize(
    ("text", "crew", "person_days"),
    [
        ("16 (T away)", 1, 16), ("11, T half the time", 1.5, 16.5), ("16, no T", 1, 16),
        ("16 (T away 3 days)", 29 / 16, 29), ("11 days, T 5 of them", 16 / 11, 16),
    ],
)  # fmt: skip
def test_one_of_two_away_counts_where_the_firm_is_known_to_be_two(
    text: str, crew: float, person_days: float
) -> None:
    days = float(text[:2])
    assert figures(read(text, team=2)) == (days, crew, person_days)
    open_reading = read(text)
    assert figures(open_reading) == (days, None, None)
    assert "not sure" in open_reading.note
    with_names = read_stint(text, unit="days", hours_per_day=8, people=["Mo", "T"])
    assert figures(with_names) == (days, crew, person_days)


def test_parts_with_their_own_crew_are_added() -> None:
    assert figures(read("6 days alone, 5 days both")) == (11, 16 / 11, 16)
    assert figures(read("6 alone, 5 together", team=2)) == (11, 16 / 11, 16)
    assert read("6 alone, 5 together").code == "two amounts"
    assert read("12 days, 3 alone").code == "two amounts", "3 of the 12, or 3 more"


def test_each_says_how_many_only_where_the_firm_is_known() -> None:
    assert figures(read("8 ea", "hours", team=2)) == (None, 2, 2)
    assert read("8 ea", "hours").value is None
    assert figures(read("8 ea", None, team=2)) == (None, 2, 2)


def test_names_the_firm_gave_come_before_units() -> None:
    named = read_stint("M 6h, K 4h", unit="hours", hours_per_day=8, people=["M", "K"])
    assert figures(named) == (None, None, 1.25)
    both = read_stint("M, K 12 days", unit="days", hours_per_day=8, people=["M", "K"])
    assert figures(both) == (12, 2, 24)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("10-12 days", 10, 12), ("about 3 wks", 15, 15), ("~17 d", 17, 17), ("10 à 12 jours", 10, 12)],
)
def test_ranges_and_rough_marks_are_kept(text: str, low: float, high: float) -> None:
    stint = read(text).value
    assert stint == Stint((low + high) / 2, None, None, low, high, rough=True)


def test_a_heading_says_which_figure_is_people() -> None:
    assert figures(read("3 x 2", "days x people")) == (3, 2, 6)
    assert figures(read("2 x 3", "people x days")) == (3, 2, 6)
    assert figures(read(3, "weeks")) == (15, None, None)


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        ("17", "no unit"), ("max 10 days", "bound"), ("9 days so far", "remark"),
        ("9 days (2 waiting)", "remark"), ("a few days", "unreadable"), ("lots", "unreadable"),
        ("2 x 8", "unreadable"), ("-3 days", "unreadable"), (date(2025, 3, 3), "wrong type"),
        ("3000 days", "too large"), ("8 days, 14k", "two amounts"), ("17 days, 2", "two amounts"),
        (-3, "unreadable"),
    ],
)  # fmt: skip
def test_what_is_not_sure_says_why(raw: Raw, code: str) -> None:
    reading = read(raw, None if code == "no unit" else "days")
    assert (reading.value, reading.code) == (None, code)
    assert reading.problem


def test_other_cells_show_how_many_the_firm_is() -> None:
    assert team_shown([read("17 days, two of us"), read("4 days"), read("9 days solo")]) == 2
    assert team_shown([read("9 days solo")]) is None
    assert team_shown([read("2 men 4 days"), read("3 men 2 days")]) is None


WAYS = {
    "{d} days": None, "{d} days, two of us": 2, "{d} days me alone": 1, "{d} days 1 man": 1,
    "{d} x 2": 2, "{d} days x {c} men": 0, "{c} guys, {d} days": 0, "{d}d, {c} people": 0,
    "about {d} days solo": 1, "{d} jours à deux": 2, "{d} (T away)": None, "{c}-man crew {d} d": 0,
}  # fmt: skip
"""How days are written, and the crew they say: 0 is ``c``."""


@given(st.integers(1, 90), st.integers(1, 9), st.sampled_from(sorted(WAYS)))
def test_any_stint_in_these_ways_is_read_back_or_left_open(days: int, crew: int, way: str) -> None:
    said = crew if WAYS[way] == 0 else WAYS[way]
    reading = read(way.format(d=days, c=crew))
    if way == "{d} x 2" and reading.value and reading.value.site_days is None:
        assert reading.value.person_days == days * 2
        return
    assert figures(reading) == (days, said, None if said is None else days * said)


@given(st.text(alphabet="0123456789.,-x ()TMandyswekhrofu+'½", max_size=18))
def test_no_text_raises_and_days_times_people_is_the_work(text: str) -> None:
    for team in (None, 2):
        reading = read(text, "days", team)
        assert reading.value is None or reading.problem == ""
        stint = reading.value
        if stint and stint.site_days and stint.crew and stint.person_days:
            assert stint.site_days * stint.crew == pytest.approx(stint.person_days)
