"""The frame: what is said first, which columns are numbers, what an answer rests on."""

from datetime import date

import pytest
from page_reading import Page

from costlearn.pages.shell import (
    FOOTER,
    NOT_TRUSTED,
    POLICY,
    Remarks,
    Sheet,
    column_kinds,
    opening,
    render,
    rests_on,
    tied,
)
from costlearn.questions.answer import Answer, Grounds, Table

GROUNDS = Grounds(1, date(2024, 3, 1), date(2025, 1, 2), "EUR", prices="as written", notes=("So",))


@pytest.mark.parametrize(
    ("sentence", "first", "rest"),
    [
        ("Costs $1.50 now. It may rise. Or not.", "Costs $1.50 now.", "It may rise. Or not."),
        ("One only.", "One only.", ""),
        ("", "", ""),
    ],
)
def test_the_first_sentence_is_set_apart(sentence, first, rest):
    assert opening(sentence) == (first, rest)


def test_columns_of_figures_are_found():
    rows = (
        ("bench", "$640 to $1,200", "3 / 4", "not known", "runs over", "+3 %"),
        ("niche", "-$640 to CHF 1,200", "12", "6.5 days", "2, too few to say", "-1 % to +4 %"),
    )
    table = Table("", ("", "a", "b", "c", "d", "e"), rows)
    assert column_kinds(table) == ("", "number", "number", "number", "", "number")


def test_long_words_get_room_and_empty_tables_are_no_problem():
    table = Table("", ("a", "b"), (("x", "had also a bench, a niche and a heated floor"),))
    assert column_kinds(table) == ("", "long")
    assert column_kinds(Table("", ("a", "b"), ())) == ("", "")


def test_figures_stay_with_their_units():
    assert tied("8 jobs in 10, 27 % in 6.5 days") == (
        "8\xa0jobs in\xa010, 27\xa0% in\xa06.5\xa0days"
    )


def test_what_an_answer_rests_on_is_said():
    assert rests_on(Answer("Yes.", GROUNDS)) == (
        "1 finished job, Mar 2024 to Jan 2025.",
        "Money in EUR, direct cost: before overhead and margin.",
        "Prices as written.",
        "So.",
    )


def test_order_of_the_page():
    answer = Answer("It is so. Or so.", GROUNDS, cautions=("Mind the step.",))
    sheet = Sheet("What?", "A job", (("Price", "$5"),), remarks=(Remarks("Outside", ("Far.",)),))
    text = render(answer, sheet, "T")
    parts = ["What?", "A job", "It is so.", "Or so.", "Price", "Outside", "How this was computed"]
    parts += ["Before you act on it", "Mind the step.", FOOTER]
    places = [text.index(p, text.index("<main>")) for p in parts]
    assert places == sorted(places)
    page = Page(text)
    assert page.of("h1") == ["What?"]
    assert page.by_class("answer") == ["It is so."]
    assert page.of("title") == ["T"]


def test_every_page_forbids_the_network():
    page = Page(render(Answer("Yes.", GROUNDS), Sheet("What?"), "T"))
    policies = [a["content"] for t, a, _ in page.elements if a.get("http-equiv")]
    assert policies == [POLICY]
    assert "default-src 'none'" in POLICY


def test_distrust_is_said_in_words_where_a_check_failed():
    bad = Answer("No.", GROUNDS, trusted=False)
    assert NOT_TRUSTED in render(bad, Sheet("What?"), "T")
    assert NOT_TRUSTED not in render(Answer("Yes.", GROUNDS), Sheet("What?"), "T")
    unknown = Answer("Who knows.", GROUNDS, trusted=False, known=False)
    assert NOT_TRUSTED not in render(unknown, Sheet("What?"), "T")
