"""The effect of a second person against a published experiment.

Source: "Effects of group size and learning on manual assembly
performance: an experimental study", International Journal of Production Research 57(2), 2019,
pages 452 to 469, doi 10.1080/00207543.2018.1444810: groups of one to four persons assembled one
product up to four times; mean times fall ever more slowly with the group's size, and output per
person falls. The group figures used here (two persons: elapsed x .60, person-hours x 1.21; exponent
of size -.74, 80 % -.79 to -.69) are as recorded for the checks of this package; the article's
abstract was looked up, its tables were not.
"""

import numpy as np
import pytest

from costlearn.models.crew import from_jobs
from costlearn.models.regression import Term

EXPONENT = -0.74
REPEATS = 4
LEARNING = (Term("log repetition", 0.0, 2.0, shrunk=False),)


def experiment(people: tuple[int, ...], groups: int, noise: float, seed: int = 1):
    """Groups of each size, each repeating the work; group means exactly on the published power."""
    rng = np.random.default_rng(seed)
    size = np.repeat(people, groups * REPEATS).astype(float)
    repeat = np.tile(np.arange(1, REPEATS + 1), groups * len(people))
    off = rng.normal(0, noise, len(size))
    for n in people:
        off[size == n] -= off[size == n].mean()
    log_hours = np.log(2.0) + EXPONENT * np.log(size) - 0.25 * np.log(repeat) + off
    return np.log(repeat)[:, None], np.exp(log_hours), size


def test_two_persons_take_sixty_percent_of_the_time_and_a_fifth_more_work():
    columns, hours, size = experiment((1, 2), 5, 0.08)
    found = from_jobs(columns, LEARNING, hours, size)
    assert found.factor == pytest.approx(0.60, abs=0.01)
    assert found.work == pytest.approx(1.21, abs=0.02)


def test_the_exponent_of_group_size_over_one_to_four_persons():
    """17 groups in all (68 students); an effect for each doubling is the exponent times log 2."""
    columns, hours, size = experiment((1, 2, 3, 4), 7, 0.17)
    found = from_jobs(columns, LEARNING, hours, size)
    assert found.mean / np.log(2) == pytest.approx(EXPONENT, abs=0.02)
    ends = [np.log(e) / np.log(2) for e in (found.interval(0.8).low, found.interval(0.8).high)]
    assert ends == pytest.approx([-0.79, -0.69], abs=0.025)
    assert ends[0] < EXPONENT < ends[1]
