"""Any table of valid records, dirtied by any mix of the known dirt, comes back or is asked about.

Each example draws records, then a way of writing them: file kind, letters, delimiter, title rows,
order of the columns, strange columns, spacer rows, headings repeated, merged jobs, total rows,
styles of money, of time and of dates, and cells spoiled by what people write where they know
nothing. What comes back is the same record, or a finding names the row: never another number.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import Batch, CostEntry, HoursEntry, PhaseEntry
from costlearn.vocabulary import fold, standard

FIRM = Firm()
WORDS = standard()
SOME = settings(
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
SPOILED = (
    "TBD",
    "n/a",
    "?",
    "#REF!",
    "allow 400",
    "ask Ann",
    "~50",
    "see invoice",
    "12-15",
    "#VALUE!",
)
STRANGE = ("Mood", "Zodiac", "Lunch place")
WHO = ("Ann", "Bo", "Émile", "O'Neil")
JOBS = ("J-01 hall bath", "Birch street", "Maple; back", 'The "blue" bath', "Chêne, 3e étage")


@dataclass(frozen=True)
class Style:
    """How one sheet is written."""

    workbook: bool
    encoding: str
    delimiter: str
    comma: bool
    titles: int
    spacers: bool
    repeat: int
    merged: bool
    total: bool
    strange: str
    flip: bool
    money: int
    time: int
    day: int
    space: str


@st.composite
def styles(draw: st.DrawFn) -> Style:
    workbook = draw(st.booleans())
    comma = not workbook and draw(st.booleans())
    return Style(
        workbook=workbook,
        encoding=draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"])),
        delimiter=";" if comma else draw(st.sampled_from([",", ";", "\t"])),
        comma=comma,
        titles=draw(st.integers(0, 5)),
        spacers=draw(st.booleans()),
        repeat=draw(st.sampled_from([0, 0, 4])),
        merged=draw(st.booleans()),
        total=draw(st.booleans()),
        strange=draw(st.sampled_from(["", *STRANGE])),
        flip=draw(st.booleans()),
        money=draw(st.integers(0, 5)),
        time=draw(st.integers(0, 3)),
        day=draw(st.integers(0, 5)),
        space=draw(st.sampled_from(["", " ", "\u00a0"])),
    )


def money(cents: int, style: Style) -> Any:
    """An amount in one of the ways of a column; credits in the ways credits are written."""
    size = f"{abs(cents) / 100:,.2f}"
    if style.comma:
        size = size.replace(",", "\u00a0").replace(".", ",")
    if cents < 0:
        ways = (f"({size})", f"-{size}", f"{size}-", f"{size} CR", f"\u2212{size}", f"-${size}")
        # The longer minus is no letter of the Western European code page.
        return in_letters(ways[style.money], style).replace("?", "-")
    if style.workbook and style.money == 5:
        return cents / 100
    ways = (size, f"${size}", f"{size} $", f"{style.space}{size}{style.space}", f"US$ {size}", size)
    return ways[style.money]


def time(quarters: int, style: Style) -> Any:
    """Hours in one of the ways of a column."""
    if style.time == 1:
        return f"{quarters // 4}:{quarters % 4 * 15:02d}"
    if style.time == 2:
        return f"{quarters // 4} h {quarters % 4 * 15}" if quarters % 4 else f"{quarters // 4} h"
    number = f"{quarters / 4:g}"
    if style.workbook and style.time == 3:
        return quarters / 4
    return number.replace(".", ",") if style.comma else number


def day(when: date, style: Style) -> Any:
    """A date in one of the ways of a column."""
    ways: tuple[Callable[[date], Any], ...] = (
        lambda d: d.isoformat(),
        lambda d: d.strftime("%m/%d/%Y"),
        lambda d: d.strftime("%d/%m/%Y"),
        lambda d: d.strftime("%d-%b-%y"),
        lambda d: (
            (d - date(1899, 12, 30)).days if style.workbook else str((d - date(1899, 12, 30)).days)
        ),
        lambda d: d.strftime("%B %d, %Y"),
    )
    return ways[style.day](when)


def save(
    path: Path, style: Style, heads: list[str], rows: list[list[Any]]
) -> tuple[Path, list[int]]:
    """Write a sheet in its style; the file, and the spreadsheet's number of each row."""
    order = list(range(len(heads)))[:: -1 if style.flip else 1]
    heads = [heads[i] for i in order]
    rows = [[row[i] for i in order] for row in rows]
    if style.strange:
        heads = [*heads, style.strange]
        rows = [[*row, "x"] for row in rows]
    width = len(heads)
    lines: list[list[Any]] = [["Bathrooms of ours"] + [""] * (width - 1)] * style.titles + [heads]
    numbers = []
    for count, row in enumerate(rows, start=1):
        lines.append(row)
        numbers.append(len(lines))
        if style.spacers:
            lines.append([""] * width)
        if style.repeat and count % style.repeat == 0 and count < len(rows):
            lines.append(heads)
    if style.workbook:
        file = path.with_suffix(".xlsx")
        book = openpyxl.Workbook()
        for line in lines:
            book.active.append([None if cell == "" else cell for cell in line])
        book.save(file)
        return file, numbers
    file = path.with_suffix(".csv")
    out = io.StringIO()
    csv.writer(out, delimiter=style.delimiter).writerows(lines)
    file.write_text(out.getvalue(), encoding=style.encoding, errors="replace")
    return file, numbers


def in_letters(text: str, style: Style) -> str:
    """A text as a file in these letters can hold it."""
    if style.workbook or style.encoding != "cp1252":
        return text
    return text.encode("cp1252", "replace").decode("cp1252")


