"""One amount as a writer marks it, or the two ends of a range.

Strict: what may be dollars or thousands, or has its minus marked twice, is refused and not guessed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal

from costlearn.intake.values.cells import LARGEST, Code
from costlearn.intake.values.numerals import MARKS, tidy
from costlearn.intake.values.taxes import TAX_NAMES
from costlearn.intake.values.tokens import Token, Walk, lex, lexicon

_CODES = "USD|CAD|AUD|NZD|GBP|EUR|CHF|MXN|SEK|NOK|DKK|PLN|CZK|BRL|ZAR|INR|SGD|HKD"
CURRENCIES = {
    "us$": "USD", "us $": "USD", "$us": "USD", "$ us": "USD", "u$s": "USD", "us": "USD",
    "c$": "CAD", "ca$": "CAD", "ca $": "CAD", "$ca": "CAD", "$ ca": "CAD", "can$": "CAD",
    "can $": "CAD", "$can": "CAD", "$ can": "CAD", "cdn$": "CAD", "cdn $": "CAD", "cdn": "CAD",
    "cad$": "CAD", "usd$": "USD", "a$": "AUD", "au$": "AUD", "au $": "AUD", "$au": "AUD",
    "$ au": "AUD", "nz$": "NZD", "nz $": "NZD", "$nz": "NZD", "$ nz": "NZD", "£": "GBP",
    "€": "EUR", "euro": "EUR", "euros": "EUR", "$": "", "dollars": "", "dollar": "",
    **{code.lower(): code for code in _CODES.split("|")},
}  # fmt: skip
"""Signs and ISO 4217 codes before or after an amount; "" leaves the currency open."""

WORDS = lexicon(
    currency="|".join(CURRENCIES),
    k="k|thousand|thousands|grand|mille|thou",
    rough="~|≈|±|?|+/-|approx|approximately|approximate|about|around|circa|ca|roughly|environ|est"
    "|estimated|estimate|maybe|perhaps|say|or so|give or take|ish|just under|just over"
    "|just shy of|a bit over|a bit under|a little over|a little under|nearly|almost|close to",
    credit="cr|credit|refund|refunded|remboursement",
    debit="dr|debit",
    paid="pd|paid|cash|cheque|chq|card|credit card|debit card|transfer|e transfer|etransfer"
    "|in cash|by cheque|by check|by card|by transfer|comptant|paye|payee",
    filler="all in|in total|total|all up|all told|altogether|tout compris|au total",
    allow="allow|allowance|allowances|prov|provisional|pc sum|p.c. sum",
    bound="up to|max|maximum|min|minimum|at least|at most|no more than|not more than|not over"
    "|not to exceed|under|over|less than|more than|below|above|jusqu'a|au plus|au moins|moins de"
    "|plus de|capped at",
    between="between|from|entre|de",
    to="to|a|or|ou",
    joined="and|et",
    plus="+|plus|&",
    each="@|each|ea|per|x|*",
    absent="not in|not incl|not included|not counted|excluded|excl|excluding|not in it"
    "|not in there|non inclus|non incluse|non compris|non comprise",
    within="in|is in|incl|inclus|incluse|including|includes|included|inc|compris|dont|with|w/|avec",
    client="client|clients|customer|homeowner|owner|owners|they",
    ours="we paid|paid by us|on top|to add|add",
    unit="day|days|d|wk|wks|week|weeks|hr|hrs|h|hour|hours|men|man|guy|guys|people|sf|sq ft|sqft"
    "|m2|ft2|jour|jours|j|sem|semaine|semaines|heure|heures|loads|pcs|of us",
    doubt="check|deposit|deposits|so far|only|without|not|no|less|minus|more|owed|owing|due|unpaid"
    "|partial|part|half|draft|quote|quoted|budget|budgeted|balance|remaining|waiting|still"
    "|missing|lost|extra|extras|labour|labor|material|materials|mat|mats|sub|subs|before|after"
    "|deducted|holdback|retainage|to come|to date|w/o|w/out|change|changes|price|profit"
    "|markup|margin|acompte|solde|sans|reste|was|were|of|if|but|except|unless|double",
    tax=TAX_NAMES,
)  # fmt: skip
_THOUSANDS_OR_FRACTION = re.compile("[1-9][0-9]{0,2}[.,][0-9]{3}")
LEAST_PLAIN = 200
"""A rough figure or a range below this may be in dollars or in thousands: neither is guessed."""
_WIDEST = 10
"""A range whose ends lie further apart than this is a slip."""


class Unclear(Exception):
    """An amount cannot be read with certainty: a sentence's end, its code, what it may come to."""

    def __init__(
        self, why: str, code: Code = "unreadable", choices: tuple[Decimal, ...] = ()
    ) -> None:
        super().__init__(why)
        self.why = why
        self.code: Code = code
        self.choices = choices


