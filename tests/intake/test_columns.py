"""The column map: what it takes, and one sentence for every mistake in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.errors import InputProblem, UnreadableFile
from costlearn.intake.columns import load_map

GOOD = """
kind = "phases"
sheet = "Sheet1"
header_row = 3
date_order = "day-first"
missing = ["PNS", "n/a"]
[columns]
job = ["Building", "Description"]
phase = "Phase Name"
"plan.cost" = "Budget"
actual.cost = "Spent"
[phases]
"Scope" = "precon"
"Commissioning" = "commissioning"
[constants]
books_closed = false
[only]
"Status" = "Complete"
"Year" = [2024, 2025]
[units]
"plan.person_hours" = "days"
"""


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "map.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_everything_a_map_can_say(tmp_path: Path) -> None:
    chart = load_map(written(tmp_path, GOOD))
    assert (chart.kind, chart.sheet, chart.header_row) == ("phases", "Sheet1", 3)
    assert (chart.date_order, chart.missing) == ("day-first", ("PNS", "n/a"))
    assert chart.columns == {
        "job": ("Building", "Description"),
        "phase": ("Phase Name",),
        "plan.cost": ("Budget",),
        "actual.cost": ("Spent",),
    }
    assert chart.phases == {"scope": "precon", "commissioning": "commissioning"}
    assert chart.constants == {"books_closed": False}
    assert chart.only.values == {"Status": ("Complete",), "Year": ("2024", "2025")}
    assert chart.units == {"plan.person_hours": "days"}


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("kind = 'phase'", ["kind", "'phase'", "'phases'"]),
        ("kinds = 'phases'", ["'kinds'", "columns"]),
        ("header_row = 0", ["header_row", "1 or more"]),
        ("header_row = true", ["header_row", "True"]),
        ("sheet = 3", ["sheet", "3"]),
        ("date_order = 'dmy'", ["date_order", "'dmy'", "'day-first'"]),
        ("missing = 3", ["missing", "3"]),
        ("[columns]\njob = 'Job'", ["kind", "jobs or phases"]),
        ("kind = 'phases'\n[columns]\nprise = 'P'", ["columns.prise", "'prise'", "phases"]),
        ("kind = 'jobs'\n[columns]\njob = 3", ["header_row", "by number"]),
        ("kind = 'jobs'\n[columns]\njob = 0", ["columns.job", "0"]),
        ("kind = 'jobs'\n[columns]\n'scope.unicorn' = 'U'", ["unicorn"]),
        ("columns = 3", ["columns", "[columns]"]),
        ("kind = 'hours'\n[constants]\narea = 3", ["constants.area", "hours"]),
        ("[constants]\ntax_rate = 13", ["tax_rate", "0.13"]),
        ("[constants]\njob = []", ["constants.job", "[]"]),
        ("[phases]\nScope = 3", ["phases.Scope", "3"]),
        ("kind = 'jobs'\n[units]\narea = 'acres'", ["units.area", "acres"]),
        ("[only]\nStatus = []", ["only.Status"]),
    ],
)
def test_every_mistake_is_one_sentence(tmp_path: Path, text: str, named: list[str]) -> None:
    with pytest.raises(InputProblem) as caught:
        load_map(written(tmp_path, text))
    message = str(caught.value)
    assert "\n" not in message
    for word in named:
        assert word in message


def test_a_map_that_is_no_toml_or_not_there(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="no TOML"):
        load_map(written(tmp_path, "kind = phases"))
    with pytest.raises(UnreadableFile, match="cannot be read"):
        load_map(tmp_path / "none.toml")
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(UnreadableFile, match="plain text"):
        load_map(tmp_path / "bytes.toml")
