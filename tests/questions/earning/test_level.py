"""Money of past jobs at one price level: by the index, by the drift, or said that it is not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from making import bathrooms

from costlearn.firm import Firm
from costlearn.questions.earning.level import AS_WRITTEN, price_level

INDEX = {"2022-01-01": 100.0, "2026-01-01": 140.0}


def test_the_index_of_the_firm_goes_first():
    history = bathrooms(12, firm=Firm(price_index=INDEX, price_index_share=0.5))
    level = price_level(history, history.usable, date(2026, 1, 1))
    oldest = history.usable[0]
    assert oldest.day is not None
    then = (
        100 + 40 * (oldest.day - date(2022, 1, 1)).days / (date(2026, 1, 1) - date(2022, 1, 1)).days
    )
    assert level.of(oldest) == pytest.approx(0.5 + 0.5 * 140 / then)
    assert level.words == "brought to Jan 2026 by your price index"


def test_a_planted_rise_is_found_and_said_by_the_year():
    history = bathrooms(40, noise=0.05, rise=0.08)
    level = price_level(history, history.usable, None)
    oldest, newest = history.usable[0], history.usable[-1]
    assert oldest.day
    assert newest.day
    years = (newest.day - oldest.day).days / 365.25
    assert level.of(newest) == pytest.approx(1.0)
    assert level.of(oldest) ** (1 / years) == pytest.approx(1.083, abs=0.02)
    assert "% a year since Jan 2022" in level.words


def test_steady_prices_stay_near_one():
    history = bathrooms(40, noise=0.05)
    level = price_level(history, history.usable, None)
    assert level.of(history.usable[0]) == pytest.approx(1.0, abs=0.08)


def test_few_or_undated_jobs_are_left_as_written_and_that_is_said():
    few = bathrooms(7)
    assert price_level(few, few.usable, None).words == AS_WRITTEN
    assert price_level(few, few.usable, None).of(few.usable[0]) == 1.0
    many = bathrooms(12)
    undated = replace(many, jobs=tuple(replace(j, started=None, finished=None) for j in many.jobs))
    assert price_level(undated, undated.usable, None).words == AS_WRITTEN
