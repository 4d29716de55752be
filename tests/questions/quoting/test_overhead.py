"""What a site day leaves against what it must carry."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from making import bathrooms, new_bathroom, phased

from costlearn.firm import Firm
from costlearn.questions.learning import Prediction, joint_of, predict
from costlearn.questions.quoting.overhead import overhead_table, recovery
from costlearn.questions.quoting.quote import check
from costlearn.records import Amounts, History


@cache
def history() -> History:
    return phased(bathrooms(25, noise=0.12))


@cache
def found() -> dict[str, Prediction]:
    targets = ("cost", "site_days")
    return {t: p for t in targets if (p := predict(history(), new_bathroom(), t, quoted=True))}


def test_overhead_of_a_day():
    """91,000 over 243 days is 374.49 a day.

    Source: a worked example of a trade column, recomputed (91,000 / 243 = 374.4856).
    """
    firm = Firm(overhead_per_year=91_000, working_days_per_year=243)
    told = recovery(firm, 24_000.0, found())
    assert told.must == pytest.approx(374.4856, abs=1e-4)
    # Planned on 200 billable days and not 253, a day carries 1.265 times as much.
    fewer = replace(firm, working_days_per_year=200), replace(firm, working_days_per_year=253)
    few, many = (recovery(f, 24_000.0, found()).must for f in fewer)
    assert few is not None and many is not None
    assert few / many == pytest.approx(1.265)


def test_what_is_left_by_hand_where_all_is_nearly_certain():
    """A price of 20,000 less 14,000 over 10 days leaves 600 a day."""
    sure = {
        name: replace(p, spread=replace(p.spread, centre=np.log(middle), scale=1e-6))
        for (name, p), middle in zip(found().items(), (14_000, 10), strict=True)
    }
    for overhead, chance in ((599.0, 1.0), (601.0, 0.0)):
        firm = Firm(overhead_per_year=200 * overhead, working_days_per_year=200)
        told = recovery(firm, 20_000.0, sure)
        assert told.median == pytest.approx(600, abs=0.5)
        assert told.chance == chance


def test_odds_are_of_cost_and_days_together():
    firm = Firm(overhead_per_year=46_000, working_days_per_year=200)
    told = recovery(firm, 24_000.0, found())
    drawn = joint_of(found()["cost"], found()["site_days"]).sample(60_000, seed=99)
    left = (24_000 - drawn[:, 0]) / drawn[:, 1]
    assert told.chance == pytest.approx(np.mean(left >= 230), abs=0.02)
    assert told.interval is not None
    assert (told.interval.low, told.interval.high) == pytest.approx(
        tuple(np.quantile(left, [0.1, 0.9])), rel=0.05
    )


def test_a_dearer_price_recovers_more_often():
    firm = Firm(overhead_per_year=46_000, working_days_per_year=200)
    odds = [recovery(firm, p, found()).chance or 0.0 for p in (10_000, 15_000, 18_000, 30_000)]
    assert odds == sorted(odds) and odds[0] < 0.05 and odds[-1] > 0.95


@pytest.mark.parametrize(
    ("firm", "missing"),
    [
        (Firm(), "overhead_per_year is not set"),
        (Firm(overhead_per_year=46_000), "working_days_per_year is not set"),
    ],
)
def test_a_missing_setting_is_named(firm, missing):
    told = recovery(firm, 24_000.0, found())
    assert (told.must, told.chance) == (None, None)
    assert missing in told.sentence and told.interval is not None
    table = overhead_table(told, "USD")
    assert table is not None and len(table.rows) == 1 and missing in table.note


def test_without_price_or_days_a_sentence_says_so():
    assert "no price" in recovery(Firm(), None, found()).sentence
    told = recovery(Firm(), 24_000.0, {"cost": found()["cost"]})
    assert "no days on site are known" in told.sentence
    assert overhead_table(told, "USD") is None and overhead_table(None, "USD") is None


def test_the_check_says_it_in_a_table_or_a_note():
    firm = Firm(overhead_per_year=46_000, working_days_per_year=205)
    asked = new_bathroom(price=2_400_000, plan=Amounts(cost=1_550_000))
    told = check(replace(history(), firm=firm), asked)
    table = next(t for t in told.tables() if t.caption.startswith("A day on site"))
    assert table.rows[1][2] == "$224"
    assert "a day must carry $224 of overhead" in table.note and "over 205 days" in table.note
    unpriced = check(replace(history(), firm=firm), replace(asked, price=None))
    assert any("Overhead is not compared" in n for n in unpriced.grounds.notes)
