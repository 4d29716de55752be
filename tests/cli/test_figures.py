"""Figures said as options."""

from __future__ import annotations

import pytest

from costlearn.cli import figures
from costlearn.errors import InputProblem


@pytest.mark.parametrize(
    ("text", "value"), [("14,5", 14.5), ("14.5", 14.5), ("1,250", 1250.0), ("1 250,5", 1250.5)]
)
def test_a_number_may_have_a_decimal_comma(text: str, value: float) -> None:
    assert figures.number("--site-days", text) == value


@pytest.mark.parametrize("text", ["1,2,3", "0,0", "-4,5", "x"])
def test_what_is_no_number_above_zero_is_refused(text: str) -> None:
    with pytest.raises(InputProblem) as problem:
        figures.number("--site-days", text)
    assert text in str(problem.value)
