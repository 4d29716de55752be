"""Files to grids: workbooks and tables as text, judged by content; all files are made here."""

from __future__ import annotations

import csv
import hashlib
import io
from datetime import date, datetime, time, timedelta
from pathlib import Path

import openpyxl
import pytest
import xlwt
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from costlearn.errors import UnreadableFile
from costlearn.intake.files.sheets import Grid, digest, read_grids
from costlearn.intake.files.workbooks import address
from tests.intake.files.making import put, refusal, workbook

ROWS = (("Job", "Phase", "Hrs"), ("J-07", "Demo", "14"), ("J-07", "Tile", "31.5"))


def only(path: Path) -> Grid:
    grids = read_grids(path)
    assert len(grids) == 1
    return grids[0]


# ---------------------------------------------------------------- tables as text


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_any_delimiter_and_line_end(tmp_path: Path, delimiter: str, end: str) -> None:
    text = end.join(delimiter.join(row) for row in ROWS) + end
    grid = only(put(tmp_path, text))
    assert grid == Grid("file.csv", "", ROWS)


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"]
)
def test_alphabets(tmp_path: Path, encoding: str) -> None:
    text = "Poste;Heures;Montant\nDémolition;12,5;1 250,00 $\nCéramique;30;2 400,50 $\n"
    grid = only(put(tmp_path, text.encode(encoding)))
    assert grid.rows[1] == ("Démolition", "12,5", "1 250,00 $")
    assert grid.rows[0][0] == "Poste"


def test_a_decimal_comma_is_no_delimiter(tmp_path: Path) -> None:
    text = "a;b;c\n1,5;2,5;3,5\n1,5;2,5;3,5\n1,5;2,5;3,5\n"
    assert only(put(tmp_path, text)).rows[1] == ("1,5", "2,5", "3,5")


def test_semicolons_and_commas_in_texts_do_not_mislead(tmp_path: Path) -> None:
    rows = [["job", "scope", "cost"]] + [
        [f"J{i}", "niche; heated floor; fan", "5"] for i in range(9)
    ]
    assert only(put(tmp_path, "\n".join(",".join(r) for r in rows))).rows[3][2] == "5"
    rows = [["job", "who"]] + [[f"J{i}", "Last, First"] for i in range(9)]
    assert only(put(tmp_path, "\n".join("\t".join(r) for r in rows))).rows[3][1] == "Last, First"


def test_title_rows_before_the_table_do_not_mislead(tmp_path: Path) -> None:
    text = "Bathrooms 2024 - ACTUALS\n\nprinted 3/1/25, final\n" + "\n".join(
        ";".join(r) for r in ROWS
    )
    grid = only(put(tmp_path, text))
    assert grid.rows[0] == ("Bathrooms 2024 - ACTUALS", None, None)
    assert grid.rows[1] == (None, None, None)
    assert grid.rows[3:] == ROWS


def test_a_line_that_names_the_delimiter_is_no_row(tmp_path: Path) -> None:
    assert only(put(tmp_path, "sep=|\na|b,c\n1|2,5\n")).rows == (("a", "b,c"), ("1", "2,5"))


def test_a_line_break_within_quotes_begins_no_row(tmp_path: Path) -> None:
    # A spreadsheet program shows "last" in row 4: the note of row 2 takes two lines of text.
    grid = only(put(tmp_path, 'a,b\n1,"two\nlines"\n\nlast,x\n'))
    assert grid.first_row == 1
    assert grid.rows[1] == ("1", "two\nlines")
    assert grid.rows[3] == ("last", "x")


def test_an_open_quotation_mark_is_named_and_swallows_nothing(tmp_path: Path) -> None:
    text = refusal(put(tmp_path, 'a,b\n1,"two\n3,4\n5,6\n'))
    assert "row 2" in text
    assert "never closes" in text
    assert "row 3" in refusal(put(tmp_path, 'a,b\n1,2\n3,"' + "x,y\n" * 60_000))


def test_marks_for_inches_are_no_open_quotes(tmp_path: Path) -> None:
    grid = only(put(tmp_path, "a,size\n1,12'6\" x 5'\n2,6\" pipe\n"))
    assert grid.rows[1:] == (("1", "12'6\" x 5'"), ("2", '6" pipe'))


def test_empty_outer_rows_and_columns_are_left_off_and_rows_are_even(tmp_path: Path) -> None:
    grid = only(put(tmp_path, "a,b,,\n1,,,\n,,, \n3,4,,\n,,,\n\n"))
    assert grid.rows == (("a", "b"), ("1", None), (None, None), ("3", "4"))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.lists(
            st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"])),
            min_size=2,
            max_size=5,
        ),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from(",;\t|"),
)
def test_what_a_csv_writer_wrote_is_read_whole_once_the_delimiter_is_told(
    tmp_path: Path, rows: list[list[str]], delimiter: str
) -> None:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(rows)
    path = put(tmp_path, f"sep={delimiter}\n{out.getvalue()}")
    wanted = [[cell if cell.strip() else None for cell in row] for row in rows]
    if not any(cell for row in wanted for cell in row):
        assert "no filled cell" in refusal(path)
        return
    grid = only(path)
    for number, row in enumerate(wanted):
        found = grid.rows[number] if number < len(grid.rows) else ()
        padded = list(found) + [None] * (len(row) - len(found))
        assert padded[: len(row)] == row
        assert not any(padded[len(row) :])


# ---------------------------------------------------------------- workbooks


