"""A cap of the deposit as people write it: the lesser counts, and what is none is refused."""

import pytest

from costlearn.deposits import Cap, checked_cap, read_cap
from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm

HERE = Place("firm.toml")


@pytest.mark.parametrize(
    ("written", "cap"),
    [
        ("10%", Cap(0.1)),
        (" 33.3 % ", Cap(0.333)),
        ("1/3", Cap(1 / 3)),
        ("1000", Cap(amount=1000.0)),
        ("$1,000.50", Cap(amount=1000.5)),
        ("10% or 1000", Cap(0.1, 1000.0)),
        ("1,000 or 10 %", Cap(0.1, 1000.0)),
        (0.1, Cap(0.1)),
        (1000, Cap(amount=1000.0)),
        ("0%", Cap(0.0)),
        (0, Cap(amount=0.0)),
    ],
)
def test_caps_as_they_are_written(written, cap):
    found = read_cap(written, HERE)
    assert (found.share, found.amount) == (pytest.approx(cap.share), pytest.approx(cap.amount))
    assert read_cap(checked_cap(written, HERE), HERE) == found


NO_CAPS = ["ten percent", "", "10% or 20%", "1000 or 900", "120%", "-5", "1/0", "10%, 1000"]
NO_CAPS += [True, None, [10], float("nan")]


@pytest.mark.parametrize("written", NO_CAPS)
def test_what_is_no_cap_is_refused_in_one_sentence(written):
    with pytest.raises(InputProblem, match=r"^firm\.toml: found .* expected a share of the price"):
        read_cap(written, HERE)


def test_the_lesser_of_share_and_amount_counts():
    """California's 10 % or $1,000, the lesser, and one third elsewhere.

    Source: state contractor licensing rules, as looked up; they change, ask the state.
    """
    lesser = read_cap("10% or 1000", HERE)
    assert [lesser.of(p) for p in (5_000, 10_000, 28_900)] == [500.0, 1000.0, 1000.0]
    assert read_cap("1/3", HERE).of(9_000) == pytest.approx(3_000)


def test_a_cap_is_never_over_the_price():
    assert Cap(amount=1000.0).of(600) == 600


def test_settings_keep_a_cap_and_a_holdback():
    firm = Firm().changed(
        {"deposit_cap": "10% or 1000", "holdback": 0.1, "supplier_terms_days": 30}
    )
    assert firm.cap_of_deposit == Cap(0.1, 1000.0)
    assert (firm.holdback, firm.supplier_terms_days) == (0.1, 30.0)
    assert Firm().cap_of_deposit is None, "no legal number is assumed"
    assert Firm().changed({"deposit_cap": 0.1}).cap_of_deposit == Cap(0.1)
    assert firm.changed({"deposit_cap": ""}).cap_of_deposit is None
    for values in ({"deposit_cap": "a tenth"}, {"holdback": 10}, {"supplier_terms_days": -1}):
        with pytest.raises(InputProblem, match=r"entry 'firm\."):
            Firm().changed(values, place=HERE)
