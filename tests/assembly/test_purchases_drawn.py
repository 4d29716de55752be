"""Any purchases, written as receipts and again on a card or a bank's list, cost what they cost."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from costlearn.assembly import assemble
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import COST_KINDS, Entry

FIRM = Firm(currency="CAD")
PAYEES = ("Tile Barn", "Plumbing Counter", "Lumber Yard", "Corner Hardware")
JOBS = ("Merlin bath", "Osprey laundry")

purchase = st.tuples(
    st.integers(0, 9),  # the day it was bought
    st.integers(0, 3),  # days until it was charged
    st.sampled_from(PAYEES),
    st.sampled_from(JOBS),
    # Few amounts, so that many are alike.
    st.sampled_from((14_900, 14_900, 31_275, 5_001, 86_420)),
    st.booleans(),  # the owner wrote the job beside the card's line too
)


def money(cents: int) -> str:
    return f"{cents / 100:.2f}"


def receipts(bought: list[tuple[int, int, str, str, int, bool]], *, taxed: bool) -> str:
    lines = ["Date,Shop,Invoice,Job,Category,Amount" + (",HST" if taxed else "")]
    for number, (day, _, payee, job, cents, _) in enumerate(bought):
        when = date(2024, 3, 4) + timedelta(days=day)
        tax = f",{money(round(cents * 0.13))}" if taxed else ""
        lines.append(f"{when},{payee},A-{1180 + number},{job},Materials,{money(cents)}{tax}")
    return "\n".join(lines) + "\n"


def statement(
    bought: list[tuple[int, int, str, str, int, bool]], how: str, *, taxed: bool, newest: bool
) -> str:
    """The same purchases among other lines, by one convention of signs."""
    moved = []
    for day, gap, payee, job, cents, named in bought:
        paid = cents + (round(cents * 0.13) if taxed else 0)
        when = date(2024, 3, 4) + timedelta(days=day + gap)
        moved.append((when, f"{payee.upper()} 0031", paid, job if named else ""))
    moved.append((date(2024, 3, 20), "MOBILE DEPOSIT", -500_000, JOBS[0]))
    moved.append((date(2024, 3, 21), "TRANSFER TO SAVINGS", 100_000, ""))
    moved.sort(key=lambda line: line[0])
    heads = {"balance": "Amount,Balance", "marker": "Amount,Dr/Cr", "signed": "Amount",
             "columns": "Withdrawals,Deposits"}  # fmt: skip
    lines, balance = [], 2_000_000
    for when, text, out, job in moved:
        balance -= out
        amount = {
            "balance": f"{money(abs(out))},{money(balance)}",
            "marker": f"{money(abs(out))},{'Debit' if out > 0 else 'Credit'}",
            "signed": money(-out),
            "columns": f"{money(out)}," if out > 0 else f",{money(-out)}",
        }[how]
        lines.append(f"{when},{text},{amount},{job}")
    opening = {"balance": ["2024-03-01,Opening balance,,20000.00,"]}.get(how, [])
    body = opening + lines
    head = f"Date,Description,{heads[how]},Job note"
    return "\n".join([head, *(body[::-1] if newest else body)]) + "\n"


def entries(folder: Path, name: str, text: str) -> list[Entry]:
    path = folder / name
    path.write_text(text, "utf-8")
    return list(read_file(path, FIRM).entries)


def costs(listed: list[Entry]) -> dict[str, int]:
    """What was bought for each job, in cents."""
    jobs = assemble(listed, FIRM).jobs
    return {j.name: sum(getattr(j.actual, kind) or 0 for kind in COST_KINDS) for j in jobs}


@settings(deadline=None, max_examples=40)
@given(
    bought=st.lists(purchase, min_size=1, max_size=8),
    how=st.sampled_from(("balance", "marker", "signed", "columns")),
    taxed=st.booleans(),
    newest=st.booleans(),
)
def test_each_purchase_counts_once_in_either_order(
    bought: list[tuple[int, int, str, str, int, bool]], how: str, taxed: bool, newest: bool
) -> None:
    with TemporaryDirectory() as made:
        listed = entries(Path(made), "receipts.csv", receipts(bought, taxed=taxed))
        paid = entries(Path(made), "bank.csv", statement(bought, how, taxed=taxed, newest=newest))
    alone = costs(listed)
    assert costs([*listed, *paid]) == alone
    assert costs([*paid, *listed]) == alone
