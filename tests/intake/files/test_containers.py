"""Files that cannot be read end in one sentence that says why; all files are made here."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlwt
from odf.opendocument import OpenDocumentText
from odf.text import P

from costlearn.errors import UnreadableFile
from costlearn.intake.files import containers, sheets
from costlearn.intake.files.sheets import read_grids
from tests.intake.files.making import put, refusal, workbook


def read_one(path: Path) -> tuple[tuple[object, ...], ...]:
    (grid,) = read_grids(path)
    return grid.rows


def test_no_file_a_folder_and_an_empty_file(tmp_path: Path) -> None:
    assert "no such file" in refusal(tmp_path / "nothing.csv")
    assert "is a folder" in refusal(tmp_path)
    assert "is empty" in refusal(put(tmp_path, b""))
    assert "blank space" in refusal(put(tmp_path, " \r\n \n"))
    assert "no filled cell" in refusal(put(tmp_path, ",,,\n,,\n"))
    assert "no filled cell" in refusal(workbook(tmp_path))


@pytest.mark.parametrize(
    ("start", "what"),
    [
        (b"\x89PNG\r\n\x1a\n", "is a picture, not a workbook"), (b"\xff\xd8\xff\xe0", "a picture"),
        (b"GIF89a", "a picture"), (b"RIFF\x00\x00\x00\x00WEBP", "a picture"),
        (b"%PDF-1.7\n", "a PDF document"),
        (b"{\\rtf1", "a text document"), (b"SQLite format 3\x00", "a database"),
        (b"\x1f\x8b\x08", "a packed archive"), (b"<html><table>", "a web page"),
        (b"\xef\xbb\xbf  <!DOCTYPE html>", "a web page"), (b"<?xml version='1.0'?>", "an XML file"),
    ],
)  # fmt: skip
def test_other_kinds_of_file_are_named(tmp_path: Path, start: bytes, what: str) -> None:
    assert what in refusal(put(tmp_path, start + b"\x00\x01 rest", "jobs.xlsx"))


def test_a_bitmap_is_told_from_a_heading_that_begins_like_one(tmp_path: Path) -> None:
    body = b"\x00\x00" + bytes(20)
    assert "a picture" in refusal(put(tmp_path, b"BM" + (26).to_bytes(4, "little") + body[:20]))
    assert read_one(put(tmp_path, "BM no,cost\n1,2\n"))[0] == ("BM no", "cost")


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    assert "neither a workbook nor a table" in refusal(put(tmp_path, bytes(range(256)) * 20))
    assert "neither a workbook nor a table" in refusal(put(tmp_path, b"a,b\n1,2\x00\n"))


def packed(folder: Path, parts: dict[str, bytes], name: str = "jobs.xlsx") -> Path:
    with zipfile.ZipFile(folder / name, "w", zipfile.ZIP_DEFLATED) as package:
        for part, data in parts.items():
            package.writestr(part, data)
    return folder / name


def test_packages_that_are_no_workbook(tmp_path: Path) -> None:
    assert "holds no workbook" in refusal(packed(tmp_path, {"a.csv": b"1,2"}))
    assert "text document" in refusal(packed(tmp_path, {"word/document.xml": b"<w/>"}))
    assert "presentation" in refusal(packed(tmp_path, {"ppt/presentation.xml": b"<p/>"}))
    assert "holds no workbook" in refusal(packed(tmp_path, {}))
    letter = OpenDocumentText()
    letter.text.addElement(P(text="Dear client"))
    letter.save(str(tmp_path / "letter.ods"))
    assert "not a workbook" in refusal(tmp_path / "letter.ods")


def test_damaged_packages(tmp_path: Path) -> None:
    whole = workbook(tmp_path, A1="cost", A2=5).read_bytes()
    assert "damaged" in refusal(put(tmp_path, whole[: len(whole) // 2], "half.xlsx"))
    middle = len(whole) // 3
    spoiled = whole[:middle] + bytes(200) + whole[middle + 200 :]
    assert "damaged" in refusal(put(tmp_path, spoiled, "spoiled.xlsx"))
    broken = packed(tmp_path, {"xl/workbook.xml": b"<workbook", "[Content_Types].xml": b"<"})
    assert "damaged" in refusal(broken)


def compound(*streams: str) -> bytes:
    """The start of an old compound file that names some streams; enough to be told by."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + "".join(streams).encode("utf-16-le")


