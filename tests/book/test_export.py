"""An export is harmless, whole, and comes back as the identical history."""

from __future__ import annotations

import csv
import zipfile
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costlearn import tidy
from costlearn.assembly import assemble
from costlearn.book.export import export
from costlearn.book.store import Book
from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.intake.settings import read_settings
from costlearn.records import (
    Amounts,
    Batch,
    ChangeEntry,
    CostEntry,
    Entry,
    History,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)
from costlearn.vocabulary import standard

NASTY = (
    "=1+1", "+1", "-1", "@SUM(A1)", "\ttab", "\rreturn", "'quoted", "''", "'", " ", "  both  ",
    "a\nb", "a\r\nb", "a;b|c,d\te", '"quotes"', "céramique « salle »", "名前", "🛁 bath",
    "null\x00", "_x0041_", "\ufeffmark", "line\u2028end", "C:\\path\\u0041", "'\\u0041", "TRUE",
    "1e5", "0042", "#REF!", "n/a", "Total", "2024-03-01", "=cmd|' /C calc'!A0",
    "\uffff", "\x7f", "＝1",
)  # fmt: skip


def there_and_back(entries: list[Entry], folder: Path, firm: Firm, to: str) -> History:
    """Export entries, import the files into a new book, and read its history."""
    files = export(entries, firm, folder / to)
    with Book.in_memory() as book:
        for path in files:
            if path.suffix == ".toml":
                book.set_firm(read_settings(path))
            else:
                batch = read_file(path, Firm())
                assert batch.count("set aside") == 0, batch.findings
                book.add(batch, path)
        return book.history()


@pytest.mark.parametrize("to", ["out", "out.xlsx"])
def test_every_sort_of_entry_comes_back_with_its_first_place(
    batch: Batch, tmp_path: Path, to: str
) -> None:
    firm = Firm(
        name='A "firm"\x7f', currency="CAD", currency_said=True, day_rate=512.5,
        tax_recoverable=False,
        phase_words={"tile": ("tile work", "carrelage")}, price_index={"2024-01-01": 104.2},
        exchange={"USD": {"2025-01-01": 1.44}}, usual={"cost": 300.0},
        rates={"wall_tile": {"person_days": 0.06}},
    )  # fmt: skip
    history = there_and_back(list(batch.entries), tmp_path, firm, to)
    assert history == assemble(batch.entries, firm)
    (first, *_) = [o for job in history.jobs for o in job.origins]
    assert first.places[0].file == "mixed.xlsx"


@pytest.mark.parametrize("to", ["out", "out.xlsx"])
def test_no_text_can_act_as_a_formula_and_all_come_back(tmp_path: Path, to: str) -> None:
    entries: list[Entry] = [
        CostEntry("J-1", "material", -1, Place(f, s, 2, c), payee=text, document=text, notes=text)
        for text in NASTY
        for f, s, c in [(text.strip() or "x", text, text)]
    ]
    entries.append(JobEntry('=HYPERLINK("http://x")', Place("f.csv", "", 3), notes="-2+3"))
    history = there_and_back(entries, tmp_path, Firm(), to)
    assert history == assemble(entries, Firm())
    if to == "out":
        for path in (tmp_path / to).glob("*.csv"):
            with path.open(encoding="utf-8-sig", newline="") as file:
                rows = list(csv.reader(file))
            numbers = {i for i, h in enumerate(rows[0]) if h in {"net", "tax", "from row"}}
            texts = [c for row in rows[1:] for i, c in enumerate(row) if i not in numbers]
            assert not [c for c in texts if c[:1] in "=+-@\t\r＝" and c]
    else:
        with zipfile.ZipFile(tmp_path / to) as parts:
            sheets = [parts.read(n).decode() for n in parts.namelist() if "worksheets/" in n]
        assert not [s for s in sheets if "<f>" in s]


