"""What each item adds: known effects come back, and items that always come together stay one."""

from dataclasses import replace

import numpy as np
import pytest
from making import NEW_DAY, SOMETIMES, bathrooms, new_bathroom

from costlearn.questions.estimate import estimate
from costlearn.questions.learning import predict
from costlearn.questions.worth import items_table, items_worth
from costlearn.records import History


def worth(history: History, *items: str):
    new = new_bathroom(quoted_on=NEW_DAY, scope=dict.fromkeys(("toilet", *items), 1.0))
    found = predict(history, new, "cost")
    assert found is not None
    return {i.item: i for i in items_worth(found, new)}, found


def test_planted_effects_are_found():
    """60 jobs with 3 % noise: what leaving an item out takes off, as a share of the middle."""
    found, prediction = worth(bathrooms(60, noise=0.03), *SOMETIMES)
    for item, effect in SOMETIMES.items():
        share = found[item].adds / prediction.spread.median
        assert share == pytest.approx(1 - np.exp(-effect), abs=0.025), item
        assert found[item].low < found[item].adds < found[item].high
    assert next(iter(found)) == "curbless", "the most first"


def test_items_every_job_had_add_nothing_that_can_be_told():
    found, _ = worth(bathrooms(20), "niche")
    assert "toilet" not in found
    assert set(found) == {"niche"}


def test_items_that_always_came_together_stand_in_one_row():
    jobs = tuple(
        replace(j, scope={**j.scope, "mosaic": 9.0, "mirror": 1.0}) if "niche" in j.scope else j
        for j in bathrooms(20).jobs
    )
    found, prediction = worth(History(jobs=jobs), "niche", "mosaic", "mirror", "bench")
    assert set(found) == {"niche", "bench"}
    assert (
        found["niche"].name == "shower niche, mirror or medicine cabinet and mosaic or accent tile"
    )
    assert found["niche"].jobs == sum("niche" in j.scope for j in jobs)
    joint = prediction.worth(["niche", "mosaic", "mirror"])
    assert found["niche"].adds == pytest.approx(
        prediction.spread.median * (1 - np.exp(-joint.mean))
    )


def test_an_item_that_came_alone_once_stands_alone():
    jobs = [
        replace(j, scope={**j.scope, "mirror": 1.0}) if "niche" in j.scope else j
        for j in bathrooms(20).jobs
    ]
    at = next(i for i, j in enumerate(jobs) if "niche" in j.scope)
    jobs[at] = replace(jobs[at], scope={k: v for k, v in jobs[at].scope.items() if k != "mirror"})
    found, _ = worth(History(jobs=tuple(jobs)), "niche", "mirror")
    assert set(found) == {"niche", "mirror"}


def test_the_table_says_nothing_where_there_is_nothing():
    assert items_table((), "USD") is None
    found = estimate(bathrooms(12), new_bathroom(scope={"toilet": 1.0}), on=NEW_DAY)
    assert found.items == ()
