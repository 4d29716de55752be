"""What one line of a bank or card statement is: a cost, a credit, client money, or neither."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from costlearn.intake.targets import headings
from costlearn.vocabulary import UNASSIGNED, fold

_KINDS = ("disposal", "tax", "overhead", "labour", "rental", "permit", "sub", "material")
_COMMON = frozenset(
    ("pos", "purchase", "debit", "credit", "card", "achat", "payment", "paiement", "refund",
     "return", "returned", "refunded", "remboursement", "reversal", "the", "inc", "ltd", "ltee")
)  # fmt: skip
"""Words of a line that name nobody; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a line is taken for.

    ``what`` is ``cost``, ``credit``, ``client``, ``transfer``, ``own``, ``cash`` or ``unknown``
    (money in that may be anything); ``kind`` is a cost kind, ``word`` what told it.
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
        apart = next((what for what in ("own", "cash") if what in said), None)
        return Meaning(apart, word=said[apart]) if apart else Meaning("cost", kind, word)
    named = payee_words(description)
    if "refund" not in said and {"e_transfer", "client"} & set(said):
        return Meaning("client", word=said.get("client") or said["e_transfer"])
    if "refund" in said or (named and any(named == payee for payee in payees)):
        return Meaning("credit", kind, word)
    return Meaning("unknown")


def payee_words(description: str) -> frozenset[str]:
    """The words of a line that name who was paid.

    >>> sorted(payee_words("POS TILE YARD 0441 REFUND"))
    ['tile', 'yard']
    """
    words = fold(description).split()
    return frozenset(w for w in words if w not in _COMMON and not any(c.isdigit() for c in w))


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
