"""Several rows of a job list for one job: proven by their cells, or asked once."""

from __future__ import annotations

from typing import Any

import pytest
from dirt.reading import Read, of

from costlearn.intake.answers import Answers
from costlearn.records import Batch, JobEntry


def costs(batch: Batch) -> dict[str, int | None]:
    return {e.job: e.actual.cost for e in of(batch, JobEntry)}


HEAD = "Job,Cost,Finished\n"


def test_a_row_copied_word_for_word_counts_once(read: Read) -> None:
    row = "Oak bath,11200,2024-03-01\n"
    batch = read(f"{HEAD}{row}Elm bath,9000,2024-04-01\n{row}")
    assert costs(batch) == {"Oak bath": 1_120_000, "Elm bath": 900_000}
    assert not batch.questions


def test_rows_that_agree_wherever_both_speak_are_one_record(read: Read) -> None:
    batch = read("Job,Quoted,Cost,Finished\nOak bath,15000,,\nOak bath,,11200,2024-03-01\n")
    (job,) = of(batch, JobEntry)
    assert (job.price, job.actual.cost) == (1_500_000, 1_120_000)


def test_a_row_that_is_the_sum_of_the_others_of_its_job_stands_for_them(read: Read) -> None:
    batch = read("Job,Cost\nOak,4000\nOak,5200\nOak,9200\nElm,700\n")
    assert costs(batch) == {"Oak": 920_000, "Elm": 70_000}


TWO = f"{HEAD}Oak bath,11200,2024-03-01\nElm bath,9000,2024-04-01\nOak bath,12900,2024-05-01\n"


@pytest.mark.parametrize(
    ("said", "cost", "ends"),
    [
        ("add them up", 2_410_000, "2024-05-01"),
        ("the last counts", 1_290_000, "2024-05-01"),
        ("the first counts", 1_120_000, "2024-03-01"),
    ],
)
def test_two_versions_of_a_job_wait_for_one_answer(
    read: Read, said: str, cost: int, ends: str
) -> None:
    batch = read(TWO)
    assert costs(batch) == {"Elm bath": 900_000}
    (asked,) = batch.questions
    assert (asked.topic, asked.rows_waiting, asked.money) == ("rows of a job", 2, 1_290_000)
    again = read(TWO, answers=Answers({asked.key: said}))
    (job,) = [e for e in of(again, JobEntry) if e.job == "Oak bath"]
    assert (job.actual.cost, str(job.finished)) == (cost, ends)


def test_rows_of_a_job_may_be_left_out(read: Read) -> None:
    (asked,) = read(TWO).questions
    left: Any = Answers({asked.key: "leave them out"})
    assert costs(read(TWO, answers=left)) == {"Elm bath": 900_000}
