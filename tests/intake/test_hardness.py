"""Whatever a file holds, reading it ends in entries, findings or one clear sentence.

Random bytes, broken workbooks and strange cells are drawn from fixed seeds, so many and no more.
"""

from __future__ import annotations

import csv
import io
import random
import string
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import openpyxl
import pytest

from costlearn.assembly import assemble
from costlearn.errors import InputProblem, UnreadableFile
from costlearn.firm import Firm
from costlearn.intake.kinds import read_kind
from costlearn.intake.reader import read_file
from costlearn.intake.scope import read_scope
from costlearn.intake.values.cells import (
    Raw,
    is_missing,
    read_count,
    read_number,
    read_percent,
    read_yes_no,
    vote_decimal,
)
from costlearn.intake.values.days import read_day, vote_date_order
from costlearn.intake.values.money import read_money
from costlearn.intake.values.sizes import read_area, read_hours
from costlearn.questions.attention import attention
from costlearn.vocabulary import standard

FIRM = Firm()
WORDS = standard()
HEADS = [
    "Job",
    "Phase",
    "Date",
    "Who",
    "Hours",
    "Cost",
    "Area",
    "Scope",
    "Vendor",
    "Amount",
    "Kind",
]
PIECES = [
    "", " ", "0", "1", "-", "--", "(", ")", ",", ".", "'", '"', "$", "%", "/", "=", "+", "@",
    "\u00a0", "\u2212", "\ufeff", "½", "²", "é", "\u202e", "１２", "Ⅳ", "1e308", "1e-308", "nan",
    "inf", "1/0", "12'6\" x 5'", "45719", "99999", "31/02/2025", "2024-02-30", "0000-00-00",
    "24:00", "-1:30", "#REF!", "TBD", "incl HST 13%", "+ tax", "US$", "C$", "50% / 60%", "J-01 50%",
    "niche x 3", "TOTAL", "demo", "tile", "half day", "1 1/2 days", "sq ft", "m2", "8h", "Job",
    "Phase", "\x00", "9" * 400, "1," * 200, "((((", "%s", "{0}", "\\", "🛁", "a" * 5000,
]  # fmt: skip


def strange_text(rng: random.Random) -> str:
    """A text of pieces that trip readers, or of any letters."""
    if rng.random() < 0.2:
        return "".join(
            chr(rng.choice((rng.randrange(32, 127), rng.randrange(0x2FFF)))) for _ in range(8)
        )
    return "".join(rng.choice(PIECES) for _ in range(rng.randint(1, 4)))


def strange_cell(rng: random.Random) -> Raw:
    """Anything a file reader may hand over for one cell."""
    number = rng.choice([0, -1, 1e308, -1e-308, 45719, 10**18, float("nan"), float("inf"), 2**63])
    made: list[Raw] = [
        None, True, False, number, rng.uniform(-1e6, 1e6), date(1899, 12, 31), date(9999, 12, 31),
        datetime(2025, 3, 3, 12, 30), time(6, 30), timedelta(days=400), timedelta(hours=-3),
    ]  # fmt: skip
    return strange_text(rng) if rng.random() < 0.7 else rng.choice(made)


def test_strange_cells_are_read_or_refused_never_raised() -> None:
    rng = random.Random(11)
    columns = [[strange_cell(rng) for _ in range(12)] for _ in range(250)]
    for column in columns:
        for decimal in (vote_decimal(column), ","):
            for raw in column:
                is_missing(raw)
                is_missing(raw, also=["PNS", ""])
                read_number(raw, decimal=decimal)
                read_count(raw, decimal=decimal)
                read_percent(raw, decimal=decimal)
                read_yes_no(raw)
                read_money(raw, decimal=decimal, tax_rate=0.13)
                read_area(raw, unit=None, decimal=decimal)
                read_hours(raw, unit="hours", hours_per_day=8.0, decimal=decimal)
        for order in ("month-first", "day-first"):
            vote_date_order(column, order)
            for raw in column:
                read_day(raw, order=order)
        for raw in column:
            read_kind(str(raw), WORDS)
            read_scope(str(raw), WORDS, area_unit="sqft")


def settle(path: Path) -> bool:
    """Read a file as far as it goes, to jobs and what is worth a look; False if it is refused."""
    try:
        batch = read_file(path, FIRM)
    except InputProblem as problem:
        assert path.name in str(problem)
        assert "\n" not in str(problem)
        assert str(problem).endswith(".")
        return False
    attention(assemble(batch.entries, FIRM), batch.entries)
    return True


def test_tables_of_strange_cells(tmp_path: Path) -> None:
    rng = random.Random(12)
    read = 0
    for number in range(120):
        heads = rng.sample(HEADS, rng.randint(2, 8))
        rows = [heads, *([strange_text(rng) for _ in heads] for _ in range(rng.randint(1, 8)))]
        out = io.StringIO()
        csv.writer(out, delimiter=rng.choice(",;\t")).writerows(rows)
        text = out.getvalue().replace("\x00", "")
        path = tmp_path / f"strange{number}.csv"
        path.write_text(text, encoding="utf-8", errors="replace")
        read += settle(path)
    assert read >= 40


