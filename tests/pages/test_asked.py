"""What was asked is said in the words and units of the asker."""

from dataclasses import replace
from datetime import date

import page_making as making
import pytest

from costlearn.pages.asked import particulars, sized, subject
from costlearn.records import Job


@pytest.mark.parametrize(
    ("key", "size", "unit", "text"),
    [
        ("wall_tile", 96.0, "sqft", "wall tile 96 sq ft"),
        ("wall_tile", 96.0, "sqm", "wall tile 8.9 m²"),
        ("wall_tile", 1.0, "sqft", "wall tile"),
        ("lighting", 3.0, "sqft", "lighting (3)"),
        ("toilet", 1.0, "sqft", "toilet"),
        ("new_partition", 8.0, "sqft", "new partition 8 ft"),
        ("new_partition", 8.0, "sqm", "new partition 2.4 m"),
        ("own_item", 4.0, "sqft", "own_item"),
    ],
)
def test_items_are_said_with_their_size(key, size, unit, text):
    """96 sq ft is 96 / 10.7639 = 8.92 square metres; 8 ft is 8 / 3.28084 = 2.44 m."""
    assert sized(key, size, unit) == text


def test_subject_says_only_what_is_known():
    assert subject(making.quoted(), "sqft") == "Q-117 walk-in, bathroom, 52 sq ft"
    assert subject(Job("a", "A"), "sqft") == "A"


def test_particulars_of_a_quote():
    said = dict(particulars(making.quoted(), "sqft", "USD", date(2026, 11, 2)))
    assert said["House built"] == "1974"
    assert said["Price"] == "$21,000"
    assert said["Planned"] == (
        "$14,200 direct cost, 17 person-days, 10.5 days on site, 17 working days, first to last"
    )
    assert said["Said to be left out"] == "heated floor"
    assert "bath fan" not in said["Scope"]
    assert said["Asked at prices of"] == "2 November 2026"


def test_nothing_said_gives_nothing():
    assert particulars(Job("a", "A"), "sqft", "USD", None) == ()
    free = replace(Job("a", "A"), price=0)
    assert particulars(free, "sqft", "USD", None) == (("Price", "$0"),)
