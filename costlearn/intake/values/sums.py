"""What the tokens of an amount come to: one figure, a range, or a sum of several.

The parser is strict: it knows the ways amounts are written in job records and refuses the rest,
because an amount misread by a factor of a hundred, or with its minus lost, looks like any other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from costlearn.intake.values.amounts import LEAST_PLAIN, WORDS, Figure, Frame, Unclear, read_amount
from costlearn.intake.values.numerals import numeral
from costlearn.intake.values.tokens import Token, Walk, has_bad_letters, lex, mended

_TAX_RATES = ("5", "7", "8", "9.975", "10", "12", "13", "14", "14.975", "15", "20")
"""Per cent; a second amount that is just such a share of the first may be the tax on it."""


def read_figure(text: str, frame: Frame) -> Figure | None:
    """What a tidied text without words about tax comes to; None if it has no figure at all.

    Raises:
        Unclear: it cannot be read with certainty.
    """
    tokens = lex(text, frame.decimal, WORDS)
    kinds = {t.kind for t in tokens}
    if kinds <= {"currency", "-", "(", ")"}:
        return None
    if "allow" in kinds:
        raise Unclear("is an allowance, not a cost", "allowance")
    if "bound" in kinds and kinds & {"number", "fraction"}:
        raise Unclear("bounds a figure, it does not state one", "bound")
    if tokens[0].kind == "=":
        raise Unclear("is a formula without its result", "formula")
    if has_bad_letters(text):
        raise Unclear("has letters in the place of digits", "bad letters", _likely(text, frame))
    walk = Walk(tokens)
    try:
        return _with_remarks(_sum(walk, frame), walk, text, frame)
    except Unclear as unclear:
        raise _exactly(unclear, tokens, frame) from None


def _likely(text: str, frame: Frame) -> tuple[Decimal, ...]:
    """What a figure with letters in it comes to if they stand for digits."""
    try:
        figure = read_figure(mended(text), frame)
    except Unclear:
        return ()
    return () if figure is None or figure.low != figure.high else (figure.low,)


def _exactly(unclear: Unclear, tokens: Sequence[Token], frame: Frame) -> Unclear:
    """Why tokens are no amount, said more exactly where they show it."""
    kinds = [t.kind for t in tokens]
    if unclear.code != "unreadable" or not {"number", "fraction"} & set(kinds):
        return unclear
    if "rough" in kinds and not frame.ranges:
        return Unclear("is a rough figure, not an amount", "rough")
    if "%" in kinds:
        return Unclear("is a percentage, not an amount", "percentage")
    if {"each", "/", "fraction"} & set(kinds):
        return Unclear("is a price by the piece, not an amount", "by the piece")
    other = "," if frame.decimal == "." else "."
    for token in tokens:
        if token.kind == "number" and token.value is None and numeral(token.text, other):
            why = f"does not fit the decimal mark '{frame.decimal}' of its column"
            return Unclear(why, "decimal mark")
    return unclear


def _sum(walk: Walk, frame: Frame) -> Figure:
    """One figure, or several with a plus between them, each with what it is for."""
    total = _of_one_currency(walk, frame)
    while True:
        before, labelled = walk.at, _label(walk)
        if walk.kind() != "plus":
            walk.at = before
            return total
        walk.take()
        labelled = _label(walk) or labelled
        if not any(t.kind == "number" for t in walk.rest()):
            raise Unclear("has something on top without saying how much", "remark")
        more = read_amount(walk, frame)
        labelled = _label(walk) or labelled
        if more.low < 0 or total.low < 0 or not (labelled or frame.ranges):
            raise Unclear("is several amounts, not one", "two amounts")
        if not labelled:
            _check_tax(total, more)
        total = _added(total, more, frame)


def _check_tax(one: Figure, more: Figure) -> None:
    """Refuse a bare second amount that may be the tax on the first."""
    for rate in _TAX_RATES:
        if abs(more.low - one.low * Decimal(rate) / 100) <= Decimal("0.01"):
            raise Unclear(f"may be an amount and {rate} % tax on it", "tax unclear")


def _added(one: Figure, more: Figure, frame: Frame) -> Figure:
    """The sum of two figures, where both are on the same scale."""
    small = min((f.high for f in (one, more) if not f.spelled), default=Decimal(LEAST_PLAIN))
    if one.spelled != more.spelled and small < LEAST_PLAIN:
        raise Unclear("may be in dollars or in thousands", "no unit")
    if frame.unit not in {1, None} and more.low > one.high:
        raise Unclear("is partly written in full under a heading in thousands", "no unit")
    if more.currency not in ("", one.currency):
        raise Unclear("names two currencies", "two currencies")
    return replace(
        one,
        low=one.low + more.low,
        high=one.high + more.high,
        rough=one.rough or more.rough,
        notes=(*one.notes, *more.notes),
        terms=(*(one.terms or (one.middle,)), more.middle),
    )


def _label(walk: Walk) -> bool:
    """Step over the words that say what an amount is for ("slab"); whether there were any."""
    before = walk.at
    while walk.kind() == "word" and not walk.glued():
        walk.take()
    return walk.at > before


def _of_one_currency(walk: Walk, frame: Frame) -> Figure:
    """A figure, the firm's where the same is said in two currencies ("24k US / 33k CDN")."""
    said = [read_amount(walk, frame)]
    while walk.kind() in {"/", "=", "(", "to"}:
        before = walk.at
        bracket = walk.take().kind == "("
        try:
            other = read_amount(walk, frame)
        except Unclear:
            other = None
        named = [f.currency or frame.firm_currency for f in (*said, other) if f is not None]
        closed = not bracket or (walk.kind() == ")" and walk.take())
        if other is None or not closed or None in named or len(set(named)) <= len(said):
            walk.at = before
            break
        said.append(other)
    if len(said) == 1:
        return said[0]
    own = [f for f in said if (f.currency or frame.firm_currency) == frame.firm_currency]
    if not own:
        raise Unclear("names two currencies, neither of them the firm's", "two currencies")
    others = " and ".join(f.currency for f in said if f is not own[0])
    return replace(own[0], notes=(*own[0].notes, f"the same in {others} is not used"))


