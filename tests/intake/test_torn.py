"""Rows that an unquoted comma tears apart wait; they never give a dollar for a thousand."""

from __future__ import annotations

import pytest
from dirt.reading import Read, of, texts

from costlearn.records import JobEntry

HEAD = 'Job,Cost,Days,Notes\nElm bath,"12,400.00",11,\nAsh bath,9100,7,\n'


@pytest.mark.parametrize(
    "row",
    [
        "Oak hall,1,200.00,9,",
        "Oak hall,1,200.00,9",
        "Oak hall,18,220,8,tight stairs",
        "Oak hall,$1,200,9,",
        "Oak hall,12,200.00",
    ],
)
def test_a_torn_amount_waits(read: Read, row: str) -> None:
    batch = read(f"{HEAD}{row}\n")
    assert [e.job for e in of(batch, JobEntry)] == ["Elm bath", "Ash bath"]
    assert any("comma within" in text for text in texts(batch, "set aside"))


def test_a_row_with_a_cell_too_many_waits(read: Read) -> None:
    batch = read(f"{HEAD}Oak hall,blue,9400,12,,more\n")
    assert [e.job for e in of(batch, JobEntry)] == ["Elm bath", "Ash bath"]
    assert any("6 cells where there are 4" in text for text in texts(batch, "set aside"))


def test_small_amounts_beside_days_are_no_torn_ones(read: Read) -> None:
    batch = read("Job,Cost,Hours\nElm bath,900,120\nAsh bath,850,110\nOak bath,700,100\n")
    assert len(of(batch, JobEntry)) == 3