def test_a_workbook_locked_by_a_password_says_so(tmp_path: Path) -> None:
    # A packed workbook with a password is a compound file with these two streams:
    # [MS-OFFCRYPTO] Office Document Cryptography Structure, 2.3.4 (section from memory).
    path = put(tmp_path, compound("EncryptionInfo", "EncryptedPackage"), "locked.xlsx")
    assert "locked by a password" in refusal(path)
    manifest = b"<manifest media-type='opendocument.spreadsheet'><encryption-data/></manifest>"
    parts = {"content.xml": b"??", "META-INF/manifest.xml": manifest}
    assert "locked by a password" in refusal(packed(tmp_path, parts, "locked.ods"))


def old_workbook(folder: Path) -> bytes:
    book = xlwt.Workbook()
    sheet = book.add_sheet("S")
    for row in range(40):
        sheet.write(row, 0, f"text number {row}")
    book.save(str(folder / "plain.xls"))
    return (folder / "plain.xls").read_bytes()


def test_an_old_workbook_locked_by_a_password_says_so(tmp_path: Path) -> None:
    data = bytearray(old_workbook(tmp_path))
    # A record that may be left out (WRITEACCESS, 0x005C) is turned into FILEPASS (0x002F):
    # [MS-XLS] Excel Binary File Format, 2.3.1 (record numbers, from memory).
    where = data.index(b"\x5c\x00\x70\x00")
    data[where : where + 2] = b"\x2f\x00"
    assert "locked by a password" in refusal(put(tmp_path, bytes(data), "locked.xls"))


def test_other_old_documents(tmp_path: Path) -> None:
    assert "text document" in refusal(put(tmp_path, compound("WordDocument"), "a.xls"))
    assert "presentation" in refusal(put(tmp_path, compound("PowerPoint Document"), "a.xls"))
    assert "no workbook" in refusal(put(tmp_path, compound("Nothing"), "a.xls"))
    assert "damaged" in refusal(put(tmp_path, compound("Workbook"), "a.xls"))


def test_a_damaged_old_workbook_ends_in_a_sentence_and_not_the_process(tmp_path: Path) -> None:
    data = old_workbook(tmp_path)
    for cut in range(600, len(data), 487):
        try:
            read_grids(put(tmp_path, data[:cut] + bytes(len(data) - cut), "cut.xls"))
        except UnreadableFile as problem:
            assert "cut.xls" in str(problem)
    # A first record (BOF, 0x0809) that says it is empty ends the reader's own process.
    where = data.index(b"\x09\x08\x10\x00")
    spoiled = data[: where + 2] + b"\x00" + data[where + 3 :]
    assert "damaged" in refusal(put(tmp_path, spoiled, "cut.xls"))


def test_a_package_that_unpacks_far_too_large(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(containers, "LARGE", 2**20)
    zeros = {"xl/workbook.xml": b"<workbook/>", "xl/worksheets/sheet1.xml": bytes(2 * 2**20)}
    assert "would unpack to 2 MB" in refusal(packed(tmp_path, zeros))
    monkeypatch.setattr(containers, "MAX_UNPACKED", 1000)
    assert "would unpack" in refusal(workbook(tmp_path, "plain.xlsx", A1=1))


def test_a_package_cannot_lie_about_its_size(tmp_path: Path) -> None:
    path = packed(tmp_path, {"xl/workbook.xml": bytes(5_000_000)})
    data = path.read_bytes().replace((5_000_000).to_bytes(4, "little"), (50).to_bytes(4, "little"))
    assert "damaged" in refusal(put(tmp_path, data, "liar.xlsx"))


def test_a_cell_far_outside_is_refused_before_room_is_made_for_it(tmp_path: Path) -> None:
    text = refusal(workbook(tmp_path, A1="x", XFD1048576=1))
    assert "XFD1048576" in text
    assert "sheet 'Jobs'" in text


def test_a_far_cell_that_is_only_coloured_does_no_harm(tmp_path: Path) -> None:
    path = workbook(tmp_path, A1="x")
    book = openpyxl.load_workbook(path)
    book["Jobs"]["XFD1048576"].number_format = "0.00"
    book.save(path)
    assert read_one(path) == (("x",),)


def test_too_many_columns_rows_or_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wide = put(tmp_path, ",".join(["x"] * 5001))
    assert "5,000 columns" in refusal(wide)
    assert len(read_one(put(tmp_path, ",".join(["x"] * 5000)))[0]) == 5000
    assert "5,000 columns" in refusal(workbook(tmp_path, A1="x", GJI1="y"))
    monkeypatch.setattr(sheets, "MAX_ROWS", 10)
    assert "reach as far as A11" in refusal(put(tmp_path, "x\n" * 11))
    monkeypatch.setattr(sheets, "LARGEST_FILE", 10)
    assert "large" in refusal(put(tmp_path, "x,y\n" * 11))
