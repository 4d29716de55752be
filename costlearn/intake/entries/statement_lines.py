"""What one line of a bank or card statement is: a cost, a credit, client money, or neither."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from costlearn.intake.looks import look_of
from costlearn.intake.targets import currency_in, fold_heading, headings
from costlearn.intake.values.cells import Raw
from costlearn.vocabulary import UNASSIGNED, fold

_KINDS = ("disposal", "tax", "permit", "overhead", "labour", "rental", "sub", "material")
_COMMON = frozenset(
    ("pos", "purchase", "debit", "credit", "card", "achat", "payment", "paiement", "refund",
     "return", "returned", "refunded", "remboursement", "reversal", "the", "inc", "ltd", "ltee",
     "e", "tfr", "etfr", "trf", "transfer", "sent", "virement")
)  # fmt: skip
"""Words of a line that name nobody; common practice, no source."""

_OUT_MARKS = frozenset(
    ("d", "dr", "db", "debit", "debits", "sale", "purchase", "withdrawal", "fee", "charge", "spent",
     "out", "achat", "retrait", "frais")
)  # fmt: skip
_IN_MARKS = frozenset(
    ("c", "cr", "credit", "credits", "return", "refund", "deposit", "received", "in", "reversal",
     "retour", "remboursement", "depot")
)  # fmt: skip
_PAID = frozenset(("payment", "payments", "paiement"))
"""What pays a card's bill came in; without sales beside it the word tells nothing."""
_SALES = frozenset(("sale", "purchase", "achat", "fee"))
_MARK_WORDS = 3
_MOST = 0.8
_CAME_IN = (
    "refund", "refunded", "returned", "return", "reversal", "rebate", "credit memo",
    "remboursement", "retour", "payment received", "payment thank you", "thank you",
    "paiement merci", "mobile deposit", "cheque deposit", "check deposit", "direct deposit",
    "client deposit", "deposit from", "transfer from", "payment from",
)  # fmt: skip
_WENT_OUT = (
    "withdrawal", "pos", "purchase", "achat", "bill payment", "atm", "service charge", "bank fee",
    "monthly fee", "annual fee", "retrait", "payroll", "transfer to", "payment to", "owner draw",
)  # fmt: skip
"""Wordings of lines that say which way money went; common practice, no source."""
_BANKS_ONLY = (
    "thank you", "paiement merci", "card payment", "e transfer", "etransfer", "transfer to",
    "transfer from", "service charge", "bank fee", "monthly fee", "annual fee", "atm", "pos",
)  # fmt: skip
_FILED = frozenset(("category", "class", "account", "categorie", "compte"))
_SAMPLE = 60


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a line is taken for.

    ``what`` is ``cost``, ``credit``, ``client``, ``transfer``, ``own``, ``cash``, ``account``
    (bills paid together) or ``unknown`` (money in that may be anything); ``kind`` is a cost kind,
    ``word`` what told it.
    """

    what: str
    kind: str = UNASSIGNED
    word: str = ""


def meaning_of(description: str, *, money_in: bool, payees: Iterable[frozenset[str]]) -> Meaning:
    """What a line is, by its words and by which way the money went.

    Args:
        description: the line's text.
        money_in: whether money came in.
        payees: the names that money went out to on other lines of the statement, each as its words.

    >>> meaning_of("E-TRANSFER CLIENT 22", money_in=True, payees=[]).what
    'client'
    >>> meaning_of("POS TILE YARD 0441", money_in=False, payees=[]).kind
    'material'
    """
    said = _said(description)
    kind, word = next(((k, said[k]) for k in _KINDS if k in said), (UNASSIGNED, ""))
    if "transfer" in said and not {"e_transfer", "disposal"} & set(said):
        return Meaning("transfer", word=said["transfer"])
    if not money_in:
        apart = next((what for what in ("own", "cash", "account") if what in said), None)
        return Meaning(apart, word=said[apart]) if apart else Meaning("cost", kind, word)
    named = payee_words(description)
    if "refund" not in said and {"e_transfer", "client"} & set(said):
        return Meaning("client", word=said.get("client") or said["e_transfer"])
    if "refund" in said or (named and any(named == payee for payee in payees)):
        return Meaning("credit", kind, word)
    return Meaning("unknown")


@lru_cache(maxsize=1 << 16)
def payee_words(description: str) -> frozenset[str]:
    """The words of a line that name who was paid.

    >>> sorted(payee_words("POS TILE YARD 0441 REFUND"))
    ['tile', 'yard']
    """
    words = fold(description).split()
    return frozenset(w for w in words if w not in _COMMON and not any(c.isdigit() for c in w))


def payee_name(description: str) -> str:
    """Who was paid, by the words that name somebody; all words where none does.

    >>> payee_name("POS TILE YARD 0441")
    'tile yard'
    """
    named = payee_words(description)
    words = fold(description).split()
    return " ".join(word for word in words if word in named) or " ".join(words)


def _said(description: str) -> dict[str, str]:
    """What the words of a line speak of, each with the wording that says it."""
    words = fold(description).split()
    known = headings().bank_lines
    found: dict[str, str] = {}
    for length in range(min(4, len(words)), 0, -1):
        for start in range(len(words) - length + 1):
            phrase = " ".join(words[start : start + length])
            meaning = known.get(phrase)
            if meaning:
                found.setdefault(meaning, phrase)
    return found


@lru_cache(maxsize=1 << 16)
def went(description: str) -> int:
    """Which way a line's words say the money went: 1 out, -1 in, 0 where they do not say.

    >>> went("TILE SHOP REFUND"), went("POS TILE YARD"), went("TILE YARD")
    (-1, 1, 0)
    """
    text = f" {fold(description)} "
    came = any(f" {w} " in text for w in _CAME_IN) or text.startswith((" deposit ", " depot "))
    left = any(f" {w} " in text for w in _WENT_OUT)
    # "POS TILE YARD REFUND" came back: what went out before names the till.
    return -1 if came else int(left)


def markers_in(rows: Sequence[Sequence[Raw]]) -> tuple[int, list[int]] | None:
    """The column of words that say which way money went, and what each row says of it.

    1 is out, -1 in, 0 a row whose word does not say. Both ways must occur, and nearly all of the
    column's words must be such words.

    >>> markers_in([["Debit", 5.0], ["Credit", 6.0]])
    (0, [1, -1])
    """
    best: tuple[int, list[int]] | None = None
    for at in range(max((len(row) for row in rows), default=0)):
        words = [_mark(row[at] if at < len(row) else None) for row in rows]
        sales = any(word & _SALES for word in words)
        ways = [_way(word, sales=sales) for word in words]
        said = sum(1 for word in words if word)
        known = sum(1 for way in ways if way)
        most = known >= max(_MOST * said, len(rows) / 2)
        if {1, -1} <= set(ways) and most and (not best or known > sum(map(abs, best[1]))):
            best = at, ways
    return best


def _mark(raw: Raw) -> frozenset[str]:
    """The words of a cell short enough to be a marker."""
    words = fold(str(raw)).split() if isinstance(raw, str) else []
    return frozenset(words) if len(words) <= _MARK_WORDS else frozenset(("?",))


def _way(words: frozenset[str], *, sales: bool) -> int:
    out, into = bool(words & _OUT_MARKS), bool(words & (_IN_MARKS | (_PAID if sales else set())))
    return int(out) - int(into)


def looks_like_statement(heads: Sequence[str], rows: Sequence[Sequence[Raw]]) -> tuple[str, ...]:
    """The kinds a table can only be by its cells, () where they leave it open.

    Dates, money and a marker of two words or a running balance make a statement; amounts in two
    currencies, or what is bought filed under a category, class or account, a list of purchases or
    a statement, and never a list of jobs.
    """
    folded = [fold_heading(head) for head in heads]
    again = headings().others["statement"]
    known = dict(headings().fields["statement"])
    known |= {head: "amount" for head in again if "amount" in again[head]}
    if not {known.get(head) for head in folded} & {"amount", "out", "in"}:
        return ()
    sample = rows[:_SAMPLE]
    looks = [Counter(look_of(r[at]) for r in sample if at < len(r)) for at in range(len(heads))]
    for look in looks:
        del look[""]
    if not any(look["date"] * 2 > look.total() for look in looks):
        return ()
    money = [at for at, look in enumerate(looks) if look["money"] + look["figure"] and heads[at]]
    fields = {known.get(folded[at], "") for at in money}
    if not fields & {"amount", "out", "in"}:
        return ()
    if "balance" in fields or {"out", "in"} <= fields or markers_in(sample) is not None:
        return ("statement",)
    amounts = [at for at in money if known.get(folded[at]) == "amount"]
    named = [at for at, head in enumerate(folded) if known.get(head) == "description"]
    below = _mostly_below_zero(sample, amounts) or _returns_above_zero(sample, named, amounts)
    if named and (below or _speaks_of_a_bank(sample, named)):
        return ("statement",)
    currencies = {currency_in(heads[at]) for at in amounts} - {None}
    filed = named and _FILED & set(folded)
    return ("receipts", "statement") if filed or len(currencies) > 1 else ()


def _speaks_of_a_bank(rows: Sequence[Sequence[Raw]], named: Sequence[int]) -> bool:
    """Whether some line is one that only a bank or a card writes."""
    texts = (f" {fold(str(row[at]))} " for row in rows for at in named if at < len(row))
    return any(f" {words} " in text for text in texts for words in _BANKS_ONLY)


def _mostly_below_zero(rows: Sequence[Sequence[Raw]], amounts: Sequence[int]) -> bool:
    """Whether most amounts are: a list of purchases has none but its credits below zero."""
    cells = [str(row[at]).strip() for row in rows for at in amounts if at < len(row)]
    below = sum(1 for text in cells if text[:1] in "-(" and text[:1])
    return 2 * below > sum(1 for text in cells if any(c.isdigit() for c in text))


def _returns_above_zero(
    rows: Sequence[Sequence[Raw]], named: Sequence[int], amounts: Sequence[int]
) -> bool:
    """Whether what came back stands above zero and other amounts below: minus is money spent."""
    cells = [(row, str(row[at]).strip()) for row in rows for at in amounts if at < len(row)]
    back = {
        text[:1] in "-("
        for row, text in cells
        if text and any(went(str(row[at])) < 0 for at in named if at < len(row))
    }
    return back == {False} and any(text[:1] in "-(" for _, text in cells if text)
