"""A priced quote as firms write one: lines with a price, then subtotal, tax and total.

It is one by its sums, never by its headings: its lines come to the subtotal or the total it states.
What stands below the price, or says of itself that it is an option, is no part of it. Prices are
what a client pays: no line is a cost, and none of them is a planned one.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import PurePath

from costlearn.errors import Place
from costlearn.firm import DATE_ORDERS
from costlearn.intake.answers import LEAVE_OUT
from costlearn.intake.files.sheets import Grid
from costlearn.intake.kinds import kind_in_name
from costlearn.intake.on_top import QUOTE_WORDS, named_on_top, names_room, without_quote_words
from costlearn.intake.readings import Setting
from costlearn.intake.row import key_of
from costlearn.intake.scope import read_scope
from costlearn.intake.tables import cell_text, texts_of
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.taxed_headings import tax_line
from costlearn.intake.values.cells import Raw, Reading, is_missing
from costlearn.intake.values.days import read_day
from costlearn.intake.values.money import read_money
from costlearn.intake.values.sizes import read_area
from costlearn.records import Entry, JobEntry
from costlearn.units import say_count
from costlearn.vocabulary import fold

TOPIC = "price of a quote"
LINES, TOTAL = "what the lines come to", "what the total says"
"""The answers to the question which of two sums is the price."""

_PRICES = frozenset(("price", "prix", "prices", "quoted", "quoted price", "our price", "price $"))
_NOT_QUOTES = frozenset(
    ("bill", "bills", "invoice", "invoices", "receipt", "receipts", "supplier", "facture", "paid",
     "spent", "actual", "actuals", "cost", "costs", "budget", "hours", "planned", "plan")
)  # fmt: skip
"""Words around a table of amounts that say it is no quote."""
_APART = re.compile(
    r"\b(?:option|options|optional|alternate|alternative|not (?:included|in)|if wanted|extra if)\b",
    re.IGNORECASE,
)
_SUM = re.compile(
    r"(?:sub ?total|sous total|(?:(?:grand|quote|quoted|contract|our|your|job|full|final) )?"
    r"(?:total|price|prix|sum))(?: (?:price|prix|quote|before|with|incl|including|without|plus|and"
    r"|excl|excluding|tax|taxes|hst|gst|pst|qst|tps|tvq|vat|[$]|cad|usd))*"
)
_UNSENT = re.compile(r"\b(?:draft|not sent|unsent|brouillon)\b", re.IGNORECASE)
"""In a title: nobody can have taken the quote."""
_NUMBER = re.compile(r"\(?(?:\d{1,3}|[a-z])[.)]?", re.IGNORECASE)
_MONEY = re.compile(r"[$\s]*-?[$\s]*\d[\d,. ]*(?:\$|k)?")
_BEFORE_DAY = re.compile(r"^\s*(?:(?:quoted|quote|date|dated|on|of)\b[ :]*)+", re.IGNORECASE)
_GAP = re.compile(r"\s{2,}|\t")
_FEWEST = 2
_MOST_ROWS = 1_000
"""No quote is longer; common practice, no source."""
_SLACK = 1
"""Cents by which a line may be rounded."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A row with an amount: what it says, and where it stands."""

    row: int
    text: str
    cents: int


@dataclass(slots=True)
class _Sums:
    """The lines of a quote as its own sums prove them."""

    lines: list[_Line] = field(default_factory=list)
    apart: list[_Line] = field(default_factory=list)
    tax: int = 0
    price: _Line | None = None
    proven: int = 0
    """How many of the lines a sum has proven."""
    wrong: _Line | None = None


def without_quotes(
    sheets: Sequence[Grid], entries: list[Entry], known_jobs: Collection[str], setting: Setting
) -> list[Grid]:
    """The sheets that are no quotes; the jobs that the others price are put to the entries."""
    others: list[Grid] = []
    for grid in sheets:
        found = _quote(grid, known_jobs, setting)
        if found is None:
            others.append(grid)
        else:
            entries += found
    return others


def _quote(grid: Grid, known_jobs: Collection[str], setting: Setting) -> list[Entry] | None:
    """The job that a sheet prices; None where the sheet is no quote."""
    if len(grid.rows) > _MOST_ROWS:
        return None
    for lines in (grid.rows, _by_spaces(grid)):
        rows = _amounts(lines)
        if len(rows) < _FEWEST:
            continue
        laid = grid if lines is grid.rows else _spaced(grid)
        titles, heads = _parted(laid.rows[: rows[0].row])
        name = _name(laid, titles, known_jobs)
        if not name or not _prices(laid, titles, heads, name, known_jobs):
            continue
        sums = _summed(rows)
        if len(sums.lines) >= _FEWEST and (sums.price or sums.wrong):
            return _entries(laid, titles, name, sums, setting)
    return None


