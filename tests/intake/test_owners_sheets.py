"""Sheets as an owner lays them out: hours of both, what was bought, reckonings below the total."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.firm import Firm
from costlearn.intake.answers import Answers
from costlearn.intake.reader import read_file
from costlearn.records import Batch, ChangeEntry, HoursEntry, PhaseEntry

FIRM = Firm(day_rates={"T": 380.0, "M": 240.0}, people=("T", "M"), tax_recoverable=True)

BOTH = """Ironwood bath,,
,,
,hours both,stuff + subs (no HST)
Rip out,38,541.42
Plumbing rough,31,2354.23
Tile + grout,85,2100.61
Paint,20,106.61
together,174,5102.87
"""


def read(tmp_path: Path, name: str, text: str, given: dict[str, str] | None = None) -> Batch:
    """What one file of the firm says."""
    path = tmp_path / name
    path.write_text(text, "utf-8")
    return read_file(path, FIRM, answers=Answers(given or {}))


def phases(batch: Batch) -> dict[str, PhaseEntry]:
    """The phases of a batch by their keys."""
    return {e.phase: e for e in batch.entries if isinstance(e, PhaseEntry)}


def person_hours(batch: Batch) -> dict[str, float | None]:
    """Actual person-hours of each phase."""
    found = phases(batch)
    return {k: None if (d := e.actual.person_days) is None else 8 * d for k, e in found.items()}


@pytest.mark.parametrize(("pay", "times"), [(6844, 1), (13688, 2)])
def test_hours_of_both_are_proven_by_what_the_time_cost(
    tmp_path: Path, pay: int, times: int
) -> None:
    # 174 hours at 30 to 47.50 an hour are 5,220 to 8,265: 6,844 pays them once, 13,688 twice.
    batch = read(tmp_path, "ironwood bath.csv", f"{BOTH}our time at 380 / 240,,{pay}\n")
    assert not batch.questions
    assert person_hours(batch) == {
        k: times * h for k, h in {"demo": 38, "plumb_rough": 31, "tile": 85, "paint": 20}.items()
    }
    assert any("stands below the total" in f.text for f in batch.findings)


@pytest.mark.parametrize(("said", "times"), [("together", 1), ("each", 2)])
def test_hours_of_both_that_nothing_proves_wait_for_one_answer(
    tmp_path: Path, said: str, times: int
) -> None:
    batch = read(tmp_path, "ironwood bath.csv", BOTH)
    (asked,) = batch.questions
    assert asked.topic == "each"
    assert set(person_hours(batch).values()) == {None}
    told = read(tmp_path, "ironwood bath.csv", BOTH, {asked.key: said})
    assert person_hours(told)["tile"] == 85 * times


def test_labour_and_what_was_bought_are_the_cost_of_a_phase(tmp_path: Path) -> None:
    text = """job,Step,hours,labour $,materials/subs $
Oak bath,Rip out,40,1550,655
Oak bath,Tile,100,3875,2642.74
Oak bath,for surprises,,,800
"""
    batch = read(tmp_path, "oak.csv", text)
    found = phases(batch)
    assert {k: e.actual.cost for k, e in found.items()} == {"demo": 2205_00, "tile": 6517_74}
    assert any("money put by" in f.text for f in batch.findings)


def test_a_change_counts_where_its_cell_says_so_beyond_doubt(tmp_path: Path) -> None:
    text = """Date,Job,What changed,+/- before HST,agreed?
2025-04-09,Elm bath,joists,780,signed
2025-04-24,Elm bath,niche,340,text message ok
2025-05-02,Elm bath,glass doors,690,no - they said no
2025-05-03,Elm bath,sill,450,"verbal, paid"
2025-05-04,Elm bath,thicker glass,310,they are thinking about it
2025-05-05,Elm bath,outlet,2350,said yes on the phone? nothing in writing
"""
    batch = read(tmp_path, "change orders.csv", text)
    states = {e.label: e.state for e in batch.entries if isinstance(e, ChangeEntry)}
    assert states == {
        "joists": "approved", "niche": "approved", "glass doors": "declined", "sill": "approved",
        "thicker glass": "verbal", "outlet": "verbal",
    }  # fmt: skip
    assert [q.found for q in batch.questions] == ["said yes on the phone? nothing in writing"]


LOG = """day,job,who,times,doing
2025-02-03,Heron,T,8-3,demo
2025-02-04,Heron,T & M,7:30-4 (lunch 30),demo
2025-02-05,Heron,T & M,2.5h,tile
2025-02-06,Heron,T,"8-12, 1-4:30",tile
2025-02-07,Heron,M,7-8,tile
"""


def test_times_of_day_in_one_cell_are_hours_of_each_who_is_named(tmp_path: Path) -> None:
    batch = read(tmp_path, "log.csv", LOG)
    worked = [(e.person, e.hours) for e in batch.entries if isinstance(e, HoursEntry)]
    assert worked == [("T", 7), ("T", 8), ("M", 8), ("T", 2.5), ("M", 2.5), ("T", 7.5)]
    (asked,) = batch.questions
    assert asked.text == "'7-8' may be 1 or 13 hours: which? Such rows wait."
    told = read(tmp_path, "log.csv", LOG, {asked.key: "the longer"})
    assert ("M", 13) in [(e.person, e.hours) for e in told.entries if isinstance(e, HoursEntry)]
