"""Workbooks made to harm: each ends in one sentence, in a process that has little room.

How entities of a document type blow up is told in Extensible Markup Language (XML) 1.0, 4.4
(recursive inclusion of replaced texts); what a package's list of parts claims and what its parts
hold may differ (APPNOTE, .ZIP File Format Specification, 4.3.12 and 4.4.9). Sizes and shapes below
are our own.
"""

from __future__ import annotations

import io
import json
import re
import struct
import subprocess
import sys
import warnings
import zipfile
import zlib
from collections.abc import Mapping

import openpyxl
import pytest

ROOM = 1_500 * 2**20
PATIENCE = 240
"""Seconds after which reading is taken to hang; it takes a few."""
SHEET = "xl/worksheets/sheet1.xml"
RELATIONS = "xl/_rels/workbook.xml.rels"
STYLES = "xl/styles.xml"
STRINGS = "xl/sharedStrings.xml"
FAR = b'r="XFD1048576"'
REACHES = "reach as far as XFD1048576"
BROKEN = "damaged, or far too large"
READ_ALL = """
import json, sys
from pathlib import Path
try:
    import resource
    resource.setrlimit(resource.RLIMIT_AS, (int(sys.argv[2]),) * 2)
except ImportError:
    pass
from costlearn.errors import CostlearnError
from costlearn.intake.files.sheets import read_grids
for path in sorted(Path(sys.argv[1]).iterdir()):
    try:
        grids = read_grids(path)
        said = f"read {len(grids[0].rows)} x {len(grids[0].rows[0])}"
    except CostlearnError as problem:
        said = str(problem)
    print(json.dumps([path.name, said]), flush=True)
"""


def good_parts() -> dict[str, bytes]:
    """The parts of a small workbook that reads well."""
    book = openpyxl.Workbook()
    for row in [["Job", "Phase", "Hrs", "Cost"], *([f"J-{i}", "tile", 8, 1020.5] for i in "123")]:
        book.active.append(row)
    raw = io.BytesIO()
    book.save(raw)
    with zipfile.ZipFile(raw) as package:
        return {name: package.read(name) for name in package.namelist()}


def packed(parts: Mapping[str, bytes], *again: tuple[str, bytes]) -> bytes:
    """Parts packed, some of them again under the same name."""
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as package, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name, data in [*parts.items(), *again]:
            package.writestr(name, data)
    return raw.getvalue()


def open_document(rows: bytes) -> bytes:
    """A sheet of an open document, its rows as they stand in the file."""
    content = (
        b'<office:document-content xmlns:office="o" xmlns:table="t" xmlns:text="x"><office:body>'
        b'<office:spreadsheet><table:table table:name="s">' + rows + b"</table:table>"
        b"</office:spreadsheet></office:body></office:document-content>"
    )
    kind = b'<m:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
    return packed({"META-INF/manifest.xml": kind, "content.xml": content})


