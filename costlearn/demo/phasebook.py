"""The firm's phase workbook: two sheets, older and newer years, as two habits of keeping them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from datetime import datetime
from typing import Any

import xlsxwriter

from costlearn.demo.jobs import JobTruth, PhaseTruth
from costlearn.demo.truth import Dice
from costlearn.units import from_cents

SPELLINGS: dict[str, tuple[str, ...]] = {
    "precon": ("site visit", "permits", "measuring"),
    "setup": ("set up", "floor protection", "Setup"),
    "demo": ("Demo", "demo", "tear out", "Demolition"),
    "framing": ("framing", "Framing", "blocking", "subfloor"),
    "plumb_rough": ("plumbing rough-in", "plumb r/i", "rough plumbing"),
    "elec_rough": ("elec rough", "rough electric", "Electrical"),
    "vent": ("bath fan", "vent", "ducting"),
    "board": ("drywall", "DW", "mud & tape", "Drywall "),
    "waterproof": ("backer", "W/proof", "membrane", "Waterproofing"),
    "tile": ("Tile", "tile", "tiles/grout", "tile & grout"),
    "paint": ("paint", "ptg", "Painting"),
    "cabs_trim": ("cabs & trim", "vanity", "cabinets"),
    "finish_set": ("fixtures", "trim-out", "Set fixtures"),
    "closeout": ("clean-up", "punch list", "Final clean"),
}
"""How the people of this firm write the phases."""

ROUGH = ("B22-01", "plumb_rough")
"""The phase somebody wrote as plain "Rough"."""

MISC = ("B23-06", "setup")
"""The phase somebody wrote as "Misc"."""

MISTYPED = ("B24-01", "demo")
"""The phase somebody wrote as "Demmolition"."""

NO_PLAN = ("L24-05", "vent")
"""A phase whose planned cost was typed as 0."""

BROKEN = ("B25-02", "paint")
"""A phase whose planned cost is a broken reference."""

OLDER, NEWER = "2021-23", "2024 on"
CREATED = datetime(2026, 10, 31, 8, 0, 0)


def phase_workbook(jobs: Iterable[JobTruth]) -> bytes:
    """The bytes of phases.xlsx: every job whose phases were written down."""
    listed = [j for j in jobs if j.has_phases]
    raw = io.BytesIO()
    book = xlsxwriter.Workbook(raw, {"in_memory": True})
    book.set_properties({"created": CREATED})
    _older(book, [j for j in listed if j.started.year < 2024])
    _newer(book, [j for j in listed if j.started.year >= 2024])
    book.close()
    return _plainly_packed(raw.getvalue())


def spelling(job: JobTruth, phase: str, dice: Dice) -> str:
    """How the phase of a job stands in the workbook."""
    odd = {ROUGH: "Rough", MISC: "Misc", MISTYPED: "Demmolition"}
    usual = dice.pick(SPELLINGS[phase])
    return odd.get((job.code, phase), usual)


def hours_text(hours: float, dice: Dice) -> float | str:
    """Hours as a number, now and then in days and hours."""
    days, rest = divmod(hours, 8)
    if days >= 1 and rest == int(rest) and dice.chance(0.12):
        return f"{days:.0f}d {rest:.0f}h" if rest else f"{days:.0f} day" + ("s" if days > 1 else "")
    return hours


def _older(book: Any, jobs: list[JobTruth]) -> None:
    """One row a phase, job cells merged, a subtotal under each job."""
    sheet, dice = book.add_worksheet(OLDER), Dice("phases, older sheet")
    top, bold = book.add_format({"valign": "top"}), book.add_format({"bold": True})
    sheet.write(0, 0, "Phases, jobs up to 2023", bold)
    sheet.write(1, 0, "hours are person-hours, costs all in")
    for at, text in enumerate(("Job", "Phase", "Est hrs", "Hrs", "Est cost", "Cost", "Notes")):
        sheet.write(3, at, text, bold)
    row = 4
    for job in jobs:
        count = len(job.phases)
        sheet.merge_range(row, 0, row + count - 1, 0, job.name, top)
        for p in job.phases:
            sheet.write(row, 1, spelling(job, p.phase, dice))
            sheet.write(row, 2, p.plan_hours)
            sheet.write(row, 3, hours_text(p.hours, dice))
            sheet.write(row, 4, f"${from_cents(p.plan_cost):,.2f}")
            sheet.write(row, 5, f"${from_cents(p.booked):,.2f}")
            row += 1
        sheet.write(row, 1, "Subtotal")
        sheet.write(row, 2, sum(p.plan_hours for p in job.phases))
        sheet.write(row, 3, sum(p.hours for p in job.phases))
        sheet.write(row, 4, f"${from_cents(job.plan_cost):,.2f}")
        sheet.write(row, 5, f"${from_cents(job.booked):,.2f}")
        row += 2


def _newer(book: Any, jobs: list[JobTruth]) -> None:
    """Two heading rows, the job named once, crew by phase, share done of what still runs."""
    sheet, dice = book.add_worksheet(NEWER), Dice("phases, newer sheet")
    bold = book.add_format({"bold": True})
    money = book.add_format({"num_format": "#,##0.00"})
    percent = book.add_format({"num_format": "0%"})
    sheet.merge_range(0, 3, 0, 4, "Planned", bold)
    sheet.merge_range(0, 5, 0, 6, "Actual", bold)
    names = ("Job", "Phase", "Crew", "Person-hrs", "Cost", "Person-hrs", "Cost", "% done", "Notes")
    for at, text in enumerate(names):
        sheet.write(1, at, text, bold)
    row = 2
    for job in jobs:
        sheet.write(row, 0, job.name)
        for p in job.phases:
            sheet.write(row, 1, spelling(job, p.phase, dice))
            if p.share > 0:
                sheet.write(row, 2, p.crew)
                sheet.write(row, 5, p.hours)
                sheet.write(row, 6, from_cents(p.booked), money)
            sheet.write(row, 3, p.plan_hours)
            _plan_cost(sheet, row, job, p, money)
            if job.finished is None:
                sheet.write(row, 7, _felt(p.share), percent)
            row += 1
        if not job.books_closed and job.finished:
            sheet.write(row - 1, 8, "glass and tile bills still to come")


def _plan_cost(sheet: Any, row: int, job: JobTruth, phase: PhaseTruth, money: Any) -> None:
    if (job.code, phase.phase) == BROKEN:
        sheet.write_formula(row, 4, "=#REF!", money, "#REF!")
    elif (job.code, phase.phase) == NO_PLAN:
        sheet.write(row, 4, 0, money)
    else:
        sheet.write(row, 4, from_cents(phase.plan_cost), money)


def _felt(share: float) -> float:
    """How far a phase is, as one says it: to the nearest tenth."""
    return round(share * 10) / 10


def _plainly_packed(data: bytes) -> bytes:
    """The same workbook packed without compression, so that its bytes hang on no zip library."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as new,
    ):
        for entry in sorted(old.namelist(), key=lambda n: (n != "[Content_Types].xml", n)):
            plain = zipfile.ZipInfo(entry, (1980, 1, 1, 0, 0, 0))
            plain.create_system = 0
            new.writestr(plain, old.read(entry))
    return out.getvalue()
