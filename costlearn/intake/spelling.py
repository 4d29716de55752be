"""How close is a word to the words known: the one place that weighs close spellings.

A close spelling is taken at a score of 90 and said aloud, asked about from 70 to 90, and unknown
below. Scores are RapidFuzz's ``token_set_ratio``, which ignores word order and repeats. A long
enough word one letter away from a known one ("demmo") is a slip of the pen and is taken as well.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

TAKE = 90.0
ASK = 70.0
LONGEST_WORD = 300
"""Letters beyond which a text is prose and no word, whatever it holds."""
_WHOLE = 85.0
_SLIP = 85.0


@dataclass(frozen=True, slots=True)
class Near:
    """A known word that looks like the one written; ``sure`` if close enough to be taken."""

    word: str
    score: float
    sure: bool


def nearest(word: str, known: Iterable[str], most: int = 3) -> tuple[Near, ...]:
    """The known words that look most like a folded word, best first, none below 70.

    A word that merely contains a known one ("client phone" and "client") scores 100 by token sets
    but is another thing, so a sure match must also be alike as a whole.

    >>> nearest("demmo", ["demo", "tile"])[0].word
    'demo'
    """
    if not 3 <= len(word) <= LONGEST_WORD:
        return ()
    hits = process.extract(
        word, list(known), scorer=fuzz.token_set_ratio, score_cutoff=ASK, limit=None
    )
    ranked = sorted(
        ((fuzz.token_sort_ratio(word, text), score, text) for text, score, _ in hits),
        key=lambda hit: (-min(hit[0], hit[1]), -hit[1], hit[2]),
    )
    return tuple(
        Near(text, score, _sure(word, text, score, whole)) for whole, score, text in ranked[:most]
    )


def likest(word: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """The known words to name in a hint, however far they are.

    >>> likest("prise", ["price", "paid"], 1)
    ('price',)
    """
    hits = process.extract(word, list(known), scorer=fuzz.ratio, limit=most)
    return tuple(text for text, _, _ in hits)


def _sure(word: str, text: str, score: float, whole: float) -> bool:
    if score >= TAKE:
        return whole >= _WHOLE and len(text) > 2
    slip = len(word) >= 5 and len(text) >= 4 and OSA.distance(word, text) == 1
    return score >= _SLIP and slip
