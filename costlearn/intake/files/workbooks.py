"""What the parts of a packed workbook say beside its values: how far it reaches, errors, formulas.

The reader of workbooks gives neither the code in an error cell nor a sign that a formula has no
stored result, and it makes room for every cell up to the farthest: this file looks first.
"""

from __future__ import annotations

import html
import io
import posixpath
import re
import zipfile
from dataclasses import dataclass, field

_TAG = rb"((?:[^<>\"']++|\"[^\"<]*+\"|'[^'<]*+')*+)"
"""What stands within a tag. It ends where the next tag begins, so that no file, however broken, is
gone through more than once; so do all patterns here."""
_PREFIX = rb"(?:[^\s<>/:]+:)?"
_SHEET_BEGINS = re.compile(rb"<" + _PREFIX + rb"sheet(?=[\s/>])")
_SHEET = re.compile(_SHEET_BEGINS.pattern + _TAG + rb">")
_RELATION = re.compile(rb"<" + _PREFIX + rb"Relationship\b" + _TAG + rb">")
_ATTRIBUTE = re.compile(rb"(?<![\w:])([\w:]++)\s*+=\s*+(?:\"([^\"]*)\"|'([^']*)')")
_CELL_BEGINS = re.compile(rb"<" + _PREFIX + rb"c(?=[\s/>])")
_CELL = re.compile(
    _CELL_BEGINS.pattern
    + _TAG
    + rb">(?:(?<=/>)|((?:[^<]++|<(?!/?"
    + _PREFIX
    + rb"c[\s/>]))*+)</"
    + _PREFIX
    + rb"c\s*>)"
)
_ADDRESS = re.compile(rb"\br\s*=\s*[\"']([A-Za-z]{1,3})([0-9]{1,7})[\"']")
_ANY_ADDRESS = re.compile(rb"\br\s*=")
_ERROR = re.compile(rb"\bt\s*=\s*[\"']e[\"']")
_TEXT_RESULT = re.compile(rb"\bt\s*=\s*[\"']str[\"']")
_VALUE = re.compile(rb"<(?:\w+:)?v(?:\s[^<>]*)?>([^<]+)<")
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row\b[^<>]*?\bhidden=[\"'](?:1|true)[\"']")
_COLUMN = re.compile(rb"<(?:\w+:)?col\b" + _TAG + rb">")
_HIDDEN = re.compile(rb"\bhidden=[\"'](?:1|true)[\"']")
_FORMULA = re.compile(rb"<(?:\w+:)?f\b")
_LARGE_COUNT = re.compile(rb"ount\s*+=\s*+[\"'](?!\d{0,6}[\"'])")
"""A count of millions, or one not plainly written: room is made for it before anything is read."""
_LONG = 20
"""So many figures number no column."""


@dataclass
class Peek:
    """What one sheet says beside its values; rows and columns are counted from 1.

    Attributes:
        errors: address to error code, "#REF!" and the like.
        no_result: addresses of formulas whose result is not stored in the file.
        hidden_rows, hidden_columns: how many are hidden.
        first, last: the corners of the area that holds filled cells, (row, column), or None.
        plain: whether each cell says plainly where it stands, so that these corners hold.
    """

    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    no_result: list[tuple[int, int]] = field(default_factory=list)
    hidden_rows: int = 0
    hidden_columns: int = 0
    first: tuple[int, int] | None = None
    last: tuple[int, int] | None = None
    plain: bool = True

    @property
    def area(self) -> int:
        """How many cells lie between the first and the last filled row and column."""
        if self.first is None or self.last is None:
            return 0
        return (self.last[0] - self.first[0] + 1) * (self.last[1] - self.first[1] + 1)


def address(row: int, column: int) -> str:
    """A cell's address as a spreadsheet shows it.

    >>> address(12, 28)
    'AB12'
    """
    letters = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row}"


