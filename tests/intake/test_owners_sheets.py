"""Sheets as an owner lays them out: hours of both, what was bought, reckonings below the total."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.firm import Firm
from costlearn.intake.answers import Answers
from costlearn.intake.reader import read_file
from costlearn.records import Batch, ChangeEntry, HoursEntry, JobEntry, PhaseEntry

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


def jobs(batch: Batch) -> dict[str, JobEntry]:
    """The jobs of a batch by their names."""
    return {e.job: e for e in batch.entries if isinstance(e, JobEntry)}


def test_what_was_charged_is_paid_where_the_contract_stands_beside_it(tmp_path: Path) -> None:
    text = "Job,Our cost,Contract,Extras,Charged\nElm kitchen,51730,62500,1850,64350\n"
    job = jobs(read(tmp_path, "jobs.csv", text))["Elm kitchen"]
    assert (job.price, job.paid) == (62500_00, 64350_00)
    alone = jobs(read(tmp_path, "jobs.csv", "Job,Our cost,Charged\nElm bath,9000,12000\n"))
    assert alone["Elm bath"].price == 12000_00


def test_many_small_jobs_and_one_called_off_are_no_jobs_and_a_running_one_is(
    tmp_path: Path,
) -> None:
    text = """Client / job,Type,From - to,Our cost,man days
Elm bath,bath,2024-01-15 - 2024-02-14,21950,40
Poplar kitchen,kitchen,called off,,
"odd jobs (taps, one fan), 11 of them",small,all year,3900,9
Oak bath,bath,2024-11-04 -,running,
"""
    batch = read(tmp_path, "list.csv", text)
    assert list(jobs(batch)) == ["Elm bath", "Oak bath"]
    assert jobs(batch)["Oak bath"].state == "running"
    said = " ".join(f.text for f in batch.findings if f.kind == "set aside")
    assert "it was called off" in said
    assert "many small jobs" in said
    assert not batch.questions


def test_a_remark_on_tax_and_one_on_extras_share_the_brackets_of_a_heading(tmp_path: Path) -> None:
    text = 'Job,cost,"price (no HST, extras in)"\nElm bath,9000,12000\n'
    batch = read(tmp_path, "list.csv", text)
    assert jobs(batch)["Elm bath"].price == 12000_00
    assert not batch.questions


def test_a_draft_is_quoted_and_a_name_of_two_rooms_leaves_the_kind_open(tmp_path: Path) -> None:
    text = """Yew laundry + powder,,
DRAFT not sent,,
line,description,price
1,"Take out, bin",1980
2,Framing,1450
,subtotal,3430
"""
    batch = read(tmp_path, "yew quote.csv", text)
    job = jobs(batch)["Yew laundry + powder"]
    assert (job.state, job.kind, job.price) == ("quoted", None, 3430_00)
    assert any("of which one kind" in f.text for f in batch.findings)


def test_minus_in_words_takes_off(tmp_path: Path) -> None:
    text = "Job,Change order,Amount,Status\nElm,no pull-outs,minus 380,signed\n"
    (change,) = read(tmp_path, "changes.csv", text).entries
    assert isinstance(change, ChangeEntry)
    assert change.price == -380_00


@pytest.mark.parametrize("word", ["new shower", "old bath", "snow", "island", "do floors"])
def test_what_work_is_done_to_alone_names_no_phase(tmp_path: Path, word: str) -> None:
    batch = read(tmp_path, "log.csv", f"Job,Date,Who,Hours,What\nElm,2025-03-03,T,8,{word}\n")
    (entry,) = [e for e in batch.entries if isinstance(e, HoursEntry)]
    assert entry.phase in (None, "unassigned")


def test_days_are_person_days_where_a_line_above_says_so(tmp_path: Path) -> None:
    text = """Dogwood kitchen,,,days = one person one day (8 h)
phase,days planned,days took,materials took
Rip out,7.5,8.125,717
Tile,8.25,8.5625,893.26
Paint,5.5,6,346.58
"""
    batch = read(tmp_path, "dogwood.csv", text)
    assert not batch.questions
    found = phases(batch)["demo"]
    assert (found.plan.person_days, found.actual.person_days) == (7.5, 8.125)
    assert found.actual.site_days is None


def test_a_column_of_no_use_is_no_question(tmp_path: Path) -> None:
    text = """date,store,what,amount,job,how paid
2025-02-03,Garrow Lumber,studs,237.04,Heron,card
2025-02-04,Garrow Lumber,ply,99.10,Heron,cash
"""
    batch = read(tmp_path, "receipts.csv", text)
    assert not [q for q in batch.questions if q.topic == "column"]
    assert any(f.place.column == "how paid" and f.kind == "set aside" for f in batch.findings)


def test_a_supplier_of_plumbers_is_no_plumber(tmp_path: Path) -> None:
    text = """date,store,what,amount,job
2025-02-03,Oak Plumbing Supply,valve,237.04,Heron
2025-02-04,Elm Plumbing,labour,990.00,Heron
"""
    asked = [q.key for q in read(tmp_path, "receipts.csv", text).questions]
    assert asked == ["cost kind: receipts.csv / all lines", "cost kind: paid to / elm plumbing"]
