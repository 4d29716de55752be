"""Tables written as text: which alphabet, which delimiter, which rows a spreadsheet would show."""

from __future__ import annotations

import codecs
import csv
import io
import math
from collections import Counter
from collections.abc import Iterator
from itertools import islice

from costlearn import tidy
from costlearn.errors import Place, UnreadableFile

DELIMITERS = "\t;|,"
"""In the order in which a tie is settled: a comma beside semicolons is a decimal mark."""

_EXPORT = "," + ",".join(tidy.ORIGIN)
"""How the headings of an export end; it is parted by commas, whatever its texts hold."""

_WIDEST = 5_000
"""Cells of a row beyond which a mark parts a text, and no table."""
_SAMPLE_ROWS = 400
_SAMPLE_CHARS = 200_000
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_CONTROLS = {*map(chr, range(32)), *map(chr, range(0x7F, 0xA0))} - set("\t\n\r\x0b\x0c\x1a\x85")


def decode(data: bytes, file: str) -> str:
    """The text of a file's bytes: UTF-8, UTF-16 or UTF-32, else the Western European code page.

    Raises:
        UnreadableFile: the bytes are no text.
    """
    text = _decoded(data)
    sample = text[:_SAMPLE_CHARS]
    strange = sum(1 for c in sample if c in _CONTROLS)
    if "\x00" in text or strange > len(sample) // 200:
        raise UnreadableFile(
            "is neither a workbook nor a table as text",
            place=Place(file),
            expected="a workbook (.xlsx, .xls, .ods) or a table as text (.csv)",
        )
    return text


def _decoded(data: bytes) -> str:
    """The text of some bytes, whatever they are."""
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            return data.decode(encoding, errors="replace")
    encodings = ["utf-8", "cp1252"]
    head = data[:4096]
    if head.count(0) > len(head) // 4:
        # Every other byte is zero where mostly Latin letters are written in two bytes each.
        little = head[1::2].count(0) > head[::2].count(0)
        encodings.insert(0, "utf-16-le" if little else "utf-16-be")
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def find_delimiter(text: str) -> str:
    r"""The delimiter that parts most rows into the same, and the greatest, number of cells.

    One that parts all rows alike comes before any other: a list within a cell has its own marks.

    >>> find_delimiter("Poste;Heures;Montant\nCarrelage;12,5;1 250,00")
    ';'
    """
    sample = text[:_SAMPLE_CHARS]
    best, delimiter = (False, 0.0), ","
    for candidate in DELIMITERS:
        counts = Counter[int]()
        rows = csv.reader(io.StringIO(sample, newline=""), delimiter=candidate)
        try:
            for row, _ in zip(rows, range(_SAMPLE_ROWS), strict=False):
                counts[len(row)] += bool(row)
        except csv.Error:
            continue
        cells = max(counts, key=lambda n: (n > 1, counts[n], n), default=0)
        if 1 < cells <= _WIDEST:
            rows_alike, all_rows = counts[cells], counts.total()
            score = (
                rows_alike == all_rows > 1,
                rows_alike / all_rows * math.sqrt(cells - 1),
            )
            if score > best:
                best, delimiter = score, candidate
    return delimiter


def read_rows(text: str, file: str) -> Iterator[list[str]]:
    """The rows of a table written as text; row ``i`` (from 1) is the spreadsheet's row ``i``.

    A first line "sep=;" names the delimiter and is no row, as in spreadsheet programs. A line
    break within quotes does not begin a row.

    Raises:
        UnreadableFile: a quotation mark opens and never closes, or a cell is a book.
    """
    delimiter, text = _told_delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter or find_delimiter(text))
    row, lines, begins = 0, 0, 0
    try:
        for cells in reader:
            row, begins, lines = row + 1, lines, reader.line_num
            yield cells
    except csv.Error:
        # The reader gives up on a cell longer than any that people write, mostly because a quote
        # was left open.
        raise _too_long(row + 1, file) from None
    if lines > begins + 1 and _left_open(text, begins):
        raise _never_closed(row, file)


def _told_delimiter(text: str) -> tuple[str, str]:
    """The delimiter a first line "sep=;" names, "" if none does, and the text without the line."""
    first, _, rest = text.partition("\n")
    if first.rstrip("\r").endswith(_EXPORT):
        return ",", text
    told = first.strip('\r"')
    return (told[4], rest) if told.lower().startswith("sep=") and len(told) == 5 else ("", text)


def _left_open(text: str, begins: int) -> bool:
    """Whether the last row, which begins after so many lines, ends within a quoted cell."""
    tail = list(islice(io.StringIO(text, newline=""), begins, None))
    return sum(line.count('"') for line in tail) % 2 == 1


def _too_long(row: int, file: str) -> UnreadableFile:
    return UnreadableFile(
        f"a cell here is longer than {csv.field_size_limit():,} letters,"
        " or a quotation mark opens and never closes",
        place=Place(file, row=row),
        expected="cells as people write them",
    )


def _never_closed(row: int, file: str) -> UnreadableFile:
    return UnreadableFile(
        "a quotation mark opens here and never closes",
        place=Place(file, row=row),
        expected="a second quotation mark at the end of the cell",
    )
