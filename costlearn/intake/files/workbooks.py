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

_SHEET = re.compile(rb"<(?:\w+:)?sheet\b([^>]*)>")
_RELATION = re.compile(rb"<(?:\w+:)?Relationship\b([^>]*)>")
_ATTRIBUTE = re.compile(rb"([\w:]+)\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")
_CELL = re.compile(rb"<(?:\w+:)?c(?=[\s>])([^>]*)(?<!/)>(.*?)</(?:\w+:)?c>", re.DOTALL)
_ADDRESS = re.compile(rb"\br=[\"']([A-Za-z]{1,3})([0-9]{1,7})[\"']")
_ERROR = re.compile(rb"\bt=[\"']e[\"']")
_TEXT_RESULT = re.compile(rb"\bt=[\"']str[\"']")
_VALUE = re.compile(rb"<(?:\w+:)?v(?:\s[^>]*)?>([^<]+)<")
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row\b[^>]*\bhidden=[\"'](?:1|true)[\"']")
_HIDDEN_COLUMN = re.compile(rb"<(?:\w+:)?col\b([^>]*\bhidden=[\"'](?:1|true)[\"'][^>]*)>")
_FORMULA = re.compile(rb"<(?:\w+:)?f\b")


@dataclass
class Peek:
    """What one sheet says beside its values; rows and columns are counted from 1.

    Attributes:
        errors: address to error code, "#REF!" and the like.
        no_result: addresses of formulas whose result is not stored in the file.
        hidden_rows, hidden_columns: how many are hidden.
        first, last: the corners of the area that holds filled cells, (row, column), or None.
    """

    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    no_result: list[tuple[int, int]] = field(default_factory=list)
    hidden_rows: int = 0
    hidden_columns: int = 0
    first: tuple[int, int] | None = None
    last: tuple[int, int] | None = None

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


def peek(data: bytes) -> dict[str, Peek]:
    """Sheet name to what the sheet says beside its values, for a workbook packed as XML.

    Other workbooks give an empty dictionary.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        names = set(package.namelist())
        if not {"xl/workbook.xml", "xl/_rels/workbook.xml.rels"} <= names:
            return {}
        targets = _relations(package.read("xl/_rels/workbook.xml.rels"))
        found = {}
        for tag in _SHEET.findall(package.read("xl/workbook.xml")):
            said = _attributes(tag)
            part = targets.get(next((v for k, v in said.items() if k.endswith(":id")), ""), "")
            if part in names and "name" in said:
                found[said["name"]] = _peek_sheet(package.read(part))
        return found


def _attributes(tag: bytes) -> dict[str, str]:
    """The attributes within a tag."""
    return {
        name.decode("utf-8", "replace"): html.unescape((one or two).decode("utf-8", "replace"))
        for name, one, two in _ATTRIBUTE.findall(tag)
    }


def _relations(xml: bytes) -> dict[str, str]:
    """Relation id to the part it names, as a path within the package."""
    found = {}
    for tag in _RELATION.findall(xml):
        said = _attributes(tag)
        target = posixpath.normpath(posixpath.join("/xl", said.get("Target", "")))
        found[said.get("Id", "")] = target.lstrip("/")
    return found


def _peek_sheet(xml: bytes) -> Peek:
    """What one sheet's part says beside its values."""
    seen = Peek()
    top = left = 10**9
    bottom = right = 0
    for match in _CELL.finditer(xml):
        place = _ADDRESS.search(match.group(1))
        if place is None:
            continue
        row, column = int(place.group(2)), _column(place.group(1))
        top, bottom = min(top, row), max(bottom, row)
        left, right = min(left, column), max(right, column)
        body = match.group(2)
        value = _VALUE.search(body)
        if value is not None and _ERROR.search(match.group(1)):
            seen.errors[row, column] = html.unescape(value.group(1).decode("utf-8", "replace"))
        elif value is None and _FORMULA.search(body) and not _TEXT_RESULT.search(match.group(1)):
            seen.no_result.append((row, column))
    seen.hidden_rows = len(_HIDDEN_ROW.findall(xml))
    seen.hidden_columns = sum(_span(tag) for tag in _HIDDEN_COLUMN.findall(xml))
    if bottom:
        seen.first, seen.last = (top, left), (bottom, right)
    return seen


def _span(tag: bytes) -> int:
    """How many columns a tag that hides columns is about."""
    said = _attributes(tag)
    first, last = said.get("min", "1"), said.get("max", "1")
    return int(last) - int(first) + 1 if first.isdigit() and last.isdigit() else 1


def _column(letters: bytes) -> int:
    """The number of a column, from 1."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - ord("A") + 1
    return number
