"""Answers in a notebook: the same tables, escaped, a tidy frame, and the page's first picture."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

import pandas as pd
import plotly.graph_objects as go
import pytest

import costlearn
from costlearn.errors import InputProblem
from costlearn.pages import write
from costlearn.pages.notebook import MOST_ROWS, answer_figure, answer_html
from costlearn.questions.answer import Answer, Grounds, Table
from costlearn.questions.frames import ROWS, frame_of
from costlearn.records import History


@pytest.fixture(scope="module")
def history() -> History:
    folder = costlearn.demo_folder()
    firm = costlearn.read_settings(folder / "firm.toml")
    with costlearn.Book.in_memory() as book:
        book.set_firm(firm)
        for name in ("jobs_2022.csv", "jobs_2023.csv", "jobs_2024.csv", "phases.xlsx"):
            book.add(costlearn.read_file(folder / name, firm), folder / name)
        return book.history()


@pytest.fixture(scope="module")
def estimate(history: History) -> Any:
    asked = costlearn.read_asked(costlearn.demo_folder() / "scope_new.toml", history.firm)
    return costlearn.estimate(history, asked)


class Cells(HTMLParser):
    """Every cell and tag of a piece of HTML."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.cells: list[str] = []
        self.inside = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)
        if tag in ("td", "th"):
            self.cells.append("")
            self.inside = True

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag not in ("td", "th")

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.cells[-1] += data


class Odd(Answer):
    """An answer whose texts are no friends of HTML."""

    def tables(self) -> tuple[Table, ...]:
        rows = tuple((f"<script>alert({n})</script>", '"&') for n in range(MOST_ROWS + 3))
        return (Table("<b>", ("<i>", "&"), rows, "a < b"),)


def test_a_notebook_shows_the_sentence_and_the_same_tables(estimate: Any) -> None:
    html = estimate._repr_html_()
    assert html == answer_html(estimate)
    found = Cells(html)
    for table in estimate.tables():
        for row in table.rows:
            assert set(row) <= {cell.strip() for cell in found.cells} | {""}, table.caption
    assert estimate.sentence in html
    assert len(html) < 30_000


def test_what_records_say_is_never_html() -> None:
    html = Odd("1 < 2 & <img src=x>", Grounds(1))._repr_html_()
    assert html
    found = Cells(html)
    assert not {"script", "b", "i", "img"} & set(found.tags)
    assert found.cells[0] == "<i>"
    assert "3 more rows" in html
    assert "<script>" not in html


def test_a_frame_holds_the_figures_unrounded_with_their_units(estimate: Any) -> None:
    frame = estimate.to_frame()
    assert list(frame.target) == [t.target for t in estimate.targets]
    for row, target in zip(frame.itertuples(), estimate.targets, strict=True):
        main = target.main
        assert (row.low_80, row.median, row.high_80) == (main.low, target.median, main.high)
    assert frame.set_index("target").unit["cost"] == "USD"
    assert frame.set_index("target").unit["site_days"] == "days on site"
    assert frame.attrs["units"]["low_80"] == "as the column 'unit' says"
    assert frame.attrs["sentence"] == estimate.sentence
    assert frame.attrs["jobs"] == estimate.grounds.jobs
    assert all(pd.api.types.is_numeric_dtype(frame[c]) for c in ("low_80", "median", "high_80"))


def test_rows_of_phases_and_of_tried_jobs_are_tidy(history: History) -> None:
    phases = costlearn.overruns(history)
    frame = phases.to_frame()
    assert len(frame) == len(phases.phases)
    assert frame.attrs["units"]["low_80"] == "ratio"
    tried = costlearn.backtest(history)
    rows = tried.to_frame()
    assert len(rows) == sum(len(t.tried) for t in tried.targets)
    assert set(rows.target) == {t.target for t in tried.targets if t.tried}
    assert pd.api.types.is_datetime64_any_dtype(rows.day)


def test_every_kind_of_answer_has_a_frame_of_its_own() -> None:
    """Each question that is drawn names its rows, and the field it names is there."""
    for kind, _ in write.SHEETS:
        first = ROWS[kind.__name__].split(".")[0]
        assert first in kind.__dataclass_fields__, kind


def test_a_figure_is_the_first_picture_of_the_page(estimate: Any) -> None:
    figure = estimate.figure()
    assert isinstance(figure, go.Figure)
    sheet = write.sheet_of(estimate)
    assert sheet is not None
    assert len(figure.data) == len(sheet.pictures[0].figure.data) > 0
    assert figure.layout.meta["caption"] == sheet.pictures[0].caption


def test_nothing_known_shows_no_figure_and_no_rows(history: History) -> None:
    few = replace(history, jobs=history.jobs[:1])
    asked = costlearn.read_asked(costlearn.demo_folder() / "scope_new.toml", history.firm)
    unknown = costlearn.estimate(few, asked)
    assert not unknown.known
    assert unknown.sentence in answer_html(unknown)
    assert not frame_of(unknown).attrs["known"]
    with pytest.raises(InputProblem, match="no picture"):
        answer_figure(unknown)


def test_an_answer_nobody_draws_says_so() -> None:
    code = (
        "from costlearn.questions.answer import Answer, Grounds\n"
        "from costlearn.errors import InputProblem\n"
        "a = Answer('It is so.', Grounds(1))\n"
        "assert a._repr_html_() is None\n"
        "try:\n    a.figure()\nexcept InputProblem as p:\n    print(p)\n"
        "import costlearn\ncostlearn.estimate\nassert 'It is so.' in a._repr_html_()\n"
        "import sys\nprint('plotly' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    told, loaded = done.stdout.strip().splitlines()
    assert told.startswith("nobody has said how answers are drawn")
    assert loaded == "False"
