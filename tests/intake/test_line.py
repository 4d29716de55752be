"""What each piece of a typed line is taken for; what cannot be told stays open or is a note."""

from __future__ import annotations

import pytest

from costlearn.firm import Firm
from costlearn.intake.line import AMOUNT, DAY, Parted, part_line
from costlearn.vocabulary import standard


def part(line: str) -> Parted:
    return part_line(line, standard(), Firm())


@pytest.mark.parametrize(
    ("piece", "cells"),
    [
        ("76 sq ft", {"area": "76 sq ft"}),
        ("76 sq ft ensuite", {"area": "76 sq ft", "kind": "ensuite"}),
        ("25 days 2 men", {"actual.days": "25 days 2 men"}),
        ("17 days, two of us", {"actual.days": "17 days, two of us"}),
        ("two of us, 17 days", {"actual.days": "17 days, two of us"}),
        ("planned 20 days, 28k", {"plan.days": "20 days", "plan.cost": "28k"}),
        ("planned 20 days, 33k all in", {"plan.days": "20 days", "actual.cost": "33k"}),
        ("cost us 24,500 + HST", {"actual.cost": "24,500 + HST"}),
        ("33-35k all in", {"actual.cost": "33-35k"}),
        ("charged $36,000", {"price": "$36,000"}),
        ("sold for 36k", {"price": "36k"}),
        ("price 36,000, paid 38,000", {"price": "36,000", "paid": "38,000"}),
        ("paid 38,000", {"price": "38,000"}),
        ("quoted 3 Nov 2026", {"quoted_on": "3 Nov 2026"}),
        ("done Feb 12, 2026", {"state": "finished", "finished": "Feb 12, 2026"}),
        ("3 Jan to 12 Feb 2026", {"started": "3 Jan 2026", "finished": "12 Feb 2026"}),
        ("in progress", {"state": "running"}),
        ("built 1968", {"house_year": "1968"}),
        ("high end", {"grade": "high end"}),
        ("condo", {"condo": "yes"}),
    ],
)
def test_a_piece_is_what_it_reads_as(piece: str, cells: dict[str, str]) -> None:
    found = part(f"Fir Lane, {piece}")
    assert found.cells == cells
    assert not (found.notes or found.scope or found.open or found.twice)


def test_what_no_word_places_stays_open() -> None:
    found = part("Fir Lane bath, 33k, 36000, 12/02/2026, $5,4oo")
    assert found.open == {"33k": AMOUNT, "36000": AMOUNT, "12/02/2026": DAY, "$5,4oo": AMOUNT}
    assert not found.cells


def test_nothing_is_dropped() -> None:
    found = part("Fir bath, client was lovely, 45 sf, 50 sf, glass (1,900, not in), glass 1900")
    assert found.scope == ["glass"]
    assert found.notes == ["client was lovely", "glass (1,900, not in)", "glass 1900"]
    assert found.twice == ["50 sf"]


@pytest.mark.parametrize("line", ["46 sq ft, gut", "46 sq ft bathroom, gut", "niche, 46 sq ft"])
def test_a_line_may_begin_with_something_else_than_a_name(line: str) -> None:
    assert not part(line).name


def test_a_size_behind_the_name_is_no_part_of_it() -> None:
    found = part("Oak Rd laundry 60 sf, 8 days")
    assert (found.name, found.cells["area"]) == ("Oak Rd laundry", "60 sf")