def test_a_workbook_keeps_addresses_types_and_whole_numbers(tmp_path: Path) -> None:
    path = workbook(
        tmp_path, B3="Job", C3=1001, D3=1.5, E3=date(2025, 3, 3), F3=datetime(2025, 3, 3, 4, 5),
        G3=time(6, 30), H3=timedelta(hours=30), I3=True, J3="45719", C5="last",
    )  # fmt: skip
    grid = only(path)
    assert (grid.file, grid.sheet, grid.first_row) == ("jobs.xlsx", "Jobs", 1)
    assert grid.rows[2] == (
        None, "Job", 1001, 1.5, date(2025, 3, 3), datetime(2025, 3, 3, 4, 5), time(6, 30),
        timedelta(hours=30), True, "45719",
    )  # fmt: skip
    assert isinstance(grid.rows[2][2], int)
    assert grid.rows[4][2] == "last"
    assert set(grid.rows[0]) == {None}


def test_error_cells_keep_their_codes(tmp_path: Path) -> None:
    path = workbook(tmp_path, A1="cost", A2=5, A3="#REF!", B9="#DIV/0!")
    grid = only(path)
    assert [row[0] for row in grid.rows[:3]] == ["cost", 5, "#REF!"]
    assert grid.rows[8][1] == "#DIV/0!"


def test_formulas_without_a_stored_result_are_told(tmp_path: Path) -> None:
    grid = only(workbook(tmp_path, A1="cost", A2="=1+1", A3="=SUM(A2)"))
    assert grid.rows == (("cost",),)
    assert len(grid.notes) == 1
    assert "A2 and 1 more" in grid.notes[0]


def test_sheets_without_cells_and_charts_are_left_out_and_hidden_ones_told(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    first = book.active
    assert first is not None
    first.title = "Jan & Feb"
    first["A1"] = "x"
    first["A2"] = "#N/A"
    book.create_sheet("Empty")
    book.create_chartsheet("Chart")
    hidden = book.create_sheet("Old")
    hidden["B2"] = 7
    hidden.sheet_state = "hidden"
    book.save(tmp_path / "many.xlsx")
    grids = read_grids(tmp_path / "many.xlsx")
    assert [(g.sheet, g.rows) for g in grids] == [
        ("Jan & Feb", (("x",), ("#N/A",))),
        ("Old", ((None, None), (None, 7))),
    ]
    assert grids[0].notes == ()
    assert "hidden" in grids[1].notes[0]


def test_only_the_first_of_merged_cells_is_filled(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row, cells in enumerate([("Maple", "demo"), (None, "tile"), ("Oak", "tile")], start=1):
        for column, cell in enumerate(cells, start=1):
            sheet.cell(row, column, cell)
    sheet.merge_cells("A1:A2")
    book.save(tmp_path / "merged.xlsx")
    rows = only(tmp_path / "merged.xlsx").rows
    assert rows == (("Maple", "demo"), (None, "tile"), ("Oak", "tile"))


def test_an_old_workbook(tmp_path: Path) -> None:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Été")
    sheet.write(2, 1, "Démo")
    sheet.write(2, 2, 1001)
    sheet.write(2, 3, date(2025, 3, 3), xlwt.easyxf(num_format_str="YYYY-MM-DD"))
    book.save(str(tmp_path / "old.xls"))
    grid = only(tmp_path / "old.xls")
    assert grid.sheet == "Été"
    assert grid.rows[2] == (None, "Démo", 1001, date(2025, 3, 3))


def open_document(path: Path) -> Path:
    book = OpenDocumentSpreadsheet()
    table = Table(name="Jobs")
    blank = TableRow(numberrowsrepeated=2)
    blank.addElement(TableCell(numbercolumnsrepeated=1024))
    row = TableRow()
    for cell, text in (
        (TableCell(valuetype="string"), "tile"),
        (TableCell(valuetype="float", value=12), "12"),
        (TableCell(valuetype="date", datevalue="2025-03-03"), "3 Mar"),
        (TableCell(valuetype="currency", value=12.5, currency="CAD"), "12.50 $"),
    ):
        cell.addElement(P(text=text))
        row.addElement(cell)
    rest = TableRow(numberrowsrepeated=1_048_000)
    rest.addElement(TableCell(numbercolumnsrepeated=1024))
    for part in (blank, row, rest):
        table.addElement(part)
    book.spreadsheet.addElement(table)
    book.save(str(path))
    return path


def test_an_open_document_workbook(tmp_path: Path) -> None:
    grid = only(open_document(tmp_path / "jobs.ods"))
    assert len(grid.rows) == 3
    assert grid.rows[2] == ("tile", 12, date(2025, 3, 3), 12.5)


@pytest.mark.parametrize("name", ["jobs.csv", "jobs.xls", "jobs", "jobs.txt"])
def test_content_decides_and_not_the_name(tmp_path: Path, name: str) -> None:
    assert only(put(tmp_path, "a,b\n1,2\n", name)).rows == (("a", "b"), ("1", "2"))
    assert only(workbook(tmp_path, name, A1="a")).rows == (("a",),)


def test_the_digest_is_of_the_bytes(tmp_path: Path) -> None:
    path = put(tmp_path, "a,b\n")
    # FIPS 180-4 (Secure Hash Standard, 2015), whose published example for "abc" is the second.
    assert digest(path) == hashlib.sha256(b"a,b\n").hexdigest()
    assert digest(put(tmp_path, "abc")) == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
    with pytest.raises(UnreadableFile, match="no such file"):
        digest(tmp_path / "nothing")


def test_addresses() -> None:
    assert [address(1, n) for n in (1, 26, 27, 702, 703, 16384)] == [
        "A1", "Z1", "AA1", "ZZ1", "AAA1", "XFD1",
    ]  # fmt: skip
