"""The empty workbook to keep records in: a sheet for each thing worth writing down.

Its headings are ones the readers know, its lists hold their words, so that what is filled in there
is read without a question.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from costlearn.fields import Column, columns
from costlearn.firm import Firm
from costlearn.records import (
    CHANGE_STATES,
    STATES,
    ChangeEntry,
    CostEntry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)
from costlearn.tidy import EXAMPLE, NOT_READ
from costlearn.units import SQFT_PER_SQM
from costlearn.vocabulary import Vocabulary, standard

ROWS = 2000
"""Rows of each sheet that have lists and checks; more may be filled in."""

_LETTER, _A4 = 1, 9
_MADE = datetime(2025, 1, 1)
"""Stands in the workbook as its date, so that the same firm gets the same file."""

_EXAMPLE_JOB = f"{EXAMPLE} J-01 hall bath (this row is not read)"


@dataclass(frozen=True, slots=True)
class Field:
    """One column of a sheet: its heading, how it looks, its list of choices, an example."""

    heading: str
    style: str
    example: Any = None
    choices: str = ""
    width: int = 13


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet to fill in, and why it is worth it."""

    name: str
    why: str
    fields: tuple[Field, ...]


def sheets(firm: Firm) -> tuple[Sheet, ...]:
    """The sheets in the order in which a job fills them.

    Their columns are the fields that say so in their records, those named here before the others.
    """
    metric = firm.area_unit == "sqm"
    notes = _column(next(c for c in columns(JobEntry) if c.field == "notes"), metric=metric)
    return (
        Sheet(
            "Jobs",
            "One row a job, also old ones with only the totals. The floor area, the dates and the "
            "price quoted are what likeness to a new job is judged by. Say yes under Books closed "
            "once the last bill is in: a job with bills to come teaches nothing about cost.",
            _with_due(_columns(JobEntry, (), metric=metric)),
        ),
        Sheet(
            "Scope",
            "One row a job and item: what was in the job, and how much of it. Write no as the size "
            "for an item the job had not.",
            (
                *_columns(HoursEntry, ("job",), metric=metric)[:1],
                Field("Item", "text", "wall tile", "items", 26),
                Field("Size", "size", 9 if metric else 96, width=10),
                Field("Unit", "text", "m²" if metric else "sq ft", "units", 9),
                notes,
            ),
        ),
        Sheet(
            "Phases",
            "One row a job and phase. Fill in the plan before work starts: which phases overrun "
            "can only be told against it. The actual days come from the Hours sheet by themselves.",
            _columns(PhaseEntry, (), metric=metric),
        ),
        Sheet(
            "Hours",
            "The most valuable sheet: who worked on which phase each day. Each evening one row for "
            "each person and phase. It shows which phases run over, and it is the only record that "
            "can tell what a second person is worth. Say yes under Waiting for paid hours in which "
            "nothing could be done.",
            _columns(HoursEntry, ("job", "day", "person", "phase"), metric=metric),
        ),
        Sheet(
            "Receipts",
            "One row a bill or receipt, on the day you get it; credits with a minus. Leave the job "
            "blank if it is not known yet.",
            _columns(CostEntry, ("job", "day", "payee", "document"), metric=metric),
        ),
        Sheet(
            "Changes",
            "One row a change the client asked for. Only approved ones move the plan, so that "
            "extra work is not taken for an overrun.",
            (
                *_columns(ChangeEntry, ("job", "label", "price", "cost", "days"), metric=metric),
                notes,
            ),
        ),
    )


def _columns(record: type, first: Sequence[str], *, metric: bool) -> tuple[Field, ...]:
    """The columns of a sheet for one kind of record: some fields first, notes last."""
    shown = [c for c in columns(record) if c.shown.sheet]
    ranks = {name: rank for rank, name in enumerate(first)}
    shown.sort(key=lambda c: (c.field == "notes", ranks.get(c.field, len(first))))
    return tuple(_column(c, metric=metric) for c in shown)


