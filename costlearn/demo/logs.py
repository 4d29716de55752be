"""The firm's running records: who worked when, what was bought, and what clients added."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date

from costlearn.demo.jobs import JobTruth
from costlearn.demo.layouts import us_day
from costlearn.demo.phasebook import SPELLINGS
from costlearn.demo.truth import SALES_TAX, Dice
from costlearn.demo.workdays import WorkDay, move
from costlearn.units import from_cents

OWNER, HELPER = "Odrin", "Maywen"
"""The two invented people."""

YARDS = {
    "tile": "Tile yard",
    "waterproof": "Tile yard",
    "plumb_rough": "Plumbing supply",
    "finish_set": "Plumbing supply",
    "elec_rough": "Electrical counter",
    "vent": "Electrical counter",
    "cabs_trim": "Cabinet shop",
}
TRADES = {"plumb_rough": "Licensed plumber", "elec_rough": "Licensed electrician"}
PAYEES = {
    "material": ("Lumber counter", "Corner hardware"),
    "sub": ("Glass and stone fitter",),
    "rental": ("Tool hire counter",),
    "disposal": ("Transfer station", "Bin hire"),
    "permit": ("Town desk",),
}
"""Invented payees: by phase for materials and trades, else by kind of cost."""

CATEGORIES = {
    "material": ("Materials", "materials", "Supplies"),
    "sub": ("Sub", "Subs"),
    "rental": ("Tool rental",),
    "disposal": ("Dump fee", "Disposal"),
    "permit": ("Permit",),
}
OVERHEADS = (("Insurance", 41_800), ("Fuel", 17_300), ("Office", 6_450))
LAST_RECEIPT = date(2026, 10, 30)
TAXED = ("material", "rental")
WAIT_NOTES = {
    "plumb_rough": "inspection",
    "board": "mud drying",
    "waterproof": "membrane curing, flood test",
    "tile": "thin-set before grout",
    "cabs_trim": "glass not in yet",
}


def hours_log(jobs: Iterable[JobTruth]) -> bytes:
    """The bytes of hours_2024_2026.csv: a row a person, day and phase.

    A day spent waiting is marked, with the hour it took to look after it.
    """
    dice = Dice("hours log")
    rows: list[list[str]] = [["Date", "Who", "Job", "Phase", "Hrs", "Waiting", "Remarks"]]
    stretches = [(w, j) for j in jobs if j.started.year >= 2024 for w in j.days]
    last = ""
    for at, (work, job) in enumerate(sorted(stretches, key=lambda s: s[0].day)):
        named = job.code if dice.chance(0.3) else job.name
        if job.code == last and dice.chance(0.15):
            named = ""
        last = job.code
        rows += _stretch(work, named, dice)
        if at == 200:
            rows.append([us_day(work.day), HELPER, "", "", "-", "", "sick, sent home"])
    return _as_csv(rows)


def receipts(jobs: Iterable[JobTruth]) -> bytes:
    """The bytes of receipts_2025_2026.csv: a row a cost line, credits and taxes as they came."""
    dice = Dice("receipts")
    lines: list[tuple[date, list[str]]] = []
    for job in jobs:
        if job.started.year >= 2025:
            lines += _job_lines(job, dice)
    lines += _loose_lines(dice)
    heading = ["Date", "Vendor", "Invoice", "Job", "Category", "Phase"]
    heading += ["Amount before tax", "Sales tax", "Remarks"]
    return _as_csv([heading, *(row for _, row in sorted(lines, key=lambda x: x[0]))])


def change_orders(jobs: Iterable[JobTruth]) -> bytes:
    """The bytes of change_orders.csv: approved, declined and verbal changes."""
    words = {
        "approved": ("approved", "signed", "Approved"),
        "declined": ("declined", "refused"),
        "verbal": ("verbal",),
    }
    dice = Dice("change orders")
    heading = ["Job", "Change order", "Status", "Price", "Our cost", "Extra person-days", "Phase"]
    rows = [
        [
            job.name,
            c.label,
            dice.pick(words[c.state]),
            _credit(c.price, dice),
            _credit(c.cost, dice),
            f"{c.hours / 8:g}",
            dice.pick(SPELLINGS[c.phase]),
        ]
        for job in jobs
        for c in job.changes
    ]
    return _as_csv([heading, *rows])


def _stretch(work: WorkDay, named: str, dice: Dice) -> list[list[str]]:
    """The rows of one stretch of work: one for each person."""
    phase = dice.pick(SPELLINGS[work.phase])
    if work.waiting:
        note = WAIT_NOTES.get(work.phase, "goods not in")
        return [[us_day(work.day), OWNER, named, phase, "1", "y", note]]
    people = (OWNER, HELPER)[: work.crew]
    return [
        [us_day(work.day), who, named if at == 0 else "", phase, _hours(work.hours, dice), "", ""]
        for at, who in enumerate(people)
    ]


def _hours(hours: float, dice: Dice) -> str:
    if hours == 4 and dice.chance(0.2):
        return "half day"
    if hours != int(hours) and dice.chance(0.1):
        return f"{int(hours)}:{round(hours % 1 * 60):02d}"
    return f"{hours:g}"


def _job_lines(job: JobTruth, dice: Dice) -> list[tuple[date, list[str]]]:
    """All that was bought for a job; the lines add up to its cost besides labour."""
    made: list[tuple[date, list[str]]] = []
    for p in job.phases:
        first = next((w.day for w in job.days if w.phase == p.phase), None)
        if first is None:
            continue
        late = {"finish_set": "sub", "tile": "material"}.get(p.phase, "")
        for kind, cents in p.costs.items():
            if kind == "labour":
                continue
            left = cents - (p.late if kind == late else 0)
            for part in _parts(left, dice):
                day = min(move(first, dice.whole(-2, 4)), LAST_RECEIPT)
                made.append((day, _line(day, job.name, kind, p.phase, part, dice)))
    return made


def _parts(cents: int, dice: Dice) -> list[int]:
    """An amount as it was really spent: in one to three purchases, now and then one too many."""
    if cents <= 0:
        return []
    count = dice.whole(1, 3) if cents > 15_000 else 1
    parts = [round(cents * dice.between(0.2, 0.4)) for _ in range(count - 1)]
    parts.append(cents - sum(parts))
    if cents > 20_000 and dice.chance(0.15):
        back = round(cents * dice.between(0.05, 0.15))
        parts[-1] += back
        parts.append(-back)
    return parts


def _line(day: date, job: str, kind: str, phase: str, cents: int, dice: Dice) -> list[str]:
    by_phase = {"material": YARDS, "sub": TRADES}.get(kind, {})
    written = dice.pick(SPELLINGS[phase]) if phase and not dice.chance(0.05) else ""
    tax = cents - round(cents / (1 + SALES_TAX)) if kind in TAXED else 0
    note = "returned" if cents < 0 else ""
    return [
        us_day(day),
        by_phase.get(phase) or dice.pick(PAYEES[kind]),
        f"R{dice.whole(10000, 99999)}",
        job,
        dice.pick(CATEGORIES[kind]),
        written,
        _credit(cents - tax, dice),
        _credit(tax, dice) if tax else "",
        note,
    ]


def _loose_lines(dice: Dice) -> list[tuple[date, list[str]]]:
    """Overhead of each quarter, and a few purchases nobody put on a job."""
    made: list[tuple[date, list[str]]] = []
    for year in (2025, 2026):
        for month in (1, 4, 7, 10):
            for category, cents in OVERHEADS:
                day = date(year, month, dice.whole(2, 26))
                amount = round(cents * dice.between(0.9, 1.1))
                row = [us_day(day), "", "", "", category, "", _credit(amount, dice), "", ""]
                made.append((day, row))
            day = date(year, month, dice.whole(2, 26))
            made.append((day, _line(day, "", "material", "", dice.whole(2_500, 9_000), dice)))
    return made


def _credit(cents: int, dice: Dice) -> str:
    """An amount; a credit in one of the ways people write it."""
    shown = f"{from_cents(abs(cents)):,.2f}"
    if cents >= 0:
        return shown
    return dice.pick((f"({shown})", f"-{shown}", f"{shown} CR"))


def _as_csv(rows: Iterable[list[str]]) -> bytes:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode("utf-8")
