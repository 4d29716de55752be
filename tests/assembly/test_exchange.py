"""Cost lines in another currency: turned at the rate of their day, or left out and said."""

from __future__ import annotations

from datetime import date

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import CostEntry, Job

RATES = {"USD": {"2025-01-01": 1.44, "2025-06-01": 1.37}}


def only(lines: list[CostEntry], **firm: object) -> Job:
    said: dict[str, object] = {"currency": "CAD", "exchange": RATES}
    (job,) = assemble(lines, Firm(**(said | firm))).jobs  # type: ignore[arg-type]
    return job


def line(cents: int, month: int, currency: str | None = "USD", **more: object) -> CostEntry:
    place = Place("r.csv", "", month + 1)
    said: dict[str, object] = {"day": date(2025, month, 15)} | more
    return CostEntry("J-1", "material", cents, place, currency=currency, **said)  # type: ignore[arg-type]


def test_a_rate_holds_from_its_date_until_the_next() -> None:
    job = only([line(64_000, 3), line(10_000, 7), line(91_000, 7, "CAD"), line(5_000, 8, None)])
    # 640 x 1.44 = 921.60; 100 x 1.37 = 137; with 910 and 50 in the firm's own: 2,018.60.
    assert job.actual.material == 201_860
    (origin,) = (o for o in job.origins if o.figure == "actual.material")
    assert origin.how == (
        "sum of 4 cost lines, net of tax, 1 in USD at 1.44 of 2025-01-01, "
        "1 in USD at 1.37 of 2025-06-01"
    )


def test_half_a_cent_goes_away_from_zero() -> None:
    rates = {"USD": {"2025-01-01": 1.5}}
    assert only([line(1, 3)], exchange=rates).actual.material == 2
    assert only([line(-1, 3)], exchange=rates).actual.material == -2


def test_tax_is_turned_too_where_it_is_cost() -> None:
    job = only([line(10_000, 3, tax=1_300)], tax_recoverable=False)
    # 100 x 1.44 = 144; 13 x 1.44 = 18.72.
    assert job.actual.material == 16_272


def test_without_a_rate_a_line_is_left_out_and_said() -> None:
    early = line(64_000, 3)
    for given in ({}, {"USD": {"2025-05-01": 1.44}}, {"EUR": {"2025-01-01": 1.6}}):
        job = only([early, line(10_000, 3, None)], exchange=given)
        assert job.actual.material == 10_000
        (said,) = (c for c in job.conflicts if "USD" in c)
        assert "1 cost line in USD (r.csv, row 4) left out of the sums" in said
    undated = only([line(64_000, 3, day=None)])
    assert undated.actual.material is None
