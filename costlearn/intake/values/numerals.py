"""How people write a number in a cell: odd characters made plain, signs, groups, decimal marks."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal

_INVISIBLE = re.compile(
    "[\u061c\u200b-\u200f\u202a-\u202e\u2060-\u2069\u00ad\ufeff\x00-\x08\x0e-\x1f]"
)
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("‘’‚‛′ʼ´`", "'"),
        **dict.fromkeys("“”„‟″«»", '"'),
        **dict.fromkeys("−‐‑‒–—―﹣－", "-"),
    }
)
_VULGAR = re.compile("(?<=[0-9])(?=[¼½¾⅐-⅞])")
_LONGEST_SHOWN = 40
LONGEST_VALUE = 300
"""Letters that a number, a date, a size or the name of a scope item may take."""
_CUT = "\ufffd"

MARKS = {".": "point", ",": "comma"}
"""The decimal marks, in words."""

GROUPED = {
    ".": re.compile(r"(?:[0-9]+|[1-9][0-9]{0,2}([, '])[0-9]{3}(?:\1[0-9]{3})*)?(?:\.([0-9]*))?"),
    ",": re.compile(r"(?:[0-9]+|[1-9][0-9]{0,2}([. '])[0-9]{3}(?:\1[0-9]{3})*)?(?:,([0-9]*))?"),
}


def tidy(text: str) -> str:
    r"""Make odd characters plain: quotes, dashes, hard spaces, invisible marks, runs of space.

    >>> tidy("\ufeff\u2212185.40\u00a0$ ")
    '-185.40 $'
    """
    if text.isascii() and text.isprintable() and "`" not in text:
        return " ".join(text.split())
    spaced = _VULGAR.sub(" ", _INVISIBLE.sub("", text.translate(_PLAIN)))
    plain = unicodedata.normalize("NFKC", spaced).replace("\u2044", "/").translate(_PLAIN)
    return " ".join(plain.split())


def unquoted(text: str) -> str:
    """A tidied text without quotes around the whole of it, or the apostrophe that marks text.

    What is longer than any value is cut, with a mark that is in no value: the patterns of readers
    take the square of a text's length, so a cell of a whole book would hold them up for hours.
    """
    if len(text) > LONGEST_VALUE:
        return text[:LONGEST_VALUE] + _CUT
    if len(text) >= 2 and text[0] == text[-1] and text[0] in "\"'":
        return text[1:-1].strip()
    return text[1:].strip() if text.startswith("'") else text


def shown(raw: object) -> str:
    """A cell's text in quotes, cut if long, for a sentence about it."""
    text = " ".join(str(raw).split())
    if len(text) > _LONGEST_SHOWN:
        text = text[: _LONGEST_SHOWN - 3].rstrip() + "..."
    return f"'{text}'"


def numeral(text: str, decimal: str) -> Decimal | None:
    """The value of an unsigned number with the given decimal mark, or None if it is no such number.

    Thousands may be parted by a space, an apostrophe or the other mark, in threes throughout.

    >>> numeral("1 250,00", ","), numeral("12,5", ".")
    (Decimal('1250.00'), None)
    """
    match = GROUPED[decimal].fullmatch(text)
    if match is None or not any(c.isdigit() for c in text):
        return None
    group = match.group(1) or ""
    whole = text.replace(group, "") if group else text
    return Decimal(whole.replace(decimal, "."))


@dataclass(frozen=True, slots=True)
class Signed:
    """A text without its sign; ``minuses`` counts the ways it was written as negative."""

    text: str
    minuses: int = 0


_MINUS = re.compile(r"^(?:minus|moins) +(?=[$€£\d])", re.IGNORECASE)


def minus_sign(text: str) -> str:
    """A text with its leading "minus" as a sign.

    >>> minus_sign("minus 380")
    '-380'
    """
    return _MINUS.sub("-", text)


def take_sign(text: str) -> Signed:
    """Take a sign off: a minus before or after, or brackets around, at most one of them.

    >>> take_sign("(185.40)"), take_sign("185.40-")
    (Signed(text='185.40', minuses=1), Signed(text='185.40', minuses=1))
    """
    text = minus_sign(text)
    if text.startswith("(") and text.endswith(")"):
        return Signed(text[1:-1].strip(), 1)
    if text.startswith("-"):
        return Signed(text[1:].strip(), 1)
    if text.endswith("-"):
        return Signed(text[:-1].strip(), 1)
    if text.startswith("+"):
        return Signed(text[1:].strip())
    return Signed(text)


_RUN = re.compile(r"[0-9][0-9.,']*")
_SPACE_GROUP = re.compile(r"(?<![0-9])([0-9]{1,3})((?: [0-9]{3})+)(?![0-9])")
_ONLY_GROUPS = re.compile(r"[0-9]{1,3}(?:([.,'])[0-9]{3})(?:\1[0-9]{3})+")


def hinted_decimal(text: str) -> str:
    """The decimal mark a tidied text proves, or "" where it proves none or contradicts itself.

    >>> hinted_decimal("1 250,00"), hinted_decimal("1,250"), hinted_decimal("1.250,5")
    (',', '', ',')
    """
    joined = _SPACE_GROUP.sub(lambda m: m.group(1) + m.group(2).replace(" ", "'"), text)
    hints = {_hint(run.rstrip(".,'")) for run in _RUN.findall(joined)} - {""}
    return hints.pop() if len(hints) == 1 else ""


_CENTS = re.compile(r"[0-9][0-9 .,']*[.,][0-9]{1,2}")


def own_decimal(text: str) -> str:
    """The decimal mark of an amount that its form alone settles, whatever its column writes, or "".

    One or two figures behind the last mark are no thousands; marks repeated in threes are no
    fraction. "1,250" and the slip "26,5000" settle nothing.

    >>> own_decimal("26 500,00"), own_decimal("1.250.000"), own_decimal("1,250")
    (',', ',', '')
    """
    if _CENTS.fullmatch(text) or _ONLY_GROUPS.fullmatch(text):
        return hinted_decimal(text)
    return ""


_FIGURE = re.compile(r"[0-9](?:[0-9.,']|(?: (?=[0-9]{3}(?![0-9]))))*")


def marks_in(text: str) -> set[str]:
    """The decimal marks that the figures of a text settle by their form; "" for one that does not.

    >>> marks_in("7,5 h"), marks_in("12,5 x 8"), marks_in("1,250 sf")
    ({','}, {','}, {''})
    """
    figures = [found.rstrip(".,'") for found in _FIGURE.findall(text)]
    return {own_decimal(figure) for figure in figures if "." in figure or "," in figure}


def decimal_in(text: str) -> str:
    """The decimal mark to read a text by that stands alone, with no column to tell.

    A comma where its figures can be nothing else; thousands are parted by commas otherwise.

    >>> decimal_in("4,2 m2"), decimal_in("1,250 sf"), decimal_in("46.5 sf")
    (',', '.', '.')
    """
    return "," if marks_in(tidy(text)) == {","} else "."


def _hint(run: str) -> str:
    """The decimal mark one run of digits and marks proves, or ""."""
    marks = [c for c in run if c in ".,"]
    if not marks:
        return ""
    other = "," if marks[-1] == "." else "."
    if marks.count(marks[-1]) > 1:
        return other if _ONLY_GROUPS.fullmatch(run) else ""
    head, _, tail = run.rpartition(marks[-1])
    if GROUPED[marks[-1]].fullmatch(run) is None:
        return ""
    looks_like_group = len(tail) == 3 and re.fullmatch("[1-9][0-9]{0,2}", head)
    return "" if looks_like_group else marks[-1]