def _column(column: Column, *, metric: bool) -> Field:
    """A field of a record as a column to fill in; areas are in the firm's unit."""
    shown, looks = column.shown, column.unit.looks
    heading, example = shown.sheet, shown.example
    if looks == "size":
        heading += " (m²)" if metric else " (sq ft)"
        example = round(example / SQFT_PER_SQM, 1) if metric else example
    example = _EXAMPLE_JOB if column.field == "job" else example
    return Field(heading, looks, example, shown.choices, shown.width)


def _with_due(found: tuple[Field, ...]) -> tuple[Field, ...]:
    """The columns of the jobs with the planned finish, of which planned days are made."""
    at = 1 + next(i for i, one in enumerate(found) if one.heading == "Finished")
    return (*found[:at], Field("Planned finish", "date", date(2025, 3, 19)), *found[at:])


def lists(words: Vocabulary) -> dict[str, tuple[str, ...]]:
    """The choices of the drop-down lists, by name, in words the readers know."""
    return {
        "phases": tuple(p.name for p in words.phases),
        "items": tuple(sorted(i.name for i in words.items)),
        "units": ("sq ft", "m²", "ft", "m", "each"),
        "job kinds": tuple(k.name for k in words.job_kinds),
        "cost kinds": tuple(k.name for k in words.cost_kinds if k.key != "tax"),
        "states": STATES,
        "change states": CHANGE_STATES,
        "grades": ("basic", "middle", "high"),
        "yes or no": ("yes", "no"),
    }


def template(firm: Firm) -> bytes:
    """The workbook as bytes of an .xlsx file.

    Args:
        firm: its currency, area unit and own phases are used.
    """
    import xlsxwriter

    raw = io.BytesIO()
    book = xlsxwriter.Workbook(raw, {"in_memory": True})
    book.set_properties({"created": _MADE})
    formats = _formats(book, firm)
    choices = lists(standard().with_phases(firm.phase_words))
    made = sheets(firm)
    _notes(book.add_worksheet("Start here"), made, formats, firm)
    for one in made:
        _sheet(book.add_worksheet(one.name), one, formats, choices)
    _lists(book.add_worksheet("Lists"), choices, formats)
    for sheet in book.worksheets():
        sheet.set_paper(_LETTER if firm.currency in ("USD", "CAD") else _A4)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L&A&RPage &P of &N")
    book.close()
    return raw.getvalue()


def _formats(book: Any, firm: Firm) -> dict[str, Any]:
    numbers = {
        "text": "@",
        "date": "yyyy-mm-dd",
        "money": "#,##0.00",
        "size": "General",
        "days": "0.0#",
        "hours": "0.0#",
        "year": "0",
    }
    found = {name: book.add_format({"num_format": f}) for name, f in numbers.items()}
    grey = {"italic": True, "font_color": "#5C5C5C"}
    for name, number in numbers.items():
        found[f"{name} example"] = book.add_format({"num_format": number, **grey})
    found["head"] = book.add_format(
        {"bold": True, "text_wrap": True, "valign": "top", "bottom": 2, "bg_color": "#EFEBE1"}
    )
    found["title"] = book.add_format({"bold": True, "font_size": 16})
    found["bold"] = book.add_format({"bold": True, "valign": "top"})
    found["wrap"] = book.add_format({"text_wrap": True, "valign": "top"})
    return found


def _sheet(
    sheet: Any, one: Sheet, formats: Mapping[str, Any], choices: Mapping[str, Sequence[str]]
) -> None:
    """Headings, the example in grey, and lists and checks down the columns."""
    sheet.freeze_panes(1, 1)
    sheet.repeat_rows(0)
    sheet.set_row(0, 32)
    for at, field in enumerate(one.fields):
        sheet.set_column(at, at, field.width, formats[field.style])
        sheet.write_string(0, at, field.heading, formats["head"])
        _example(sheet, at, field, formats[f"{field.style} example"])
        rule = _rule(field, choices)
        if rule:
            sheet.data_validation(2, at, ROWS, at, rule)
    sheet.autofilter(0, 0, ROWS, len(one.fields) - 1)


