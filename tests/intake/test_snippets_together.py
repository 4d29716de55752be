"""Snippets whose right result shows only when all is put together: files to a job's figures.

The snippets are invented; the right results beside them are worked out by hand.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from costlearn.assembly import assemble
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import Batch, CostEntry, History, JobEntry, PhaseEntry

FIRM = Firm(currency="CAD", exchange={"USD": {"2025-01-01": 1.4}})
Files = Callable[..., list[Batch]]


@pytest.fixture(params=["csv", "xlsx"])
def files(request: pytest.FixtureRequest, tmp_path: Path) -> Files:
    """Read several tables, each from a file of its own: text, or a workbook of the same cells."""

    def reader(firm: Firm = FIRM, **tables: str) -> list[Batch]:
        batches: list[Batch] = []
        for name, text in tables.items():
            path = tmp_path / f"{name}.{request.param}"
            if request.param == "csv":
                path.write_text(text, encoding="utf-8")
            else:
                book = openpyxl.Workbook()
                sheet = book.active
                assert sheet is not None
                for line in text.splitlines():
                    cells = line.split(",")
                    sheet.append([_typed(cell) for cell in cells])
                book.save(path)
            batches.append(read_file(path, firm))
        return batches

    return reader


def _typed(text: str) -> str | float | date | None:
    """What a spreadsheet makes of a typed text."""
    try:
        return float(text) if "-" not in text[1:] else date.fromisoformat(text)
    except ValueError:
        return text or None


def together(batches: list[Batch], firm: Firm = FIRM) -> History:
    return assemble([entry for batch in batches for entry in batch.entries], firm)


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]


CURRENCIES = """Date,Vendor,Job,Category,Amount
2025-04-02,Tile yard,J11,Materials,US$ 640
2025-04-02,Tile yard,J11,Materials,C$ 910
2025-04-03,Tile yard,J11,Materials,CAD 210.50
2025-04-04,Tile yard,J11,Materials,$75
"""


def test_currencies_are_added_at_a_dated_rate_only(files: Files) -> None:
    batches = files(receipts=CURRENCIES)
    lines = [e for e in batches[0].entries if isinstance(e, CostEntry)]
    assert [(e.net, e.currency) for e in lines] == [
        (64_000, "USD"),
        (91_000, "CAD"),
        (21_050, "CAD"),
        (7_500, None),
    ]
    # 910 + 210.50 = 1,120.50; the bare 75 is the firm's own; 640 x 1.40 = 896: 2,091.50.
    assert together(batches).jobs[0].actual.material == 209_150
    without = Firm(currency="CAD")
    job = together(batches, without).jobs[0]
    assert job.actual.material == 119_550
    assert any("1 cost line in USD" in c and "left out" in c for c in job.conflicts)


SPLIT = """Date,Vendor,Invoice,Amount,Category,Split
2025-04-02,Supply yard,SUP-5521,{amount},Materials,{split}
"""


@pytest.mark.parametrize(
    "split",
    [
        "J11 50% / J12 30% / shop 20%",
        "J11: 50 % ; J12: 30 % ; shop: 20 %",
        "J11 50% / J12 30% / shop rest",
        "J11 300.00 / J12 180.00 / shop 120.00",
        "J11 $300 / J12 $180 / shop the rest",
    ],
)
def test_a_receipt_for_two_jobs_and_the_shop(files: Files, split: str) -> None:
    (batch,) = files(receipts=SPLIT.format(amount="600.00", split=split))
    lines = [e for e in batch.entries if isinstance(e, CostEntry)]
    assert [(e.job, e.kind, e.net) for e in lines] == [
        ("J11", "material", 30_000),
        ("J12", "material", 18_000),
        (None, "overhead", 12_000),
    ]
    assert sum(e.net for e in lines) == 60_000


def test_odd_cents_go_to_the_largest_remainders(files: Files) -> None:
    split = "J11 33.33% / J12 33.33% / J13 33.34%"
    (batch,) = files(receipts=SPLIT.format(amount="100.00", split=split))
    # 33.33, 33.33 and 33.34 exactly; of 10.01: 3.336333, 3.336333, 3.337334 -> 3.34 + 3.33 + 3.34.
    assert [e.net for e in batch.entries if isinstance(e, CostEntry)] == [3_333, 3_333, 3_334]
    (batch,) = files(receipts=SPLIT.format(amount="10.01", split=split))
    assert [e.net for e in batch.entries if isinstance(e, CostEntry)] == [334, 333, 334]


@pytest.mark.parametrize(
    ("split", "told"),
    [
        ("J11 60% / J12 30%", "add up to 90 %, not 100 %"),
        ("J11 60% / J12 60%", "add up to 120 %, not 100 %"),
        ("J11 60% / J12 40% / shop rest", "leave no rest: 100 %"),
        ("J11 300.00 / J12 180.00", "add up to 480.00, not to 600.00"),
        ("J11 400.00 / J12 200.00 / shop rest", "leave no rest of 600.00"),
    ],
)
def test_shares_that_do_not_make_the_whole_are_refused_by_name(
    files: Files, split: str, told: str
) -> None:
    (batch,) = files(receipts=SPLIT.format(amount="600.00", split=split))
    assert batch.entries == ()
    (aside,) = [f for f in batch.findings if f.kind == "set aside"]
    assert told in aside.text
    assert "SUP-5521" in aside.raw
    assert aside.place.row == 2


def test_a_split_in_the_notes_of_a_line_without_a_job(files: Files) -> None:
    (batch,) = files(
        receipts="Date,Vendor,Job,Category,Amount,Notes\n"
        "2025-04-02,Supply yard,,Materials,-600,J11 50% / J12 50%\n"
        "2025-04-02,Supply yard,Maple / Oak,Materials,50,\n"
    )
    lines = [(e.job, e.net) for e in batch.entries if isinstance(e, CostEntry)]
    assert lines == [("J11", -30_000), ("J12", -30_000), ("Maple / Oak", 5_000)]


CHANGES = """Job,Change order,Amount
J14,Base contract,18500
J14,CO1 add niche + heated floor,1450
J14,CO2 delete accent wall,-600
J14,CO3 (verbal) move valve,350
"""


def test_change_orders_on_a_base_contract(files: Files) -> None:
    job = together(files(changes=CHANGES)).jobs[0]
    assert job.price == 1_850_000
    # 1,450 - 600 = 850 approved makes 19,350; with the 350 only spoken of it would be 19,700.
    assert (job.changed_price, job.agreed_price) == (85_000, 1_935_000)
    assert job.verbal_price == 35_000
    assert [c.state for c in job.changes] == ["approved", "approved", "verbal"]


def test_changes_declined_and_verbal_by_their_own_column(files: Files) -> None:
    job = together(
        files(
            changes="Job,Change order,Amount,Status\nJ14,Base contract,18500,\n"
            "J14,niche,1450,Signed\nJ14,bench,900,declined\nJ14,valve,350,verbal ok\n"
        )
    ).jobs[0]
    assert [c.state for c in job.changes] == ["approved", "declined", "verbal"]
    assert (job.agreed_price, job.verbal_price) == (1_995_000, 35_000)


RECEIPT = """Date,Vendor,Invoice,Job,Category,Amount
2025-04-02,Supply yard,INV 5521,J11,Materials,600.00
"""
CARD = """Date,Description,Amount
2025-04-03,SUPPLY YARD,600.00
2025-04-04,SUPPLY YARD,600.00
2025-04-09,PAYMENT THANK YOU,-1200.00
"""


def test_a_receipt_and_its_card_line_are_one_purchase(files: Files) -> None:
    history = together(files(receipts=RECEIPT, card=CARD))
    (twin,) = history.twins
    assert (twin.first[0].document, twin.second[0].day) == ("INV 5521", date(2025, 4, 3))
    assert twin.counted.file.startswith("receipts")
    # The job holds the purchase once; the card's second line is another one and waits for its job.
    assert history.jobs[0].actual.material == 60_000
    assert [e.net for e in history.loose_costs] == [60_000]


def test_open_and_closed_books(files: Files) -> None:
    (batch,) = files(jobs="Job,Books,Cost\nA,open,100\nB,closed,100\nC,,100\nD,maybe,100\n")
    entries = [e for e in batch.entries if isinstance(e, JobEntry)]
    assert [e.books_closed for e in entries] == [False, True, None, None]
    assert any("neither open nor closed" in t for t in texts(batch, "set aside"))
    history = together([batch])
    assert {j.name for j in history.open_books} == {"A"}
    (batch,) = files(jobs="Job,Bills to come,Cost\nA,yes,100\nB,no,100\n")
    entries = [e for e in batch.entries if isinstance(e, JobEntry)]
    assert [e.books_closed for e in entries] == [False, True]


FRENCH = """Poste,Heures,Coût réel
Arrachage,12.5,1250
Électricité brute,6,700
Étanchéité,8,640
Carrelage,30,2400.5
Armoires,9,3100
Nettoyage,3,150
Finition,2,100
Divers,1,50
"""


def test_french_phases(files: Files) -> None:
    (batch,) = files(**{"salle de bain": FRENCH})
    entries = [e for e in batch.entries if isinstance(e, PhaseEntry)]
    assert [e.phase for e in entries] == [
        "demo", "elec_rough", "waterproof", "tile", "cabs_trim", "closeout", "unassigned",
        "unassigned",
    ]  # fmt: skip
    assert sum((e.actual.person_days or 0) * 8 for e in entries) == 71.5
    assert sum(e.actual.cost or 0 for e in entries) == 839_050
    assert any("'Finition' may mean" in t for t in texts(batch, "asked"))


# -- what only a workbook can hold ----------------------------------------------------------------


def test_merged_jobs_two_row_headings_hidden_rows_and_stored_results(tmp_path: Path) -> None:
    path = tmp_path / "phases.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Bathrooms")
        sheet.merge_range(0, 0, 0, 5, "Bathrooms 2024")
        sheet.merge_range(2, 2, 2, 3, "Planned")
        sheet.merge_range(2, 4, 2, 5, "Actual")
        sheet.write_row(3, 0, ["Job", "Phase", "Hrs", "Cost", "Hrs", "Cost"])
        sheet.merge_range(4, 0, 5, 0, "J-07 hall bath")
        sheet.write_row(4, 1, ["Demo", 12, 900, 14])
        sheet.write_formula(4, 5, "=14*70", value=980)
        sheet.write_row(5, 1, ["Tile", 30, 2250, 31.5])
        sheet.write_formula(5, 5, "=1/0", value="#DIV/0!")
        sheet.write_row(6, 0, ["J-08", "Demo", 8, 600, 8, 610])
        sheet.set_row(6, None, None, {"hidden": True})
        sheet.set_column(3, 3, None, None, {"hidden": True})
        sheet.write(7, 1, "TOTAL")
        sheet.write_formula(7, 4, "=SUM(E5:E7)", value=53.5)
    batch = read_file(path, FIRM)
    entries = [e for e in batch.entries if isinstance(e, PhaseEntry)]
    assert [
        (e.job, e.phase, (e.plan.person_days or 0) * 8, e.plan.cost, e.actual.cost) for e in entries
    ] == [
        ("J-07 hall bath", "demo", 12, 90_000, 98_000),
        ("J-07 hall bath", "tile", 30, 225_000, None),
        ("J-08", "demo", 8, 60_000, 61_000),
    ]
    assert [e.actual.person_days for e in entries] == [14 / 8, 31.5 / 8, 1.0]
    # 14 + 31.5 + 8 = 53.5
    assert any("53.5 hours agrees" in t for t in texts(batch, "checked"))
    assert any("one row is hidden" in t for t in texts(batch, "understood"))
    assert any("one column is hidden" in t for t in texts(batch, "understood"))
    assert any(f.raw == "#DIV/0!" for f in batch.findings if f.kind == "set aside")


def test_contradicting_dates_in_a_workbook_name_both_rows(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["Job", "Date", "Hrs"], ["A", "13/02/2025", 8], ["A", "02/14/2025", 8]):
        sheet.append(row)
    book.save(tmp_path / "log.xlsx")
    batch = read_file(tmp_path / "log.xlsx", FIRM)
    assert any("rows 2 and 3 contradict" in f.text for f in batch.findings)
