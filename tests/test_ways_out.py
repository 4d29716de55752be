"""No text of somebody else's acts as a formula in anything that is written, and all come back.

The signs that begin a formula, and that what a program leaves off in front of them is no help, are
common practice of spreadsheet programs, no source.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from urllib.parse import unquote

import openpyxl
import pytest

from costlearn import tidy
from costlearn.book.export import export
from costlearn.book.template import template
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.intake.answer_sheet import read_sheet, sheet_row, write_sheet
from costlearn.intake.reader import read_file
from costlearn.pages.ics import escaped
from costlearn.pages.tables import csv_link
from costlearn.questions.answer import Table
from costlearn.records import ChangeEntry, CostEntry, Entry, HoursEntry, JobEntry, Question
from costlearn.vocabulary import standard

SIGNS = "=+-@\t\r＝＋－＠"
LEADS = (
    "",
    " ",
    "\u00a0 ",
    '"',
    "'",
    "''",
    "“",
    "`",
    "\u200b",
    "\u3000",
    "a;",
    'a;"',
    "a; ",
    "a\n'",
)
TEXTS = tuple(f"{lead}{sign}1+cmd|' /C x'!A0" for sign in SIGNS for lead in LEADS)
_LEFT_OFF = " \u00a0\u3000\"'“`\u200b"


def acts(cell: str) -> bool:
    """Whether a cell, or what a program that parts at semicolons makes of it, is a formula."""
    first, *more = re.split(r"[;\n]", cell)
    # An apostrophe says that what follows is text, but only at the very beginning.
    parts = more if first.startswith("'") else [first, *more]
    return any(part.lstrip(_LEFT_OFF)[:1] in {*SIGNS} - {""} for part in parts)


def entries() -> list[Entry]:
    """Each text in each field that people fill, and figures below zero beside them."""
    day = date(2025, 3, 3)
    made: list[Entry] = []
    for text in TEXTS:
        place = Place(text, text, 2, text)
        made += [
            JobEntry(text, place, notes=text, price=-100, area_sqft=40.0),
            HoursEntry(text, text, day, -7.5, place, text, notes=text, callback_of=text),
            CostEntry(text, text, -125, place, -25, text, day, text, text, text, text),
            ChangeEntry(text, text, "approved", place, -5, -7, -1.5, text),
        ]
    return made


def cells_of(path: Path) -> Iterable[tuple[str, str]]:
    """The headings and cells of a table as text."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        heads, *rows = csv.reader(file)
    return [pair for row in rows for pair in zip(heads, row, strict=True)]


def test_the_measure_tells_a_formula() -> None:
    assert all(acts(text) for text in TEXTS if not text.startswith("'"))
    assert not any(acts(text) for text in ("tile", "'=1", "tile - 2 coats; grout", "a; b\nc", "5"))


@pytest.mark.parametrize("to", ["out", "out.xlsx"])
def test_an_export(tmp_path: Path, to: str) -> None:
    files = export(entries(), Firm(), tmp_path / to)
    read: list[Entry] = []
    for path in files:
        if path.suffix == ".csv" or path.suffix == ".xlsx":
            read += read_file(path, Firm()).entries
    assert sorted(map(repr, read)) == sorted(map(repr, entries()))
    if to == "out":
        figures = {"price", "net", "tax", "hours", "cost", "days"}
        told = [pair for path in files if path.suffix == ".csv" for pair in cells_of(path)]
        assert not [cell for head, cell in told if head not in figures and acts(cell)]
        below = [cell for head, cell in told if head in figures and cell.startswith("-")]
        assert {"-1.00", "-7.5", "-1.25", "-0.25", "-0.05", "-0.07", "-1.5"} == set(below)
    else:
        book = openpyxl.load_workbook(files[0])
        cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
        assert not [
            c for c in cells if c.data_type == "f" or (c.data_type == "s" and acts(c.value))
        ]
        assert {c.value for c in cells if c.data_type == "n" and (c.value or 0) < 0} == {
            -1, -7.5, -1.25, -0.25, -0.05, -0.07, -1.5,
        }  # fmt: skip


def test_the_answer_sheet(tmp_path: Path) -> None:
    asked = [
        Question(text, text, Place(text, text, 3, text), text, text, (text, "tile"), 4)
        for text in TEXTS
    ]
    path = tmp_path / "answers.csv"
    path.write_bytes(write_sheet(map(sheet_row, asked)))
    assert not [cell for _, cell in cells_of(path) if acts(cell)]
    assert len(list(cells_of(path))) == 8 * len(TEXTS)


def test_an_answer_comes_back_as_it_was_guarded(tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = [("id", "answer"), *((tidy.guard("=id"), tidy.guard(t)) for t in ("=a", "-5", "@b"))]
        csv.writer(file).writerows(rows)
    assert [(g.key, g.text) for g in read_sheet(path)] == [
        ("=id", "=a"),
        ("=id", "-5"),
        ("=id", "@b"),
    ]


def test_the_table_a_page_saves() -> None:
    rows = tuple((text, text, f"-${at + 1},000", "-3 to +4") for at, text in enumerate(TEXTS))
    link = csv_link(Table("by job", ("=job", "@note", "left over", "days"), rows))
    text = unquote(link.partition(",")[2]).removeprefix("\ufeff")
    heads, *saved = csv.reader(io.StringIO(text, newline=""))
    assert heads == ["'=job", "'@note", "left over ($)", "days, from", "days, to"]
    assert [tidy.unguard(row[0]) for row in saved] == [*TEXTS]
    assert not [cell for row in saved for cell in row[:2] if acts(cell)]
    assert [row[2:] for row in saved] == [[f"-{at + 1}000", "-3", "4"] for at in range(len(TEXTS))]


def test_the_empty_workbook_of_a_firm_with_such_words() -> None:
    firm = Firm(phase_words={"=1+1": ("@sum", "-2"), "tile": ('=HYPERLINK("x")',)}, name="=1")
    with zipfile.ZipFile(io.BytesIO(template(firm))) as package:
        sheets = [package.read(n) for n in package.namelist() if "worksheets/" in n]
    assert sheets
    assert not [sheet for sheet in sheets if b"<f>" in sheet]


def test_a_calendar_keeps_each_text_on_its_line() -> None:
    for text in (*TEXTS, "bath\r\nATTACH:file:///x", "a\nBEGIN:VALARM", "a\u2028b\x0bc"):
        line = f"SUMMARY:{escaped(text)}"
        assert len(line.splitlines()) == 1
        assert not re.search(r"(?<!\\)[;,]", line.removeprefix("SUMMARY:"))


def test_names_that_the_pocket_sheet_puts_between_quotation_marks() -> None:
    words = standard()
    names = [*(item.name for item in words.items), *(kind.key for kind in words.job_kinds)]
    assert len(names) > 30
    assert not [name for name in names if not name.isprintable() or set(name) & set('"\\')]
