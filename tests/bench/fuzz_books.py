"""Workbooks with bytes changed, as they lie on the disk and within the parts they are packed of.

Run by hand, with the number of files and a seed: ``python tests/bench/fuzz_books.py 3000 1``. A
change within a packed part is packed anew, so that no check sum refuses it before it is read.
"""

from __future__ import annotations

import io
import random
import re
import sys
import tempfile
import zipfile
from collections import Counter
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path

import fuzz
import openpyxl
import xlsxwriter
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from costlearn.intake.reader import read_file
from costlearn.intake.settings import read_index

ROWS: tuple[tuple[str | float | date, ...], ...] = (
    ("Job", "Phase", "Date", "Hours", "Cost", "Notes"),
    *(
        (f"J-{i:02d}", "tile", date(2025, 3, i), 8.5, 1020.5 * i, "céramique; 2nd coat")
        for i in range(1, 13)
    ),
)
READERS: tuple[fuzz.Reader, ...] = (lambda p: read_file(p, fuzz.FIRM), read_index)

WORTHS = (
    b"", b"0", b"-1", b"1e308", b"nan", b"NaN", b"inf", b"4294967295", b"4294967296",
    b"99999999999999999999", b"-9223372036854775808", b"2958466", b"1E400", b"A0", b"A1:A", b"1",
    b"A1048577", b"XFE1", b"XFD1048576", b"ZZZZZZZZ1", b"A1:XFD1048576", b"e", b"s", b"str", b"d",
    b"b", b"inlineStr", b"true", b"2025-13-45T99:99:99", b"0001-01-01", b"9999-12-31", b"&#0;",
    b"&#xFFFFFFFF;", b"&none;", b"..", b"../../x", b"/xl/worksheets/sheet1.xml", b"\xff\xfe",
    b"PT99999999999H", b"-PT1S", b"[$-409]", b"a" * 70_000, "＝1+1".encode(), b"date", b"time",
)  # fmt: skip
"""What an attribute or an element of a part may be made to say."""
WORDS = tuple(
    int(size).to_bytes(wide, "little")
    for wide, sizes in ((2, (0, 1, 0x7FFF, 0xFFFF)), (4, (0, 0x7FFFFFFF, 0xFFFFFFFF, 0xFFFFFFFE)))
    for size in sizes
)
"""Lengths, offsets and sector numbers at the ends of what they may be."""
_ATTRIBUTE = re.compile(rb'(?<=")[^"<>]*(?=")')
_ELEMENT = re.compile(rb"(?<=>)[^<>]+(?=</)")
_TAG = re.compile(rb"<[^<>]*>")


def good_books() -> dict[str, bytes]:
    """One workbook of each kind that reads well, by its ending; two writers of the packed kind."""
    return {"xlsx": _xlsx(), "xls": _xls(), "ods": _ods(), "strings.xlsx": _strings()}


def _xlsx() -> bytes:
    book, raw = openpyxl.Workbook(), io.BytesIO()
    for row in ROWS:
        book.active.append(row)
    book.active["G1"], book.active["G2"], book.active["G3"] = "Sum", "=D2*2", "#REF!"
    book.active.merge_cells("A16:C17")
    book.create_sheet("Second").append(("Job", datetime(2025, 3, 1, 6, 30), True))
    book.save(raw)
    return raw.getvalue()


