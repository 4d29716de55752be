"""What kind of job a text speaks of: a room, a part of a house, a sort of work; or what to ask.

People write the kind of a job in free words ("RES-ALT BASEMENT BTH"). Each word known is looked up;
of several kinds the one that is the job's own stays ("finish basement bath" is a bathroom, "deck
repair" a deck), and where two stay, or none is known, a person is asked.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from costlearn.intake.spelling import recognise
from costlearn.vocabulary import ROOMS, Vocabulary, fold, phrases_in

_PARTS = frozenset(("basement", "garage", "deck", "roof"))
_TRADES = frozenset(("plumbing", "mechanical"))
_WHOLE = frozenset(("new_building", "demolition"))
_YIELDS = {
    "other": ROOMS | _PARTS | _TRADES | _WHOLE | {"addition", "alteration", "repair"},
    "alteration": ROOMS | _PARTS | {"new_building"},
    "repair": ROOMS | _PARTS | _TRADES,
    "basement": ROOMS | _WHOLE,
    "garage": ROOMS | _WHOLE,
    "deck": _WHOLE,
    "roof": _WHOLE,
    "plumbing": ROOMS,
    "mechanical": ROOMS,
}
"""Kind to the kinds beside which it is only a part of the description (trade judgement, no source).

An addition yields to nothing and nothing to it: a bathroom addition is new space, not a renewed
room, and a garage addition may be either of two jobs.
"""
_OF_BATHROOMS = frozenset(
    ("tub_removal", "tub_install", "freestanding_tub", "shower_base", "tiled_shower_floor",
     "curbless", "tub_to_shower", "shower_valve", "shower_glass", "niche", "toilet",
     "wall_hung_toilet", "vanity", "acrylic_surround")
)  # fmt: skip
_OF_OTHER_ROOMS = frozenset(("laundry_hookup", "kitchen_cabinets", "backsplash"))
_GLUED = re.compile(r"(?:d?res|comm?|comom)(?=[a-z]{4})")
"""Who a building is for ("RES", "COMM") written into the next word."""


@dataclass(frozen=True, slots=True)
class KindReading:
    """The kind a text speaks of; None with the kinds it may be where it must be asked.

    ``spelled`` is the known word a misspelled one was taken for, "" where all was spelled as known.
    """

    kind: str | None
    may_be: tuple[str, ...] = ()
    spelled: str = ""

    @property
    def nothing(self) -> bool:
        """Whether no word of the text speaks of any kind."""
        return self.kind is None and not self.may_be


def read_kind(text: str, vocabulary: Vocabulary) -> KindReading:
    """The kind of job a text speaks of.

    >>> from costlearn.vocabulary import standard
    >>> read_kind("RES-ALT BASEMENT BTH", standard()).kind
    'bathroom'
    >>> read_kind("garage addition", standard()).may_be
    ('addition', 'garage')
    """
    folded = fold(text)
    known = vocabulary.job_words
    if folded in known:
        return KindReading(known[folded])
    found, rest = phrases_in(folded.split(), known)
    spelled = ""
    if not found:
        for word in rest:
            close = _slip(word, known)
            if close:
                found[known[close]] = None
                spelled = spelled or close
    left = [k for k in found if not _YIELDS.get(k, frozenset()) & found.keys()]
    if len(left) == 1:
        return KindReading(left[0], spelled=spelled)
    return KindReading(None, tuple(sorted(left)))


def kind_in_name(name: str, vocabulary: Vocabulary) -> str | None:
    """The kind of job its name speaks of, or None if it speaks of none or of two.

    A name holds streets and people too, so a room named in it comes before all else.
    """
    found, _ = phrases_in(fold(name).split(), vocabulary.job_words)
    if ROOMS & found.keys():
        return vocabulary.room_in(name)
    return read_kind(name, vocabulary).kind if found else None


def kind_in_scope(scope: Mapping[str, float | None]) -> str | None:
    """The room whose items alone are in a scope: a bathroom, or None where that cannot be told.

    >>> kind_in_scope({"toilet": 1.0}), kind_in_scope({"toilet": 1.0, "laundry_hookup": 1.0})
    ('bathroom', None)
    """
    items = {key for key, size in scope.items() if size}
    return "bathroom" if items & _OF_BATHROOMS and not items & _OF_OTHER_ROOMS else None


def _slip(word: str, known: dict[str, str]) -> str:
    """The known word that one word is a slip of, or has glued to it; "" if none."""
    bare = _GLUED.sub("", word, count=1)
    if bare in known:
        return bare
    near = recognise(bare, {w: key for w, key in known.items() if " " not in w})
    return near.word if near.slip else ""
