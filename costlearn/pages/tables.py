"""What a table on a page can do beside being read: be put in order, and be saved as a file.

A table holds texts as they are to be read. Their order and the numbers in them are found here, so
that the page's own script only moves rows.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any
from urllib.parse import quote

from costlearn import tidy
from costlearn.questions.answer import Table

SHORT_TEXT, LONG_TEXT = 18, 24
"""A column of no longer texts than the first keeps each on one line; a longer one than the second
is given room for words."""
LONG_HEAD = 12
"""A head with more letters than this is given room for two lines."""
FEWEST_ROWS = 3
"""Fewer rows than this are in order at a glance."""

_SIGN = r"(?P<{0}sign>[A-Z]{{3}} |[$£€])?"
_END = (
    r"(?P<{0}minus>[+-])?"
    + _SIGN
    + r"(?P<{0}>\d[\d,]*(?:\.\d+)?)(?: ?(?P<{0}unit>%|days?|sq ft|m²))?"
)
_NUMERIC = re.compile(_END.format("a") + r"(?: (?P<joint>to|/) " + _END.format("b") + ")?")
_NO_FIGURE = {"not known", "too few jobs", ""}
_DAYS = ("%d %b %Y", "%d %B %Y", "%b %Y", "%B %Y", "%Y-%m-%d")
_DEVICE = re.compile(r"con|prn|aux|nul|(?:com|lpt)[0-9]")
"""Names that no file may have on some systems, whatever ending follows."""
_DIGITS = re.compile(r"(\d+(?:\.\d+)?)")


def column_kinds(table: Table) -> tuple[str, ...]:
    """How each column is set: "number" flush right, "short" on one line, "long" with room, or "".

    The first column names its row and is never a number.

    >>> column_kinds(Table("", ("item", "adds"), (("bench", "$640"),)))
    ('', 'number')
    """
    if not table.rows:
        return ("",) * len(table.heads)
    return ("", *(_kind(cells) for cells in _columns(table)[1:]))


def ranks(table: Table) -> tuple[tuple[int | None, ...], ...]:
    """The place of each cell in its column's order, a row at a time; None for "not known".

    Figures are ordered by their first number, then their second; dates by day; words by letter,
    numbers within them by size. Equal cells share a place.

    >>> ranks(Table("", ("job", "cost"), (("B2", "$900"), ("B10", "not known"), ("B1", "$80"))))
    ((1, 1), (2, None), (0, 0))
    """
    if not table.rows:
        return ()
    return tuple(zip(*(_places(cells) for cells in _columns(table)), strict=True))


def can_sort(table: Table) -> bool:
    """True where putting rows in another order helps: heads, and enough rows beside totals."""
    return bool(any(table.heads)) and len(table.rows) - table.totals >= FEWEST_ROWS


def csv_text(table: Table) -> str:
    r"""A table as comma separated values, lines ended as RFC 4180 (2005) asks.

    A column of figures in one unit becomes plain numbers, a range two columns, the unit in its
    head; "not known" is a blank. Any other text stands as read, and none can be taken for a
    formula.

    >>> csv_text(Table("", ("item", "8 in 10"), (("=bench", "$640 to $1,200"),)))
    "item,\"8 in 10, from ($)\",\"8 in 10, to ($)\"\r\n'=bench,640,1200\r\n"
    """
    if not table.rows:
        columns = [[tidy.guard(head)] for head in table.heads]
    else:
        heads = table.heads or ("",) * len(table.rows[0])
        kinds = column_kinds(table)
        columns = []
        for head, kind, cells in zip(heads, kinds or heads, _columns(table), strict=True):
            columns += _saved(head, cells, kind == "number")
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(zip(*columns, strict=True))
    return out.getvalue()


def csv_link(table: Table) -> str:
    """The same as an address a link can hold, with the mark that spreadsheet programs look for."""
    return "data:text/csv;charset=utf-8," + quote("\ufeff" + csv_text(table), safe=",$'()*:;@!/?=")


def csv_name(table: Table) -> str:
    """A file name for it out of its caption: plain letters, digits and dashes.

    >>> csv_name(Table("By phase, <USD>", (), ()))
    'by-phase-usd.csv'
    """
    plain = re.sub(r"[^a-z0-9]+", "-", table.caption.casefold()).strip("-")[:60].rstrip("-")
    if not plain or _DEVICE.fullmatch(plain):
        plain = f"table-{plain}".rstrip("-")
    return f"{plain}.csv"


def _columns(table: Table) -> list[tuple[str, ...]]:
    return list(zip(*table.rows, strict=True))


def _kind(cells: Sequence[str]) -> str:
    said = [c for c in cells if c not in _NO_FIGURE]
    if said and all(_NUMERIC.fullmatch(c) for c in said):
        return "number"
    longest = max(map(len, cells))
    return "long" if longest > LONG_TEXT else "short" if longest <= SHORT_TEXT else ""


def _places(cells: Sequence[str]) -> list[int | None]:
    """Each cell's place among the different keys of its column."""
    known = [c for c in cells if c.strip() not in _NO_FIGURE]
    keys: dict[str, tuple[Any, ...]] = {}
    for key in (_figure_key, _day_key):
        found = {c: key(c) for c in known}
        if all(k is not None for k in found.values()):
            keys = {c: k for c, k in found.items() if k is not None}
            break
    else:
        keys = {c: _word_key(c) for c in known}
    order = {k: i for i, k in enumerate(sorted(set(keys.values())))}
    return [order[keys[c]] if c in keys else None for c in cells]


