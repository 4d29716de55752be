"""How answers are computed stands on each page, in plain words, before what it rests on."""

import page_making as making
import pytest
from page_reading import Page

from costlearn.pages.methods import METHODS, method_of
from costlearn.pages.shell import Sheet
from costlearn.pages.write import SHEETS, page_html
from costlearn.questions.answer import Answer, Grounds

KNOWN = [
    *(making.estimated, making.checked, making.overran, making.crewed),
    *(making.trusted, making.foretold, making.stopped, making.priced, making.planned),
]


@pytest.mark.parametrize("make", KNOWN, ids=lambda m: m.__name__)
def test_the_method_is_told_first_under_its_heading(make):
    answer = make()
    page = Page(page_html(answer))
    lines = page.of("li")
    said = [f"{line}." for line in method_of(answer)]
    assert said
    at = lines.index(said[0])
    assert lines[at : at + len(said)] == said
    assert page.source.index("How this was computed") < page.source.index("What it rests on")


def test_nothing_known_tells_no_method():
    assert all(method_of(answer) == () for answer in making.unknown())


def test_another_kind_of_answer_and_a_sheet_with_its_own():
    answer = Answer("So.", Grounds(3))
    assert method_of(answer) == ()
    assert Sheet("Why?", method=("By counting",)).method == ("By counting",)


def test_every_kind_told_has_a_page():
    assert {kind for kind, _ in METHODS} <= {kind for kind, _ in SHEETS}
