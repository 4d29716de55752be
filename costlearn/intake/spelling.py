"""Is a word one we know, a slip of the pen, or at most like a known one: the one place that says.

A slip is taken and said: exactly one known word (or several of one meaning) lies one letter away,
in a word of at least six letters. Mere likeness only makes choices for a question; it must make
sense to the trade, so a shared "new" or "floor" is none, nor a known word that something else is
said of ("glass deposit" is a deposit).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from costlearn.vocabulary import is_slip, standard

LONGEST_WORD = 300
"""Letters beyond which a text is prose and no word, whatever it holds."""
_ASK = 60.0
_MOST = 3
_LONG = 8
_SHORTEST_SINGULAR = 4
"""A word of so few letters is not the singular of another: "Temp" is not the French "temps"."""
_FRENCH_REST = re.compile(r" (?:de|du|des|d|la|le|l|au|aux|en|a) .*")
"""What follows the main word of a French expression."""


@dataclass(frozen=True, slots=True)
class Recognised:
    """The known word that a word is, ``slip`` where it was one of the pen; else likely ones."""

    word: str = ""
    slip: bool = False
    likely: tuple[str, ...] = ()


def recognise(word: str, known: Mapping[str, str]) -> Recognised:
    """What a folded word is among known ones, given with what each of them means.

    >>> recognise("demmolition", {"demolition": "demo", "tile": "tile"})
    Recognised(word='demolition', slip=True, likely=())
    >>> recognise("construction", {"pre construction": "precon"})
    Recognised(word='', slip=False, likely=())
    """
    if word in known:
        return Recognised(word)
    words = standard()
    if not 3 <= len(word) <= LONGEST_WORD or word in words.other_words:
        return Recognised()
    for form in (word.removesuffix("s"), f"{word}s" if len(word) > _SHORTEST_SINGULAR else word):
        if form in known and len(form) > 3:
            return Recognised(form)
    hits = process.extract(
        word, list(known), scorer=fuzz.token_set_ratio, score_cutoff=_ASK, limit=None
    )
    slips = [text for text, _, _ in hits if is_slip(word, text)]
    if len({known[text] for text in slips}) == 1:
        return Recognised(max(slips, key=lambda text: fuzz.ratio(word, text)), slip=True)
    alike = [text for text, _, _ in hits if text in slips or _alike(word, text, words.generic)]
    alike.sort(key=lambda text: (-fuzz.token_sort_ratio(word, text), text))
    # Spellings of one and the same thing are one choice: the likest stands for it.
    meant: dict[str, str] = {}
    for text in alike:
        meant.setdefault(known[text], text)
    return Recognised(likely=tuple(meant.values())[:_MOST])


def likest(word: str, known: Iterable[str], most: int = 3, *, least: float = 0) -> tuple[str, ...]:
    """The known words to name in a hint, however far they are; ``least`` of 100 bounds it.

    >>> likest("prise", ["price", "paid"], 1)
    ('price',)
    """
    hits = process.extract(word, list(known), scorer=fuzz.ratio, limit=most, score_cutoff=least)
    return tuple(text for text, _, _ in hits)


def _alike(written: str, known: str, generic: frozenset[str]) -> bool:
    """Whether a known word may be meant: all that one of them says, the other says too.

    Where more is written than is known, its main word must be known ("fancy niche" is a niche).
    """
    said = [word for word in written.split() if word not in generic]
    names = [word for word in known.split() if word not in generic]
    if not said or not names:
        return False
    if len(said) <= len(names):
        return all(any(_like(word, name) for name in names) for word in said)
    main = _FRENCH_REST.sub("", written).split()[-1]
    heads = any(_like(main, name) for name in names)
    return heads and all(any(_like(word, name) for word in said) for name in names)


def _like(one: str, other: str) -> bool:
    """Whether two single words look alike: the same, one the beginning of the other, or a slip."""
    short = min(len(one), len(other))
    if one == other or short < 4 or one[0] != other[0] or not (one + other).isalpha():
        return one == other
    begins = short >= 5 and (one.startswith(other) or other.startswith(one))
    return begins or OSA.distance(one, other) <= (1 if short < _LONG else 2)
