"""The frame: what is said first, which columns are numbers, what an answer rests on."""

from datetime import date

import pytest
from page_reading import Page

from costlearn.pages.shell import (
    FOOTER,
    NOT_TRUSTED,
    Remarks,
    Sheet,
    computed,
    opening,
    ordering,
    policy,
    render,
    rests_on,
    tied,
)
from costlearn.questions.answer import Answer, Grounds

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


def test_figures_stay_with_their_units():
    assert tied("8 jobs in 10, 27 % in 6.5 days") == (
        "8\xa0jobs in\xa010, 27\xa0% in\xa06.5\xa0days"
    )


def test_what_an_answer_rests_on_is_said():
    assert rests_on(Answer("Yes.", GROUNDS)) == (
        ("Jobs", "1 finished job"),
        ("Dates", "Mar 2024 to Jan 2025"),
        ("Money", "EUR, direct cost: before overhead and margin"),
        ("Units", "working days; areas in square feet"),
        ("Prices", "as written"),
    )


def test_how_it_was_computed_is_the_method_then_the_notes():
    sheet = Sheet("What?", method=("By counting",))
    assert computed(Answer("Yes.", GROUNDS), sheet) == ("By counting.", "So.")
    bare = render(Answer("Yes.", Grounds(1)), Sheet("What?"), "T")
    assert "How this was computed" not in bare


def test_order_of_the_page():
    answer = Answer("It is so. Or so.", GROUNDS, cautions=("Mind the step.",))
    sheet = Sheet("What?", "A job", (("Price", "$5"),), remarks=(Remarks("Outside", ("Far.",)),))
    text = render(answer, sheet, "T")
    parts = ["What?", "A job", "It is so.", "Or so.", "Price", "Outside", "How this was computed"]
    parts += [
        "What it rests on",
        "Mar 2024 to Jan 2025",
        "Before you act on it",
        "Mind the step.",
        FOOTER,
    ]
    places = [text.index(p, text.index("<main>")) for p in parts]
    assert places == sorted(places)
    page = Page(text)
    assert page.of("h1") == ["What?"]
    assert page.by_class("answer") == ["It is so."]
    assert page.of("title") == ["T"]


def test_every_page_forbids_the_network():
    page = Page(render(Answer("Yes.", GROUNDS), Sheet("What?"), "T"))
    policies = [a["content"] for t, a, _ in page.elements if a.get("http-equiv")]
    assert policies == [policy(ordering())]
    assert "default-src 'none'" in policies[0]
    assert "http" not in policies[0]


def test_a_script_is_allowed_by_its_hash():
    """The hash of "alert('Hello, world.');" (W3C, Content Security Policy Level 3, section 1.3)."""
    said = policy("alert('Hello, world.');")
    assert "script-src 'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='" in said
    assert "script-src 'none'" in policy()
    assert "'nonce-abc'" in policy(nonce="abc")
    assert "unsafe-inline" not in said.split("style-src")[0]


def test_distrust_is_said_in_words_where_a_check_failed():
    bad = Answer("No.", GROUNDS, trusted=False)
    assert NOT_TRUSTED in render(bad, Sheet("What?"), "T")
    assert NOT_TRUSTED not in render(Answer("Yes.", GROUNDS), Sheet("What?"), "T")
    unknown = Answer("Who knows.", GROUNDS, trusted=False, known=False)
    assert NOT_TRUSTED not in render(unknown, Sheet("What?"), "T")
