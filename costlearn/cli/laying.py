"""Texts laid into columns of a terminal so that no word, amount or unit is ever cut."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

from costlearn.questions.answer import Table

GAP = 2
"""Letters between two columns."""
LONGEST = 26
"""A longer word, such as the name of a file, may be cut."""
SHORT = 12
"""Cells up to so many letters are kept on one line where that leaves the others room."""
MOST = 60
"""A column is not made wider than so many letters at the cost of others."""
BAR = 10
FULL, EMPTY = "█", "·"

_SHARE = re.compile(r"(\d{1,3}) %")
_MONTH = "(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)"
_TIED = re.compile(
    rf"(?<=\d) (?=%|{_MONTH}\b)|(?<=\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)) (?=\d)|(?<=\d) (?=- )"
    rf"|(?<=\d [A-Z][a-z]{{2}}) (?=- )"
)


def tied(text: str) -> str:
    r"""A text whose percent signs stay with their figures, and days with their months.

    >>> tied("leaves 27 % of it on Fri 30 Oct - 2 Nov 2026")
    'leaves 27\xa0% of it on Fri\xa030\xa0Oct\xa0- 2\xa0Nov 2026'
    """
    return _TIED.sub("\xa0", text)


def wrapped(text: str, width: int) -> str:
    r"""A text in lines of at most so many letters; only a word longer than a line is cut.

    >>> wrapped("5 jobs leave 27 % of it", 14)
    '5 jobs leave\n27 % of it'
    """
    lines = (
        line
        for part in tied(text).split("\n")
        for line in textwrap.wrap(part, max(width, 1), break_on_hyphens=False) or [""]
    )
    return "\n".join(lines).replace("\xa0", " ")


def column_widths(table: Table, width: int) -> list[int] | None:
    """How wide each column is made; None where even the longest words have no room side by side.

    Short columns come first, then whoever has most to wrap.
    """
    columns = [[tied(c) for c in cells] for cells in zip(table.heads, *table.rows, strict=True)]
    want = [min(MOST, max(1, *map(len, cells))) for cells in columns]
    need = [
        max([1, *(min(LONGEST, len(word)) for cell in cells for word in cell.split(" "))])
        for cells in columns
    ]
    room = width - GAP * len(columns) - 1
    if sum(need) > room:
        return None
    given = list(need)
    for number in sorted(range(len(want)), key=lambda n: want[n]):
        more = want[number] - given[number]
        if want[number] <= SHORT and sum(given) + more <= room:
            given[number] += more
    while sum(given) < room:
        crowded = max(range(len(want)), key=lambda n: want[n] / given[n])
        if want[crowded] <= given[crowded]:
            break
        given[crowded] += 1
    return given


def as_list(table: Table, width: int) -> str:
    """A table too wide for the terminal, as one short list for each row: its name, then figures."""
    indent = 2
    longest = max(len(head) for head in table.heads)
    label = min(longest, max(width // 2 - indent, 1))
    parts = []
    for row in table.rows:
        parts.append(wrapped(row[0], width))
        for head, cell in zip(table.heads[1:], row[1:], strict=True):
            if cell:
                parts += _beside(head, cell, indent, label, width)
    return "\n".join(parts)


def _beside(head: str, cell: str, indent: int, label: int, width: int) -> list[str]:
    """A head and its cell side by side, each in as many lines as it takes."""
    left = wrapped(head, label).split("\n")
    right = wrapped(cell, max(width - indent - label - GAP, 1)).split("\n")
    count = max(len(left), len(right))
    left += [""] * (count - len(left))
    right += [""] * (count - len(right))
    return [
        f"{' ' * indent}{a.ljust(label + GAP)}{b}".rstrip()
        for a, b in zip(left, right, strict=True)
    ]


def with_bars(table: Table, width: int) -> Table:
    """The table with a small bar beside each share of its last column of shares, if that fits.

    A column of shares holds nothing but percentages from 0 to 100, without a sign.
    """
    shares = [
        n for n, cells in enumerate(zip(*table.rows, strict=True)) if n and _are_shares(cells)
    ]
    if not shares:
        return table
    at = shares[-1]
    rows = tuple((*row[:at], f"{row[at]:>5} {bar(row[at])}", *row[at + 1 :]) for row in table.rows)
    drawn = Table(table.caption, table.heads, rows, table.note, table.totals)
    room = width - GAP * len(table.heads) - 1
    whole = sum(max(len(c) for c in cells) for cells in zip(table.heads, *rows, strict=True))
    return drawn if whole <= room else table


def bar(share: str) -> str:
    """A share such as "70 %" as a bar of ten parts.

    >>> bar("70 %")
    '███████···'
    """
    found = _SHARE.fullmatch(share)
    full = round(BAR * int(found[1]) / 100) if found else 0
    return FULL * full + EMPTY * (BAR - full)


def _are_shares(cells: Sequence[str]) -> bool:
    """True for at least two cells that all are shares of a whole."""
    found = [_SHARE.fullmatch(cell) for cell in cells]
    return len(cells) > 1 and all(one and int(one[1]) <= 100 for one in found)
