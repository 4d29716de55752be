"""Headings to fields: the spellings are common practice, no source."""

from __future__ import annotations

import pytest

from costlearn.intake.headers import HeadingReader
from costlearn.vocabulary import standard

READER = HeadingReader(standard())


@pytest.mark.parametrize(
    ("kind", "text", "field", "unit"),
    [
        ("jobs", "Job", "job", None),
        ("jobs", "Job #", "job_code", None),
        ("jobs", "AREA (sf)", "area", "sqft"),
        ("jobs", "Floor area m2", "area", "sqm"),
        ("jobs", "Superficie (pi2)", "area", "sqft"),
        ("jobs", "Quoted price", "price", None),
        ("jobs", "Budget", "plan.cost", None),
        ("jobs", "Coût réel", "actual.cost", None),
        ("jobs", "Heures prévues", "plan.person_hours", "hours"),
        ("jobs", "Labour hrs", "actual.person_hours", "hours"),
        ("jobs", "Planned Person-hrs", "plan.person_hours", "hours"),
        ("jobs", "Days", "actual.days", "days"),
        ("jobs", "Planned days", "plan.days", "days"),
        ("jobs", "Wall tile (sf)", "scope.wall_tile", "sqft"),
        ("jobs", "Lights (no.)", "scope.lighting", "each"),
        ("jobs", "Permit", "actual.permit", None),
        ("jobs", "Tile hrs", "phase.tile.actual.person_hours", "hours"),
        ("phases", "Demo hrs", "phase.demo.actual.person_hours", "hours"),
        ("phases", "Tile $ planned", "phase.tile.plan.cost", "money"),
        ("phases", "Tile materials planned", "phase.tile.plan.material", None),
        ("phases", "Permit hrs", "phase.precon.actual.person_hours", "hours"),
        ("phases", "Hrs", "actual.person_hours", "hours"),
        ("phases", "Cost", "actual.cost", None),
        ("phases", "Quoted $", "plan.cost", "money"),
        ("phases", "Planned finish", "plan.finished", None),
        ("phases", "% complete", "percent_complete", None),
        ("hours", "Hrs", "hours", "hours"),
        ("receipts", "HST", "tax", None),
        ("receipts", "Total", "gross", None),
        ("changes", "Extra person-days", "days", None),
        ("jobs", "Job / client", "job", None),
        ("jobs", "Client name", "job", None),
        ("jobs", "Cost me", "actual.cost", None),
        ("hours", "Doing", "phase", None),
    ],
)
def test_exact_headings(kind: str, text: str, field: str, unit: str | None) -> None:
    match = READER.match(text, kind)
    assert (match.how, match.field, match.unit) == ("exact", field, unit)


@pytest.mark.parametrize(("text", "field"), [("Finnish date", "finished"), ("Addres", "job")])
def test_close_spellings_are_taken_and_marked(text: str, field: str) -> None:
    match = READER.match(text, "jobs")
    assert (match.how, match.field) == ("close", field)


@pytest.mark.parametrize("text", ["Client phone", "Planned start", "Project Phase Name"])
def test_headings_that_only_contain_a_known_word_are_asked(text: str) -> None:
    match = READER.match(text, "jobs")
    assert (match.how, match.field) == ("ask", "")
    assert match.near


def test_two_words_of_different_fields_are_no_heading_of_either() -> None:
    assert READER.match("Started / area", "jobs").how in ("ask", "none")


def test_a_planned_start_is_not_the_start() -> None:
    assert READER.match("Planned start", "phases").field == ""


def test_a_phase_column_without_a_unit_is_asked() -> None:
    match = READER.match("Tile", "phases")
    assert (match.how, match.field) == ("ask", "")


def test_a_phase_column_that_may_be_several_phases_is_kept_unassigned() -> None:
    match = READER.match("Rough hrs", "phases")
    assert (match.how, match.field) == ("ask", "phase.unassigned.actual.person_hours")
    assert match.near == ("plumb_rough", "elec_rough", "framing")


def test_planned_hours_are_no_line_of_an_hours_log() -> None:
    assert READER.match("Hours planned", "hours").field == ""


def test_a_group_heading_counts_only_where_it_makes_sense() -> None:
    assert READER.joined("Planned", "Cost", "phases")[1].field == "plan.cost"
    assert READER.joined("Actual", "Notes", "phases") == ("Notes", READER.match("Notes", "phases"))
    shown, match = READER.joined("printed 3/1/25", "Cost", "phases")
    assert (shown, match.field) == ("Cost", "actual.cost")


def test_an_unknown_heading_is_none() -> None:
    assert READER.match("Zqx", "jobs").how == "none"
