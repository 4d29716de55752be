"""Rows of a plain table and entries: told apart, guarded, read strictly."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn import tidy
from costlearn.errors import InputProblem, Place
from costlearn.records import CostEntry, HoursEntry, JobEntry

HERE = Place("x.csv", "", 9)


def test_an_export_of_an_earlier_version_lacks_a_column_and_is_read() -> None:
    heads = ("job", "person", "day", "hours", *tidy.ORIGIN)
    assert tidy.kind_of_headings(heads) == "hours"
    assert tidy.kind_of_headings((*heads, "a column nobody knows")) is None
    assert tidy.kind_of_headings(heads[:-1]) is None
    entry = tidy.entry_of(
        "hours",
        heads,
        ["J-1", "Ann", "2024-03-01", "7.5", "log.csv", None, 4, None],
        HERE,
    )
    assert entry == HoursEntry("J-1", "Ann", date(2024, 3, 1), 7.5, Place("log.csv", "", 4))


def test_the_tables_of_an_export_are_told_apart_by_their_headings() -> None:
    for kind in tidy.KINDS:
        assert tidy.kind_of_headings(tidy.headings(kind)) == kind
        assert len(set(tidy.headings(kind))) == len(tidy.headings(kind))
    assert tidy.kind_of_headings(("job", "cost")) is None


@pytest.mark.parametrize(
    ("text", "guarded"),
    [
        ("=1+1", "'=1+1"),
        ("-2", "'-2"),
        ("@x", "'@x"),
        ("'x", "''x"),
        (" ", "' "),
        ("a\tb", "'a\\u0009b"),
        ("\\a\t", "'\\\\a\\u0009"),
        ("_x0041_", "'\\u005fx0041_"),
        ("C:\\u0041", "C:\\u0041"),
        ("tile - 2 coats", "tile - 2 coats"),
        ("", ""),
    ],
)
def test_a_text_is_guarded_only_where_it_must_be_and_comes_back(text: str, guarded: str) -> None:
    assert tidy.guard(text) == guarded
    assert tidy.unguard(guarded) == text


def test_money_is_read_to_the_cent_and_never_rounded() -> None:
    heads = ("job", "kind", "net", *tidy.ORIGIN)

    def net(raw: tidy.Cell) -> int:
        entry = tidy.entry_of("costs", heads, [None, "sub", raw], HERE)
        assert isinstance(entry, CostEntry)
        assert entry.place == HERE
        return entry.net

    assert [net(raw) for raw in ("-0.05", "1250", 18400.5, 7, "90071992547409.93")] == [
        -5, 125_000, 1_840_050, 700, 9_007_199_254_740_993,
    ]  # fmt: skip
    for raw in ("0.005", "1,250.00", True, date(2024, 3, 1), 1.001):
        with pytest.raises(InputProblem, match=r"x.csv, row 9, column 'net': found"):
            net(raw)


def test_blank_is_not_known_and_never_zero_or_no() -> None:
    entry = tidy.entry_of("jobs", ("job", *tidy.ORIGIN), ["J-1"], HERE)
    assert entry == JobEntry("J-1", HERE)
    zero = JobEntry("J-1", HERE, price=0, condo=False, scope={"niche": 0.0, "bench": None})
    row = dict(zip(tidy.headings("jobs"), tidy.cells(zero), strict=True))
    assert (row["price"], row["condo"], row["scope"]) == (0, "no", "niche 0.0; bench ?")
    assert row["paid"] is None
    assert tidy.entry_of("jobs", tidy.headings("jobs"), tidy.cells(zero), HERE) == zero
