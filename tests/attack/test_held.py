"""Ranges still hold where records mislead in a way that can be seen: truth drawn from a known law.

30 firms a cell; of 80 % ranges 24 hold on average, and 18 or fewer in 1 cell of 100 (binomial,
computed): the floors are 18, or lower where the attack leaves less, as said. The firms are
invented: they show that nothing breaks, not how good the statistics are on true records.
"""

from __future__ import annotations

import pytest
from attack.attacks import ALL, case_of
from attack.firms import Case

from costlearn.questions.learning import predict

BY_NAME = {a.name: a for a in ALL}
FIRMS = 30
FLOOR = 18
BLIND = {
    # Nothing on file shows these; the answer says what it cannot see (``test_said.py``).
    "all jobs alike to the cent": 0,
    "all actuals copied from quotes": 0,
    "every second actual copied": 15,
    "only overrun jobs on file": 9,
    "last bills missing in half": 12,
    "all costs $1": 0,
    "three wild jobs": 18,
    "a kind never done": 9,
}
"""Attacks whose floor is another than that of sound records."""


def held(name: str, count: int, *, quoted: bool) -> tuple[int, int]:
    """How many of 30 ranges of cost hold the truth, and how many firms got one."""
    inside = told = 0
    for seed in range(FIRMS):
        case: Case = case_of(BY_NAME[name], count, seed)
        job, truth = (case.quote, case.truth.quoted) if quoted else (case.new, case.truth.cost)
        found = predict(case.history, job, "cost", quoted=quoted)
        if found is not None:
            told += 1
            inside += found.spread.interval(0.8).holds(truth)
    return inside, told


@pytest.mark.parametrize("name", [a.name for a in ALL])
@pytest.mark.parametrize("quoted", [False, True], ids=["scope", "quote"])
def test_the_cost_of_the_next_job_stays_in_its_range(name: str, quoted: bool) -> None:
    inside, told = held(name, 24, quoted=quoted)
    floor = BLIND.get(name, FLOOR)
    assert inside >= floor * told / FIRMS


@pytest.mark.parametrize(
    "name",
    [
        "sound records",
        "one cost ten times",
        "a third in another currency",
        "every job twice",
        "no areas",
        "a third of areas in square metres",
        "no dates",
        "one cost of $1",
        "prices doubled two jobs ago",
    ],
)
def test_with_eight_jobs_too(name: str) -> None:
    inside, told = held(name, 8, quoted=False)
    assert inside >= FLOOR * told / FIRMS


def test_of_jobs_copied_under_other_names_nothing_is_learned() -> None:
    for count in (8, 24):
        assert held("all jobs alike to the cent", count, quoted=False) == (0, 0)


def test_a_history_on_file_twice_says_what_it_says_once() -> None:
    case = case_of(BY_NAME["every job twice"], 24, 1)
    once = case.history.jobs[::2]
    assert case.history.usable == once
