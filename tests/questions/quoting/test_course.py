"""How much of a phase is bought before it starts: shares by hand."""

from __future__ import annotations

import pytest
from making import job

from costlearn.questions.quoting.course import FEW_RECORDS, REST, materials_before
from costlearn.records import Amounts, Job, PhaseRecord


def bought(phase: str, material: int | None, labour: int) -> Job:
    """A job with one phase of so much material and labour, in cents."""
    actual = Amounts(cost=(material or 0) + labour, material=material, labour=labour)
    return job(f"{phase} {material}", phases=(PhaseRecord(phase, actual=actual),))


def test_each_phase_has_its_own_share_and_a_rare_one_that_of_all() -> None:
    """Tile: 300 of 1,000 each time; paint is on file once or never: as all together."""
    jobs = [bought("tile", 30_000, 70_000)] * FEW_RECORDS
    found = materials_before(jobs, ["tile", "paint", REST])
    assert found.shares == pytest.approx((0.3, 0.3, 1.0))
    assert "30 %" in found.said
    own = materials_before([*jobs, bought("paint", 90_000, 10_000)], ["tile", "paint"])
    every = (0.3 * FEW_RECORDS + 0.9) / (FEW_RECORDS + 1)
    assert own.shares == pytest.approx((0.3, every))


def test_where_material_is_not_told_apart_nothing_is_bought_before() -> None:
    few = [bought("tile", 30_000, 70_000)] * (FEW_RECORDS - 1)
    assert materials_before(few, ["tile", REST]).shares == (0.0, 1.0)
    whole = job("whole", phases=(PhaseRecord("tile", actual=Amounts(cost=100_000)),))
    assert materials_before([whole] * 9, ["tile", REST]).shares == (0.0, 1.0)


def test_material_beyond_the_cost_and_credits_stay_within_the_cost() -> None:
    """A return of goods makes material less than nothing; a credit elsewhere makes it too much."""
    beyond = job("j", phases=(PhaseRecord("tile", actual=Amounts(cost=100, material=150)),))
    assert materials_before([beyond] * FEW_RECORDS, ["tile"]).shares == (1.0,)
    credit = job("j", phases=(PhaseRecord("tile", actual=Amounts(cost=100, material=-50)),))
    assert materials_before([credit] * FEW_RECORDS, ["tile"]).shares == (0.0,)
