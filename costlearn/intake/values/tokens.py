"""A cell's text as tokens: figures with their marks, words, signs, operators, brackets, dashes.

The parsers of money, time and sizes read tokens; each brings a lexicon that says which words and
phrases of its trade mean what. A word no lexicon knows stays a "word".
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from costlearn.intake.values.numerals import numeral, own_decimal

_TOKEN = re.compile(
    r"(?P<fraction>(?:[0-9]+[ -])?[0-9]{1,2}/(?:2|3|4|8|16)(?![0-9/.,]))"
    r"|(?P<number>[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?"
    r"|(?:[0-9]+|(?<![^\s$€£(+~-])[.,][0-9]+)(?:[.,][0-9]+|'[0-9]{3}(?![0-9]))*)"
    r"|(?P<word>(?:[a-z]\.)+[a-z](?![a-z])\.?|w/o(?![a-z])|w/"
    r"|(?:ft|pi|m)\^?2(?![0-9])|[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<mark>\+/-|\S)"
)
_BAD_LETTERS = re.compile(
    r"(?<![^\W_])(?:(?:[0-9.,]*[0-9][.,]?[oOlISBZ]+|[oOlIS]+[.,]?[0-9])[0-9oOlISBZ.,]*)(?![^\W_])"
)
"""Figures with letters that stand for digits ("5,4oo"); "5s" and "8b" are left to the words."""

_MEANT = str.maketrans("oOlISBZ", "0011582")


class Token(NamedTuple):
    """One token: ``text`` is lower case without accents, ``value`` what a figure comes to.

    ``kind`` is "number", "word", a mark itself, or what the lexicon calls it. ``mark`` is the
    decimal mark that a figure proves by its own form where that is not its column's.
    """

    kind: str
    text: str
    start: int
    end: int
    value: Decimal | None = None
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Lexicon:
    """What words and phrases mean to one parser: ``kinds`` by folded text."""

    kinds: Mapping[str, str]
    longest: Mapping[str, int]


def lexicon(**kinds: str) -> Lexicon:
    """A lexicon from texts parted by "|"; a phrase is written with single spaces, no hyphens."""
    meant = {text: kind for kind, texts in kinds.items() for text in texts.split("|")}
    longest: dict[str, int] = {}
    for text in meant:
        parts = [m.group() for m in _TOKEN.finditer(text)]
        longest[parts[0]] = max(longest.get(parts[0], 1), 2 * len(parts) - 1)
    return Lexicon(meant, longest)


def has_bad_letters(text: str) -> bool:
    """Whether a figure of a tidied text has letters in the place of digits.

    >>> has_bad_letters("$5,4oo"), has_bad_letters("18,22O"), has_bad_letters("5,400 lb")
    (True, True, False)
    """
    return bool(_BAD_LETTERS.search(text))


def mended(text: str) -> str:
    """A text with digits in the place of the letters that seem to stand for them.

    >>> mended("$5,4oo")
    '$5,400'
    """
    return _BAD_LETTERS.sub(lambda match: match.group().translate(_MEANT), text)


def plain(text: str) -> str:
    """Lower case without accents, letter by letter, so that places in the text stay the same."""
    if text.isascii():
        return text.lower()
    return "".join(unicodedata.normalize("NFD", letter)[0].lower()[:1] or " " for letter in text)


def lex(text: str, decimal: str, words: Lexicon) -> list[Token]:
    """The tokens of a tidied text, the longest phrase a lexicon knows first.

    >>> [t.kind for t in lex("~38k all in", ".", lexicon(k="k", filler="all in"))]
    ['~', 'number', 'k', 'filler']
    """
    folded = plain(text)
    bare = [_token(match, decimal) for match in _TOKEN.finditer(folded)]
    made: list[Token] = []
    at = 0
    while at < len(bare):
        size, kind = _phrase(bare, at, folded, words)
        token = bare[at]
        if kind:
            end = bare[at + size - 1].end
            token = Token(kind, " ".join(folded[token.start : end].split()), token.start, end)
        made.append(token)
        at += size
    return made


def _token(match: re.Match[str], decimal: str) -> Token:
    kind, text = match.lastgroup or "", match.group()
    start, end = match.span()
    if kind == "number":
        value = numeral(text, decimal)
        mark = "" if value is not None else own_decimal(text)
        return Token(kind, text, start, end, numeral(text, mark) if mark else value, mark)
    if kind == "fraction":
        *whole, part = text.replace("-", " ").split()
        top, below = part.split("/")
        figure = (Decimal(whole[0]) if whole else 0) + Decimal(top) / Decimal(below)
        return Token(kind, text, start, end, figure)
    if kind == "word":
        return Token(kind, text.replace(".", ""), start, end)
    return Token(text, text, start, end)


def _phrase(bare: Sequence[Token], at: int, folded: str, words: Lexicon) -> tuple[int, str]:
    """How many tokens from ``at`` on make a phrase the lexicon knows, and its kind ("" if none)."""
    first = bare[at]
    most = words.longest.get(first.text, 0) if first.value is None else 0
    for size in range(min(most, len(bare) - at), 0, -1):
        last = bare[at + size - 1]
        if size == 1:
            return 1, words.kinds.get(first.text, "")
        if last.text != "-":
            text = " ".join(folded[first.start : last.end].replace("-", " ").split())
            if kind := words.kinds.get(text):
                return size, kind
    return 1, ""


class Walk:
    """A place in a row of tokens, from which a parser takes one after the other."""

    __slots__ = ("at", "tokens")

    def __init__(self, tokens: Sequence[Token]) -> None:
        self.tokens = tokens
        self.at = 0

    def kind(self, ahead: int = 0) -> str:
        """The kind of the token ``ahead`` of this place, "" behind the last."""
        at = self.at + ahead
        return self.tokens[at].kind if 0 <= at < len(self.tokens) else ""

    def text(self, ahead: int = 0) -> str:
        """The text of the token ``ahead`` of this place, "" behind the last."""
        at = self.at + ahead
        return self.tokens[at].text if 0 <= at < len(self.tokens) else ""

    def take(self) -> Token:
        """The token at this place, and a step ahead."""
        self.at += 1
        return self.tokens[self.at - 1]

    def glued(self) -> bool:
        """Whether no space stands between the token at this place and the one before."""
        return self.at > 0 and self.tokens[self.at - 1].end == self.tokens[self.at].start

    def rest(self) -> Sequence[Token]:
        """The tokens from this place on."""
        return self.tokens[self.at :]
