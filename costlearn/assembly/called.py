"""Which job of the lists another name means: "birch", "Chesnut ens", "juniper 14"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from costlearn.vocabulary import SLIP_LETTERS, fold, is_slip, standard

_SHORTEST_START = 3
_VOWELS = re.compile(r"[aeiouy]")
_EMPTY = frozenset(
    ("the", "a", "an", "job", "jobs", "house", "place", "res", "residence", "reno", "renovation",
     "client", "chez", "le", "la", "les", "de", "du", "des", "and", "et", "at", "on", "of")
)  # fmt: skip
"""Words that tell no job from another; common practice, no source."""
_ROOMY = ("hall", "main", "upstairs", "downstairs", "guest", "master", "half", "room", "basement")


@dataclass(frozen=True, slots=True)
class Called:
    """The one listed job that a name can mean, by its key; else those it may mean, likest first."""

    key: str = ""
    may_be: tuple[str, ...] = ()


class JobNames:
    """The names of listed jobs, by their keys, to find which of them another name means.

    >>> JobNames({"birchbath": "Birch bath", "aspenlaundry": "Aspen laundry"}).find("birch")
    Called(key='birchbath', may_be=())
    """

    def __init__(self, listed: Mapping[str, str]) -> None:
        """Remember the words of each name."""
        self._having: dict[str, dict[str, set[str]]] = {}
        for key, name in listed.items():
            self.add(key, name)

    def add(self, key: str, name: str) -> None:
        """One more listed job."""
        for word in _words(name):
            self._having.setdefault(word[0], {}).setdefault(word, set()).add(key)

    def find(self, name: str) -> Called:
        """The listed job that alone has all words of a name, one of them its own; else likely ones.

        Words may be cut short ("ens"), have lost their vowels ("pwdr") or one letter wrong.
        """
        said = _words(name)
        own = [word for word in said if word not in _rooms()]
        if not own:
            return Called()
        having = {word: self._with(word) for word in said}
        whole = set.intersection(*having.values())
        if len(whole) == 1:
            return Called(whole.pop())
        return Called(may_be=tuple(sorted(whole or set.union(*(having[word] for word in own)))))

    def _with(self, said: str) -> set[str]:
        """The keys of the names that have a word."""
        known = self._having.get(said[0], {})
        return {key for word, keys in known.items() if _same(said, word) for key in keys}


@cache
def _rooms() -> frozenset[str]:
    """Words of rooms and kinds of work, which many jobs share."""
    words = {part for word in standard().job_words for part in word.split()}
    return frozenset(words | set(_ROOMY))


def _words(name: str) -> list[str]:
    return [word for word in fold(name).replace("+", " ").split() if word not in _EMPTY]


def _same(said: str, word: str) -> bool:
    """Whether a word said is a word of a name: the same, its beginning, its bones, or a slip."""
    if said == word:
        return True
    if said.isdigit() or word.isdigit() or said[0] != word[0]:
        return False
    if len(said) >= _SHORTEST_START and (word.startswith(said) or _bones(said, word)):
        return True
    return len(said) >= SLIP_LETTERS and is_slip(said, word)


def _bones(said: str, word: str) -> bool:
    return not _VOWELS.search(said) and said == _VOWELS.sub("", word)
