"""Valid records written the untidy ways people write them come back equal, or are named.

Each property writes records drawn at random with dirt that is known, reads the file, and compares.
"""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import CostEntry, HoursEntry, PhaseEntry
from costlearn.vocabulary import fold, standard

FIRM = Firm()
WORDS = standard()
SOME = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

spellings = st.sampled_from(
    [(p.key, w) for p in WORDS.phases for w in p.words if fold(w) not in WORDS.ask]
)
cents = st.integers(min_value=1, max_value=9_999_999)
names = st.sampled_from(["J-01 hall bath", "Birch street", "Maple; back", 'The "blue" bath'])
money_styles = st.sampled_from(
    [
        lambda c: f"{c / 100:.2f}",
        lambda c: f"${c / 100:,.2f}",
        lambda c: f"{c / 100:,.2f} $",
        lambda c: f" {c / 100:,.2f} ",
        lambda c: f"US$ {c / 100:,.2f}",
        lambda c: f"{c / 100:,.2f} USD",
    ]
)
credit_styles = st.sampled_from(
    [
        lambda c: f"({c / 100:,.2f})",
        lambda c: f"-{c / 100:.2f}",
        lambda c: f"{c / 100:.2f}-",
        lambda c: f"{c / 100:,.2f} CR",
        lambda c: f"\u2212{c / 100:.2f}",
    ]
)
no_values = st.sampled_from(["TBD", "n/a", "?", "#REF!", "allow 400", "ask Ann", "~50"])


def write(path: Path, rows: list[list[str]], delimiter: str = ",") -> Path:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows(rows)
    path.write_text(out.getvalue(), encoding="utf-8")
    return path


phase_rows = st.lists(
    st.tuples(names, spellings, cents, money_styles, st.integers(0, 400)), min_size=1, max_size=12
)


@SOME
@given(rows=phase_rows, titles=st.integers(0, 5), merged=st.booleans(), total=st.booleans())
def test_phase_sheets(
    tmp_path: Path,
    rows: list[tuple[str, tuple[str, str], int, object, int]],
    titles: int,
    merged: bool,
    total: bool,
) -> None:
    rows = sorted(rows, key=lambda row: row[0])
    lines: list[list[str]] = [["Bathrooms"] + [""] * 3] * titles + [["Job", "Phase", "Cost", "Hrs"]]
    last = ""
    for name, (_, word), amount, style, quarters in rows:
        shown = "" if merged and name == last else name
        lines += [[shown, word, style(amount), f"{quarters / 4}"], [""] * 4]  # type: ignore[operator]
        last = name
    if total:
        lines.append(["TOTAL", "", f"{sum(r[2] for r in rows) / 100:.2f}", ""])
    batch = read_file(write(tmp_path / "phases.csv", lines), FIRM)
    found = [e for e in batch.entries if isinstance(e, PhaseEntry)]
    assert [
        (
            e.job,
            e.phase,
            e.actual.cost,
            None if e.actual.person_days is None else e.actual.person_days,
        )
        for e in found
    ] == [(name, key, amount, pytest.approx(q / 32)) for name, (key, _), amount, _, q in rows]
    assert [f for f in batch.findings if f.kind in {"set aside", "asked"}] == []
    checked = [f.text for f in batch.findings if f.kind == "checked"]
    assert len(checked) == total
    assert all("agrees" in text for text in checked)


receipt = st.tuples(
    st.dates(date(2020, 1, 1), date(2026, 12, 31)),
    cents,
    st.one_of(
        st.tuples(st.just(1), money_styles),
        st.tuples(st.just(-1), credit_styles),
        st.tuples(st.just(0), no_values),
    ),
)


@SOME
@given(rows=st.lists(receipt, min_size=1, max_size=15), delimiter=st.sampled_from([",", ";", "\t"]))
def test_receipts_come_back_or_are_named(
    tmp_path: Path, rows: list[tuple[date, int, tuple[int, object]]], delimiter: str
) -> None:
    lines = [["Date", "Vendor", "Job", "Category", "Amount"]]
    for day, amount, (sign, style) in rows:
        shown = style if sign == 0 else style(amount)  # type: ignore[operator]
        lines.append([day.isoformat(), "Yard", "J-01", "Materials", str(shown)])
    batch = read_file(write(tmp_path / "receipts.csv", lines, delimiter), FIRM)
    wanted = [(day, sign * amount) for day, amount, (sign, _) in rows if sign]
    found = [(e.day, e.net) for e in batch.entries if isinstance(e, CostEntry)]
    if wanted and sum(sign for _, _, (sign, _) in rows) <= 0:
        # A list with mostly amounts below zero may be a card's, where those are purchases.
        assert found == wanted or (not found and batch.questions)
        return
    assert found == wanted
    bad = [i + 2 for i, (_, _, (sign, _)) in enumerate(rows) if sign == 0]
    named = {f.place.row for f in batch.findings if f.kind == "set aside"}
    assert named == set(bad)


@SOME
@given(
    starts=st.lists(st.dates(date(2019, 1, 1), date(2026, 12, 1)), min_size=1, max_size=20),
    day_first=st.booleans(),
)
def test_dates_of_a_column_share_one_order(
    tmp_path: Path, starts: list[date], day_first: bool
) -> None:
    # The last date has a part above 12, so that the column proves its order.
    days = [*starts, date(2026, 5, 20)]
    form = "%d/%m/%Y" if day_first else "%m/%d/%Y"
    rows = [["Job", "Date", "Hours"], *(["A", d.strftime(form), "8"] for d in days)]
    preferred = "month-first" if day_first else "day-first"
    batch = read_file(write(tmp_path / "hours.csv", rows), Firm(date_order=preferred))
    assert [e.day for e in batch.entries if isinstance(e, HoursEntry)] == days


@SOME
@given(
    text=st.lists(
        st.lists(
            st.one_of(
                st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=8),
                st.sampled_from(["Job", "Phase", "Cost", "Total", "demo", "8", "3/4/2025", "-1"]),
                st.integers(-5, 99999).map(str),
            ),
            min_size=4,
            max_size=4,
        ),
        max_size=10,
    )
)
def test_any_row_is_an_entry_or_a_finding(tmp_path: Path, text: list[list[str]]) -> None:
    lines = [["Job", "Phase", "Hrs", "Notes"], ["A", "demo", "8", ""]]
    clean = [[" ".join(c.split()) for c in row] for row in text]
    path = write(tmp_path / "any.csv", lines + clean)
    try:
        batch = read_file(path, FIRM)
    except InputProblem:
        # A file whose columns hold something else than their headings say is refused whole.
        return
    touched = {e.place.row for e in batch.entries} | {f.place.row for f in batch.findings}
    head = {"job", "phase", "hrs", "notes"}
    for number, row in enumerate(clean, start=3):
        said = [fold(c) for c in row if c]
        only_heading_words = len(set(said) & head) >= 2
        if any(said) and not only_heading_words:
            assert number in touched, (number, row, batch.findings)


def test_two_hundred_days_of_an_hours_log(tmp_path: Path) -> None:
    first = date(2025, 1, 6)
    rows = [["Date", "Who", "Job", "Hrs"]]
    rows += [
        [(first + timedelta(days=i)).isoformat(), "Ann", f"J-{i // 20}", "8"] for i in range(200)
    ]
    batch = read_file(write(tmp_path / "log.csv", rows), FIRM)
    assert len(batch.entries) == 200
    assert batch.count("asked") == batch.count("set aside") == 0
