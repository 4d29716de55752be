"""Tax, totals, deposits and credit notes inside bills: checked, and no further cost."""

from __future__ import annotations

from collections.abc import Callable

from costlearn.intake.taxed_headings import tax_line
from costlearn.records import Batch, CostEntry

Read = Callable[..., Batch]


def lines(batch: Batch) -> list[tuple[str | None, int, int | None]]:
    return [(e.job, e.net, e.tax) for e in batch.entries if isinstance(e, CostEntry)]


def test_one_suppliers_bill(read: Read) -> None:
    batch = read(
        "Invoice 20418,,,\nJob: Wren ensuite,,,\n,,,\nQty,Item,Each,Amount\n"
        "14,Wall tile box,62.40,873.60\n6,Thinset bag,31.75,190.50\n1,Delivery,85.00,85.00\n"
        ",,Subtotal,1149.10\n,,Tax 13%,149.38\n,,Total,1298.48\n,,Deposit paid,500.00\n"
        ",,Balance due,798.48\n",
        name="tile bill.csv",
    )
    # 149.38 by 873.60, 190.50 and 85.00: 113.57, 24.76 and 11.05.
    assert lines(batch) == [
        ("Wren ensuite", 87_360, 11_357),
        ("Wren ensuite", 19_050, 2_476),
        ("Wren ensuite", 8_500, 1_105),
    ]
    checked = [f.text for f in batch.findings if f.kind == "checked"]
    assert "'Tax 13%' 149.38 is the tax on 1,149.10 above, kept apart" in checked
    assert sum("no further cost" in f.text for f in batch.findings) == 2


def test_credit_notes_deposits_and_a_total_by_another_name(read: Read) -> None:
    batch = read(
        "Date,From,What it is,Net,Tax,Gross,Job\n"
        "2024-07-02,Glass maker,Deposit 40%,400,20,420,Fern ensuite\n"
        "2024-07-05,Tile importer,Invoice,1260,63,1323,Fern ensuite\n"
        "2024-07-16,Tile importer,Credit note,180,9,189,Fern ensuite\n"
        "2024-07-23,Glass maker,Balance after deposit,600,30,630,Fern ensuite\n"
        "All bills,,,2080,104,2184,\n"
    )
    assert lines(batch) == [
        ("Fern ensuite", 40_000, 2_000),
        ("Fern ensuite", 126_000, 6_300),
        ("Fern ensuite", -18_000, -900),
        ("Fern ensuite", 60_000, 3_000),
    ]


def test_running_and_reference_numbers_are_neither_jobs_nor_money(read: Read) -> None:
    batch = read(
        "#;Payee;Reference no.;Paid;Site;Amount\n"
        "1041;Marble cutter;8003217764;2024-01-18;Thorn bath;720.00\n"
        "1042;Waste hauler;8003217790;2024-01-19;Thorn bath;385.00\n"
        ";Subtotal;;;Thorn bath;1105.00\n"
        "1046;Plumber;8003219417;2024-02-06;Quarry laundry;1675.50\n"
    )
    assert [(job, net) for job, net, _ in lines(batch)] == [
        ("Thorn bath", 72_000),
        ("Thorn bath", 38_500),
        ("Quarry laundry", 167_550),
    ]


def test_lines_of_tax() -> None:
    said = ["hst 13%", "gst", "tax 5%", "sales tax", "13% hst", "gst + pst", "tax office", "tile"]
    assert [tax_line(text) for text in said] == [13, 0, 5, 0, 13, 0, None, None]


def test_a_line_whose_amount_cannot_be_read_waits_though_its_total_can(read: Read) -> None:
    batch = read(
        "Date,Supplier,What,Net,HST,Total,Job\n2025-11-02,Lumber,boards,100,13,113,Dogwood\n"
        "2025-11-03,Lumber,drywall,23l.8O,30.13,261.93,Dogwood\n"
    )
    assert lines(batch) == [("Dogwood", 10_000, 1_300)]
    assert any("'23l.8O' cannot be read, so the line waits" in f.text for f in batch.findings)


def test_goods_taken_back_lower_the_cost_and_halves_are_shared(read: Read) -> None:
    batch = read(
        "Date,Supplier,What,Net,Job,Note\n"
        "2025-03-09,Tile,3 boxes taken back,204,Ironwood,CREDIT they gave us\n"
        "2025-03-10,Hardware,paint,236.40,half birch half aspen,\n"
        "2025-03-11,Hardware,return air grille,20,birch,paid by credit card\n"
    )
    assert [(job, net) for job, net, _ in lines(batch)] == [
        ("Ironwood", -20_400),
        ("birch", 11_820),
        ("aspen", 11_820),
        ("birch", 2_000),
    ]