@dataclass(frozen=True, slots=True)
class Frame:
    """What is known of a cell's column: see ``values.money.read_money``."""

    decimal: str = "."
    ranges: bool = False
    unit: int | None = 1
    firm_currency: str | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """An amount from ``low`` to ``high``, in whole currency units, both equal where it is one.

    ``rough`` says that it is marked as unsure, ``notes`` what else is worth telling, ``terms`` the
    middles of what was added up, ``rest`` the text behind it that speaks of something else.
    """

    low: Decimal
    high: Decimal
    currency: str = ""
    rough: bool = False
    notes: tuple[str, ...] = ()
    terms: tuple[Decimal, ...] = ()
    labelled: bool = False
    spelled: bool = False
    """Written with a "k": what it comes to is worth telling."""
    rest: str = ""

    @property
    def middle(self) -> Decimal:
        """Half way between both ends."""
        return (self.low + self.high) / 2


@dataclass(slots=True)
class _Amount:
    """One amount while it is read."""

    value: Decimal = Decimal(0)
    times: int = 1
    minuses: int = 0
    debit: bool = False
    opened: int = 0
    currencies: set[str] = field(default_factory=set)
    rough: bool = False
    mark: str = ""


def currencies_named(heading: str) -> set[str]:
    """The currencies a heading names; the "us" of "cost to us" is none.

    >>> sorted(currencies_named("Cost US / CDN")), currencies_named("Cost to us")
    (['CAD', 'USD'], set())
    """
    tokens = lex(tidy(heading), ".", WORDS)
    named = {
        CURRENCIES[t.text]
        for t, before in zip(tokens, (None, *tokens), strict=False)
        if t.kind == "currency" and not (t.text == "us" and before and before.text in {"to", "by"})
    }
    return named - {""}


def read_amount(walk: Walk, frame: Frame) -> Figure:
    """One amount, or the two ends of a range.

    Raises:
        Unclear: it cannot be read with certainty.
    """
    between = walk.take() if walk.kind() == "between" else None
    first = _amount(walk)
    second = None
    if walk.kind() in {"-", "to"} or (between and walk.kind() == "joined"):
        second = _other_end(walk, first)
    if between and second is None:
        raise Unclear("bounds a figure, it does not state one", "bound")
    if second is not None and not frame.ranges:
        raise Unclear("is several amounts, not one", "range")
    if second is not None:
        _share_thousands(first, second)
    ends = (first, second or first)
    currencies = (ends[0].currencies | ends[1].currencies) - {""}
    if len(currencies) > 1:
        raise Unclear("names two currencies", "two currencies")
    marked = any(end.rough for end in ends)
    if marked and not frame.ranges:
        raise Unclear("is a rough figure, not an amount", "rough")
    low, high = (_scaled(end, frame, rough=marked or second is not None) for end in ends)
    if second is not None and not 0 < low < high <= low * _WIDEST:
        raise Unclear("is no range from a smaller to a larger amount", "range")
    told = dict.fromkeys(
        f"the {MARKS[end.mark]} is its decimal mark by its own form, though its column writes a "
        f"{MARKS[frame.decimal]}"
        for end in ends
        if end.mark
    )
    name = currencies.pop() if currencies else ""
    return Figure(
        low, high, name, rough=marked, notes=tuple(told), spelled=any(e.times > 1 for e in ends)
    )


