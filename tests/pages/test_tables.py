"""Tables on a page: which columns are figures, in which order cells stand, what a file holds."""

import csv
import io
from urllib.parse import unquote

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.pages.tables import can_sort, column_kinds, csv_link, csv_name, csv_text, ranks
from costlearn.questions.answer import Table
from costlearn.tidy import unguard


def column(*cells: str) -> Table:
    """A table whose second column holds the cells."""
    return Table("", ("", "a"), tuple(("x", c) for c in cells))


def second(table: Table) -> list[int | None]:
    return [row[1] for row in ranks(table)]


def test_columns_of_figures_are_found():
    rows = (
        ("bench", "$640 to $1,200", "3 / 4", "not known", "runs over", "+3 %"),
        ("niche", "-$640 to CHF 1,200", "12", "6.5 days", "2, too few to say", "-1 % to +4 %"),
    )
    table = Table("", ("", "a", "b", "c", "d", "e"), rows)
    assert column_kinds(table) == ("", "number", "number", "number", "short", "number")


def test_long_words_get_room_and_empty_tables_are_no_problem():
    table = Table("", ("a", "b"), (("x", "had also a bench, a niche and a heated floor"),))
    assert column_kinds(table) == ("", "long")
    assert column_kinds(Table("", ("a", "b"), (("x", "wanted on 14 of 15 jobs"),))) == ("", "")
    assert column_kinds(Table("", ("a", "b"), ())) == ("", "")


@pytest.mark.parametrize(
    ("cells", "places"),
    [
        (("$12,400", "-$880", "$900"), [2, 0, 1]),
        (("$640 to $1,200", "$640 to $900", "-$5 to $9"), [2, 1, 0]),
        (("+15 % to +27 %", "-1 % to +4 %", "+5 % to +17 %"), [2, 0, 1]),
        (("10.5 days", "1 day", "not known", "2 days"), [2, 0, None, 1]),
        (("Feb 2026", "Nov 2024", "", "Jul 2025"), [2, 0, None, 1]),
        (("3 Nov 2026", "12 Oct 2026", "1 Dec 2025"), [2, 1, 0]),
        (("B10 bath", "B2 bath", "a bath"), [2, 1, 0]),
        (("same", "same", "other"), [1, 1, 0]),
        (("$5", "about 5", "$10"), [0, 2, 1]),
    ],
    ids=lambda v: " ".join(map(str, v))[:24],
)
def test_cells_are_put_in_the_order_a_reader_expects(cells, places):
    assert second(column(*cells)) == places


def test_only_tables_with_heads_and_enough_rows_can_be_put_in_order():
    assert can_sort(column("1", "2", "3"))
    assert not can_sort(column("1", "2"))
    rows = (("a",), ("b",), ("c",), ("all",))
    assert not can_sort(Table("", ("",), rows))
    assert can_sort(Table("", ("h",), rows, totals=1))
    assert not can_sort(Table("", ("h",), rows, totals=2))


def read(table: Table) -> list[list[str]]:
    return list(csv.reader(io.StringIO(csv_text(table), newline="")))


def test_figures_become_numbers_and_ranges_two_columns():
    table = Table(
        "",
        ("phase", "8 in 10", "days", "mean", "pair", "mixed", "direct cost, USD"),
        (
            ("tile", "$1,640 to $2,200", "0.5 to 1 day", "+21 %", "3 / 4", "$5", "CHF 1,200"),
            ("paint", "not known", "12 days", "-3 %", "1 / 2", "5 days", "CHF 80"),
        ),
    )
    heads = "phase;8 in 10, from ($);8 in 10, to ($);days, from;days, to;mean (%);pair;mixed;"
    assert read(table) == [
        [*heads.split(";")[:-1], "direct cost, USD (CHF)"],
        ["tile", "1640", "2200", "0.5", "1", "21", "3 / 4", "$5", "1200"],
        ["paint", "", "", "12", "12", "-3", "1 / 2", "5 days", "80"],
    ]


def test_a_table_without_rows_or_heads_is_saved_too():
    assert read(Table("", ("a", "=b"), ())) == [["a", "'=b"]]
    assert read(Table("", (), (("x", "y"),))) == [["", ""], ["x", "y"]]


@given(st.lists(st.tuples(st.text(max_size=12), st.text(max_size=12)), min_size=1, max_size=5))
def test_no_cell_of_a_file_is_a_formula_and_every_text_comes_back(rows):
    table = Table("t", ("name", "note"), tuple(rows))
    back = read(table)
    assert len(back) == len(rows) + 1
    for row, cells in zip(rows, back[1:], strict=True):
        assert unguard(cells[0]) == row[0]
        assert not cells[0].startswith(("=", "+", "-", "@", "\t", "\r"))


def test_the_link_holds_the_file_letter_by_letter():
    table = Table("", ("job", "say"), (('<a href="#">', "50 % & 'more' \u00e9"),))
    link = csv_link(table)
    head, _, body = link.partition(",")
    assert head == "data:text/csv;charset=utf-8"
    assert unquote(body) == "\ufeff" + csv_text(table)
    assert not set(link) & set('#<>"& \r\n')


def test_file_names_are_plain():
    assert csv_name(Table("By phase: <USD> / \u00d8", (), ())) == "by-phase-usd.csv"
    assert csv_name(Table("../..", (), ())) == "table.csv"
    assert len(csv_name(Table("x" * 300, (), ()))) <= 64
