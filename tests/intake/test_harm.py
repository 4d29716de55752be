"""Files, names and figures made to harm, each refused in one sentence and soon."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from costlearn.book.export import write_whole
from costlearn.errors import InputProblem, UnreadableFile
from costlearn.firm import Firm
from costlearn.intake.asked import read_asked
from costlearn.intake.columns import load_map
from costlearn.intake.files.sheets import read_grids
from costlearn.intake.scope import read_scope
from costlearn.intake.settings import read_settings
from costlearn.intake.values.days import read_day
from costlearn.intake.values.money import read_money
from costlearn.intake.values.sizes import read_area
from costlearn.pages.write import write_file
from costlearn.vocabulary import standard


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a." * 200_000 + "a = 1", "a name of more than 40 parts"),
        ("[" + '"a".' * 100_000 + "a]", "a name of more than 40 parts"),
        ("x = { " + "a." * 100_000 + "a = 1 }", "a name of more than 40 parts"),
        ("x = " + "[" * 200 + "]" * 200, "too deep to read"),
        ("x = " + "{ a = " * 200 + "1" + "}" * 200, "too deep to read"),
        # TOML v1.0.0, "Integer": what cannot be represented losslessly is an error.
        ("x = 9223372036854775808", "a number of more than 18 figures"),
        ("x = [0x" + "f" * 20_000 + "]", "a number of more than 18 figures"),
    ],
)
def test_toml_that_no_person_writes(tmp_path: Path, text: str, found: str) -> None:
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    for read in (read_settings, load_map, lambda p: read_asked(p, Firm())):
        with pytest.raises(UnreadableFile, match=found):
            read(path)


def test_a_holiday_on_the_last_day_of_all(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text("[firm]\nholidays = ['9999-12-31']\n", encoding="utf-8")
    assert read_settings(path).holidays == ("9999-12-31",)


@pytest.mark.parametrize("letter", ["(", ",", "-", "+", "$", "CA$", " (", "1,", "½", "9"])
def test_a_cell_of_a_whole_book_is_no_value(letter: str) -> None:
    text = (letter * 100_000)[:100_000]
    assert read_money(text).value is None
    assert read_area(text, unit="sqft").value is None
    assert read_day(text, order="month-first").value is None
    assert read_scope(text, standard()).items == {}


@pytest.mark.skipif(sys.platform == "win32", reason="pipes have no place among files there")
def test_a_pipe_is_neither_read_nor_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(UnreadableFile, match="no plain file"):
        read_grids(pipe)
    with pytest.raises(UnreadableFile, match="no plain file"):
        read_settings(pipe)
    with pytest.raises(InputProblem, match="no plain file"):
        write_whole(pipe, b"")
    with pytest.raises(InputProblem, match="no plain file"):
        write_file("", pipe)
    assert pipe.is_fifo()


@pytest.mark.parametrize("name", ["half\udcff.csv", "turned\u202e.csv", "steers\x1b[31m.csv"])
def test_a_file_name_that_cannot_be_shown(tmp_path: Path, name: str) -> None:
    with pytest.raises(UnreadableFile, match="letters that cannot be shown") as caught:
        read_grids(tmp_path / name)
    assert str(caught.value).isprintable()
