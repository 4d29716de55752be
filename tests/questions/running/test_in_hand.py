"""Change orders in hand: price against the cost still to come, by hand."""

import pytest

from costlearn.questions.running.in_hand import ChangeWorth, changes_in_hand, changes_table
from costlearn.questions.running.stage import phase_table, standings
from costlearn.records import NOTHING, Amounts, Job, PhaseRecord
from tests.making import bathrooms, change, job, phased

TABLE = phase_table(phased(bathrooms(20, plan_noise=0.1)).usable, "cost")


def running(*changes, tile: float = 0.0) -> Job:
    plan = Amounts(cost=100_000)
    return job(
        "run",
        state="running",
        phases=(
            PhaseRecord("demo", plan, plan, percent_complete=1.0),
            PhaseRecord("tile", plan, plan if tile else NOTHING, percent_complete=tile),
        ),
        changes=changes,
    )


def worth(*changes, tile: float = 0.0) -> ChangeWorth:
    one = running(*changes, tile=tile)
    return changes_in_hand(one, standings(one), TABLE)[0]


def test_a_change_still_to_come():
    found = worth(change(phase="tile", price=90_000, cost=60_000))
    assert (found.price, found.cost, found.left, found.most) == (900, 600, 600, 900)
    assert "1.50 times its estimate" in found.verdict
    assert found.chance is not None
    assert found.chance > 0.9


def test_half_done_counts_half_as_spent():
    """600 estimated, half done: 300 to come, and 900 - 300 may be spent on it."""
    found = worth(change(phase="tile", price=90_000, cost=60_000), tile=0.5)
    assert (found.left, found.most) == (300, 600)
    assert "2.00 times" in found.verdict


def test_a_dearer_price_pays_more_surely():
    chances = [
        worth(change(phase="tile", price=p, cost=60_000)).chance for p in (50_000, 60_000, 90_000)
    ]
    assert chances == sorted(chances)
    assert chances[0] < 0.3


@pytest.mark.parametrize(
    ("values", "tile", "said", "chance"),
    [
        ({"phase": "demo", "price": 90_000, "cost": 60_000}, 0.0, "covers its cost", 1.0),
        ({"phase": "demo", "price": 50_000, "cost": 60_000}, 0.0, "does not cover", 0.0),
        ({"phase": "tile", "price": 20_000, "cost": 60_000}, 0.5, "used up already", 0.0),
        ({"phase": "tile", "cost": 60_000}, 0.0, "no price agreed", None),
        ({"phase": "tile", "price": 60_000}, 0.0, "own cost is not on file", None),
    ],
)
def test_verdicts(values: dict, tile: float, said: str, chance: float | None):
    found = worth(change(**values), tile=tile)
    assert said in found.verdict
    assert found.chance == chance


def test_verbal_ones_ask_for_a_signature_and_declined_ones_are_gone():
    found = worth(change("verbal", phase="tile", price=90_000, cost=60_000))
    assert "not signed" in found.verdict
    one = running(change("declined", price=90_000, cost=60_000))
    assert changes_in_hand(one, standings(one), TABLE) == ()
    assert changes_table((), "USD") is None


def test_a_change_of_no_phase_is_to_come_until_the_job_is_over():
    found = worth(change(price=90_000, cost=60_000))
    assert (found.phase, found.left, found.chance) == ("no phase named", 600, None)
    table = changes_table([found], "USD")
    assert table is not None
    assert table.rows[0][:6] == ("CO-1", "approved", "$900", "$600", "$600", "not known")