def test_workbooks_of_strange_cells(tmp_path: Path) -> None:
    rng = random.Random(13)
    read = 0
    for number in range(40):
        book = openpyxl.Workbook()
        heads = rng.sample(HEADS, rng.randint(2, 8))
        book.active.append(heads)
        for _ in range(6):
            cells = [strange_cell(rng) for _ in heads]
            book.active.append([_holdable(cell) for cell in cells])
        path = tmp_path / f"strange{number}.xlsx"
        book.save(path)
        read += settle(path)
    assert read >= 10


def _holdable(cell: Raw) -> Raw:
    """A cell as a workbook can hold it."""
    if isinstance(cell, str):
        return "".join(c for c in cell if c.isprintable())[:500]
    if isinstance(cell, float | int) and not isinstance(cell, bool):
        return cell if abs(cell) < 1e300 else None
    return None if isinstance(cell, date) and cell.year < 1900 else cell


def good_files(folder: Path) -> list[bytes]:
    """A table and a workbook that read well, to be broken."""
    rows: list[list[object]] = [["Job", "Phase", "Hrs", "Cost"]]
    rows += [[f"J-{i}", "tile", 8, 1020.5] for i in range(20)]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(folder / "good.xlsx")
    return [out.getvalue().encode(), (folder / "good.xlsx").read_bytes()]


def test_broken_bytes_never_end_in_a_traceback(tmp_path: Path) -> None:
    rng = random.Random(14)
    good = good_files(tmp_path)
    starts = [
        b"",
        b"PK\x03\x04",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        b"\xff\xfe",
        b"\xef\xbb\xbf",
        b"sep=;\n",
    ]
    for number in range(150):
        if number % 2:
            data = bytearray(rng.choice(good))
            for _ in range(rng.randint(1, 30)):
                data[rng.randrange(len(data))] = rng.randrange(256)
            data = data[: rng.randint(1, len(data))] if rng.random() < 0.3 else data
        else:
            letters = string.printable.encode() if rng.random() < 0.5 else bytes(range(256))
            size = rng.randint(0, 3000)
            data = bytearray(rng.choice(starts) + bytes(rng.choice(letters) for _ in range(size)))
        path = tmp_path / f"broken{number}{rng.choice(('.csv', '.xlsx', '.xls', '.ods'))}"
        path.write_bytes(bytes(data))
        settle(path)


def test_parts_of_a_workbook_that_are_nonsense(tmp_path: Path) -> None:
    """The package is whole and its parts unpack, but what they say is broken XML."""
    rng = random.Random(15)
    good = good_files(tmp_path)[1]
    with zipfile.ZipFile(io.BytesIO(good)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    for number in range(60):
        name = rng.choice(sorted(parts))
        part = bytearray(parts[name])
        for _ in range(rng.randint(1, 12)):
            part[rng.randrange(len(part))] = rng.choice(b"<>/\"'&;= 09azAZ\x00\xff")
        path = tmp_path / f"nonsense{number}.xlsx"
        with zipfile.ZipFile(path, "w") as package:
            for other, data in parts.items():
                package.writestr(other, bytes(part) if other == name else data)
        settle(path)


def refused(path: Path) -> str:
    with pytest.raises(UnreadableFile) as caught:
        read_file(path, FIRM)
    return str(caught.value)


def test_a_bomb_of_zeros_is_refused_before_it_unpacks(tmp_path: Path) -> None:
    """600 MB of blanks in a file of about 600 kB, told by the list of parts alone."""
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.xml", b"<workbook/>")
        with package.open("xl/worksheets/sheet1.xml", "w") as part:
            for _ in range(600):
                part.write(b" " * 2**20)
    assert path.stat().st_size < 2**20
    assert "would unpack to 600 MB" in refused(path)


def test_a_bomb_within_a_bomb_is_no_workbook(tmp_path: Path) -> None:
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("zeros", bytes(2**20))
    path = tmp_path / "nested.xlsx"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("inner.zip", inner.getvalue())
    assert "no workbook" in refused(path)


@pytest.mark.parametrize("quoted", [False, True])
def test_a_million_columns_are_refused(tmp_path: Path, quoted: bool) -> None:
    path = tmp_path / "wide.csv"
    cell = '"x"' if quoted else "x"
    path.write_text("Job,Cost\n" + ",".join([cell] * 1_000_000), encoding="utf-8")
    assert "5,000 columns" in refused(path)


def test_a_workbook_that_says_it_has_a_million_columns(tmp_path: Path) -> None:
    """The stated extent is a claim only; a cell written beyond the last column is refused."""
    good = good_files(tmp_path)[1]
    with zipfile.ZipFile(io.BytesIO(good)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    sheet = "xl/worksheets/sheet1.xml"
    claimed = {**parts, sheet: parts[sheet].replace(b'ref="A1:D21"', b'ref="A1:BDWGN21"')}
    assert claimed[sheet] != parts[sheet]
    beyond = {**parts, sheet: parts[sheet].replace(b'r="D3"', b'r="BDWGN3"')}
    assert beyond[sheet] != parts[sheet]
    paths = []
    for name, changed in (("claimed", claimed), ("beyond", beyond)):
        paths.append(tmp_path / f"{name}.xlsx")
        with zipfile.ZipFile(paths[-1], "w") as package:
            for part, data in changed.items():
                package.writestr(part, data)
    assert settle(paths[0])
    refused(paths[1])