@pytest.mark.parametrize("to", ["out", "out.xlsx"])
def test_one_change_in_two_files_is_still_counted_once(tmp_path: Path, to: str) -> None:
    one = ChangeEntry("J-1", "niche", "approved", Place("a.csv", "", 2), price=10_000)
    twice: list[Entry] = [one, replace(one, place=Place("b.csv", "", 9))]
    history = there_and_back(twice, tmp_path, Firm(), to)
    assert history.jobs[0].changed_price == 10_000
    assert history == assemble(twice, Firm())


def test_a_job_is_called_as_its_list_calls_it_whatever_came_first(tmp_path: Path) -> None:
    log = HoursEntry("j 07 HALL bath", "Ann", date(2024, 3, 1), 8.0, Place("h.csv", "", 2))
    listed = JobEntry("J-07 Hall bath", Place("jobs.csv", "", 2))
    assert assemble([log, listed], Firm()).jobs[0].name == "J-07 Hall bath"
    assert there_and_back([log, listed], tmp_path, Firm(), "out") == assemble([log, listed], Firm())


def test_figures_stand_as_numbers_and_dates_a_spreadsheet_can_reckon_with(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    row = JobEntry(
        "J-1", Place("a.csv", "", 2), price=1_840_050, started=date(2024, 2, 29), area_sqft=41.98
    )
    export([row], Firm(), tmp_path / "out.xlsx")
    sheet = load_workbook(tmp_path / "out.xlsx")["jobs"]
    heads = [c.value for c in sheet[1]]
    values = dict(zip(heads, [c.value for c in sheet[2]], strict=True))
    assert values["price"] == 18400.5
    assert values["started"].date() == date(2024, 2, 29)
    assert values["area sqft"] == 41.98
    assert values["paid"] is None
    assert (values["from file"], values["from row"]) == ("a.csv", 2)
    assert sheet.freeze_panes == "B2"


def test_what_stands_there_is_not_written_over_unasked(tmp_path: Path) -> None:
    row = JobEntry("J-1", Place("a.csv", "", 2))
    (tmp_path / "mine.xlsx").write_bytes(b"mine")
    with pytest.raises(InputProblem, match=r"mine.xlsx: there is a file of this name.*--replace"):
        export([row], Firm(), tmp_path / "mine.xlsx")
    assert (tmp_path / "mine.xlsx").read_bytes() == b"mine"
    export([row], Firm(), tmp_path / "mine.xlsx", replace=True)
    assert (tmp_path / "mine.xlsx").read_bytes()[:2] == b"PK"
    with pytest.raises(InputProblem, match="this is a file"):
        (tmp_path / "plain").write_text("x")
        export([row], Firm(), tmp_path / "plain")
    with pytest.raises(InputProblem, match="its folder does not exist"):
        export([row], Firm(), tmp_path / "no" / "where")
    assert not [p.name for p in tmp_path.iterdir() if p.name.startswith(".")]


def test_a_text_too_long_for_a_cell_is_refused_with_its_place(tmp_path: Path) -> None:
    row = JobEntry("J-1", Place("a.csv", "", 2), notes="x" * 40_000)
    with pytest.raises(InputProblem, match=r"a.csv, row 2, column 'notes': a text of 40,000"):
        export([row], Firm(), tmp_path / "out.xlsx")
    assert there_and_back([row], tmp_path, Firm(), "out") == assemble([row], Firm())


@pytest.mark.parametrize(
    ("heading", "cell", "told"),
    [
        ("price", "lots", "found 'lots', expected an amount with at most two decimals"),
        ("price", "12.345", "found '12.345', expected an amount"),
        ("started", "2024-13-01", "found '2024-13-01', expected a date such as"),
        ("condo", "perhaps", "found 'perhaps', expected yes or no"),
        ("scope", "niche lots", "found 'niche lots', expected items with their sizes"),
        ("area sqft", "nan", "found 'nan', expected a number"),
        ("from row", "two", "found 'two', expected a row number"),
        ("job", "", "the cell is empty, expected a text"),
    ],
)
def test_a_broken_cell_sets_its_row_aside_with_the_reason(
    tmp_path: Path, heading: str, cell: str, told: str
) -> None:
    good = JobEntry("J-1", Place("a.csv", "", 2), price=100)
    (file, *_) = export([good, replace(good, job="J-2")], Firm(), tmp_path / "out")
    with file.open(encoding="utf-8-sig", newline="") as text:
        rows = list(csv.reader(text))
    rows[1][rows[0].index(heading)] = cell
    with file.open("w", encoding="utf-8", newline="") as text:
        csv.writer(text).writerows(rows)
    batch = read_file(file, Firm())
    assert [e.job for e in batch.entries] == ["J-2"]
    (aside,) = [f for f in batch.findings if f.kind == "set aside"]
    assert told in aside.text
    assert (aside.place.row, aside.place.column) == (2, heading)


# Any entry the book can hold.
TEXT = st.one_of(
    st.sampled_from(NASTY),
    st.text(st.characters(exclude_categories=("Cs",)), max_size=12),
)
NAME = TEXT.filter(lambda t: bool(t.strip()))
CENTS = st.none() | st.integers(-(10**17), 10**17) | st.sampled_from([0, -1, 1, 99])
SIZE = st.none() | st.sampled_from([0.0, 1.0, 0.1 + 0.2]) | st.floats(0, 1e9)
DAY = st.none() | st.dates()
FLAG = st.none() | st.booleans()
PLACE = st.builds(Place, NAME, TEXT, st.integers(0, 10**6), TEXT)
AMOUNTS = st.builds(
    Amounts, **dict.fromkeys(("cost", "labour", "material", "sub"), CENTS),
    **dict.fromkeys(("person_days", "site_days", "crew"), SIZE),
)  # fmt: skip
SCOPE = st.dictionaries(st.sampled_from([i.key for i in standard().items]), SIZE, max_size=4)
STATE = st.none() | st.sampled_from(["finished", "running", "quoted"])
ENTRIES = st.one_of(
    st.builds(
        JobEntry, NAME, PLACE, kind=st.none() | TEXT, state=STATE, quoted_on=DAY, started=DAY,
        area_sqft=SIZE, grade=SIZE, house_year=st.none() | st.integers(0, 3000), condo=FLAG,
        price=CENTS, plan=AMOUNTS, actual=AMOUNTS, books_closed=FLAG, scope=SCOPE, notes=TEXT,
    ),
    st.builds(PhaseEntry, NAME, NAME, PLACE, AMOUNTS, AMOUNTS, DAY, DAY, SIZE, FLAG, TEXT),
    st.builds(
        HoursEntry, NAME, TEXT, DAY, st.floats(-1e6, 1e6), PLACE, st.none() | TEXT, st.booleans(),
        TEXT, st.none() | TEXT,
    ),
    st.builds(
        CostEntry, st.none() | TEXT, TEXT, CENTS.filter(lambda c: c is not None), PLACE, CENTS,
        st.none() | TEXT, DAY, st.none() | TEXT, TEXT, TEXT, TEXT,
    ),
    st.builds(
        ChangeEntry, NAME, TEXT, st.sampled_from(["approved", "declined", "verbal"]), PLACE, CENTS,
        CENTS, st.none() | st.floats(-1e6, 1e6), st.none() | TEXT,
    ),
)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(entries=st.lists(ENTRIES, max_size=6), to=st.sampled_from(["out", "out.xlsx"]))
def test_any_entries_come_back_as_they_were(
    entries: list[Any], to: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("any")
    read: dict[str, list[Entry]] = {kind: [] for kind in tidy.KINDS}
    for path in export(entries, Firm(), folder / to):
        if path.suffix != ".toml":
            for entry in read_file(path, Firm()).entries:
                read[tidy.kind_of(entry)].append(entry)
    for kind, found in read.items():
        assert found == [e for e in entries if tidy.kind_of(e) == kind]
