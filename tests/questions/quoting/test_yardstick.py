"""The width of a range against the bands of a published practice."""

import pytest

from costlearn.models.distribution import Interval
from costlearn.questions.quoting.yardstick import CLASSES, against_classes

PUBLISHED = {5: (-0.50, 1.00), 4: (-0.30, 0.50), 3: (-0.20, 0.30), 2: (-0.15, 0.20),
             1: (-0.10, 0.15)}  # fmt: skip
"""Furthest ends of the expected accuracy ranges. Source: AACE International 18R-97 (process
industries), as looked up."""


def test_the_bands_are_the_published_ones():
    assert {c.number: (c.low[1], c.high[1]) for c in CLASSES} == PUBLISHED


@pytest.mark.parametrize(
    ("low", "high", "holds", "said"),
    [
        (0.99, 1.01, 1, "narrower than even class 1 is expected to be (-3 % to +3 %)"),
        (0.91, 1.10, 1, "within what class 1 may be off (-10 % to +15 %)"),
        (0.86, 1.16, 2, "within what class 2"),
        (0.91, 1.25, 3, "within what class 3"),
        (0.75, 1.20, 4, "within what class 4"),
        (0.60, 1.90, 5, "within what class 5 may be off (-50 % to +100 %)"),
        (0.45, 1.50, None, "wider than class 5 (-50 % to +100 %)"),
    ],
)
def test_the_narrowest_class_that_holds_both_sides(low, high, holds, said):
    found = against_classes(Interval(0.8, 20_000 * low, 20_000 * high), 20_000)
    assert found.holds == holds
    assert said in found.sentence
    assert found.sentence.endswith("a yardstick from process industries, plausibility only")
    assert (found.low, found.high) == (pytest.approx(low - 1), pytest.approx(high - 1))