def _figure_key(cell: str) -> tuple[float, ...] | None:
    match = _NUMERIC.fullmatch(cell)
    return tuple(_numbers(match)) if match else None


def _day_key(cell: str) -> tuple[str, ...] | None:
    for form in _DAYS:
        try:
            return (datetime.strptime(cell, form).date().isoformat(),)
        except ValueError:
            continue
    return None


def _word_key(cell: str) -> tuple[tuple[int, float, str], ...]:
    parts = _DIGITS.split(cell.casefold())
    return tuple((0, float(p), "") if i % 2 else (1, 0.0, p) for i, p in enumerate(parts) if p)


def _numbers(match: re.Match[str]) -> list[float]:
    """The one or two numbers of a figure."""
    found = []
    for end in ("a", "b"):
        if match[end]:
            size = float(match[end].replace(",", ""))
            found.append(-size if match[f"{end}minus"] == "-" else size)
    return found


def _saved(head: str, cells: Sequence[str], figures: bool) -> list[list[str]]:
    """A column as one or two columns of a file, each with its head."""
    matches = [_NUMERIC.fullmatch(c) for c in cells] if figures else []
    met = [m for m in matches if m]
    units = {_unit(m) for m in met}
    if not met or len(units) > 1 or any(m["joint"] == "/" for m in met):
        return [[tidy.guard(head), *(tidy.guard(c) for c in cells)]]
    unit = units.pop()
    unit = f" ({unit})" if unit and unit not in head else ""
    ends = max(len(_numbers(m)) for m in met)
    names = [f"{head}{unit}"] if ends == 1 else [f"{head}, from{unit}", f"{head}, to{unit}"]
    columns = [[tidy.guard(name)] for name in names]
    for match in matches:
        numbers = [f"{v:.15g}" for v in _numbers(match)] if match else []
        if len(numbers) == 1:
            numbers *= ends
        for column, number in zip(columns, numbers or [""] * ends, strict=True):
            column.append(number)
    return columns


def _unit(match: re.Match[str]) -> str:
    """What the numbers of a figure are counted in: "$", "CHF", "days", "%", or nothing."""
    sign = (match["asign"] or match["bsign"] or "").strip()
    unit = match["bunit"] or match["aunit"] or ""
    return sign or {"day": "days"}.get(unit, unit)
