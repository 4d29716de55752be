"""The words of the trade: phases, scope items, cost kinds, kinds of job, and their spellings.

The words stand in ``vocabulary.toml`` beside this file. Matching here is exact after folding (case,
accents, punctuation); close spellings are the business of the readers, which ask before they trust.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, lru_cache
from importlib.resources import files

from costlearn.errors import InputProblem

UNASSIGNED = "unassigned"
"""The key of work or cost that nobody has said the phase, kind or cause of."""
SLIP_LETTERS = 6
"""Letters of a word from which one wrong letter is a slip of the pen."""
ROOMS = frozenset(("bathroom", "laundry", "kitchen"))
"""The kinds of job that are one room."""
_LONGEST_PHRASE = 4
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
    also: tuple[str, ...] = ()
    """Wordings of lists and notes, which head no column."""


@dataclass(frozen=True, slots=True)
class Word:
    """A word with a key: a cost kind or a kind of job.

    ``signs`` are words in the name of a payee or of what was bought that speak of a cost kind.
    """

    key: str
    name: str
    words: tuple[str, ...]
    signs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Phrase:
    """A wording of scope that means several items, each but where one of others is named as well.

    No item at all: the words say what the job is, and nothing of its scope.
    """

    words: tuple[str, ...]
    items: tuple[str, ...] = ()
    unless: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


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
    phrases: tuple[Phrase, ...] = ()
    other_words: frozenset[str] = frozenset()
    """Folded words of their own that look like a spelling above, and are never taken for it."""
    generic: frozenset[str] = frozenset()
    """Folded words that stand beside many things and make nothing alike."""
    reserve: frozenset[str] = frozenset()
    """Folded names of money put by for what nobody can foresee: no phase, and never spent."""
    several: frozenset[str] = frozenset()
    """Folded names of rows that stand for many small jobs."""
    called_off: frozenset[str] = frozenset()
    """Folded words for a job that was never begun and will not be."""
    objects: frozenset[str] = frozenset()
    """Folded words for what work is done to, and for putting it in: of no phase themselves."""
    removals: frozenset[str] = frozenset()
    """Folded words at the beginning or end of a wording that make it demolition."""
    fillers: frozenset[str] = frozenset()
    """Folded words that say which one, what it is like, or where, and leave an item what it is."""

    @cached_property
    def phase_words(self) -> dict[str, str]:
        """Folded spelling to phase key; the words that must be asked are not in it."""
        return {w: k for w, k in _spellings(self.phases).items() if w not in self.ask}

    @cached_property
    def item_words(self) -> dict[str, str]:
        """Folded spelling to scope item key, as it may head a column."""
        return _spellings(self.items)

    @cached_property
    def scope_words(self) -> dict[str, tuple[str, ...]]:
        """Folded wording of a list or a note to the keys of the scope items it means, or to none.

        What an item is called comes first, then what means several items or none.
        """
        means: dict[str, tuple[str, ...]] = {word: (key,) for word, key in self.item_words.items()}
        for item in self.items:
            for word in item.also:
                means.setdefault(fold(word), (item.key,))
        for phrase in self.phrases:
            for word in phrase.words:
                means.setdefault(word, phrase.items)
        return means

    @cached_property
    def unless(self) -> dict[tuple[str, str], tuple[str, ...]]:
        """Wording and item to the items beside which that wording does not mean it."""
        return {
            (word, key): others
            for phrase in self.phrases
            for word in phrase.words
            for key, others in phrase.unless.items()
        }

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

    def room_in(self, name: str) -> str | None:
        """The one room that the name of a job speaks of; None for none, and for two.

        >>> standard().room_in("Birch hall bath"), standard().room_in("Bath and kitchen")
        ('bathroom', None)
        """
        found, _ = phrases_in(fold(name).split(), self.job_words)
        rooms = [key for key in found if key in ROOMS]
        return rooms[0] if len(rooms) == 1 else None

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
                expected="an item such as " + ", ".join(_nearest(fold(word), self.item_words)),
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
            near = ", ".join(_nearest(folded, self.phase_words))
            raise InputProblem(
                f"'{word}' is no phase costlearn knows",
                expected=f"such as {near}",
                hint=meant(folded, self.phase_words),
            )
        return key

    @cached_property
    def several_jobs(self) -> tuple[str, ...]:
        """How names begin that stand for many small jobs."""
        return tuple(self.several)

    def knows_phase(self, word: str) -> bool:
        """Whether a word is one of a phase, or may be one of several.

        >>> standard().knows_phase("Tile"), standard().knows_phase("our time")
        (True, False)
        """
        return fold(word) in self.phase_words or fold(word) in self.ask

    def with_phases(self, words: Mapping[str, Iterable[str]]) -> Vocabulary:
        """A copy with the firm's own spellings; an unknown key adds a phase at the end."""
        known = {p.key: p for p in self.phases}
        for key, extra in words.items():
            old = known.get(key, Phase(key, key.replace("_", " "), ()))
            known[key] = Phase(old.key, old.name, (*old.words, *extra))
        return replace(self, phases=tuple(known.values()))


