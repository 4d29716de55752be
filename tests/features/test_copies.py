"""Phases that cost their plan to the cent: copies, unless few or bought at a fixed price."""

import pytest
from making import job

from costlearn.features.copies import copied_by_phase
from costlearn.records import Amounts, PhaseRecord


def phases(exact: int, counted: int, **kinds: int) -> tuple[PhaseRecord, ...]:
    names = ("demo", "board", "tile", "paint", "vent", "finish_set")
    actual = [50_000] * exact + [61_000] * counted
    return tuple(
        PhaseRecord(p, Amounts(cost=50_000), Amounts(cost=a, **kinds))
        for p, a in zip(names, actual, strict=False)
    )


@pytest.mark.parametrize(
    ("exact", "counted", "copied"),
    [(3, 0, True), (2, 0, False), (4, 1, True), (3, 1, False), (5, 1, True), (0, 5, False)],
)
def test_nearly_all_of_three_or_more_phases(exact, counted, copied):
    assert copied_by_phase(job("a", phases=phases(exact, counted))) is copied


def test_bought_at_a_fixed_price_is_no_copy():
    assert not copied_by_phase(job("a", phases=phases(4, 0, sub=50_000)))
