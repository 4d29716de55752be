"""One purchase in the receipts and on the card: told once, nothing dropped."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.features.attention import say_twin
from costlearn.firm import Firm
from costlearn.records import CostEntry, Entry, History, Twin

FIRM = Firm(currency="CAD", day_rate=400.0)


def bill(
    cents: int, day: int | None = 2, *, row: int = 2, file: str = "receipts.csv", **more: object
) -> CostEntry:
    said: dict[str, object] = {"payee": "Supply yard", "sheet": "", "job": "J11"}
    said.update(more)
    return CostEntry(
        said.pop("job"),  # type: ignore[arg-type]
        str(said.pop("kind", "material")),
        cents,
        Place(file, str(said.pop("sheet")), row),
        day=None if day is None else date(2025, 4, day),
        **said,  # type: ignore[arg-type]
    )


def card(cents: int, day: int | None = 3, **more: object) -> CostEntry:
    said: dict[str, object] = {"payee": "POS SUPPLY YARD 0441", "job": None, "file": "card.csv"}
    return bill(cents, day, **(said | more))  # type: ignore[arg-type]


def history(*entries: Entry, firm: Firm = FIRM) -> History:
    return assemble(entries, firm)


def only(*entries: Entry) -> Twin:
    (twin,) = history(*entries).twins
    return twin


def test_a_receipt_and_a_card_line_are_flagged_once_and_both_kept() -> None:
    receipt, line = bill(60_000, document="5521"), card(60_000, row=7)
    found = history(receipt, line)
    (twin,) = found.twins
    assert (twin.first, twin.second) == ((receipt,), (line,))
    assert say_twin(twin) == (
        "600.00 (Supply yard) stands at receipts.csv, row 2 and at card.csv, row 7 and may be one "
        "purchase; only the one at receipts.csv, row 2 is counted, the other is in no job's cost."
    )
    # The receipt's 600.00 is the job's material; the card's waits for a job and counts nowhere.
    assert found.job("J11").actual.material == 60_000  # type: ignore[union-attr]
    assert found.loose_costs == (line,)


def test_two_that_both_name_a_job_both_count_and_the_job_says_so() -> None:
    found = history(bill(60_000), card(60_000, job="J11"))
    job = found.job("J11")
    assert job is not None
    assert job.actual.material == 120_000
    assert any("1 purchase may stand twice" in c and "both are counted" in c for c in job.conflicts)
    assert found.twins[0].counted == "both are counted"


def test_what_neither_names_a_job_counts_nowhere() -> None:
    found = history(bill(60_000, job=None), card(60_000))
    assert found.twins[0].counted == "neither is counted in a job"
    assert len(found.loose_costs) == 2


@pytest.mark.parametrize(
    ("other", "twin"),
    [
        (card(60_000, 5), True),
        (card(60_000, 6), False),  # four days later
        (card(60_001), False),
        (card(60_000, payee="TILE YARD 0441"), False),
        (card(60_000, payee="SUPPLYYARD*CENTRE"), True),
        (card(60_000, payee=""), True),  # nobody named does not speak against it
        (card(60_000, None), False),  # no day, no document
        (card(60_000, currency="USD"), False),
        (card(60_000, currency="CAD"), True),
        (card(-60_000), False),
        (bill(60_000, 3, row=9), False),  # two lines of one sheet are two purchases
        (bill(60_000, 3, row=9, sheet="card"), True),
        (bill(60_000, 3, file="b.csv", document="INV 5522"), False),
        (bill(60_000, 3, file="b.csv", document="INV 5521"), True),
        (bill(60_000, None, file="b.csv", document="sup-5521"), True),
    ],
)
def test_amount_days_and_payee_must_be_alike(other: CostEntry, twin: bool) -> None:
    assert bool(history(bill(60_000, document="SUP-5521"), other).twins) is twin


def test_tax_is_part_of_what_the_card_shows() -> None:
    # 600.00 and 78.00 tax are 678.00 on the card.
    assert only(bill(60_000, tax=7_800), card(67_800)).first[0].net == 60_000
    assert history(bill(60_000, tax=7_800), card(60_000)).twins == ()


def test_a_split_receipt_is_one_purchase() -> None:
    # 300.00 + 180.00 + 120.00 of one row are the 600.00 of the card.
    parts = (
        bill(30_000, job="J11"),
        bill(18_000, job="J12"),
        bill(12_000, job=None, kind="overhead"),
    )
    twin = only(*parts, card(60_000))
    assert twin.first == parts
    assert "only the one at receipts.csv" in twin.counted


def test_each_purchase_is_in_one_pair_the_nearest() -> None:
    receipt = bill(60_000, 2)
    far, near = card(60_000, 5, row=8), card(60_000, 3, row=9)
    found = history(receipt, far, near)
    assert [t.second for t in found.twins] == [(near,)]
    two = history(receipt, bill(60_000, 4, row=3), near, far)
    # 2 with 3 and 4 with 5 April are each a day apart.
    assert [(t.first[0].day.day, t.second[0].day.day) for t in two.twins] == [(2, 3), (4, 5)]  # type: ignore[union-attr]


def test_refunds_are_matched_too() -> None:
    assert only(bill(-5_820), card(-5_820, payee="POS SUPPLY YARD REFUND")).second[0].net == -5_820
