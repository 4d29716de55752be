"""What an amount's cell says about tax: in it, on top of it, or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from costlearn.intake.values.numerals import numeral
from costlearn.intake.values.tokens import Token, lex, lexicon

TAX_NAMES = "hst|gst|pst|qst|rst|tps|tvq|tvh|tva|vat|tax|taxes|taxe|tx|sales tax|sales taxes"
_WORDS = lexicon(
    tax=TAX_NAMES,
    within="incl|inclus|incluse|incluses|inclusive|include|includes|included|including|inc"
    "|compris|comprise|comprises|with|w/|avec|ttc|toutes taxes comprises",
    top="+|plus|excl|excluding|excluded|excludes|exclusive|ex|exc|before|avant|hors|en sus|ht"
    "|net of",
    none="no|sans|non|free|exempt|exempte|exempted|zero rated",
    join="and|et|at|on|a|of|de|la|les|the|@|&|/|,|;|:|=|(|)|$|.",
)
_ALONE = {"ttc", "ht", "toutes taxes comprises"}
"""Words that speak of tax without naming one."""


@dataclass(frozen=True, slots=True)
class TaxClause:
    """What was said: ``how`` is "in", "on top" or "none"; a rate as a share, or an amount."""

    how: str
    rate: Decimal | None = None
    amount: Decimal | None = None


def split_tax(text: str) -> tuple[str, str]:
    """Part a tidied text into the amount and what is said about tax, "" if nothing is.

    >>> split_tax("1,130.00 incl HST 13%"), split_tax("12,900 + 1,150 slab + HST")
    (('1,130.00', 'incl HST 13%'), ('12,900 + 1,150 slab', '+ HST'))
    """
    tokens = lex(text, ".", _WORDS)
    if not any(t.kind == "tax" or t.text in _ALONE for t in tokens):
        return text, ""
    starts = [i for i in range(len(tokens)) if _may_start(tokens, i)]
    clear = (i for i in starts if _clause(tokens[i:], ".") is not None)
    start = next(clear, starts[0] if starts else None)
    if start is None:
        return text, ""
    before = tokens[start - 1]
    place = (before if before.text in set("(,;") else tokens[start]).start
    return text[:place].strip(), text[place:].strip()


def read_tax_clause(tail: str, decimal: str) -> TaxClause | None:
    """What the words after an amount say about tax, or None if that is not clear.

    Several rates (two taxes on the same net amount) are added.

    >>> read_tax_clause("+ HST", ".")
    TaxClause(how='on top', rate=None, amount=None)
    """
    return _clause(lex(tail, decimal, _WORDS), decimal)


def _may_start(tokens: Sequence[Token], at: int) -> bool:
    """Whether a clause may start at a token: one that speaks of tax, behind a figure."""
    if not any(t.kind == "number" for t in tokens[:at]):
        return False
    rate = tokens[at].kind == "number" and at + 1 < len(tokens) and tokens[at + 1].kind == "%"
    return rate or tokens[at].kind in {"tax", "within", "top", "none"}


def _clause(tokens: Sequence[Token], decimal: str) -> TaxClause | None:
    """The clause that all of the tokens make together, or None."""
    ways: list[str] = []
    rates: list[Decimal] = []
    amounts: list[Decimal] = []
    said = [t for t in tokens if t.kind != "join"]
    for i, token in enumerate(said):
        if token.kind == "number":
            is_rate = i + 1 < len(said) and said[i + 1].kind == "%"
            near = [t.kind for t in (*said[max(i - 1, 0) : i], *said[i + 1 : i + 2])]
            value = _rate(token.text) if is_rate else numeral(token.text, decimal)
            if value is None or not (is_rate or "tax" in near):
                return None
            (rates if is_rate else amounts).append(value)
        elif token.kind in {"within", "top", "none"}:
            # A later plus joins two taxes and says nothing of its own.
            ways += [] if token.text == "+" and ways else [token.kind]
        elif token.kind != "tax" and not (token.kind == "%" and i and said[i - 1].value):
            return None
    if len(set(ways)) != 1 or len(amounts) > 1 or (ways[0] == "none" and (rates or amounts)):
        return None
    how = {"within": "in", "top": "on top", "none": "none"}[ways[0]]
    rate = sum(rates, Decimal(0)) if rates else None
    return TaxClause(how, rate, amounts[0] if amounts else None)


def _rate(text: str) -> Decimal | None:
    """A rate as a share; it is taken with either decimal mark."""
    figure = numeral(text.replace(",", "."), ".")
    return None if figure is None or not 0 < figure < 100 else figure / 100
