"""The invented files, read and put together, say what is true, and name what they do not know."""

import json
import tomllib
from functools import cache

import pytest

from costlearn.assembly import assemble
from costlearn.demo.files import demo_folder
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import Batch, History, PhaseEntry

TRUTH = json.loads((demo_folder() / "truth.json").read_text("utf-8"))
JOBS = {j["code"]: j for j in TRUTH["jobs"]}
GRADES = {"basic": 0, "middle": 1, "high": 2}
UNPHASED = {("B22-01", "plumb_rough"), ("B23-06", "setup")}


@cache
def batches() -> dict[str, Batch]:
    firm = Firm().changed(tomllib.loads((demo_folder() / "firm.toml").read_text("utf-8"))["firm"])
    names = sorted(p for p in demo_folder().iterdir() if p.suffix in (".csv", ".xlsx"))
    return {p.name: read_file(p, firm) for p in names}


@cache
def history() -> History:
    firm = Firm().changed(tomllib.loads((demo_folder() / "firm.toml").read_text("utf-8"))["firm"])
    return assemble([e for b in batches().values() for e in b.entries], firm)


def test_history_has_the_right_jobs():
    assert [j.name.split()[0] for j in history().jobs] == list(JOBS)
    assert len(history().usable) == 45
    assert [j.name.split()[0] for j in history().open_books] == ["B26-07"]
    assert [j.name.split()[0] for j in history().running] == ["B26-08", "L26-09"]
    assert len(history().loose_costs) == 32


def test_totals_of_jobs_are_true_or_missing():
    missing = set()
    for job in history().jobs:
        code = job.name.split()[0]
        truth = JOBS[code]
        given = {
            "price": (job.price, truth["price"]),
            "plan cost": (job.plan.total, truth["plan_cost"]),
            "cost": (job.actual.total, truth["booked"]),
            "area": (job.area_sqft, truth["area"]),
            "grade": (job.grade, GRADES[truth["grade"]]),
            "house year": (job.house_year, truth["house_year"]),
        }
        for figure, (found, true) in given.items():
            if found is None:
                missing.add((code, figure))
            else:
                # Costs of 2021 are written to the dollar, two areas to 0.01 square metre.
                assert found == pytest.approx(true, abs=0.06 if figure == "area" else 50), code
        assert job.kind == truth["kind"]
        assert job.started.isoformat() == truth["started"]
    assert missing == {
        ("B21-05", "cost"),
        ("B22-04", "plan cost"),
        ("B22-05", "house year"),
        ("B24-07", "price"),
        ("B25-07", "grade"),
    }


def test_phases_are_true():
    checked = 0
    for job in history().jobs:
        code = job.name.split()[0]
        if not JOBS[code]["in_phase_book"]:
            continue
        for phase, truth in JOBS[code]["phases"].items():
            if (code, phase) in UNPHASED:
                continue
            record = job.phase(phase)
            assert record.plan.person_days * 8 == pytest.approx(truth["plan_hours"])
            if truth["hours"]:
                assert record.actual.person_days * 8 == pytest.approx(truth["hours"]), (code, phase)
                checked += 1
            else:
                assert record.actual.person_days is None
    assert checked > 380


def test_crew_sizes_are_read_as_written():
    checked = 0
    for entry in batches()["phases.xlsx"].entries:
        assert isinstance(entry, PhaseEntry)
        code = entry.job.split()[0]
        if code[1:3] >= "24" and entry.actual.person_days is not None:
            assert entry.actual.crew == JOBS[code]["phases"][entry.phase]["crew"]
            checked += 1
    assert checked > 250


def test_scope_is_true():
    for job in history().jobs:
        truth = JOBS[job.name.split()[0]]["scope"]
        for item, size in job.scope.items():
            assert (size or 0) == 0 if item not in truth else size in (1.0, truth[item])
        for item in ("wall_tile", "move_drain", "lighting"):
            assert (job.scope.get(item) or 0) == truth.get(item, 0)


def test_approved_changes_are_counted_and_others_are_not():
    for job in history().jobs:
        truth = [c for c in JOBS[job.name.split()[0]]["changes"] if c[1] == "approved"]
        assert job.changed_cost == sum(c[4] for c in truth)
        assert job.changed_price == sum(c[5] for c in truth)
        assert job.changed_days == pytest.approx(sum(c[3] for c in truth) / 8)


def test_what_cannot_be_used_is_named():
    said = {
        (name, f.kind, f.raw)
        for name, batch in batches().items()
        for f in batch.findings
        if f.kind in ("set aside", "asked") or f.slip
    }
    for due in (
        ("jobs_2021.csv", "set aside", "TBD"),
        ("jobs_2022.csv", "set aside", "?"),
        ("jobs_2023.csv", "set aside", "n/a"),
        ("jobs_2024.csv", "set aside", "allow 8400"),
        ("jobs_2025.csv", "set aside", "-"),
        ("phases.xlsx", "set aside", "#REF!"),
        ("phases.xlsx", "asked", "Rough"),
        ("phases.xlsx", "asked", "Misc"),
        ("phases.xlsx", "understood", "Demmolition"),
    ):
        assert due in said, due
    assert any(
        "powder room" in f.text and "counts once" in f.text
        for f in batches()["jobs_2023.csv"].findings
    )


def test_total_rows_are_found_to_agree():
    checks = [f.text for b in batches().values() for f in b.findings if f.kind == "checked"]
    assert len(checks) >= 13 + 40
    assert all("agrees" in text for text in checks)
