"""Every problem is one sentence: where, what was found, what was expected, what to do."""

import pytest

from costlearn.errors import (
    LONGEST_FOUND,
    BookProblem,
    CostlearnError,
    InputProblem,
    NewerBook,
    NothingToSay,
    Place,
    UnreadableFile,
    visible,
)


def test_a_place_reads_as_a_person_would_look_for_it():
    assert (
        str(Place("jobs.csv", "Jobs", 14, "Cost"))
        == "jobs.csv, sheet 'Jobs', row 14, column 'Cost'"
    )
    assert str(Place("firm.toml", column="firm.currency")) == "firm.toml, entry 'firm.currency'"
    assert str(Place("jobs.csv")) == "jobs.csv"
    assert str(Place()) == ""


def test_the_sentence_holds_all_it_was_given_in_order():
    problem = InputProblem(
        "'PNS' is no amount of money",
        place=Place("jobs.csv", row=3, column="Cost"),
        expected="an amount such as 1,250.00",
        hint="leave it empty if it is not known",
    )
    assert str(problem) == (
        "jobs.csv, row 3, column 'Cost': 'PNS' is no amount of money; expected an amount such as "
        "1,250.00 (leave it empty if it is not known)."
    )
    assert problem.sentence == str(problem)


def test_a_sentence_ends_in_exactly_one_full_stop():
    assert str(InputProblem("there is no such file.")) == "there is no such file."
    assert str(InputProblem("x is odd", expected="y.")) == "x is odd; expected y."


@pytest.mark.parametrize(
    ("kind", "also"),
    [
        (UnreadableFile, InputProblem),
        (NewerBook, BookProblem),
        (InputProblem, CostlearnError),
        (BookProblem, CostlearnError),
        (NothingToSay, CostlearnError),
    ],
)
def test_every_problem_can_be_caught_by_its_family(kind, also):
    with pytest.raises(also, match="a clause"):
        raise kind("a clause")


def test_problems_of_input_and_book_are_told_apart():
    assert not issubclass(InputProblem, BookProblem)
    assert not issubclass(NothingToSay, InputProblem)


def test_what_acts_unseen_is_shown_as_its_code() -> None:
    """Control codes: ECMA-48, 5.2 to 5.4; marks of direction: Unicode Standard Annex 9, 2."""
    hostile = "bath\x1b[31m\x07\x9b1m\u202e\u2066\u200b\ufeff\x00"
    assert visible(hostile) == r"bath\x1b[31m\x07\x9b1m\u202e\u2066\u200b\ufeff\x00"
    assert visible("a\nb\tc") == "a b c"
    assert visible("a\nb\tc", lines=True) == "a\nb\tc"
    assert visible("salle d'eau, 卫生间, 🛁") == "salle d'eau, 卫生间, 🛁"


def test_a_sentence_is_one_short_printable_line() -> None:
    problem = CostlearnError("found '" + "\n\x1b[2J" * 5000 + "'", place=Place("f" * 5000))
    assert str(problem).isprintable()
    assert len(str(problem)) < 5 * LONGEST_FOUND