def phrases_in(words: list[str], known: dict[str, str]) -> tuple[dict[str, None], list[str]]:
    """The kinds that known phrases name, longest first, each word used once; and other words."""
    found: dict[str, None] = {}
    rest: list[str] = []
    at = 0
    while at < len(words):
        for length in range(min(_LONGEST_PHRASE, len(words) - at), 0, -1):
            key = known.get(" ".join(words[at : at + length]))
            if key:
                found[key] = None
                at += length
                break
        else:
            rest.append(words[at])
            at += 1
    return found, rest


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
                tuple(i.get("also", ())),
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
        phrases=tuple(
            Phrase(
                tuple(map(fold, p["words"])),
                tuple(p["items"]),
                {key: tuple(others) for key, others in p.get("unless", {}).items()},
            )
            for p in raw["phrase"]
        ),
        **{name: frozenset(map(fold, words)) for name, words in raw["plain"].items()},
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


def is_slip(written: str, known: str) -> bool:
    """Whether a folded word is a known one with one letter wrong, missing, too many, or swapped.

    The letter stands in a word of at least six, for short words are too like one another; figures
    are never a slip. A space too many or too few is one as well.

    >>> is_slip("chesnut ensuite", "chestnut ensuite"), is_slip("dry wall", "drywall")
    (True, True)
    >>> is_slip("tub in", "tub on"), is_slip("14 juniper", "41 juniper")
    (False, False)
    """
    said, names = written.split(), known.split()
    if len(said) != len(names):
        whole = "".join(names)
        return len(whole) >= SLIP_LETTERS and whole.isalpha() and "".join(said) == whole
    odd = [(one, other) for one, other in zip(said, names, strict=True) if one != other]
    if len(odd) != 1:
        return False
    one, other = odd[0]
    return len(other) >= SLIP_LETTERS and (one + other).isalpha() and _one_edit(one, other)


def _one_edit(one: str, other: str) -> bool:
    """Whether one letter or one swap of neighbours makes one word of the other."""
    start = next(
        (i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b),
        min(len(one), len(other)),
    )
    left, right = one[start:], other[start:]
    swapped = left[:2] == right[:2][::-1] and left[2:] == right[2:]
    return swapped or left[1:] == right[1:] or left[1:] == right or left == right[1:]


def meant(word: str, known: Iterable[str]) -> str:
    """A question whether a word like it was meant; empty where none looks like it.

    >>> meant("tyle", ["tile", "paint"])
    "did you mean 'tile'?"
    """
    near = _nearest(word, known, most=1, alike=0.6)
    return f"did you mean {near[0]}?" if near else ""


def _nearest(word: str, known: Iterable[str], most: int = 4, alike: float = 0) -> list[str]:
    """Known spellings that look most like a word, for a message."""
    from difflib import get_close_matches

    return [f"'{near}'" for near in get_close_matches(word, known, n=most, cutoff=alike)]
