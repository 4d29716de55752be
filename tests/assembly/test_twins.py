"""One purchase in the receipts and on the card: counted once, both places told."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.assembly import assemble
from costlearn.assembly.purchases import ONE, TWO
from costlearn.assembly.twins import say_twin, twin_questions
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import CostEntry, Entry, History, Job, Twin

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
    said["on_statement"] = True
    return bill(cents, day, **(said | more))  # type: ignore[arg-type]


def history(*entries: Entry, firm: Firm = FIRM) -> History:
    return assemble(entries, firm)


def only(*entries: Entry) -> Twin:
    (twin,) = history(*entries).twins
    return twin


def material(*entries: Entry, told: dict[str, str] | None = None) -> int | None:
    job = assemble(entries, FIRM, told).job("J11")
    return None if job is None else job.actual.material


def disagreements(job: Job) -> list[str]:
    """What a job says about its purchases; these jobs have no labour, which is another matter."""
    return [text for text in job.conflicts if "is left open" not in text]


def test_a_receipt_and_a_card_line_are_one_and_the_job_tells_both_places() -> None:
    receipt, line = bill(60_000, document="5521"), card(60_000, row=7)
    found = history(receipt, line)
    (twin,) = found.twins
    assert (twin.first, twin.second, twin.sure) == ((receipt,), (line,), True)
    assert twin.counted == receipt.place
    job = found.job("J11")
    assert job is not None
    assert job.actual.material == 60_000
    (origin,) = (o for o in job.origins if o.figure == "actual.material")
    assert origin.places == (receipt.place, line.place)
    assert origin.how.endswith("1 of them in a second table too, counted once")
    # The card's line waits for no job: its receipt has one.
    assert (found.loose_costs, disagreements(job), twin_questions(found.twins)) == ((), [], ())


def test_both_with_a_job_count_once_whatever_came_first() -> None:
    pair = (bill(60_000, tax=7_800), card(67_800, job="J11"))
    for order in (pair, pair[::-1]):
        found = history(*order)
        job = found.job("J11")
        assert job is not None
        assert (job.actual.material, disagreements(job)) == (60_000, [])
        assert found.twins[0].first == pair[:1]


def test_another_job_or_kind_on_the_card_is_told_and_the_receipt_counts() -> None:
    found = history(bill(60_000), card(60_000, job="J12", kind="sub"))
    (job,) = found.jobs
    assert (job.name, job.actual.material, job.actual.sub) == ("J11", 60_000, None)
    assert disagreements(job) == [
        "direct cost: 600.00 (Supply yard) stands at receipts.csv, row 2 and at card.csv, row 2, "
        "which disagree: job 'J11' and 'J12' and kind 'material' and 'sub'; the first is counted.",
    ]


def test_a_job_written_shorter_is_no_disagreement() -> None:
    found = history(bill(60_000, job="14 Juniper"), card(60_000, job="juniper 14 bath"))
    assert [(t.sure, t.differ) for t in found.twins] == [(True, ())]


def test_a_receipt_takes_what_only_the_card_says() -> None:
    job = history(
        bill(60_000, tax=7_800, job=None, kind="unassigned"),
        card(67_800, job="J11 hall bath", phase="tile", kind="material"),
    ).jobs[0]
    assert (job.name, job.actual.material) == ("J11 hall bath", 60_000)
    assert [p.phase for p in job.phases] == ["tile"]
    # 600.00 shared as 339.00 and 339.00 of 678.00.
    shared = history(
        bill(60_000, tax=7_800, job=None), card(33_900, job="J11"), card(33_900, job="J12")
    )
    assert [j.actual.material for j in shared.jobs] == [30_000, 30_000]


def test_what_neither_names_a_job_waits_once() -> None:
    receipt = bill(60_000, job=None)
    assert history(receipt, card(60_000)).loose_costs == (receipt,)


def test_more_of_them_in_one_table_are_more_purchases() -> None:
    bought = (bill(60_000, 2), bill(60_000, 3, row=3))
    paid = tuple(card(60_000, 4, row=n, job="J11") for n in (2, 3, 4))
    assert material(*bought, *paid) == 180_000
    assert material(*bought, *paid[:1]) == 120_000


def test_as_many_pairs_are_found_as_can_be() -> None:
    # The nearest pair first (4 with 4 April) would leave 2 and 7 April five days apart.
    bought = (bill(60_000, 2), bill(60_000, 4, row=3))
    paid = (card(60_000, 4, job="J11"), card(60_000, 7, row=3, job="J11"))
    assert material(*bought, *paid) == 120_000


def test_a_purchase_in_three_tables_counts_once() -> None:
    card_line = card(60_000, job="J11")
    again = card(60_000, job="J11", file="card to june.csv")
    assert material(bill(60_000), card_line, again) == 60_000


def test_the_lines_of_one_bill_are_one_payment() -> None:
    lines = [bill(n, document="471", row=row) for row, n in enumerate((40_000, 15_000, 5_000), 2)]
    assert material(*lines, card(60_000, job="J11")) == 60_000
    # A line paid for by itself is found too.
    assert material(*lines, card(15_000, job="J11")) == 60_000


def test_where_it_is_open_one_question_decides() -> None:
    pair = (bill(61_234, 2), card(61_234, 7, job="J11"))
    found = history(*pair)
    (asked,) = twin_questions(found.twins)
    assert (
        asked.key == "twin: 2025-04-02 Supply yard 612.34 / 2025-04-07 POS SUPPLY YARD 0441 612.34"
    )
    assert (asked.choices, asked.money) == ((ONE, TWO), 61_234)
    assert material(*pair) == 61_234
    assert "may be one purchase" in found.jobs[0].conflicts[0]
    assert material(*pair, told={asked.key: TWO}) == 122_468
    one = assemble(pair, FIRM, {asked.key: ONE})
    assert (twin_questions(one.twins), disagreements(one.jobs[0])) == ((), [])
    # Another payee within three days is asked about as well, a round sum or another job is not.
    assert twin_questions(history(pair[0], card(61_234, 3, job="J11", payee="HJ 7 CO")).twins)
    assert not history(bill(60_000), card(60_000, 3, job="J11", payee="HJ 7 CO")).twins
    assert not history(pair[0], card(61_234, 3, job="J12", payee="HJ 7 CO")).twins


@pytest.mark.parametrize(
    ("other", "twin"),
    [
        (card(60_000, 5), True),
        (card(60_000, 6), False),  # four days later, and no job yet
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
        (card(60_000, document="5512340098"), True),  # a bank's reference is no bill's number
    ],
)
def test_amount_days_and_payee_must_be_alike(other: CostEntry, twin: bool) -> None:
    assert bool(history(bill(60_000, document="SUP-5521"), other).twins) is twin


def test_tax_is_part_of_what_the_card_shows() -> None:
    # 600.00 and 78.00 tax are 678.00 on the card.
    assert only(bill(60_000, tax=7_800), card(67_800)).first[0].net == 60_000
    assert only(bill(60_000, tax=7_800), card(60_000)).first[0].net == 60_000
    assert history(bill(60_000, tax=7_800), card(60_001)).twins == ()


def test_a_split_receipt_is_one_purchase() -> None:
    # 300.00 + 180.00 + 120.00 of one row are the 600.00 of the card.
    parts = (
        bill(30_000, job="J11"),
        bill(18_000, job="J12"),
        bill(12_000, job=None, kind="overhead"),
    )
    twin = only(*parts, card(60_000))
    assert twin.first == parts


def test_each_purchase_is_in_one_pair_the_nearest() -> None:
    receipt = bill(60_000, 2)
    far, near = card(60_000, 5, row=8), card(60_000, 3, row=9)
    found = history(receipt, far, near)
    assert [t.second for t in found.twins] == [(near,)]
    assert say_twin(found.twins[0]) == (
        "600.00 (Supply yard) stands at receipts.csv, row 2 and at card.csv, row 9; the first is "
        "counted."
    )
    two = history(receipt, bill(60_000, 4, row=3), near, far)
    # 2 with 3 and 4 with 5 April are each a day apart.
    assert [(t.first[0].day.day, t.second[0].day.day) for t in two.twins] == [(2, 3), (4, 5)]  # type: ignore[union-attr]


def test_refunds_are_matched_too() -> None:
    assert only(bill(-5_820), card(-5_820, payee="POS SUPPLY YARD REFUND")).second[0].net == -5_820
