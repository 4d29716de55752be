"""Which way money went on a statement: proven by a marker, a balance or words, else asked once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from dirt.reading import workbook

from costlearn.firm import Firm
from costlearn.intake.answers import Answers, key_of
from costlearn.intake.reader import read_file
from costlearn.records import Batch, CostEntry

Rows = list[list[object]]
Make = Callable[[Path, Rows], Path]
FIRM = Firm(currency="CAD")


def as_csv(path: Path, rows: Rows) -> Path:
    text = "\n".join(",".join("" if c is None else str(c) for c in row) for row in rows)
    path.with_suffix(".csv").write_text(text + "\n", "utf-8")
    return path.with_suffix(".csv")


def as_workbook(path: Path, rows: Rows) -> Path:
    return workbook(path.with_suffix(".xlsx"), March=rows)


@pytest.fixture(params=[as_csv, as_workbook], ids=["csv", "xlsx"])
def make(request: pytest.FixtureRequest) -> Make:
    return request.param  # type: ignore[no-any-return]


def read(path: Path, **answers: str) -> Batch:
    return read_file(path, FIRM, answers=Answers(answers))


def by_job(batch: Batch) -> dict[str | None, int]:
    sums: dict[str | None, int] = {}
    for entry in batch.entries:
        assert isinstance(entry, CostEntry)
        assert entry.on_statement
        sums[entry.job] = sums.get(entry.job, 0) + entry.net
    return sums


def asked(batch: Batch) -> list[str]:
    return [q.topic for q in batch.questions if q.topic not in ("cost kind", "tax")]


LINES: Rows = [
    ["2024-03-04", "Stone yard", 1480.0],
    ["2024-03-05", "Stone yard slab", 210.5],
    ["2024-03-06", "Glass panel", 650.0],
    ["2024-03-07", "Lumber", 84.7],
]


def test_amounts_without_a_sign_go_by_the_running_balance(tmp_path: Path, make: Make) -> None:
    ways = [-1, 1, -1, -1]
    rows: Rows = [["2024-03-01", "Opening balance", None, 5000.0, None]]
    balance = 5000.0
    for (day, text, amount), way in zip(LINES, ways, strict=True):
        balance = round(balance + way * amount, 2)  # type: ignore[operator]
        rows.append([day, text, amount, balance, "Moss bath"])
    head: Rows = [["Date", "Details", "Amount", "Balance", "Job"]]
    batch = read(make(tmp_path / "bank", head + rows))
    # 1,480.00 + 650.00 + 84.70; what came in as "Stone yard slab" may be anything and waits.
    assert by_job(batch) == {"Moss bath": 221_470}
    newest = read(make(tmp_path / "bank newest", head + rows[::-1]))
    assert by_job(newest) == {"Moss bath": 221_470}


@pytest.mark.parametrize("words", [("Debit", "Credit"), ("DR", "CR"), ("D", "C")])
def test_a_marker_says_it(tmp_path: Path, make: Make, words: tuple[str, str]) -> None:
    marks = [words[0], words[1], words[0], words[0]]
    for signed in (False, True):
        rows: Rows = [["Date", "Text", "Amount", "Dr/Cr", "Reference", "Job"]]
        for number, ((day, text, amount), mark) in enumerate(zip(LINES, marks, strict=True)):
            minus = signed and mark == words[0]
            shown = -amount if minus else amount  # type: ignore[operator]
            rows.append([day, f"{text} refund" if mark == words[1] else text, shown, mark,
                         4400817261 + number, "Moss bath"])  # fmt: skip
        batch = read(make(tmp_path / "march", rows))
        # 1,480.00 - 210.50 + 650.00 + 84.70
        assert by_job(batch) == {"Moss bath": 200_420}
        assert asked(batch) == []


def test_sales_returns_and_payments_of_a_card(tmp_path: Path, make: Make) -> None:
    rows: Rows = [
        ["No", "Date", "Type", "Account", "Description", "Amount", "Memo"],
        [1, "2024-05-03", "Sale", 4471, "Paint counter", -214.86, "Hazel bath"],
        [2, "2024-05-03", "Sale", 4471, "Hardware aisle", -58.19, "Hazel bath"],
        [3, "2024-05-07", "Sale", 8820, "Flooring outlet", -1312.0, "Finch kitchen"],
        [4, "2024-05-09", "Payment", 4471, "Thank you", 900.0, None],
        [5, "2024-05-10", "Return", 4471, "Paint counter", 61.02, "Hazel bath"],
    ]
    batch = read(make(tmp_path / "cards", rows))
    assert by_job(batch) == {"Hazel bath": 21_203, "Finch kitchen": 131_200}


def test_refunds_and_payments_stand_on_the_other_side(tmp_path: Path, make: Make) -> None:
    for turn in (1, -1):
        rows: Rows = [
            ["Date", "Merchant", "Category", "Class", "Amount"],
            ["2024-03-02", "CORNER LUMBER", "Job Supplies", "Ridge bath", 188.43 * turn],
            ["2024-03-09", "PAYMENT RECEIVED - THANK YOU", "Payment", None, -1800.0 * turn],
            ["2024-03-14", "TILE WAREHOUSE REFUND", "Job Supplies", "Ridge bath", -132.6 * turn],
            ["2024-03-18", "FUEL STOP", "Truck", "Overhead", 71.25 * turn],
        ]
        batch = read(make(tmp_path / "card", rows))
        assert by_job(batch) == {"Ridge bath": 5_583, None: 7_125}
        assert {e.kind for e in batch.entries if isinstance(e, CostEntry)} == {
            "material", "overhead",
        }  # fmt: skip


def test_nothing_proves_it_one_question_and_all_wait(tmp_path: Path, make: Make) -> None:
    # Three of four are on one side: a majority proves nothing.
    amounts = [-1480.0, -210.5, 650.0, -84.7]
    rows: Rows = [["Date", "Description", "Amount"]]
    rows += [[day, text, a] for (day, text, _), a in zip(LINES, amounts, strict=True)]
    path = make(tmp_path / "export", rows)
    batch = read(path)
    (question,) = batch.questions
    assert batch.entries == ()
    assert question.text.startswith("Are amounts above zero money spent, or money received?")
    assert (question.topic, question.rows_waiting, question.money) == ("sign", 4, 242_520)
    assert len(question.samples) == 3
    assert question.choices == ("money spent", "money received", "leave this file out")
    received = read(path, **{question.key: "money received"})
    assert [e.net for e in received.entries if isinstance(e, CostEntry)] == [148_000, 21_050, 8_470]
    spent = read(path, **{question.key: "money spent"})
    assert [e.net for e in spent.entries if isinstance(e, CostEntry)] == [65_000]
    assert read(path, **{question.key: "leave this file out"}).entries == ()


def test_debit_and_credit_may_be_an_account_books(tmp_path: Path, make: Make) -> None:
    # The balance rises by what stands under Debit: money received, if it is a bank's.
    rows: Rows = [
        ["Date", "Description", "Debit", "Credit", "Balance"],
        ["2024-03-01", "Mobile deposit", 5000.0, None, 6000.0],
        ["2024-03-02", "Stone yard", None, 1480.0, 4520.0],
        ["2024-03-03", "Lumber", None, 20.0, 4500.0],
    ]
    batch = read(make(tmp_path / "ledger", rows))
    assert by_job(batch) == {None: 150_000}
    unnamed: Rows = [[row[0], text, *row[2:]] for row, text in zip(rows[1:], "abc", strict=True)]
    path = make(tmp_path / "export", rows[:1] + unnamed)
    open_ = read(path)
    assert open_.entries == ()
    assert asked(open_) == ["sign"]
    key = key_of("sign", path.name, "March" if path.suffix == ".xlsx" else "")
    assert by_job(read(path, **{key: "money received"})) == {None: 150_000}


def test_columns_of_two_currencies(tmp_path: Path, make: Make) -> None:
    rows: Rows = [
        ["Card ending", "Posted", "Description", "CAD$", "USD$", "Job note"],
        [5519, "2024-06-03", "PLYWOOD", 284.61, None, "Orchard bath"],
        [5519, "2024-06-07", "DRAIN ONLINE", None, 148.0, "Orchard bath"],
        [5519, "2024-06-10", "PAYMENT THANK YOU", -2500.0, None, None],
        [5519, "2024-06-12", "PULLS", 90.0, 63.5, "Gable kitchen"],
        [5519, "2024-06-19", "PLYWOOD RETURN", -45.2, None, "Orchard bath"],
    ]
    found = [
        (e.job, e.net, e.currency)
        for e in read(make(tmp_path / "june", rows)).entries
        if isinstance(e, CostEntry)
    ]
    assert found == [
        ("Orchard bath", 28_461, "CAD"),
        ("Orchard bath", 14_800, "USD"),
        ("Gable kitchen", 9_000, "CAD"),
        ("Orchard bath", -4_520, "CAD"),
    ]


def test_a_balance_proves_columns_that_no_heading_names(tmp_path: Path, make: Make) -> None:
    rows: Rows = [["Posted", "Description", "Minus", "Plus", "Balance", "Our note"]]
    moved = [
        (-559.24, "BINS #1134", "ironwood"),
        (11559.9, "E-TFR RECEIVED", "ironwood dep"),
        (-1780.0, "OWNER DRAW", "draw"),
        (-656.53, "TILE #6078", "ironwood"),
        (-151.42, "LUMBER ACCT PAYMENT", None),
        (230.52, "TILE #6078 REFUND", "hickory"),
    ]
    balance = 20000.0
    for number, (cents, text, note) in enumerate(moved, 2):
        balance = round(balance + cents, 2)
        sides = [-cents, None] if cents < 0 else [None, cents]
        rows.append([f"2026-02-{number:02}", text, *sides, balance, note])
    path = make(tmp_path / "bank", rows)
    batch = read_file(path, FIRM, known_jobs=["Ironwood bath", "Hickory powder room"])
    assert by_job(batch) == {"ironwood": 121_577, "hickory": -23_052}
    assert any("pays a supplier's account" in f.text for f in batch.findings)
