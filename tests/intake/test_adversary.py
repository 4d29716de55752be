"""Any table of true records dirtied by any mix of forms comes back right, or waits: never wrong.

``dirtying.py`` beside this file draws the records and how they are written. What is on file of a
row equals what the row means, or is absent and a question or finding names its cell, its column or
its table; rows that mean nothing (titles, sums, averages) give no entry. By hand, 20,000 draws:
``pytest tests/intake/test_adversary.py -n0 --hypothesis-profile=wide``.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from dirt.dirtying import Sheet, Written, sheets, write
from hypothesis import HealthCheck, Phase, given, settings

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import (
    Amounts,
    Batch,
    CostEntry,
    Entry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
    Span,
    job_key,
)

KINDS = ("jobs", "phases", "hours", "bills", "statement")
WIDE = settings.get_current_profile_name() == "wide"
MANY = settings(
    max_examples=20_000 // len(KINDS) if WIDE else 12,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.generate, Phase.shrink),
)


@cache
def problem(name: str) -> type[AssertionError]:
    """A class of its own for each way to fail, so that all of them are found in one run."""
    return type(name, (AssertionError,), {})


def fail(sheet: Sheet, what: str, written: Written, batch: Batch | None, told: str) -> None:
    read = "" if batch is None else "\n".join(str(e) for e in batch.entries)
    said = "" if batch is None else "\n".join(_said(batch))
    raise problem(f"{sheet.kind}_{what}")(
        f"{told}\nforms: {', '.join(sorted(sheet.forms))}\n{written.shown}\n"
        f"read:\n{read}\nsaid:\n{said}"
    )


def _said(batch: Batch) -> list[str]:
    found = [f"{f.kind}: {f.place}: {f.text}" for f in batch.findings if f.kind != "understood"]
    return found + [f"question: {q.place}: {q.text}" for q in batch.questions]


@pytest.mark.parametrize("kind", KINDS)
def test_dirty_records_come_back_right_or_wait(kind: str) -> None:
    @MANY
    @given(sheet=sheets(kind))
    def holds(sheet: Sheet) -> None:
        with tempfile.TemporaryDirectory() as folder:
            check(sheet, Path(folder))

    holds()


def check(sheet: Sheet, folder: Path) -> tuple[int, int]:
    """Read a sheet and compare it with what it means.

    Returns:
        How many figures are on file, and of how many.
    """
    written = write(sheet, folder)
    try:
        batch = read_file(written.path, Firm())
    except InputProblem as refused:
        if not sheet.forms:
            fail(sheet, "plain_refused", written, None, str(refused))
        return 0, sum(len(row.means or ()) for row, _ in written.rows.values())
    by_row: dict[int, list[Entry]] = {}
    for entry in batch.entries:
        by_row.setdefault(entry.place.row, []).append(entry)
    for number, entries in by_row.items():
        row, _ = written.rows.get(number, (None, {}))
        if row is None or row.role in {"total", "opening", "deposit"}:
            role = row.role if row else "strange"
            fail(sheet, f"{role}_row_taken", written, batch, f"row {number} gave {entries}")
        elif row.role == "part":
            _check_part(sheet, written, batch, row.job, entries)
    held = whole = 0
    for number, (row, heads) in written.rows.items():
        if row.means is None:
            continue
        entries = by_row.get(number, [])
        twin = any(r is not row and r.means is row.means for r, _ in written.rows.values())
        if not entries and twin:
            continue
        held += len(figures_of(entries).keys() & row.means.keys())
        whole += len(row.means)
        _check_row(sheet, written, batch, number, entries, heads)
    return held, whole


def _check_part(
    sheet: Sheet, written: Written, batch: Batch, job: str, entries: Iterable[Entry]
) -> None:
    """Parts of a job's cost make no job of their own and are no cost beside it."""
    for entry in entries:
        strange = job_key(entry.job or "") != job_key(job)
        if strange or not isinstance(entry, JobEntry) or entry.actual.cost is not None:
            fail(sheet, "part_taken", written, batch, f"a part of {job} gave {entry}")


def _check_row(
    sheet: Sheet,
    written: Written,
    batch: Batch,
    number: int,
    entries: list[Entry],
    heads: dict[str, str],
) -> None:
    """One row: each figure on file is the true one, or said to be unclear."""
    row = written.rows[number][0]
    assert row.means is not None
    found = figures_of(entries)
    for figure, value in found.items():
        if figure in row.waits:
            fail(
                sheet,
                f"{figure}_not_asked",
                written,
                batch,
                f"row {number}: {figure} is {value}, and should wait",
            )
        elif figure not in row.means:
            if figure not in DERIVED:
                fail(
                    sheet,
                    f"{figure}_invented",
                    written,
                    batch,
                    f"row {number}: {figure} is {value}, nobody says so",
                )
        elif not _same(value, row.means[figure]):
            fail(
                sheet,
                f"{figure}_wrong",
                written,
                batch,
                f"row {number}: {figure} is {value}, truly {row.means[figure]}",
            )
    for figure in row.means:
        if figure not in found and not _spoken_of(
            figure, number, written, batch, heads, gone=not entries
        ):
            lost = "row" if not entries else figure
            fail(
                sheet,
                f"{lost}_lost",
                written,
                batch,
                f"row {number}: {figure} is lost without a word",
            )