def named(batch: Batch) -> set[int]:
    return {f.place.row for f in batch.findings if f.kind in {"set aside", "asked"}}


spellings = st.sampled_from(
    [(p.key, w) for p in WORDS.phases for w in p.words if fold(w) not in WORDS.ask]
)
spoils = st.one_of(st.just(""), st.just(""), st.sampled_from(SPOILED))
cents = st.one_of(st.integers(1, 9_999_999), st.integers(1, 300).map(lambda n: n * 1000))
days = st.dates(date(2019, 1, 1), date(2026, 11, 1))

phase_rows = st.lists(
    st.tuples(st.sampled_from(JOBS), spellings, cents, st.integers(1, 400), spoils),
    min_size=1,
    max_size=10,
)


@SOME
@given(rows=phase_rows, style=styles())
def test_phase_sheets(
    tmp_path: Path, rows: list[tuple[str, tuple[str, str], int, int, str]], style: Style
) -> None:
    rows = sorted(rows, key=lambda row: row[0])
    lines = []
    last = ""
    for job, (_, word), amount, quarters, spoil in rows:
        shown = "" if style.merged and job == last else job
        lines.append([shown, word, spoil or money(amount, style), time(quarters, style)])
        last = job
    if style.total:
        right = sum(amount for _, _, amount, _, spoil in rows if not spoil)
        lines.append(["", "TOTAL", money(right, style), ""])
    path, numbers = save(tmp_path / "phases", style, ["Job", "Phase", "Cost", "Hrs"], lines)
    batch = read_file(path, FIRM)
    found = {e.place.row: e for e in batch.entries if isinstance(e, PhaseEntry)}
    assert len(found) == len(batch.entries) == len(rows)
    for (job, (key, _), amount, quarters, spoil), number in zip(rows, numbers, strict=False):
        entry = found[number]
        assert entry.job == in_letters(job, style)
        assert entry.phase == key
        assert entry.actual.cost == (None if spoil else amount)
        assert entry.actual.person_days == pytest.approx(quarters / 32)
        # A column of which most cells are no amounts is named whole, by its heading.
        assert (number in named(batch)) == bool(spoil) or (
            spoil and min(numbers) - 1 in named(batch)
        )
    assert all("agrees" in f.text for f in batch.findings if f.kind == "checked")


receipt_rows = st.lists(
    st.tuples(days, st.integers(-9_999_999, 9_999_999).filter(bool), spoils),
    min_size=1,
    max_size=10,
)


@SOME
@given(rows=receipt_rows, style=styles())
def test_receipts(tmp_path: Path, rows: list[tuple[date, int, str]], style: Style) -> None:
    lines = [
        [day(when, style), "Supply yard", f"INV {i}", "J-01", "Materials", spoil or money(c, style)]
        for i, (when, c, spoil) in enumerate(rows)
    ]
    # One date with a part above 12 proves the order of day and month.
    lines.append(
        [day(date(2026, 5, 20), style), "Yard", "INV x", "J-01", "Materials", money(500, style)]
    )
    heads = ["Date", "Vendor", "Invoice", "Job", "Category", "Amount"]
    path, numbers = save(tmp_path / "receipts", style, heads, lines)
    batch = read_file(path, FIRM)
    if any(q.topic == "sign" for q in batch.questions):
        # Purchases and refunds that nothing tells apart wait for one answer, every row of them.
        assert not batch.entries
        assert set(numbers) <= set(named(batch))
        return
    found = {e.place.row: e for e in batch.entries if isinstance(e, CostEntry)}
    assert found[numbers[-1]].net == 500
    for i, (when, amount, spoil) in enumerate(rows):
        number = numbers[i]
        if spoil or number not in found:
            # What is not proven waits, and is named.
            assert number not in found
            assert number in named(batch)
            continue
        assert (found[number].day, found[number].net) == (when, amount)
        assert found[number].document == f"INV {i}"


hours_rows = st.lists(
    st.tuples(days, st.sampled_from(WHO), st.sampled_from(JOBS), st.integers(1, 96), spoils),
    min_size=1,
    max_size=10,
)


@SOME
@given(rows=hours_rows, style=styles())
def test_hours_logs(
    tmp_path: Path, rows: list[tuple[date, str, str, int, str]], style: Style
) -> None:
    lines = [
        [day(when, style), who, job, spoil or time(quarters, style)]
        for when, who, job, quarters, spoil in rows
    ]
    lines.append([day(date(2026, 5, 20), style), "Ann", "J-01 hall bath", time(32, style)])
    path, numbers = save(tmp_path / "hours", style, ["Date", "Who", "Job", "Hours"], lines)
    batch = read_file(path, FIRM)
    found = {e.place.row: e for e in batch.entries if isinstance(e, HoursEntry)}
    assert found[numbers[-1]].hours == 8
    plain = [row[:4] for row in rows if not row[4]]
    sums = {
        (who, when): sum(quarters for d, w, _, quarters in set(plain) if (d, w) == (when, who))
        for when, who, _, _ in plain
    }
    met: set[tuple[object, ...]] = set()
    for (when, who, job, quarters, spoil), number in zip(rows, numbers, strict=False):
        if spoil:
            assert number not in found
            assert number in named(batch)
            continue
        copy = (when, who, job, quarters) in met
        met.add((when, who, job, quarters))
        if copy or sums[who, when] > 96:
            # A record twice, or more than 24 hours of one person in a day: they wait.
            assert number not in found
            assert number in named(batch)
            continue
        entry = found[number]
        assert entry.day == when
        assert (entry.person, entry.job) == (in_letters(who, style), in_letters(job, style))
        assert entry.hours == pytest.approx(quarters / 4)
