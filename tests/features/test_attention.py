"""What of the records alone is worth a look: purchases on file twice."""

from __future__ import annotations

from datetime import date

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.features.attention import KINDS, of_records
from costlearn.firm import Firm
from costlearn.records import CostEntry


def test_a_purchase_whose_two_records_disagree() -> None:
    bill = CostEntry(
        "J11", "material", 60_000, Place("r.csv", "", 2), day=date(2025, 4, 2), payee="Supply yard"
    )
    card = CostEntry(
        "J12", "material", 60_000, Place("c.csv", "", 7), day=date(2025, 4, 3), payee="SUPPLY YARD",
        on_statement=True,
    )  # fmt: skip
    (found,) = of_records(assemble([card, bill], Firm()))
    assert (found.job, found.kind) == ("J11", "one purchase twice")
    assert found.places == (bill.place, card.place)
    assert "which disagree: job 'J11' and 'J12'; the first is counted" in found.sentence
    assert found.kind in KINDS
    assert of_records(assemble([bill], Firm())) == ()