def _parted(rows: Sequence[Sequence[Raw]]) -> tuple[Sequence[Sequence[Raw]], set[str]]:
    """The lines above a quote, and the headings of its columns, which name no job."""
    known = {word for kind in ("jobs", "receipts", "scope") for word in headings().fields[kind]}
    heads = {fold_heading(text) for text in _texts(rows[-1:])}
    headed = len(heads) > 1 and (heads <= known or bool(heads & _PRICES))
    return (rows[:-1], heads) if headed else (rows, set())


def _by_spaces(grid: Grid) -> Iterator[tuple[Raw, ...]]:
    """The rows of a text laid out with spaces, of which commas made cells: parted at spaces."""
    for row in () if grid.sheet else grid.rows:
        line = ",".join(str(raw) for raw in row if raw is not None)
        yield tuple(part for part in _GAP.split(line.strip()) if part)


def _spaced(grid: Grid) -> Grid:
    """The sheet of such a text, its rows equally wide."""
    parted = list(_by_spaces(grid))
    width = max(map(len, parted), default=0)
    rows = tuple((*part, *(None,) * (width - len(part))) for part in parted)
    return Grid(grid.file, grid.sheet, rows, grid.first_row)


def _amounts(rows: Iterable[Sequence[Raw]]) -> list[_Line]:
    """The rows that end in an amount; none where a row says more than one, or a day."""
    found: list[_Line] = []
    for row, cells in enumerate(rows):
        filled = [raw for raw in cells if raw is not None and raw != ""]
        if len(filled) < 2:
            continue
        cents = _cents(filled[-1])
        if cents is None:
            continue
        said = filled[:-1]
        if len(said) > 1 and _NUMBER.fullmatch(cell_text(said[0])):
            said = said[1:]
        texts = [raw for raw in said if isinstance(raw, str) and not _MONEY.fullmatch(raw.strip())]
        if len(texts) != len(said) or any(read_day(t, order=DATE_ORDERS[0]).value for t in texts):
            return []
        found.append(_Line(row, " ".join(map(cell_text, texts)), cents))
    return found


def _cents(raw: Raw) -> int | None:
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        return None
    if isinstance(raw, str) and not _MONEY.fullmatch(raw.strip()):
        return None
    money = read_money(raw).value
    return None if money is None else money.cents


def _is_sum(text: str) -> bool:
    folded = fold_heading(text)
    return folded in headings().totals or _SUM.fullmatch(folded) is not None


def _summed(rows: Sequence[_Line]) -> _Sums:
    """Lines, tax and price of a quote, by the sums it states itself."""
    sums = _Sums()
    section = 0
    for line in rows:
        if _APART.search(line.text):
            sums.apart.append(line)
        elif tax_line(fold_heading(line.text)) is not None:
            sums.tax += line.cents
        elif not _is_sum(line.text):
            sums.lines.append(line)
            section += line.cents
        elif not _proves(sums, line, section):
            sums.wrong = sums.wrong or line
        else:
            section = 0
    if sums.price is not None:
        sums.apart += sums.lines[sums.proven :]
        sums.lines = sums.lines[: sums.proven]
    return sums


def _proves(sums: _Sums, total: _Line, section: int) -> bool:
    """Whether a stated sum is that of all lines so far, with or without tax, or of its section."""
    count = len(sums.lines)
    whole = sum(line.cents for line in sums.lines)
    options = sum(line.cents for line in sums.apart)
    slack = _SLACK * count
    if options and abs(total.cents - whole - options) <= slack:
        sums.lines, sums.apart = [*sums.lines, *sums.apart], []
        count, whole = len(sums.lines), whole + options
    if abs(total.cents - whole) <= slack:
        sums.price, sums.proven = total, count
    elif sums.tax and abs(total.cents - whole - sums.tax) <= slack:
        # Lines and tax come to the total: the price is what the lines come to.
        sums.price, sums.proven = sums.price or _Line(total.row, total.text, whole), count
    else:
        return abs(total.cents - section) <= slack and section > 0
    return True


def _prices(
    grid: Grid,
    titles: Sequence[Sequence[Raw]],
    heads: set[str],
    name: str,
    known: Collection[str],
) -> bool:
    """Whether what stands around the amounts says that a client is quoted them."""
    around = [PurePath(grid.file).stem, grid.sheet, *_texts(titles), *heads]
    words = {word for text in around for word in fold(text).split()}
    if words & _NOT_QUOTES:
        return False
    if words & QUOTE_WORDS:
        return True
    is_job = names_room(name) or key_of(name) in set(map(key_of, known))
    return bool(heads & _PRICES) and is_job


def _texts(rows: Sequence[Sequence[Raw]]) -> Iterator[str]:
    return (cell_text(raw) for row in rows for raw in row if isinstance(raw, str) and raw.strip())


