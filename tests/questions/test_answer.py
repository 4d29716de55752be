"""Answers as plain data: dates ISO, missing None, nothing that JSON cannot hold."""

import json
import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.questions.answer import Answer, Grounds, Table, plain_data


@dataclass(frozen=True)
class Inner:
    day: date
    share: float


@dataclass(frozen=True)
class Sample(Answer):
    inner: tuple[Inner, ...] = ()
    table: dict[str, float] | None = None


def test_numbers_dates_and_missing_become_plain():
    given = {
        1: np.float64(2.5),
        "n": np.int64(3),
        "yes": np.bool_(True),
        "nan": math.nan,
        "inf": -math.inf,
        "np nan": np.float64("nan"),
        "day": date(2026, 3, 1),
        "none": None,
        "rows": (1, [math.nan, "x"]),
    }
    plain = plain_data(given)
    assert plain == {
        "1": 2.5,
        "n": 3,
        "yes": True,
        "nan": None,
        "inf": None,
        "np nan": None,
        "day": "2026-03-01",
        "none": None,
        "rows": [1, [None, "x"]],
    }
    assert type(plain["n"]) is int and type(plain["yes"]) is bool and type(plain["1"]) is float


def test_an_answer_says_what_question_it_answers_and_all_its_fields():
    answer = Sample("So.", Grounds(3, date(2024, 1, 1)), (Inner(date(2024, 5, 6), math.nan),))
    plain = json.loads(json.dumps(answer.plain(), allow_nan=False))
    assert plain["question"] == "sample"
    assert plain["sentence"] == "So."
    assert plain["grounds"]["first"] == "2024-01-01"
    assert plain["grounds"]["last"] is None
    assert plain["inner"] == [{"day": "2024-05-06", "share": None}]
    assert (plain["known"], plain["trusted"], plain["cautions"]) == (True, True, [])


def test_a_plain_answer_has_no_tables():
    assert Answer("So.", Grounds(0)).tables() == ()
    assert Table("c", ("a",), (("b",),)).note == ""


def test_dates_of_the_grounds_in_words():
    assert Grounds(1, date(2022, 1, 5), date(2025, 6, 1)).span == "Jan 2022 to Jun 2025"
    assert Grounds(1, date(2022, 1, 5)).span == "no dates on file"
