"""The words of the trade: phases, scope items, cost kinds, kinds of job, and their spellings.

The words stand in ``vocabulary.toml`` beside this file. Matching here is exact after folding (case,
accents, punctuation); close spellings are the business of the readers, which ask before they trust.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from importlib.resources import files

from costlearn.errors import InputProblem

UNASSIGNED = "unassigned"
"""The key of work or cost that nobody has said the phase, kind or cause of."""
NEVER_DIRECT = ("overhead", "tax")
"""Kinds of cost that are never a job's: they are recorded, and no line of them waits for a job."""


@lru_cache(maxsize=1 << 16)
def fold(text: str) -> str:
    """Reduce a word to what matters when comparing: lower case, no accents, single spaces.

    Remembered: a log says the same few words on every line.

    >>> fold("  Céramique/GROUT ")
    'ceramique grout'
    """
    whole = text.replace("œ", "oe").replace("Œ", "oe").replace("æ", "ae").replace("Æ", "ae")
    plain = unicodedata.normalize("NFKD", whole).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9+&]+", " ", plain.lower()).strip()


@dataclass(frozen=True, slots=True)
class Phase:
    """One of the trade steps of a job; ``key`` is its short stable name."""

    key: str
    name: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """A scope item: what it is measured in, how it enters the models, where its work falls.

    ``prior`` and ``phase_prior`` are first guesses of what it adds to the job and to its phases, in
    log points; None for the usual ones.
    """

    key: str
    name: str
    unit: str
    enters: str
    role: str
    phases: tuple[str, ...]
    words: tuple[str, ...]
    prior: float | None = None
    phase_prior: float | None = None


@dataclass(frozen=True, slots=True)
class Word:
    """A word with a key: a cost kind or a kind of job.

    ``signs`` are words in the name of a payee or of what was bought that speak of a cost kind.
    """

    key: str
    name: str
    words: tuple[str, ...]
    signs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Vocabulary:
    """All words known, in the order of the trade, and the lookups the readers need."""

    phases: tuple[Phase, ...]
    items: tuple[Item, ...]
    cost_kinds: tuple[Word, ...]
    job_kinds: tuple[Word, ...]
    ask: Mapping[str, tuple[str, ...]]
    surprises: tuple[Word, ...] = ()
    """What opening a wall or a floor may show, and the words for it in notes and change orders."""

    @cached_property
    def phase_words(self) -> dict[str, str]:
        """Folded spelling to phase key; the words that must be asked are not in it."""
        return {w: k for w, k in _spellings(self.phases).items() if w not in self.ask}

    @cached_property
    def item_words(self) -> dict[str, str]:
        """Folded spelling to scope item key."""
        return _spellings(self.items)

    @cached_property
    def cost_words(self) -> dict[str, str]:
        """Folded spelling to cost kind key."""
        return _spellings(self.cost_kinds)

    @cached_property
    def _signs(self) -> dict[str, str]:
        return {fold(sign): kind.key for kind in self.cost_kinds for sign in kind.signs}

    def sign_of(self, text: str) -> str | None:
        """The one cost kind that the name of a payee or of what was bought speaks of, if it does.

        >>> standard().sign_of("Valley Dumpster Co"), standard().sign_of("Valley Tile")
        ('disposal', None)
        """
        said = f" {fold(text)} "
        found = {key for sign, key in self._signs.items() if f" {sign} " in said}
        return found.pop() if len(found) == 1 else None

    @cached_property
    def job_words(self) -> dict[str, str]:
        """Folded spelling to kind-of-job key."""
        return _spellings(self.job_kinds)

    @cached_property
    def phase_order(self) -> dict[str, int]:
        """Phase key to its place in the order of work."""
        return {p.key: i for i, p in enumerate(self.phases)}

    def phase_name(self, key: str) -> str:
        """The name of a phase as shown; a firm's own phase is shown by its key in words."""
        return next((p.name for p in self.phases if p.key == key), key.replace("_", " "))

    def item(self, key: str) -> Item:
        """The scope item of a key.

        Raises:
            InputProblem: no item has that key.
        """
        for item in self.items:
            if item.key == key:
                return item
        raise InputProblem(f"'{key}' is no scope item costlearn knows")

    def find_item(self, word: str) -> Item:
        """The scope item a word means, by key, name or spelling.

        Raises:
            InputProblem: nobody knows the word; the nearest known words are named.
        """
        key = self.item_words.get(fold(word))
        if key is None:
            raise InputProblem(
                f"'{word}' is no scope item costlearn knows",
                expected="an item such as " + ", ".join(_nearest(word, self.item_words)),
            )
        return self.item(key)

    def find_phase(self, word: str) -> str:
        """The phase key a word means.

        Raises:
            InputProblem: the word means several phases, or none.
        """
        folded = fold(word)
        if folded in self.ask:
            choices = ", ".join(self.ask[folded]) or "one of the phases"
            raise InputProblem(f"phase '{word}' may mean several things", expected=choices)
        key = self.phase_words.get(folded)
        if key is None:
            near = ", ".join(_nearest(word, self.phase_words))
            raise InputProblem(
                f"'{word}' is no phase costlearn knows",
                expected=f"such as {near}",
                hint=meant(folded, self.phase_words),
            )
        return key

    def with_phases(self, words: Mapping[str, Iterable[str]]) -> Vocabulary:
        """A copy with the firm's own spellings; an unknown key adds a phase at the end."""
        known = {p.key: p for p in self.phases}
        for key, extra in words.items():
            old = known.get(key, Phase(key, key.replace("_", " "), ()))
            known[key] = Phase(old.key, old.name, (*old.words, *extra))
        return replace(self, phases=tuple(known.values()))