DERIVED = {"crew", "person_days", "elapsed_days"}
"""Figures that may follow from others."""


def figures_of(entries: list[Entry]) -> dict[str, Any]:
    """What the entries of one row say, money in cents, a pair where it is rough."""
    found: dict[str, Any] = {}
    for one in entries:
        if one.job:
            found["job"] = one.job
        if isinstance(one, HoursEntry):
            found["hours"] = found.get("hours", 0.0) + one.hours
        elif isinstance(one, CostEntry):
            found["net"] = found.get("net", 0) + one.net
        elif isinstance(one, JobEntry):
            found |= {"started": one.started, "finished": one.finished, "area": one.area_sqft}
            found["price"] = _rough(one, "price", one.price)
            if one.paid is not None:
                found["price"] = _rough(one, "paid", one.paid)
            found |= _amounts(one.actual, "") | _amounts(one.plan, "plan_")
            found["cost"] = _rough(one, "actual.cost", one.actual.cost)
        elif isinstance(one, PhaseEntry):
            found |= _amounts(one.actual, "") | _amounts(one.plan, "plan_")
            found["cost"] = _rough(one, "actual.cost", one.actual.cost)
            hours = found.pop("person_days", None)
            found["hours"] = None if hours is None else hours * 8
        if isinstance(one, HoursEntry | CostEntry):
            found["day"] = one.day
        phase = getattr(one, "phase", None)
        if phase and phase != "unassigned":
            found["phase"] = phase
    plain = {k: v.isoformat() if hasattr(v, "isoformat") else v for k, v in found.items()}
    return {k: v for k, v in plain.items() if v is not None}


def _amounts(amounts: Amounts, side: str) -> dict[str, Any]:
    names = {"site_days": "days"}
    fields = ("cost", "labour", "material", "sub", "person_days", "site_days", "wait_days",
              "elapsed_days", "crew")  # fmt: skip
    return {side + names.get(f, f): getattr(amounts, f) for f in fields}


def _rough(one: JobEntry | PhaseEntry, name: str, value: int | None) -> Any:
    """A figure, as a pair of its ends where it is kept as rough."""
    rough: Span | None = one.rough.get(name)
    return value if rough is None or value is None else (round(rough.low), round(rough.high))


def _same(found: Any, truth: Any) -> bool:
    if isinstance(truth, tuple) or isinstance(found, tuple):
        return bool(found == truth)
    if isinstance(truth, str):
        return job_key(str(found)).endswith(job_key(truth))
    return abs(found - truth) < 0.011


SHOWN_AS = {
    "net": ("net", "amount", "withdrawals", "deposits", "gross"),
    "hours": ("hours", "in", "out", "break", "regular", "overtime", "hours each", "Mo", "Kay",
              "All"),
    "crew": ("days",),
    "person_days": ("days",),
    "job": ("job", "note"),
}  # fmt: skip


def _spoken_of(
    figure: str, number: int, written: Written, batch: Batch, heads: dict[str, str], *, gone: bool
) -> bool:
    """Whether a question or finding names the cell, its column, its row or its table."""
    columns = {heads[key] for key in SHOWN_AS.get(figure, (figure,)) if key in heads}
    if gone:
        columns |= set(heads.values())
    said = [f.place for f in batch.findings if f.kind in {"asked", "set aside"}]
    said += [q.place for q in batch.questions]
    for place in said:
        if place.row == number and (not place.column or place.column in columns):
            return True
        if place.column in columns:
            return True
        if not place.column and (place.row == 0 or place.row in written.headings):
            return True
    return False


FOUND = {
    "a number of the row is no job": (
        "Date,Job,Hours,No.\n2022-01-04,Old bank bath,4,1\n2022-01-07,Hall bath,5,2\n",
        {"Old bank bath", "Hall bath"},
    ),
    "a kind of cost is no job": (
        "Job,Cost\nHall bath,1500\nLabour,500\nMaterials,500\nSubs,500\n"
        "Kiln kitchen,1500\nLabour,500\nMaterials,500\nSubs,500\n",
        {"Hall bath", "Kiln kitchen"},
    ),
    "a subtotal below one bill is no bill": (
        "Job,Amount,Date,Supplier\nOld bank bath,559.25,2025-10-01,Lumber yard\n"
        "Old bank bath,559.25,,Subtotal\nHall bath,1000.11,2025-10-02,Tile barn\n",
        {"Old bank bath", "Hall bath"},
    ),
    "a file's name is no job beside a column of jobs": (
        "Site name here,Phase,Cost\nKiln kitchen,demo,200\nHall bath,tile,300\n",
        set(),
    ),
    "more hours than a day has wait where the date's order does": (
        "Date,Job,Person,Hours\n01/04/2022,Hall bath,Mo,40\n01/05/2022,Old bank bath,Mo,1\n",
        {"Old bank bath"},
    ),
}


@pytest.mark.parametrize("text, jobs", FOUND.values(), ids=list(FOUND))
def test_what_was_found_gives_the_true_rows_alone(
    text: str, jobs: set[str], tmp_path: Path
) -> None:
    path = tmp_path / "records.csv"
    path.write_text(text, "utf-8")
    found = [entry.job for entry in read_file(path, Firm()).entries]
    assert sorted(found, key=str) == sorted(jobs)