def _strings() -> bytes:
    raw = io.BytesIO()
    book = xlsxwriter.Workbook(raw, {"in_memory": True, "default_date_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet("jobs")
    for at, row in enumerate(ROWS):
        sheet.write_row(at, 0, row)
    sheet.add_table(0, 0, len(ROWS) - 1, len(ROWS[0]) - 1, {"header_row": True})
    book.define_name("costs", "=jobs!$E$2:$E$13")
    book.close()
    return raw.getvalue()


def _xls() -> bytes:
    book, raw = xlwt.Workbook(), io.BytesIO()
    for name in ("jobs", "more"):
        sheet = book.add_sheet(name)
        day = xlwt.easyxf(num_format_str="YYYY-MM-DD")
        for at, row in enumerate(ROWS):
            for column, cell in enumerate(row):
                sheet.write(at, column, cell, *([day] if isinstance(cell, date) else []))
        sheet.write(1, 6, xlwt.Formula("D2*2"))
    book.save(raw)
    return raw.getvalue()


def _ods() -> bytes:
    book, raw = OpenDocumentSpreadsheet(), io.BytesIO()
    table = Table(name="jobs")
    for row in ROWS:
        line = TableRow()
        for cell in row:
            if isinstance(cell, date):
                made = TableCell(valuetype="date", datevalue=cell.isoformat())
            elif isinstance(cell, float):
                made = TableCell(valuetype="float", value=str(cell))
            else:
                made = TableCell(valuetype="string")
            made.addElement(P(text=str(cell)))
            line.addElement(made)
        table.addElement(line)
    book.spreadsheet.addElement(table)
    book.save(raw)
    return raw.getvalue()


def parts_of(data: bytes) -> dict[str, bytes]:
    """The parts of a packed workbook by name."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        return {name: package.read(name) for name in package.namelist()}


def packed(parts: Mapping[str, bytes]) -> bytes:
    """Parts packed anew, with the check sums of what they hold now."""
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name, data)
    return raw.getvalue()


def bytes_changed(rng: random.Random, good: bytes) -> bytes:
    """Bytes changed, words of the ends of their range put in, pieces doubled, left out, cut off."""
    data = bytearray(good)
    for _ in range(rng.choice((1, 2, 5, 20))):
        at, to = rng.randrange(len(data)), rng.randrange(len(data))
        long = rng.choice((1, 4, 64, 512))
        way = rng.random()
        if way < 0.5:
            data[at] = rng.randrange(256)
        elif way < 0.8:
            word = rng.choice(WORDS)
            data[at : at + len(word)] = word
        elif way < 0.9:
            data[to : to + long] = data[at : at + long]
        elif len(data) > 2 * long:
            del data[at : at + long]
    return bytes(data[: rng.randint(1, len(data))] if rng.random() < 0.05 else data)


def text_changed(rng: random.Random, part: bytes) -> bytes:
    """A part with some of what it says changed: values, elements, tags, single bytes."""
    for _ in range(rng.choice((1, 1, 2, 5))):
        found = list(rng.choice((_ATTRIBUTE, _ATTRIBUTE, _ELEMENT, _TAG)).finditer(part))
        if not found or rng.random() < 0.15:
            part = bytes_changed(rng, part or b" ")
            continue
        start, end = rng.choice(found).span()
        other = rng.choice(found)[0]
        is_tag = part[start:end].startswith(b"<")
        put = rng.choice((b"", other, other * 40)) if is_tag else rng.choice((*WORTHS, other))
        part = part[:start] + put + part[end:]
    return part


def parts_changed(rng: random.Random, good: Mapping[str, bytes]) -> bytes:
    """A packed workbook of which one or two parts say something else, or are another's, or gone."""
    parts = dict(good)
    for _ in range(rng.choice((1, 1, 2))):
        name = rng.choice(sorted(parts))
        way = rng.random()
        if way < 0.9:
            parts[name] = text_changed(rng, parts[name])
        elif way < 0.95:
            parts[name] = parts[rng.choice(sorted(parts))]
        elif len(parts) > 1:
            del parts[name]
    return packed(parts)


def attack(cases: int, seed: int) -> Counter[str]:
    """Give so many changed workbooks to the readers; how many were read and refused.

    Raises:
        AssertionError: a refusal that is no single sentence. What a reader raises but a
            CostlearnError goes through; the file that did it is left where it is told.
    """
    rng = random.Random(seed)
    good = good_books()
    parts = {ending: parts_of(data) for ending, data in good.items() if ending != "xls"}
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(cases):
            ending = rng.choice(sorted(good))
            if ending == "xls" or rng.random() < 0.15:
                data = bytes_changed(rng, good[ending])
            else:
                data = parts_changed(rng, parts[ending])
            path = Path(folder, f"case.{ending}")
            path.write_bytes(data)
            with fuzz.watched(path, number):
                for read in READERS:
                    counts[f"{ending[-4:]} {fuzz.outcome(read, path)}"] += 1
    return counts


if __name__ == "__main__":
    fuzz.bound_room()
    print(dict(sorted(attack(int(sys.argv[1]), int(sys.argv[2])).items())))
