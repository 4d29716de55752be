"""Entries as rows of a plain table and back without loss: what an export writes, an import reads.

One row an entry, one column a field, and behind them where the entry came from, so that a figure
keeps its file, sheet and row. Money is in whole currency units with cents, areas in square feet,
time in working days (a log's ``hours`` in hours), dates ISO. A blank cell is "not known".

A text a spreadsheet could take for a formula, or could change, stands behind an apostrophe.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from costlearn.errors import InputProblem, Place
from costlearn.fields import Column, columns
from costlearn.records import (
    NOTHING,
    Amounts,
    ChangeEntry,
    CostEntry,
    Entry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
    Span,
)

Cell = str | int | float | bool | date | None
CELL_TYPES = (str, int, float, bool, date)

KINDS: Mapping[str, type[Entry]] = {
    "jobs": JobEntry,
    "phases": PhaseEntry,
    "hours": HoursEntry,
    "costs": CostEntry,
    "changes": ChangeEntry,
}
"""The tables of an export and the entries each holds."""

EXAMPLE = "example:"
"""How a row begins that only shows what to write; it is not read."""
NOT_READ = "not read"
"""How a sheet begins that is not read."""

ORIGIN = ("from file", "from sheet", "from row", "from column")
"""The last headings of each table: where an entry was read first."""

_FIGURES = 18
"""A whole number or an amount in cents has no more figures: what a book can keep has 19."""
LAST_ROW = 10**9
_ACTS = re.compile(r"""['\t\r]|[\s"'`‘’“”„‚«»\u200b\u2060]*[=+\-@＝＋－＠]""")
"""How a text begins that a program may take for a formula, also once blanks, quotation marks or
what cannot be seen were left off."""
_PARTS = re.compile(r"""[;\n](?=(?:[^\S\n]|["'`‘’“”„‚«»\u200b\u2060])*(?:[=@＝＠]|[+\-＋－]\S))""")
"""Where a program that parts cells at semicolons or lines would let such a text begin. It looks no
further than the next line, so that many empty lines are not gone through again and again."""
_FRAGILE = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_CODED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_ESCAPED = re.compile(r"\\(\\|u[0-9a-f]{4})")
_SPAN = re.compile(r"\s*(?P<name>[a-z_.]+) (?P<low>\d[\d.]*) (?P<high>\d[\d.]*)\s*")
_ITEM = re.compile(r"\s*(?P<item>\S.*?) (?P<size>\?|[-+.0-9e]+)\s*")


def headings(kind: str) -> tuple[str, ...]:
    """All headings of a table of an export."""
    return (*(c.heading for c in columns(KINDS[kind])), *ORIGIN)


def kind_of_headings(texts: Sequence[object]) -> str | None:
    """The table a row of headings begins, or None if it is no export's.

    An export of an earlier version may lack columns; an unknown one makes it another table.

    >>> kind_of_headings(headings("hours"))
    'hours'
    """
    if not set(ORIGIN) <= set(texts):
        return None
    for kind in KINDS:
        needed = {c.heading for c in columns(KINDS[kind]) if c.needed}
        if needed <= set(texts) <= set(headings(kind)):
            return kind
    return None


def kind_of(entry: Entry) -> str:
    """The table an entry stands in."""
    return next(kind for kind, holds in KINDS.items() if isinstance(entry, holds))


def cells(entry: Entry) -> list[Cell]:
    """An entry as the cells of its row: texts guarded, money in cents, yes and no as words."""
    row: list[Cell] = []
    for column in columns(type(entry)):
        value = getattr(entry, column.field)
        if column.amount:
            value = getattr(value, column.amount)
        row.append(_cell(column, value))
    place = entry.place
    return [*row, guard(place.file), guard(place.sheet), place.row, guard(place.column)]


def entry_of(kind: str, texts: Sequence[str], row: Sequence[Cell], place: Place) -> Entry:
    """The entry a row of an export holds.

    Args:
        kind: the table, from :func:`kind_of_headings`.
        texts: its headings.
        row: the cells below them.
        place: where the row stands, for a message; an entry without an origin gets it.

    Raises:
        InputProblem: a cell does not hold what its column does.
    """
    given = dict(zip(texts, row, strict=False))
    values: dict[str, Any] = {}
    sides: dict[str, dict[str, Any]] = {}
    for column in columns(KINDS[kind]):
        where = Place(place.file, place.sheet, place.row, column.heading)
        value = _value(column, given.get(column.heading), where)
        if column.amount:
            sides.setdefault(column.field, {})[column.amount] = value
        else:
            values[column.field] = value
    for side, amounts in sides.items():
        known = any(value is not None for value in amounts.values())
        values[side] = Amounts(**amounts) if known else NOTHING
    return KINDS[kind](**values, place=_origin(given, place))


def guard(text: str) -> str:
    r"""A text as no spreadsheet takes it for a formula or changes it; an empty text stays empty.

    >>> guard("=1+1"), guard("tile, 2nd coat"), guard("a\tb")
    ("'=1+1", 'tile, 2nd coat', "'a\\u0009b")
    """
    if not text:
        return text
    fragile = _FRAGILE.search(text) or _CODED.search(text) or _PARTS.search(text)
    if text.strip() and not _ACTS.match(text) and not fragile:
        return text
    safe = text.replace("\\", "\\\\")
    for pattern in (_CODED, _PARTS, _FRAGILE):
        safe = pattern.sub(lambda found: f"\\u{ord(found[0]):04x}", safe)
    return "'" + safe


def unguard(text: str) -> str:
    r"""The text that was guarded; any other as it is.

    >>> unguard("'=1+1"), unguard("tile"), unguard("'a\\u0009b")
    ('=1+1', 'tile', 'a\tb')
    """
    if not text.startswith("'"):
        return text
    return _ESCAPED.sub(lambda m: "\\" if m[1] == "\\" else chr(int(m[1][1:], 16)), text[1:])


def money_text(cents: int) -> str:
    """Cents as an amount in whole currency units, exact.

    >>> money_text(-5)
    '-0.05'
    """
    whole, part = divmod(abs(cents), 100)
    return f"{'-' if cents < 0 else ''}{whole}.{part:02d}"


def _cell(column: Column, value: Any) -> Cell:
    if column.style == "scope":
        return guard("; ".join(f"{item} {_size(size)}" for item, size in value.items()))
    if column.style == "spans":
        return spans_text(value)
    if column.style == "flag" and value is not None:
        return "yes" if value else "no"
    if column.style != "text" or value is None:
        known: Cell = value
        return known
    if value == "":
        return None if column.default == "" else "'"
    return guard(value)


def _size(size: float | None) -> str:
    return "?" if size is None else repr(float(size))


def _value(column: Column, raw: Cell, place: Place) -> Any:
    """What a cell says, in the type of its field."""
    if raw is None or raw == "":
        if column.needed:
            raise InputProblem("the cell is empty", place=place, expected=_EXPECTED[column.style])
        return {} if column.style in ("scope", "spans") else column.default
    expected = _EXPECTED[column.style]
    try:
        value = _PARSERS[column.style](raw)
    except (ValueError, TypeError, ArithmeticError):
        raise InputProblem(f"found '{raw}'", place=place, expected=expected) from None
    only = column.shown.only
    if only and value not in only:
        expected = ", ".join(only[:-1]) + f" or {only[-1]}"
        raise InputProblem(f"found '{raw}'", place=place, expected=expected)
    if column.unit.from_zero and value < 0:
        raise InputProblem(f"found '{raw}'", place=place, expected="a number of zero or more")
    return value


def _text(raw: Cell) -> str:
    if isinstance(raw, datetime):
        return raw.date().isoformat() if raw.time() == datetime.min.time() else raw.isoformat(" ")
    return unguard(raw) if isinstance(raw, str) else str(raw)


def _flag(raw: Cell) -> bool:
    word = str(raw).strip().casefold()
    return ("no", "yes").index(word) == 1 if word in ("no", "yes") else bool(_no_more(raw, bool))


def _no_more(raw: Cell, wanted: type) -> Cell:
    """A cell that must be of a type already."""
    if not isinstance(raw, wanted):
        raise TypeError(raw)
    return raw


def _number(raw: Cell) -> float:
    if isinstance(raw, bool | date):
        raise TypeError(raw)
    number = float(str(raw))
    if not abs(number) < 10**_FIGURES:
        raise ValueError(raw)
    return number


def _whole(raw: Cell) -> int:
    exact = Decimal(repr(_number(raw)) if isinstance(raw, float) else str(raw).strip())
    # Its size is looked at first: written out, a number may be as long as a book.
    plain = exact.is_finite() and exact.adjusted() < _FIGURES
    if isinstance(raw, bool | date) or not plain or exact != exact.to_integral_value():
        raise ValueError(raw)
    return int(exact)


def _cents(raw: Cell) -> int:
    if isinstance(raw, bool | date):
        raise TypeError(raw)
    return _whole(str(Decimal(repr(raw) if isinstance(raw, float) else str(raw).strip()) * 100))


def _day(raw: Cell) -> date:
    if isinstance(raw, datetime):
        return raw.date()
    return raw if isinstance(raw, date) else date.fromisoformat(str(raw).strip())


def _scope(raw: Cell) -> dict[str, float | None]:
    scope: dict[str, float | None] = {}
    for part in filter(str.strip, _text(raw).split(";")):
        match = _ITEM.fullmatch(part)
        if match is None or match["item"] in scope:
            raise ValueError(part)
        size = None if match["size"] == "?" else _number(match["size"])
        if size is not None and size < 0:
            raise ValueError(part)
        scope[match["item"]] = size
    return scope


def spans_text(spans: Mapping[str, Span]) -> str:
    """Rough figures as one text, each in its own unit (cents, days); "" for none.

    >>> spans_text({"actual.cost": Span(2800000, 3100000)})
    'actual.cost 2800000.0 3100000.0'
    """
    return "; ".join(f"{name} {float(s.low)!r} {float(s.high)!r}" for name, s in spans.items())


def spans_of(text: str) -> dict[str, Span]:
    """The rough figures that :func:`spans_text` wrote.

    Raises:
        InputProblem: the text is none of its.
    """
    found: dict[str, Span] = {}
    for part in filter(str.strip, text.split(";")):
        match = _SPAN.fullmatch(part)
        low, high = (float(match["low"]), float(match["high"])) if match else (1.0, 0.0)
        if match is None or match["name"] in found or not low <= high < 10**_FIGURES:
            raise InputProblem(f"found '{part}'", expected=_EXPECTED["spans"])
        found[match["name"]] = Span(low, high)
    return found


def _spans(raw: Cell) -> dict[str, Span]:
    try:
        return spans_of(_text(raw))
    except InputProblem as problem:
        raise ValueError(raw) from problem


_PARSERS: Mapping[str, Any] = {
    "text": _text,
    "flag": _flag,
    "whole": _whole,
    "number": _number,
    "date": _day,
    "money": _cents,
    "scope": _scope,
    "spans": _spans,
}
_EXPECTED = {
    "text": "a text",
    "flag": "yes or no",
    "whole": f"a whole number of at most {_FIGURES} figures",
    "number": f"a number of at most {_FIGURES} figures",
    "date": "a date such as 2025-03-31",
    "money": "an amount with at most two decimals, such as 1250.00",
    "scope": "items with their sizes, such as niche 1.0; wall_tile 96.0; bench ?",
    "spans": "figures with their ends, such as actual.cost 2800000 3100000 (in cents)",
}


def _origin(given: Mapping[str, Cell], place: Place) -> Place:
    """Where an entry was read first; a row somebody added stands where it stands."""
    file, sheet, row, column = (given.get(heading) for heading in ORIGIN)
    if file in (None, ""):
        return place
    try:
        number = 0 if row in (None, "") else _whole(row)
    except (ValueError, TypeError, ArithmeticError):
        number = -1
    if not 0 <= number <= LAST_ROW:
        where = Place(place.file, place.sheet, place.row, ORIGIN[2])
        raise InputProblem(f"found '{row}'", place=where, expected="a row number")
    texts = ["" if raw is None else _text(raw) for raw in (file, sheet, column)]
    return Place(texts[0], texts[1], number, texts[2])
