"""Terms of payment on the command line: in the place of the settings, or refused in a sentence."""

from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Command

CHECK = ("check", DEMO / "quote_sane.toml")


def test_terms_said_stand_in_the_place_of_the_settings(command: Command, demo_book: Path) -> None:
    terms = ("--deposit-cap", "10% or 1000", "--holdback", "20%")
    free = command(*CHECK, "--book", demo_book, "--json").data["cash"]
    bound = command(*CHECK, "--book", demo_book, "--json", *terms).data["cash"]
    assert (free["deposit_cap"], free["holdback"]) == (None, 0.0)
    assert (bound["deposit_cap"], bound["holdback"]) == (1000.0, 0.2)
    assert bound["payments"][0]["amount"] <= 1000 < free["payments"][0]["amount"]
    assert bound["payments"][-1]["amount"] >= 0.2 * 28_900


def test_the_screen_shows_payments_and_the_day_on_site(command: Command, demo_book: Path) -> None:
    told = command(*CHECK, "--book", demo_book)
    assert told.code == 0
    assert "Deposit and progress payments" in told.out
    assert "A day on site: price less direct cost" in told.out
    assert "AACE International 18R-97" in told.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--deposit-cap", "a tenth"), "--deposit-cap: found 'a tenth'; expected a share of"),
        (("--holdback", "1.5"), "--holdback: found '1.5'; expected a share of the price"),
    ],
)
def test_terms_that_are_none_are_refused(
    command: Command, small_book: Path, words: tuple[str, str], told: str
) -> None:
    assert command(*CHECK, "--book", small_book, *words).told.startswith(told)
