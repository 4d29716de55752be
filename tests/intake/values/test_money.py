"""Cells of money. The sixteen dirty snippets of the trade that speak of money are all here."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.intake.values.money import Money, read_money, read_rough


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
        ("16,4k", ".", 1_640_000),
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


def test_a_rough_total_is_an_amount_with_a_note_where_totals_are_asked_for():
    reading = read_rough("~18k")
    assert reading.value == Money(1_800_000)
    assert "rough" in reading.note
    assert read_rough("about 9,500").value == Money(950_000)
    assert read_rough("9,500").value is None, "nothing rough about it"
    assert read_rough("~ soon").value is None


@pytest.mark.parametrize(
    ("text", "cents", "mark"),
    [
        ("33.5k?", 3_350_000, "'?'"),
        ("~33.5k?", 3_350_000, "'~' and '?'"),
        ("18000 ?", 1_800_000, "'?'"),
        ("$18,000 (?)", 1_800_000, "'?'"),
        ("approx 18k", 1_800_000, "'approx'"),
        ("18k approx.", 1_800_000, "'approx.'"),
        ("est. 29k", 2_900_000, "'est.'"),
        ("29k or so", 2_900_000, "'or so'"),
        ("29k-ish", 2_900_000, "'-ish'"),
    ],
)
def test_a_mark_of_doubt_before_or_behind_a_total_is_said(text: str, cents: int, mark: str) -> None:
    reading = read_rough(text)
    assert reading.value == Money(cents)
    assert f"is marked {mark}: a rough figure" in reading.note
    assert read_money(text).value is None, "a bill or a phase is never rough"


@pytest.mark.parametrize("text", ["up to 18k", "max 18k", "18-20k?", "18?000", "?", "18k to 20k?"])
def test_a_bound_a_span_or_a_bare_mark_is_no_rough_total(text: str) -> None:
    assert read_rough(text).value is None


def test_a_rough_total_in_another_mark_says_both() -> None:
    note = read_rough("26 500,00 ?").note
    assert "marked '?'" in note
    assert "by its own form" in note