def _name(grid: Grid, titles: Sequence[Sequence[Raw]], known_jobs: Collection[str]) -> str:
    """The job's name: what a title says, else the file's name; "" if neither says one."""
    named = named_on_top(texts_of(titles), known_jobs)
    return named or without_quote_words(PurePath(grid.file).stem)


def _entries(
    grid: Grid, titles: Sequence[Sequence[Raw]], name: str, sums: _Sums, setting: Setting
) -> list[Entry]:
    """The job a quote is about: its price before tax, its scope, its size and day."""
    notes = setting.notes
    price = _price(grid, name, sums, setting)
    if price is None:
        return []
    scope: dict[str, float | None] = {}
    for line in sums.lines:
        words = _APART.sub("", line.text).strip(" :-")
        read = read_scope(words, setting.vocabulary, area_unit=setting.firm.area_unit)
        scope.update({item: size for item, size in read.items.items() if item not in scope})
    place = Place(grid.file, grid.sheet, grid.first_row + price.row)
    text = f"a quote of {say_count(len(sums.lines), 'line')} for '{name}', priced before tax"
    notes.add("understood", place, text, price.text)
    for line in sums.apart:
        where = Place(grid.file, grid.sheet, grid.first_row + line.row)
        notes.add("understood", where, "it is no part of the quoted price", line.text)
    _note_unpriced(grid, sums, setting)
    area = next(
        (size.value for text in _parts(titles) if (size := _area(text, setting)).value), None
    )
    days = (_day(raw) for row in titles for raw in row)
    kind = kind_in_name(name, setting.vocabulary)
    if kind is None:
        top = Place(grid.file, grid.sheet, grid.first_row)
        notes.add("asked", top, f"nothing says of which one kind '{name}' is", name)
    return [
        JobEntry(
            job=name,
            place=place,
            kind=kind,
            state="quoted" if any(map(_UNSENT.search, _texts(titles))) else None,
            quoted_on=next(filter(None, days), None),
            area_sqft=area,
            price=price.cents,
            scope=scope,
        )
    ]


def _note_unpriced(grid: Grid, sums: _Sums, setting: Setting) -> None:
    """Say which lines among those of a quote have a mark in the place of a price."""
    first, last = sums.lines[0].row, sums.price.row if sums.price else sums.lines[-1].row
    for row in range(first, last):
        filled = [raw for raw in grid.rows[row] if raw is not None and raw != ""]
        if len(filled) > 1 and (is_missing(filled[-1]) or cell_text(filled[-1]).strip("?") == ""):
            place = Place(grid.file, grid.sheet, grid.first_row + row)
            said = " | ".join(map(cell_text, filled))
            setting.notes.add("set aside", place, "a line without a price; it is in no sum", said)


def _price(grid: Grid, name: str, sums: _Sums, setting: Setting) -> _Line | None:
    """The price before tax: as the sums prove it, or as a person said where they disagree."""
    if sums.wrong is None:
        return sums.price
    whole = sum(line.cents for line in sums.lines)
    total, about = sums.wrong, (grid.file, grid.sheet)
    place = Place(grid.file, grid.sheet, grid.first_row + total.row)
    said = setting.answers.get(TOPIC, *about)
    if said in (LINES, TOTAL):
        text = f"the price of '{name}' is {said}, as you answered"
        setting.notes.add("understood", place, text, total.text)
        return _Line(total.row, total.text, whole if said == LINES else total.cents)
    if said is None:
        text = (
            f"The lines of this quote come to {whole / 100:,.2f}, '{total.text}' says "
            f"{total.cents / 100:,.2f}. Which is the price of '{name}' before tax?"
        )
        setting.ask(
            TOPIC, about, place, text, (LINES, TOTAL, LEAVE_OUT),
            found=total.text, money=total.cents, holds="the price of a quote",
        )  # fmt: skip
        setting.notes.add("asked", place, "its lines do not come to it", total.text)
    return None


def _parts(titles: Sequence[Sequence[Raw]]) -> Iterator[str]:
    """The pieces of the lines above a quote: a size and a day may share a line."""
    for text in _texts(titles):
        for part in re.split(r"[,;(]|\s{2,}", text):
            yield part.strip(" )")


def _area(text: str, setting: Setting) -> Reading[float]:
    return read_area(text, unit=None, firm_unit=setting.firm.area_unit)


def _day(raw: Raw) -> date | None:
    """The day a line above a quote names, where it can be one day only."""
    if isinstance(raw, datetime):
        return raw.date()
    if isinstance(raw, date) or not isinstance(raw, str):
        return raw if isinstance(raw, date) else None
    words = _BEFORE_DAY.sub("", raw).replace(",", " ").split()
    for size in (3, 1):
        text = " ".join(words[:size])
        one, other = (read_day(text, order=order).value for order in DATE_ORDERS)
        if one and one == other:
            return one
    return None
