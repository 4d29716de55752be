"""The page of what earns most: all kinds drawn, the same numbers as the answer's, gaps said."""

from dataclasses import replace

import page_making as making
import pytest
from page_reading import Page

from costlearn.firm import Firm
from costlearn.pages.earnings import sheet
from costlearn.pages.write import page_html
from costlearn.questions.earning.earnings import earnings
from costlearn.records import History


@pytest.fixture(scope="module")
def answer():
    return earnings(making.evil_history())


def test_each_measure_size_and_the_years_are_drawn(answer):
    titles = [p.title for p in sheet(answer).pictures]
    assert titles[0] == "What a day on site leaves after direct cost"
    assert titles[-1] == "What the jobs left against overhead"
    assert len(titles) == len(answer.mixes) + (answer.sizes is not None) + 1


def test_every_job_is_a_dot_of_its_kind(answer):
    picture = sheet(answer).pictures[0]
    mix = answer.mixes[0]
    dots = [t for t in picture.figure.data if t.mode == "markers" and t.hoverinfo == "skip"]
    assert sum(len(t.x) for t in dots) == mix.jobs == sum(e.jobs for e in mix.kinds)
    assert [r[0] for r in picture.numbers.rows] == [e.name for e in mix.kinds]


def test_overhead_is_a_line_only_where_it_is_stated(answer):
    history = making.history()
    without = earnings(replace(history, firm=Firm()))
    assert "overhead of a day" in page_html(answer)
    assert "overhead of a day" not in page_html(without)
    assert len(sheet(without).pictures) == len(sheet(answer).pictures) - 1


def test_the_page_says_what_is_not_known():
    page = Page(page_html(earnings(History(making.FIRM))))
    assert page.of("figure") == []
    assert page.by_class("answer")[0].startswith("Your records cannot tell what a day earns")
