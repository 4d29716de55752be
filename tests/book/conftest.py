"""Batches the tests of the job book share."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.errors import Place
from costlearn.records import (
    Amounts,
    Batch,
    ChangeEntry,
    CostEntry,
    Finding,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)


def full_batch(file: str = "mixed.xlsx", digest: str = "d-full") -> Batch:
    """Every type of entry, each field once filled, once missing, once zero or no."""

    def at(row: int, column: str = "") -> Place:
        return Place(file, "Jobs 2024", row, column)

    every = Amounts(1, 2, 3, 4, 5, 6, 7, 1.5, 2.5, 0.5, 4.0, 0.6)
    zeros = Amounts(0, 0, 0, 0, 0, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0)
    jobs = (
        JobEntry(
            "J-01 Hall bath",
            at(2, "Job"),
            kind="bathroom",
            state="finished",
            quoted_on=date(2024, 1, 2),
            started=date(2024, 2, 29),
            finished=date(2024, 3, 20),
            area_sqft=41.98,
            grade=2.0,
            house_year=1962,
            condo=True,
            price=1_840_050,
            paid=1_900_000,
            plan=every,
            actual=Amounts(cost=1_310_000),
            books_closed=True,
            scope={"wall_tile": 96.0, "niche": 0.0, "bench": None},
            notes="céramique « salle d'eau »",
        ),
        JobEntry("J-02", at(3)),
        JobEntry(
            "J-03",
            at(4),
            area_sqft=0.0,
            grade=0.0,
            condo=False,
            price=0,
            paid=0,
            plan=zeros,
            actual=zeros,
            books_closed=False,
        ),
    )
    phases = (
        PhaseEntry(
            "J-01 Hall bath",
            "tile",
            at(9, "Tile hrs"),
            plan=Amounts(person_days=3.0),
            actual=every,
            started=date(2024, 3, 1),
            finished=date(2024, 3, 8),
            percent_complete=0.4,
            books_closed=False,
            notes="n",
        ),
        PhaseEntry("J-02", "our_own_phase", at(10), percent_complete=0.0),
    )
    rest = (
        HoursEntry("J-01 Hall bath", "Ann", date(2024, 3, 1), 6.5, at(20), "tile", True, "dries"),
        HoursEntry("J-01 Hall bath", "Ann", None, 0.0, at(21)),
        HoursEntry("J-02", "Bo", date(2024, 6, 3), 3.0, at(22), callback_of="tile"),
        CostEntry(
            "J-01 Hall bath",
            "material",
            -18_540,
            at(30),
            tax=0,
            currency="CAD",
            day=date(2024, 3, 2),
            phase="tile",
            payee="Tile shop",
            document="4711",
            notes="credit",
        ),
        CostEntry(None, "overhead", 0, at(31)),
        CostEntry("J-02", "material", 4_000, at(32), callback_of="unassigned"),
        ChangeEntry("J-01 Hall bath", "niche", "approved", at(40), 35_000, 0, 0.5, "tile"),
        ChangeEntry("J-02", "bench", "verbal", at(41)),
    )
    findings = (
        Finding("set aside", at(5, "Price"), "'PNS' is no amount of money", "PNS"),
        Finding("understood", Place(file), "dates are month first"),
    )
    # The order of a file is mixed; it must come back as it was.
    entries = (jobs[0], rest[2], *phases, *jobs[1:], *rest[:2], *rest[3:])
    return Batch(file, digest, entries, findings)


@pytest.fixture
def batch() -> Batch:
    return full_batch()