def _with_remarks(figure: Figure, walk: Walk, text: str, frame: Frame) -> Figure:
    """A figure with what stands behind it in brackets or behind a comma."""
    while kind := walk.kind():
        if kind not in {"(", ",", ";", "-", ":", "within", "absent"} and not _counts(walk):
            raise Unclear("is no amount of money")
        if kind not in {"within", "absent", "number"}:
            walk.take()
        ends = {")"} if kind == "(" else {"(", ")", ",", ";"}
        part = []
        while walk.kind() and walk.kind() not in ends:
            part.append(walk.take())
        if (kind == "(") != (walk.kind() == ")"):
            raise Unclear("is no amount of money")
        if kind == "(":
            walk.take()
        if part:
            figure = _with_remark(figure, part, text[part[0].start : part[-1].end], frame)
    return figure


def _counts(walk: Walk) -> bool:
    """Whether something other than money is counted here: "8 days", "/ 5 days"."""
    at = 1 if walk.kind() == "/" else 0
    return walk.kind(at) in {"number", "fraction"} and walk.kind(at + 1) == "unit"


_OF_AMOUNTS = {"number", "currency", "k"}
_OF_BOTH = {"word", "within", "filler", "paid", "client", ".", ","}
_OF_SUMS = {*_OF_BOTH, *_OF_AMOUNTS, "absent", "ours"}
_OF_TALK = {*_OF_BOTH, "unit", "number", "fraction", "-", "to", "joined", "between"}
"""Kinds of tokens in a remark that gives an amount, and in one that gives none."""


def _with_remark(figure: Figure, part: Sequence[Token], said: str, frame: Frame) -> Figure:
    """A figure with one remark: something in it, not in it, how it was worked out, or no money."""
    kinds = {t.kind for t in part}
    numbers = [t for t in part if t.kind in {"number", "fraction"}]
    if "each" in kinds and len(numbers) == 2:
        one, two = (t.value or Decimal(0) for t in numbers)
        if figure.low == figure.high and abs(one * two - figure.low) <= Decimal("0.01"):
            return figure
        raise Unclear(f"does not agree with '{said}'", "arithmetic")
    after = (*(t.kind for t in part[1:]), "")
    money = any(t in numbers and kind != "unit" for t, kind in zip(part, after, strict=True))
    if kinds - (_OF_SUMS if money else _OF_TALK):
        raise Unclear(f"has '{said}' beside it, which may change it", "remark")
    if not money:
        return replace(figure, rest=f"{figure.rest}; {said}" if figure.rest else said)
    if len(numbers) > 1 or not kinds & {"absent", "within", "client"}:
        raise Unclear("is several amounts, not one", "two amounts")
    if "client" in kinds:
        return replace(figure, rest=said)
    more = read_amount(Walk([t for t in part if t.kind in _OF_AMOUNTS]), frame)
    if "absent" not in kinds:
        if more.high >= figure.low:
            raise Unclear(f"does not agree with '{said}'", "arithmetic")
        return figure
    added = _added(figure, more, frame)
    if "ours" in kinds:
        return replace(added, notes=(*added.notes, f"'{said}' is added"))
    why = f"leaves open who paid what is not in it: {shown_amount(added.middle)} if you did"
    raise Unclear(why, "two amounts", (added.middle, figure.middle))


def shown_amount(amount: Decimal) -> str:
    """An amount as it is printed: cents only where there are any."""
    return f"{amount:,.0f}" if amount == amount.to_integral_value() else f"{amount:,.2f}"
