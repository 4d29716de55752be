"""Cautions show where scope and house call for them, each once."""

import pytest
from making import job

from costlearn.questions import cautions as c
from costlearn.vocabulary import standard


def shown(*items: str, year: int | None = 2005):
    return c.for_scope(job("a", house_year=year, scope=dict.fromkeys(items, 1.0)))


@pytest.mark.parametrize(("year", "lead"), [(1977, True), (1978, False), (None, True)])
def test_lead_before_1978_or_year_not_said(year, lead):
    """Homes built before 1978: US 40 CFR 745, published 73 FR 21692 (2008)."""
    assert (c.LEAD in shown("paint", year=year)) is lead


@pytest.mark.parametrize(
    ("items", "year", "asked"),
    [
        (("gut_demo",), 1989, True),
        (("gut_demo",), 1990, False),
        (("gut_demo",), None, True),
        (("paint",), 1950, False),
    ],
)
def test_asbestos_where_old_work_is_opened(items, year, asked):
    assert (c.ASBESTOS in shown(*items, year=year)) is asked


@pytest.mark.parametrize(
    ("item", "expected"),
    [
        ("membrane", {c.WET, c.LICENSED}),
        ("curbless", {c.WET, c.LICENSED}),
        ("floor_tile", {c.SILICA}),
        ("shower_valve", {c.LIVE, c.LICENSED}),
        ("new_circuit", {c.LIVE, c.LICENSED}),
        ("wall_removal", {c.STRUCTURE, c.LIVE, c.UNKNOWN}),
        ("door_window", {c.STRUCTURE}),
        ("tub_removal", {c.OPEN_FLOOR, c.LIVE, c.UNKNOWN}),
        ("floor_leveling", {c.OPEN_FLOOR}),
        ("gut_demo", {c.LIVE, c.UNKNOWN}),
        ("vanity", set()),
    ],
)
def test_each_item_calls_for_its_own_cautions_and_no_others(item, expected):
    assert set(shown(item)) == expected


def test_items_not_in_the_job_call_for_nothing():
    scope = {"membrane": 0.0, "floor_tile": None}
    assert c.for_scope(job("a", house_year=2005, scope=scope)) == ()


def test_every_role_in_the_vocabulary_has_a_caution():
    for item in standard().items:
        if item.role:
            assert shown(item.key), item.key


def test_cautions_come_once_and_in_order():
    assert shown("floor_tile", "backsplash", "mosaic") == (c.SILICA,)
    assert c.together(("b", "a"), ("a", "c"), ("b",)) == ("b", "a", "c")