@dataclass(frozen=True, slots=True)
class Peeks:
    """What was seen of each sheet, by name, and whether that holds for all the file may reach to.

    Where it does not (cells without an address, parts that are named in two ways, millions said to
    follow, another kind of workbook), the file is still to be tried out before room is made for its
    cells.
    """

    sheets: dict[str, Peek]
    plain: bool


def peek(data: bytes) -> Peeks:
    """What a packed workbook says beside its values; of one not packed as XML nothing is seen."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        names = set(package.namelist())
        if not {"xl/workbook.xml", "xl/_rels/workbook.xml.rels"} <= names:
            return Peeks({}, plain=False)
        relations = package.read("xl/_rels/workbook.xml.rels")
        workbook = package.read("xl/workbook.xml")
        targets, sure = _relations(relations)
        found: dict[str, Peek] = {}
        read: set[str] = set()
        for tag in _SHEET.findall(workbook):
            said = _attributes(tag)
            part = targets.get(next((v for k, v in said.items() if k.endswith(":id")), ""), "")
            if part in names and "name" in said:
                found[said["name"]] = _peek_sheet(package.read(part))
                read.add(part)
        sure = sure and b"<!" not in workbook and b"<!" not in relations
        sure = sure and len(found) == len(_SHEET_BEGINS.findall(workbook))
        sure = sure and not any(_LARGE_COUNT.search(package.read(n)) for n in names - read)
    return Peeks(found, sure and all(seen.plain for seen in found.values()))


def _attributes(tag: bytes) -> dict[str, str]:
    """The attributes within a tag."""
    return {
        name.decode("utf-8", "replace"): html.unescape((one or two).decode("utf-8", "replace"))
        for name, one, two in _ATTRIBUTE.findall(tag)
    }


def _relations(xml: bytes) -> tuple[dict[str, str], bool]:
    """Relation id to the part it names within the package, and whether each id stands once."""
    found = {}
    tags = _RELATION.findall(xml)
    for tag in tags:
        said = _attributes(tag)
        target = posixpath.normpath(posixpath.join("/xl", said.get("Target", "")))
        found[said.get("Id", "")] = target.lstrip("/")
    return found, len(found) == len(tags)


def _peek_sheet(xml: bytes) -> Peek:
    """What one sheet's part says beside its values."""
    seen = Peek()
    top = left = 10**9
    bottom = right = told = 0
    for match in _CELL.finditer(xml):
        tag, body = match.groups()
        if body is None:
            # Closed at once: a blank cell that only has a look, which makes no sheet larger.
            told += 1
            continue
        place = _ADDRESS.search(tag)
        if place is None:
            continue
        told += len(_ANY_ADDRESS.findall(tag)) == 1
        row, column = int(place.group(2)), _column(place.group(1))
        top, bottom = min(top, row), max(bottom, row)
        left, right = min(left, column), max(right, column)
        value = _VALUE.search(body)
        if value is not None and _ERROR.search(tag):
            seen.errors[row, column] = html.unescape(value.group(1).decode("utf-8", "replace"))
        elif value is None and _FORMULA.search(body) and not _TEXT_RESULT.search(tag):
            seen.no_result.append((row, column))
    seen.plain = b"<!" not in xml and b"\x00" not in xml
    seen.plain = seen.plain and told == len(_CELL_BEGINS.findall(xml))
    seen.hidden_rows = len(_HIDDEN_ROW.findall(xml))
    seen.hidden_columns = sum(_span(tag) for tag in _COLUMN.findall(xml) if _HIDDEN.search(tag))
    if bottom:
        seen.first, seen.last = (top, left), (bottom, right)
    return seen


def _span(tag: bytes) -> int:
    """How many columns a tag that hides columns is about."""
    said = _attributes(tag)
    first, last = said.get("min", "1"), said.get("max", "1")
    told = first.isdecimal() and last.isdecimal() and len(first + last) < _LONG
    return int(last) - int(first) + 1 if told else 1


def _column(letters: bytes) -> int:
    """The number of a column, from 1."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - ord("A") + 1
    return number