@cache
def standard() -> Vocabulary:
    """The vocabulary that ships with costlearn."""
    text = files("costlearn").joinpath("vocabulary.toml").read_text("utf-8")
    raw = tomllib.loads(text)
    return Vocabulary(
        phases=tuple(Phase(p["key"], p["name"], tuple(p["words"])) for p in raw["phase"]),
        items=tuple(
            Item(
                i["key"],
                i["name"],
                i["unit"],
                i["enters"],
                i["role"],
                tuple(i["phases"]),
                tuple(i["words"]),
                i.get("prior"),
                i.get("phase_prior"),
            )
            for i in raw["item"]
        ),
        cost_kinds=tuple(
            Word(c["key"], c["name"], tuple(c["words"]), tuple(c.get("signs", ())))
            for c in raw["cost_kind"]
        ),
        job_kinds=tuple(Word(c["key"], c["name"], tuple(c["words"])) for c in raw["job_kind"]),
        ask={fold(a["word"]): tuple(a["phases"]) for a in raw["ask"]},
        surprises=tuple(Word(w["key"], w["name"], tuple(w["words"])) for w in raw["surprise"]),
    )


def _spellings(entries: Iterable[Phase | Item | Word]) -> dict[str, str]:
    """Every spelling, folded, with its key; key and name win over another entry's spelling."""
    found: dict[str, str] = {}
    listed = tuple(entries)
    for entry in listed:
        for word in (entry.key, entry.name):
            found.setdefault(fold(word), entry.key)
    for entry in listed:
        for word in entry.words:
            found.setdefault(fold(word), entry.key)
    return found


def meant(word: str, known: Iterable[str]) -> str:
    """A question whether a word like it was meant; empty where none looks like it.

    >>> meant("tyle", ["tile", "paint"])
    "did you mean 'tile'?"
    """
    from difflib import get_close_matches

    near = get_close_matches(word, known, n=1, cutoff=0.6)
    return f"did you mean '{near[0]}'?" if near else ""


def _nearest(word: str, known: Mapping[str, str], most: int = 4) -> list[str]:
    """Known spellings that look most like a word, by shared letter pairs."""
    pairs = {word.lower()[i : i + 2] for i in range(len(word) - 1)}

    def alike(other: str) -> float:
        theirs = {other[i : i + 2] for i in range(len(other) - 1)}
        return len(pairs & theirs) / (len(pairs | theirs) or 1)

    ranked = sorted(known, key=lambda w: (-alike(w), w))
    return [f"'{w}'" for w in ranked[:most]]