def _example(sheet: Any, at: int, field: Field, look: Any) -> None:
    if isinstance(field.example, date):
        sheet.write_datetime(1, at, field.example, look)
    elif isinstance(field.example, str):
        sheet.write_string(1, at, field.example, look)
    elif field.example is not None:
        sheet.write_number(1, at, field.example, look)


def _rule(field: Field, choices: Mapping[str, Sequence[str]]) -> dict[str, Any]:
    """The list or check of a column; all of them let a person insist, for lists are never whole."""
    if field.choices == "jobs":
        return {"validate": "list", "source": f"=Jobs!$A$3:$A${ROWS + 1}", "show_error": False}
    if field.choices:
        column = list(choices).index(field.choices)
        last = 2 + len(choices[field.choices])
        source = f"=Lists!${_letter(column)}$3:${_letter(column)}${last}"
        return {
            "validate": "list",
            "source": source,
            "error_type": "warning",
            "error_title": "Not on the list",
            "error_message": "Keep it if it is what you mean; you may be asked about it later.",
        }
    low = {
        "date": ("date", date(1990, 1, 1), date(2100, 1, 1), "A date, such as 2025-03-12."),
        "hours": ("decimal", -24, 24, "Hours of one person on one day, at most 24."),
        "year": ("integer", 1700, 2100, "The year the house was built."),
        "money": ("decimal", -1e8, 1e8, "An amount as a plain number, no words beside it."),
        "days": ("decimal", -1000, 10_000, "A number of days, such as 4.5."),
    }.get(field.style)
    if low is None:
        return {}
    kind, least, most, told = low
    return {
        "validate": kind,
        "criteria": "between",
        "minimum": least,
        "maximum": most,
        "error_type": "warning",
        "error_title": field.heading,
        "error_message": told,
    }


def _letter(column: int) -> str:
    """The letter of one of the first 26 columns."""
    return chr(ord("A") + column)


def _lists(sheet: Any, choices: Mapping[str, Sequence[str]], formats: Mapping[str, Any]) -> None:
    sheet.write_string(0, 0, f"{NOT_READ}: the choices of the drop-down lists")
    for at, (name, words) in enumerate(choices.items()):
        sheet.set_column(at, at, 22)
        sheet.write_string(1, at, name, formats["head"])
        for row, word in enumerate(words, 2):
            sheet.write_string(row, at, word)


def _notes(sheet: Any, made: Sequence[Sheet], formats: Mapping[str, Any], firm: Firm) -> None:
    """What to fill in, the most valuable first."""
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 16)
    sheet.set_column(1, 1, 96, formats["wrap"])
    sheet.write_string(0, 0, f"{NOT_READ}: how to keep these records", formats["title"])
    by_worth = ("Hours", "Phases", "Jobs", "Receipts", "Scope", "Changes")
    lines = [
        ("Starting today", "Write down the Hours sheet every evening; it takes two minutes and "
         "nothing else can replace it later. The other sheets can wait for a quiet hour."),
        *((name, next(s.why for s in made if s.name == name)) for name in by_worth),
        ("Blank cells", "Leave a cell blank where you do not know. Blank is never taken for zero."),
        ("The grey rows", f"A row that begins with '{EXAMPLE}' is not read. Delete it or keep it."),
        ("Money", f"In {firm.currency}, before tax, as plain numbers."),
        ("Call-backs", "Work done again after the job was finished: name the phase that caused it "
         "under Call-back of. It is kept apart from what the job itself took."),
        ("Names of jobs", "Give each job one name, the same on every sheet; the lists offer those "
         "of the Jobs sheet. A short number in front, such as J-07, may stand for the whole name."),
        ("Your own columns", "Add any you like. What costlearn does not know, it leaves alone and "
         "says so."),
        ("When filled in", "costlearn import THIS-FILE.xlsx, as often as you like: its rows are "
         "replaced each time. The name and place of the file should stay the same."),
    ]  # fmt: skip
    for row, (about, text) in enumerate(lines, 2):
        sheet.write_string(row, 0, about, formats["bold"])
        sheet.write_string(row, 1, text, formats["wrap"])