def understated(data: bytes, part: str, size: int) -> bytes:
    """The package with one part's unpacked size (and its check sum) stated far too small."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        info = package.getinfo(part)
        check = struct.pack("<L", zlib.crc32(package.read(part)[:size]))
    made = bytearray(data)
    central = data.rindex(part.encode()) - 46
    for at, crc in ((info.header_offset, 14), (central, 16)):
        made[at + crc : at + crc + 4] = check
        made[at + crc + 8 : at + crc + 12] = struct.pack("<L", size)
    return bytes(made)


def bombs() -> dict[str, tuple[bytes, str]]:
    """Name of a file to its bytes and what has to be said about it."""
    parts = good_parts()
    sheet = parts[SHEET]
    far = sheet.replace(b'r="D3"', FAR)
    assert far != sheet

    def with_sheet(xml: bytes, **more: bytes) -> bytes:
        return packed({**parts, SHEET: xml, **more})

    letters = [b"<!ENTITY a 'lol'>"]
    letters += [b"<!ENTITY %c '%s'>" % (98 + i, b"&%c;" % (97 + i) * 10) for i in range(12)]
    laughs = b"<!DOCTYPE l [" + b"".join(letters) + b"]><sst><si><t>&m;</t></si></sst>"
    long = b"<!DOCTYPE l [<!ENTITY a '" + b"A" * 100_000 + b"'>]><sst><si><t>"
    counted = b'<sst uniqueCount="%s"><si><t>a</t></si></sst>'
    before_all_days = sheet.replace(
        b"</row></sheetData>",
        b"""</row>
        <row r="5"><c r="A5" s="1"><v>-1e308</v></c></row></sheetData>""",
    )
    dated = parts[STYLES].replace(
        b'<cellXfs count="1">',
        b"""<cellXfs count="2">
        <xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/>""",
    )
    elsewhere = parts[RELATIONS].replace(b"/sheet1.xml", b"/Sheet1.xml")
    row = b'<row r="1"><c r="A1"><v>1</v></c></row>'
    cell = (
        b'<table:table-cell office:value-type="string" %s><text:p>Job</text:p></table:table-cell>'
    )
    gap = b'<table:table-row table:number-rows-repeated="1048000"/>'
    wide = b'<table:table-cell table:number-columns-repeated="16000"/>'
    repeated = b'table:number-columns-repeated="2000000000"'
    return {
        "far.xlsx": (with_sheet(far), REACHES),
        "far_spaced.xlsx": (with_sheet(far.replace(FAR, FAR.replace(b"=", b" = "))), REACHES),
        "far_told_twice.xlsx": (with_sheet(far.replace(FAR, b'x-r="A1" ' + FAR)), BROKEN),
        "far_coded.xlsx": (with_sheet(far.replace(b"XFD", b"&#88;FD")), BROKEN),
        "far_behind_a_comment.xlsx": (
            with_sheet(far.replace(b"<sheetData>", b'<sheetData><!-- <c r="A1"> -->')),
            REACHES,
        ),
        "far_by_another_name.xlsx": (with_sheet(far, **{RELATIONS: elsewhere}), BROKEN),
        "far_part_twice.xlsx": (packed({**parts, SHEET: far}, (SHEET, sheet)), "a part twice"),
        "counted.xlsx": (
            with_sheet(sheet, **{STRINGS: counted % b"4294967295"}), BROKEN
        ),
        "counted_coded.xlsx": (
            with_sheet(sheet, **{STRINGS: counted % b"&#52;294967295"}), "read 4 x 4"
        ),
        "before_all_days.xlsx": (
            with_sheet(before_all_days, **{STYLES: dated}), "a cell of it is damaged"
        ),
        "far.ods": (
            open_document(
                b"<table:table-row>" + cell % b"" + b"</table:table-row>" + gap
                + b"<table:table-row>" + wide + cell % b"" + b"</table:table-row>"
            ),
            BROKEN,
        ),
        "repeated.ods": (
            open_document(b"<table:table-row>" + cell % repeated + b"</table:table-row>"),
            "; expected",
        ),
        "cells_never_close.xlsx": (
            with_sheet(b"<worksheet><sheetData><row>" + b'<c r="A1">' * 400_000), BROKEN
        ),
        "rows_never_close.xlsx": (
            with_sheet(b"<worksheet><sheetData>" + b"<row " * 400_000), BROKEN
        ),
        "column_never_closes.xlsx": (
            with_sheet(b"<worksheet><cols><col" + b' hidden="1"' * 40_000), BROKEN
        ),
        "long_tag.xlsx": (
            with_sheet(sheet, **{"xl/workbook.xml": b"<sheet " + b"a" * 5_000_000 + b"/>"}), BROKEN
        ),
        "deep.xlsx": (with_sheet(b"<worksheet>" + b"<a>" * 1_000_000), "holds no filled cell"),
        "zeros.xlsx": (with_sheet(bytes(40 * 2**20)), BROKEN),
        "understated.xlsx": (
            understated(with_sheet(b"<worksheet><sheetData>" + row * 500_000), SHEET, 1000), BROKEN
        ),
        "laughs.xlsx": (with_sheet(sheet, **{STRINGS: laughs}), BROKEN),
        "quadratic.xlsx": (
            with_sheet(sheet, **{STRINGS: long + b"&a;" * 100_000 + b"</t></si></sst>"}), BROKEN
        ),
        "no_addresses.xlsx": (with_sheet(re.sub(rb' r="[A-D][1-4]"', b"", sheet)), "read 4 x 4"),
        "plain.xlsx": (with_sheet(sheet), "read 4 x 4"),
    }  # fmt: skip


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What a process of little room says about each file, one after the other."""
    folder = tmp_path_factory.mktemp("bombs")
    for name, (data, _) in bombs().items():
        (folder / name).write_bytes(data)
    done = subprocess.run(
        [sys.executable, "-c", READ_ALL, str(folder), str(ROOM)],
        capture_output=True, text=True, timeout=PATIENCE, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-500:] + done.stderr[-1000:]
    # The reader of workbooks tells a breakdown there, in its own words.
    assert done.stderr == ""
    return dict(json.loads(line) for line in done.stdout.splitlines())


def test_each_is_answered_in_one_sentence(said: dict[str, str]) -> None:
    expected = {name: words for name, (_, words) in bombs().items()}
    assert set(said) == set(expected)
    other = {name: text for name, text in said.items() if expected[name] not in text}
    assert other == {}
    assert not [text for text in said.values() if "\n" in text]
