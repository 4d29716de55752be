"""Cells of money. The sixteen dirty snippets of the trade that speak of money are all here."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.amounts import currencies_named
from costlearn.intake.values.money import Money, read_money
from costlearn.intake.values.stints import read_stint


@pytest.mark.parametrize(
    "text",
    ["(185.40)", "-185.40", "185.40-", "185.40 CR", "\u2212185.40", "185.40CR", "CR 185.40",
     "-$185.40", "$-185.40", "($185.40)", "$(185.40)", "$185.40-", "- 185.40", "–185.40",
     "credit 185.40", "refund 185.40", "185.40 cr.", " ( 185.40 ) ", "185.40 \u2212",
     "Crédit 185.40"],
)  # fmt: skip
def test_every_way_to_write_a_credit_is_negative(text: str) -> None:
    assert read_money(text).value == Money(-18540)


@pytest.mark.parametrize(
    "text", ["185.40 DR", "DR 185.40", "+185.40", "185.40", "$185.40", "'185.40"]
)
def test_debits_and_plain_amounts_are_positive(text: str) -> None:
    assert read_money(text).value == Money(18540)


@pytest.mark.parametrize("text", ["-185.40 CR", "(-185.40)", "-(185.40)", "-185.40 DR", "CR 5 CR"])
def test_two_signs_are_a_problem(text: str) -> None:
    assert "two ways" in read_money(text).problem


@pytest.mark.parametrize(
    ("text", "cents", "currency"),
    [("US$ 640", 64000, "USD"), ("C$ 910", 91000, "CAD"), ("CAD 210.50", 21050, "CAD"),
     ("$75", 7500, None), ("CA$910", 91000, "CAD"), ("640 USD", 64000, "USD"), ("$640 USD",
     64000, "USD"),
     ("640 $ CA", 64000, "CAD"), ("640 $US", 64000, "USD"), ("€ 5", 500, "EUR"), ("5.00 EUR",
     500, "EUR"),
     ("£12", 1200, "GBP"), ("AU$ 12", 1200, "AUD"), ("US $12", 1200, "USD"), ("12 dollars",
     1200, None),
     ("cad 12", 1200, "CAD"), ("$.50", 50, None)],
)  # fmt: skip
def test_currencies(text: str, cents: int, currency: str | None) -> None:
    assert read_money(text).value == Money(cents, currency)


def test_two_currencies_are_a_problem() -> None:
    assert "two currencies" in read_money("USD 640 CAD").problem


def test_decimal_comma_and_hard_spaces() -> None:
    assert read_money("1\u00a0250,00\u00a0$", decimal=",").value == Money(125000)
    assert read_money("2\u202f400,50 $", decimal=",").value == Money(240050)
    assert read_money("1.250,00 €", decimal=",").value == Money(125000, "EUR")
    assert read_money("12,5", decimal=",").value == Money(1250)


@pytest.mark.parametrize(
    ("text", "decimal", "cents"),
    [
        ("26 500,00", ".", 2_650_000),
        ("26\u202f500,00 $", ".", 2_650_000),
        ("1.250,50", ".", 125_050),
        ("(1.250,50)", ".", -125_050),
        ("13,50", ".", 1_350),
        ("13.50", ",", 1_350),
        ("1,250,000", ",", 125_000_000),
    ],
)
def test_a_form_that_settles_its_own_mark_is_read_by_it_and_told(
    text: str, decimal: str, cents: int
) -> None:
    reading = read_money(text, decimal=decimal)
    assert reading.value is not None
    assert reading.value.cents == cents
    assert "by its own form" in reading.note
    assert f"its column writes a {'point' if decimal == '.' else 'comma'}" in reading.note
    other = read_money(text, decimal="," if decimal == "." else ".")
    assert other.value == reading.value
    assert "by its own form" not in other.note, "nothing to tell where the column agrees"


@pytest.mark.parametrize(
    ("text", "decimal"),
    [("26,5000", "."), ("1234.5678", ","), (",5", "."), ("0.500", ","), ("0,500", ".")],
)
def test_a_mark_that_is_not_the_columns_and_not_settled_by_the_form_is_a_problem(
    text: str, decimal: str
) -> None:
    assert "decimal mark" in read_money(text, decimal=decimal).problem


def test_a_mark_before_three_figures_is_not_guessed() -> None:
    assert "thousands or a fraction" in read_money("1.250").problem
    assert "thousands or a fraction" in read_money("1,250", decimal=",").problem
    assert read_money("1,250").value == Money(125000)
    assert read_money("0.455").value == Money(46)


def test_tax_in_the_amount_is_taken_out() -> None:
    reading = read_money("1,130.00 incl HST 13%")
    assert reading.value == Money(100000, None, 13000)
    assert reading.note == "13 % tax taken out"


@pytest.mark.parametrize(
    "text",
    ["1,130.00 (incl. 13% HST)", "$1,130.00 including 13 % tax", "1,130.00 HST 13% included",
     "1,130.00 incl 130.00 HST", "1,130.00 incl. HST of 130.00", "1,130.00 incl HST (13%)"],
)  # fmt: skip
def test_other_ways_to_say_tax_is_in(text: str) -> None:
    assert read_money(text).value == Money(100000, None, 13000)


def test_tax_on_top_takes_the_rate_of_the_cell_or_the_firm() -> None:
    # 86.00 x 0.13 = 11.18
    assert read_money("86.00 + HST", tax_rate=0.13).value == Money(8600, None, 1118)
    assert read_money("86.00 plus 13% tax").value == Money(8600, None, 1118)
    assert read_money("86.00+tx", tax_rate=0.13).value == Money(8600, None, 1118)
    assert read_money("86.00 before tax", tax_rate=0.13).value == Money(8600, None, 1118)


def test_the_rate_in_the_cell_wins_over_the_firms() -> None:
    assert read_money("100.00 + GST 5%", tax_rate=0.13).value == Money(10000, None, 500)


def test_tax_without_any_rate_is_a_problem() -> None:
    assert "gives no rate" in read_money("86.00 + HST").problem


def test_two_taxes_on_one_net_amount_are_added() -> None:
    # 1,000 x (0.05 + 0.09975) = 149.75
    text = "1 149,75 $ taxes incluses TPS 5 % et TVQ 9,975 %"
    assert read_money(text, decimal=",").value == Money(100000, None, 14975)
    assert read_money("100 + GST 5% + PST 7%").value == Money(10000, None, 1200)


def test_no_tax_is_a_true_zero_and_silence_is_not() -> None:
    assert read_money("500 no tax").value == Money(50000, None, 0)
    assert read_money("500 tax exempt").value == Money(50000, None, 0)
    assert read_money("500").value == Money(50000, None, None)


def test_credits_carry_their_tax() -> None:
    assert read_money("(113.00) incl HST 13%").value == Money(-10000, None, -1300)
    assert read_money("-113.00 incl 13.00 HST").value == Money(-10000, None, -1300)


def test_tax_that_is_unclear_or_does_not_add_up_is_a_problem() -> None:
    assert "whether tax is in it" in read_money("1,130.00 HST").problem
    assert "does not fit" in read_money("1,130.00 incl 120.00 HST 13%").problem


@given(st.integers(1, 10**9), st.integers(1, 300))
def test_net_and_tax_always_add_up_to_the_gross_amount(cents: int, per_mille: int) -> None:
    text = f"{cents // 100}.{cents % 100:02d} incl tax {per_mille / 10}%"
    money = read_money(text).value
    assert money is not None
    assert money.tax is not None
    assert money.cents + money.tax == cents
    # Half a cent of rounding at most: 2000 x |tax - net x rate| <= 1000 + rate's own share.
    assert abs(money.tax * 1000 - money.cents * per_mille) <= 500 + per_mille / 2 + 1


@pytest.mark.parametrize(
    ("text", "why"),
    [("allow 400", "is an allowance, not a cost"), ("400 allowance", "allowance"),
     ("allow 400 + HST", "allowance"), ("PC sum 400", "allowance"), ("~400", "rough"),
     ("approx 400", "rough"), ("400?", "rough"), ("est. 400", "rough"), ("400-500", "several"),
     ("120 + 80", "several"), ("400 to 500", "several"), ("2 @ 40", "by the piece"),
     ("40/ea", "by the piece"), ("12 %", "percentage"), ("=A1+2", "formula"), ("PNS", "no amount"),
     ("see notes", "no amount"), ("1.2E+05", "no amount"), ("99999999999", "too large"),
     ("1,25,000", "no amount"), ("12 34", "no amount"), ("HST", "no amount")],
)  # fmt: skip
def test_what_is_no_amount_says_why(text: str, why: str) -> None:
    reading = read_money(text)
    assert reading.value is None
    assert why in reading.problem
    assert reading.problem.startswith("'")


@pytest.mark.parametrize(
    "raw", ["", "-", "n/a", "TBD", "#REF!", None, float("nan"), "$ -", "$", "()"]
)
def test_missing_money_is_neither_zero_nor_a_problem(raw: str | float | None) -> None:
    reading = read_money(raw)
    assert reading.value is None
    assert reading.problem == ""


def test_zero_is_a_true_zero() -> None:
    for raw in ("0", 0, 0.0, "$0.00", "-0"):
        assert read_money(raw).value == Money(0)


def test_numbers_of_a_workbook() -> None:
    assert read_money(1250).value == Money(125000)
    assert read_money(-0.1).value == Money(-10)
    assert read_money(1.005).value == Money(101)
    assert read_money(120.53999999).value == Money(12054)
    assert read_money(45719).value == Money(4571900)
    assert "too large" in read_money(1e11).problem
    assert read_money(float("inf")).problem
    assert read_money(True).problem


def test_thousands_with_a_k_are_understood_and_told() -> None:
    reading = read_money("$18.5k")
    assert reading.value == Money(1850000)
    assert reading.note == "'$18.5k' read as 18,500"


STYLES = {
    "plain": ("{s}{u}.{c:02d}", "."),
    "thousands": ("{s}{t}.{c:02d}", "."),
    "dollar": ("{s}${t}.{c:02d}", "."),
    "dollar inside": ("${s}{t}.{c:02d}", "."),
    "code": ("CAD {s}{t}.{c:02d}", "."),
    "code after": ("{s}{t}.{c:02d} CAD", "."),
    "signed letters": ("C$ {s}{t}.{c:02d}", "."),
    "french": ("{s}{n},{c:02d}\u00a0$", ","),
    "dots": ("{s}{d},{c:02d}", ","),
    "comma only": ("{s}{u},{c:02d}", ","),
    "apostrophes": ("{s}{a}.{c:02d}", "."),
    "quoted": ("“{s}{t}.{c:02d}”", "."),
    "minus sign": ("{m}{t}.{c:02d}", "."),
    "trailing minus": ("{t}.{c:02d}{s}", "."),
    "dollar, trailing minus": ("${t}.{c:02d}{s}", "."),
    "brackets": ("{o}{t}.{c:02d}{e}", "."),
    "brackets, dollar": ("{o}${t}.{c:02d}{e}", "."),
    "credit": ("{t}.{c:02d}{k}", "."),
    "french credit": ("{n},{c:02d}{k}", ","),
}


@given(st.integers(-(10**12) + 1, 10**12 - 1), st.sampled_from(sorted(STYLES)))
def test_any_amount_written_in_any_style_reads_back_to_the_cent(cents: int, style: str) -> None:
    pattern, decimal = STYLES[style]
    units, rest = divmod(abs(cents), 100)
    grouped = f"{units:,}"
    negative = cents < 0
    text = pattern.format(
        s="-" if negative else "", m="\u2212" if negative else "", o="(" if negative else "",
        e=")" if negative else "", k=" CR" if negative else "", u=units, c=rest, t=grouped,
        n=grouped.replace(",", "\u00a0"), d=grouped.replace(",", "."), a=grouped.replace(",", "’"),
    )  # fmt: skip
    money = read_money(text, decimal=decimal).value
    assert money is not None
    assert money.cents == cents


def understood(text: str, **told: Any) -> tuple[float, ...] | str:
    """What a total of a job says in dollars: one figure, the two ends of a range, or the code."""
    reading = read_money(text, **{"ranges": True, "firm_currency": "CAD", **told})
    money = reading.value
    if money is None:
        assert reading.problem.startswith(f"'{text}'")
        return reading.code
    if money.low is None or money.high is None:
        return (money.cents / 100,)
    assert abs(money.cents * 2 - money.low - money.high) <= 1
    return (money.low / 100, money.high / 100)


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("~38k all in", (38_000, 38_000)), ("$36,000 to $41,000", (36_000, 41_000)),
        ("$36,000 to $41,000 CAD", (36_000, 41_000)), ("28 - 31k", (28_000, 31_000)),
        ("7k-8k", (7_000, 8_000)), ("21.9k", (21_900,)), ("about 21,000", (21_000, 21_000)),
        ("just under 20k", (20_000, 20_000)), ("18 or 19 thousand", (18_000, 19_000)),
        ("20k ish", (20_000, 20_000)), ("20k-ish", (20_000, 20_000)),
        ("between 28 and 31k", (28_000, 31_000)), ("28k to 31", (28_000, 31_000)),
        ("18k or so", (18_000, 18_000)), ("400-500", (400, 500)), ("2 to 3,000", (2_000, 3_000)),
        ("$18,000 (?)", (18_000, 18_000)), ("~33.5k?", (33_500, 33_500)),
        ("est. 29k", (29_000, 29_000)), ("21-24k US / 29-33k CDN", (29_000, 33_000)),
        ("24k US (33k CDN)", (33_000,)), ("24k US or 33k CDN", (33_000,)),
        ("17,150 (glass 1,900 not in, we paid)", (19_050,)),
        ("13,480 (vanity 1,250 bought by client, not in)", (13_480,)),
        ("US 11.4k / CDN 15.6k", (15_600,)), ("12,900 plus 1,150 slab", (14_050,)),
        ("12,900 + 1,150 slab", (14_050,)), ("12,900 + 1,150", (14_050,)),
        ("1,450 (incl. trim)", (1_450,)), ("11,400 incl glass 1,900", (11_400,)),
        ("385 (2 loads @ 192.50)", (385,)), ("1,850 pd cash", (1_850,)),
        ("18k (Dave did tile)", (18_000,)), ("14k, 8 days", (14_000,)),
        ("environ 21 000 $", (21_000, 21_000)), ("21 à 24 000 $", (21_000, 24_000)),
    ],
)  # fmt: skip
def test_totals_as_owners_write_them(text: str, figures: tuple[float, ...]) -> None:
    assert understood(text) == figures


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("max 15k", "bound"), ("up to 15k", "bound"), ("from 15k", "bound"), ("15k+", "remark"),
        ("allow 400", "allowance"), ("$5,4oo", "bad letters"), ("18,22O", "bad letters"),
        ("l8,500", "bad letters"), ("5,4k", "decimal mark"), ("35 to 40", "no unit"),
        ("~38", "no unit"), ("12.9 + 1.2k", "no unit"), ("18,500k", "no unit"),
        ("12,900 + 1,677", "tax unclear"), ("12,900 + slab", "remark"), ("9k - 7k", "range"),
        ("385 (2 loads @ 182.50)", "arithmetic"), ("1,450 (incl. 1,900 trim)", "arithmetic"),
        ("18k (was 20k)", "remark"), ("38k (labour only)", "remark"), ("12k - deposit", "remark"),
        ("17,150 (glass 1,900 not in)", "two amounts"), ("17,150 excl. glass 1,900", "two amounts"),
        ("17,150 (glass 1,900)", "two amounts"), ("17,150 (glass extra)", "remark"),
        ("24k USD / 21k EUR", "two currencies"), ("24,500 + HST", "no tax rate"),
        ("450 deposit", "unreadable"), ("1,200 of 4,000", "unreadable"), ("18?000", "no unit"),
        ("9,000?500", "unreadable"),
    ],
)  # fmt: skip
def test_what_is_not_sure_waits_with_its_reason(text: str, code: str) -> None:
    assert understood(text) == code


@pytest.mark.parametrize("text", ["28-31k", "~400", "400?", "29k or so", "about 9,500"])
def test_a_bill_or_a_phase_is_never_rough(text: str) -> None:
    assert read_money(text).code in {"rough", "range"}


def test_a_heading_in_thousands_holds_for_its_bare_figures() -> None:
    assert understood("35 to 40", unit=1000) == (35_000, 40_000)
    assert understood("~38k", unit=1000) == (38_000, 38_000)
    assert read_money(38.5, unit=1000).value == Money(3_850_000)
    assert read_money(38_500, unit=1000).code == "no unit", "written in full all the same"
    assert understood("17.1 (glass 1,900 not in)", unit=1000) == "no unit"


def test_a_bare_figure_beside_others_with_a_k_may_be_either() -> None:
    assert read_money("22", unit=None).code == "no unit"
    assert read_money(22, unit=None).code == "no unit"
    assert read_money("21,900", unit=None).value == Money(2_190_000)
    assert read_money("22k", unit=None).value == Money(2_200_000)
    assert read_money(0, unit=None).value == Money(0)


def test_thousands_in_a_column_of_decimal_commas() -> None:
    assert understood("5,4k", decimal=",") == (5_400,)
    assert understood("26 500,00 ?") == (26_500, 26_500)
    assert "by its own form" in read_money("26 500,00 ?", ranges=True).note


def test_tax_on_top_needs_no_rate_where_only_the_net_amount_counts() -> None:
    assert understood("24,500 + HST", net_only=True) == (24_500,)
    money = read_money("36-41k + HST", ranges=True, tax_rate=0.13).value
    assert money == Money(3_850_000, None, 500_500, 3_600_000, 4_100_000)
    assert money.with_tax() == Money(4_350_500, None, 0, 4_068_000, 4_633_000)
    assert read_money("1,130 incl HST", net_only=True).code == "no tax rate"


def test_a_heading_may_name_two_currencies() -> None:
    assert currencies_named("Cost US / CDN") == {"USD", "CAD"}
    assert currencies_named("Cost to us (CAD)") == {"CAD"}


def test_what_waits_names_the_figures_to_choose_from() -> None:
    open_glass = read_money("17,150 (glass 1,900 not in)", ranges=True)
    assert [money.cents for money in open_glass.choices] == [1_905_000, 1_715_000]
    for text, cents in (("$5,4oo", 540_000), ("18,22O", 1_822_000), ("5,4k", 540_000)):
        assert [money.cents for money in read_money(text).choices] == [cents]


@pytest.mark.parametrize(
    ("text", "cents", "rest"),
    [
        ("about 6,500 / 5 days", 650_000, "5 days"), ("9k 6 days", 900_000, "6 days"),
        ("18,750 - 11 days", 1_875_000, "11 days"),
        ("22,400, 15 days, both of us", 2_240_000, "15 days; both of us"),
    ],
)  # fmt: skip
def test_cost_and_days_in_one_cell(text: str, cents: int, rest: str) -> None:
    reading = read_money(text, ranges=True)
    assert reading.value is not None
    assert (reading.value.cents, reading.rest) == (cents, rest)
    assert read_stint(rest, unit="days", hours_per_day=8).value is not None


def test_what_stands_behind_an_amount_is_handed_on() -> None:
    assert read_money("14k, 8 days").rest == "8 days"
    assert read_money("24,500 + HST, 8 days", net_only=True).rest == "8 days"


AMOUNTS = st.integers(200, 99_999)
THOUSANDS = st.integers(2, 99)
WAYS: dict[str, tuple[str, int]] = {
    "{a:,} to {b:,}": (1, 2), "${a:,}-${b:,}": (1, 2), "{a:,} à {b:,} $": (1, 2),
    "~{a:,}": (1, 1), "about ${a:,}": (1, 1), "{a:,} ish": (1, 1), "{a:,}?": (1, 1),
    "{x} - {y}k": (1000, 2), "{x}k-{y}k": (1000, 2), "${x}k to ${y}k CAD": (1000, 2),
    "{x} or {y} thousand": (1000, 2), "~{x}k all in": (1000, 1), "{x}-{y}k US / {x}-{y}k CDN":
    (1000, 2),
    "{a:,} + {b:,} slab": (1, 3), "{b:,} (glass {a:,} not in, we paid)": (1, 3), "{a:,}": (1, 0),
    "{a:,} (incl. trim)": (1, 0), "{a:,} pd cash": (1, 0), "{x}k, 8 days": (1000, 0),
}  # fmt: skip
"""How totals are written: their unit, and 0 for one figure, 1 rough, 2 a range, 3 a sum."""


@given(AMOUNTS, AMOUNTS, THOUSANDS, THOUSANDS, st.sampled_from(sorted(WAYS)))
def test_any_total_written_in_these_ways_is_read_back_or_waits(
    one: int, two: int, less: int, more: int, way: str
) -> None:
    a, b = sorted((one, two))
    x, y = sorted((less, more))
    unit, form = WAYS[way]
    low, high = (a, b) if unit == 1 else (x * 1000, y * 1000)
    said = {0: (low,), 1: (low, low), 2: (low, high), 3: (a + b,)}[form]
    found = understood(way.format(a=a, b=b, x=x, y=y))
    assert found == said or found in {"range", "tax unclear"}
    if form < 2 or (form == 2 and low < high <= 10 * low):
        assert found == said


@given(st.text(alphabet="0123456789,.$k-~+ ()toinabslcr", max_size=16))
def test_no_text_is_read_as_a_figure_it_does_not_hold(text: str) -> None:
    reading = read_money(text, ranges=True)
    assert reading.value is None or any(c.isdigit() for c in text)
    assert (reading.problem == "") == (reading.code == "")
