"""What a heading says about tax: which taxes its column holds, or whether tax is in its amounts.

Two taxes on one bill are common in Canada, a column each: both are the bill's tax.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

_NAMES = {
    "gst": "federal", "tps": "federal",
    "pst": "provincial", "rst": "provincial", "qst": "provincial", "tvp": "provincial",
    "tvq": "provincial",
    "hst": "harmonised", "tvh": "harmonised",
    "vat": "added value", "tva": "added value",
}  # fmt: skip
"""Taxes by their letters, English and French: common practice, no source."""

_NAME = f"(?:{'|'.join(_NAMES)})"
_TAX = f"(?:{_NAME}|taxes|taxe|tax)"
_AND = r"(?:and |et |plus |\+ |& )?"
_TAXES = f"{_TAX}(?: {_AND}{_TAX})*"
_OF = "(?:of |all |the |de la |de |la |les |toutes )*"
_RATE = r"(?: (?:\d+ )*\d+ ?%)?"
_NAMED = re.compile(
    rf"(?:(?:amount|montant|total|paid) )?{_OF}{_NAME}{_RATE}(?: {_AND}{_NAME}{_RATE})*"
    r"(?: (?:amount|montant|paid|payees?))?"
)
_LINE = re.compile(
    rf"(?:sales |total )?{_TAX}(?: {_AND}{_TAX})*{_RATE}|(?:\d+ )*\d+ ?% (?:sales )?{_TAX}"
)
_BEFORE = re.compile(
    rf"(?:(?:before|without|net of|excl|excluding|exclusive of|no|plus|\+|avant|hors|sans)"
    rf" {_OF}{_TAXES}"
    rf"|{_TAXES} (?:excl|excluded|extra|not included|en sus|exclues?|non incluses?))"
)
_WITHIN = re.compile(
    rf"(?:(?:incl|including|inclusive of|with|after|avec|incluant) {_OF}{_TAXES}"
    rf"|{_OF}{_TAXES} (?:incl|included|in it|in|inclus|incluse|incluses|comprise|comprises)|ttc)"
)


def taxes_named(heading: str) -> frozenset[str]:
    """The taxes a folded heading names and nothing else; empty where it is of something else.

    >>> sorted(taxes_named("tvq 9 975 %")), sorted(taxes_named("tax"))
    (['provincial'], [])
    """
    if not _NAMED.fullmatch(heading):
        return frozenset()
    return frozenset(_NAMES[word] for word in heading.split() if word in _NAMES)


def tax_line(label: str) -> float | None:
    """The percentage a bill's line of tax names, 0.0 if none; None for a label of another line.

    >>> tax_line("hst 13%"), tax_line("sales tax"), tax_line("tax office")
    (13.0, 0.0, None)
    """
    match = _LINE.fullmatch(label)
    if not match:
        return None
    rate = re.findall(r"\d+", label)
    return float(".".join(rate[:2])) if rate else 0.0


def receipt_field(heading: str, known: Mapping[str, str]) -> str:
    """The field of a list of bills that a folded heading names by what it says about tax, or "".

    Args:
        heading: such as "montant avant taxes".
        known: the spellings of the fields of such a list.

    >>> receipt_field("montant taxes incluses", {"montant": "amount"})
    'gross'
    """
    if taxes_named(heading):
        return "tax"
    for pattern, field in ((_BEFORE, "amount"), (_WITHIN, "gross")):
        rest = _without(pattern, heading)
        if rest is not None and known.get(rest) in ("amount", "gross"):
            return field
    return ""


BEFORE_TAX, WITH_TAX = "before tax", "with tax"


def without_tax_words(heading: str) -> tuple[str, str]:
    """A folded heading without what it says about tax, and what it says; "" where it says nothing.

    >>> without_tax_words("prix soumis avant taxes"), without_tax_words("billed hst in it")
    (('prix soumis', 'before tax'), ('billed', 'with tax'))
    """
    for pattern, said in ((_BEFORE, BEFORE_TAX), (_WITHIN, WITH_TAX)):
        rest = _without(pattern, heading)
        if rest is not None:
            return rest, said
    return heading, ""


def _without(pattern: re.Pattern[str], heading: str) -> str | None:
    """The rest of a heading that begins or ends with a pattern, as words; None for any other."""
    for whole in (rf"(?P<rest>.+) {pattern.pattern}", rf"{pattern.pattern} (?P<rest>.+)"):
        match = re.fullmatch(whole, heading)
        if match:
            return match["rest"]
    return None
