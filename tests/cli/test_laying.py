"""Tables fit the terminal: no word cut, no figure parted from its unit, however narrow it is."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from costlearn.cli import screen
from costlearn.cli.laying import GAP, LONGEST, as_list, bar, column_widths, with_bars, wrapped
from costlearn.questions.answer import Table

WIDE = Table(
    "By phase",
    ("phase", "its mean, 8 in 10", "jobs over plan", "at stake a year", "records"),
    (
        ("Demolition and disposal", "+10 % to +20 %", "89 %", "$1,130 to $2,150", "28"),
        ("Fixture set, trim-out, glass", "-1 % to +7 %", "64 %", "-$245 to $1,710", "3"),
    ),
    "A note that leaves 27 % of it.",
)
cells = st.text(st.characters(codec="ascii", categories=("L", "N")), min_size=1, max_size=14)
tables = st.integers(1, 6).flatmap(
    lambda n: st.builds(
        Table,
        st.just(""),
        st.tuples(*[cells] * n),
        st.lists(st.tuples(*[cells] * n), min_size=1, max_size=4).map(tuple),
    )
)


def shown(table: Table, width: int, **how: object) -> str:
    to = Console(width=width, record=True, highlight=False, **how)  # type: ignore[arg-type]
    with to.capture() as caught:
        screen.show_table(table, to)
    return caught.get()


@pytest.mark.parametrize("width", [100, 80, 60, 40])
def test_no_word_is_cut_and_no_line_is_too_long(width: int) -> None:
    text = shown(WIDE, width)
    assert max(map(len, text.splitlines())) <= width
    words = set(re.findall(r"[\w$,.+-]+", text))
    for row in (WIDE.heads, *WIDE.rows):
        for cell in row:
            assert set(re.findall(r"[\w$,.+-]+", cell)) <= words, cell
    assert not re.search(r"^\W*%", text, re.MULTILINE)


@given(tables, st.integers(20, 110))
def test_columns_given_fit_the_width_and_hold_their_longest_word(table: Table, width: int) -> None:
    found = column_widths(table, width)
    if found is not None:
        assert sum(found) + GAP * len(found) + 1 <= width
        for given_width, *column in zip(found, table.heads, *table.rows, strict=True):
            assert given_width >= max(min(LONGEST, len(cell)) for cell in column)


@given(st.text(max_size=80), st.integers(1, 40))
def test_wrapping_loses_no_letter(text: str, width: int) -> None:
    assert "".join(wrapped(text, width).split()) == "".join(text.split())


def test_a_table_too_wide_becomes_a_list_of_all_its_cells() -> None:
    text = as_list(WIDE, 40)
    assert text.startswith("Demolition and disposal\n  its mean, 8 in 10  +10 % to +20 %\n")
    assert max(map(len, text.splitlines())) <= 40


def test_bars_stand_beside_shares_and_only_where_somebody_looks() -> None:
    drawn = with_bars(WIDE, 110)
    assert drawn.rows[1][2].endswith("██████····")
    assert drawn.rows[1][2].strip().startswith("64 %")
    assert with_bars(WIDE, 60) == WIDE
    assert bar("0 %") == "·" * 10
    assert bar("100 %") == "█" * 10
    assert "█" not in shown(WIDE, 110)
    assert "█" in shown(WIDE, 110, force_terminal=True)


def test_signed_shares_and_single_rows_get_no_bar() -> None:
    signed = Table("", ("phase", "over"), (("a", "+15 %"), ("b", "20 %")))
    single = Table("", ("phase", "share"), (("a", "15 %"),))
    over = Table("", ("phase", "share"), (("a", "150 %"), ("b", "20 %")))
    for table in (signed, single, over):
        assert with_bars(table, 110) == table


def test_no_colour_where_none_is_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "\x1b" not in shown(WIDE, 80)
    monkeypatch.setenv("NO_COLOR", "1")
    assert not re.search(r"\x1b\[[34]\d", shown(WIDE, 80, force_terminal=True))