def _other_end(walk: Walk, first: _Amount) -> _Amount | None:
    """The second end of a range; the walk stays where it is if none follows."""
    before = walk.at
    walk.take()
    try:
        second = _amount(walk)
    except Unclear:
        walk.at = before
        return None
    if walk.kind() == "unit" or len((first.currencies | second.currencies) - {""}) > 1:
        walk.at = before
        return None
    if first.minuses or second.minuses:
        raise Unclear("is several amounts, not one", "range")
    return second


def _share_thousands(first: _Amount, second: _Amount) -> None:
    """A "k" or a thousand said once holds for both ends ("28 - 31k", "21 à 24 000 $")."""
    if second.times > 1 and first.value < 1000:
        first.times = second.times
    elif first.times > 1 and second.value < 1000:
        second.times = first.times
    elif first.value < 1000 <= second.value and second.value % 1000 == 0:
        first.times = 1000 if first.value * 1000 <= second.value else 1


def _scaled(amount: _Amount, frame: Frame, *, rough: bool) -> Decimal:
    """What an amount comes to in whole currency units, with its sign."""
    if amount.times > 1 and amount.value >= 1000:
        raise Unclear("says thousands twice", "no unit")
    value = amount.value * amount.times
    unit = frame.unit or 1
    if amount.times == 1 and unit != 1:
        if value >= 1000:
            raise Unclear("is written in full under a heading in thousands", "no unit")
        value *= unit
    elif amount.times == 1 and (rough or frame.unit is None) and 0 < value < LEAST_PLAIN:
        raise Unclear("may be in dollars or in thousands", "no unit")
    if value > Decimal(LARGEST):
        raise Unclear("is too large to be an amount of money", "too large")
    return -value if amount.minuses else value


def _amount(walk: Walk) -> _Amount:
    """One amount with the marks around it.

    Raises:
        Unclear: there is none here.
    """
    made = _Amount()
    while walk.kind() in _BEFORE:
        _mark(made, walk.take())
    token = walk.take() if walk.kind() == "number" else None
    if token is None or token.value is None:
        raise Unclear("is no amount of money")
    made.value, made.mark = token.value, token.mark
    while walk.kind() in _BEHIND or _closes(walk, made):
        _mark(made, walk.take())
    if made.minuses > 1 or (made.minuses and made.debit):
        raise Unclear("is marked negative in two ways", "negative")
    if made.opened:
        raise Unclear("is no amount of money")
    if _THOUSANDS_OR_FRACTION.fullmatch(token.text) and made.value < 1000 and made.times == 1:
        raise Unclear("may be thousands or a fraction", "thousands or fraction")
    if made.times > 1 and made.mark:
        why = f"has a {MARKS[made.mark]} that may be a slip: its column writes no decimals so"
        raise Unclear(why, "decimal mark", (made.value * made.times,))
    return made


_BEFORE = {"-", "plus", "(", "currency", "credit", "debit", "rough", "paid", "filler", ":", "."}
_BEHIND = {"k", "currency", "credit", "debit", "rough", "paid", "filler", "."}


def _mark(made: _Amount, token: Token) -> None:
    """Keep what a mark beside an amount says."""
    kind = token.kind
    if kind == "k":
        made.times *= 1000
    elif kind in {"-", "credit", "("}:
        made.minuses += 1
        made.opened += kind == "("
    elif kind == ")":
        made.opened -= 1
    elif kind == "debit":
        made.debit = True
    elif kind == "currency":
        made.currencies.add(CURRENCIES[token.text])
    elif kind == "rough":
        made.rough = True


def _closes(walk: Walk, made: _Amount) -> bool:
    """Whether the next token closes an amount: a bracket, a minus behind it, "(?)", "-ish"."""
    kind, after = walk.kind(), walk.kind(1)
    if kind == ")":
        return made.opened > 0
    if kind == "(" and after == "rough" and walk.kind(2) == ")":
        walk.take()
        made.opened += 1
        return True
    if kind == "-" and after == "rough" and walk.tokens[walk.at + 1].text == "ish":
        walk.take()
        return True
    if kind == "-" and after == "currency":
        return walk.kind(2) in {"", ")"}
    return kind == "-" and after in {"", ")"}
