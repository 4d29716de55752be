"""Scope in words to scope items: "niche; heated floor; wall tile 96 sf; 2 pot lights"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from costlearn.intake.spelling import recognise
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import LARGEST, Raw, Reading, read_number, read_yes_no, refused
from costlearn.intake.values.numerals import LONGEST_VALUE, decimal_in, numeral, tidy
from costlearn.units import FT_PER_M, SQFT_PER_SQM
from costlearn.vocabulary import Item, Vocabulary, fold

_PARTS = re.compile(r"[;|\n]+|,(?!\d)|(?<!\d),|(?<=[^\W\d_]{3})\.\s+(?=[^\W\d_])")
_SIZE = re.compile(
    r"(?P<before>.*?)[\s:=x×(]*(?:(?<![\w.,])|(?<=\sx))(?P<figure>\d+(?:[.,]\d+)?)\s*"
    r"(?P<unit>[a-zA-Z²2$.' ]*?)\)?\s*$"
)
_COUNT = re.compile(
    r"^[x×]?(?P<figure>\d+(?:[.,]\d+)?)\s*(?P<unit>sf|sq\.? ?ft|pi2|pi²|m2|m²|lf)?\s*[x×]?\s+"
    r"(?:of |de )?(?=\D)"
)
_TIMES = re.compile(r"[\s(][x×]\s*\d+\)?$|^\d+\s*[x×]\s+\D|^[x×]\s*\d")
"""How pieces are counted, whatever an item is measured in: "uppers x3"."""
_DIMENSIONS = re.compile(
    r"\(?(?<![\w.])\d+(?:\.\d+)?(?:\s*(?:\"|''|″|”|in\b\.?|inch\b|po\b|'|ft\b))?"
    r"(?:\s*[x×]\s*\d+(?:\.\d+)?)?(?:\s*(?:\"|''|″|”|inch\b|po\b|'))?\)?(?=\s|$)"
)
"""How wide a piece is: no count of pieces and no size of a job."""
_MARKED = re.compile(r"[\"″”'x×]|''|in\b|inch|po\b|ft\b")
MOST_PARTS = 1_000
"""No job has so many items; each part is looked for among all words that are known."""
MOST_WORDS = 6
"""Words of a part from which it is prose, and no item to be asked about."""
_NOT = re.compile(r"^(?:no|not|without|sans|pas de|none)\b\s*", re.IGNORECASE)
_NEW = re.compile(
    r"^(?:a |an |one |un |une )?(?:brand[ -])?(?:new|nouveaux?|nouvelles?|nouvel)\s+", re.IGNORECASE
)
_JOINS = re.compile(r"\s+(?:and|et|&|\+|with|w/|avec|plus)\s+|\s*\+\s*|\s+/\s+", re.IGNORECASE)
_PLACED = frozenset(
    ("in", "over", "under", "above", "beside", "near", "behind", "around", "at", "for", "from",
     "dans", "sur", "sous", "au", "aux")
)  # fmt: skip
"""Words after which a part says where, and no more what."""
_FACTORS = {
    ("sqft", "sqft"): 1.0,
    ("sqft", "sqm"): SQFT_PER_SQM,
    ("lnft", "lnft"): 1.0,
    ("lnft", "lnm"): FT_PER_M,
    ("each", "each"): 1.0,
}


@dataclass(frozen=True, slots=True)
class Unknown:
    """A part of a scope nobody knows: as written, the word that names it, likely items."""

    written: str
    word: str
    likely: tuple[str, ...] = ()

    @property
    def prose(self) -> bool:
        """Whether it is a remark: no item has so many words."""
        return len(self.word.split()) > MOST_WORDS


@dataclass(slots=True)
class ScopeReading:
    """Items and their sizes; ``slips`` are misspelled words that were taken, with their items."""

    items: dict[str, float] = field(default_factory=dict)
    slips: list[tuple[str, str]] = field(default_factory=list)
    unknown: list[Unknown] = field(default_factory=list)
    bare: list[str] = field(default_factory=list)
    """Parts whose size has no unit, read in the item's own."""
    known: int = 0
    """Parts that were understood, those among them that name no item."""
    problem: str = ""
    """Why the text was not read at all."""
    unsized: set[str] = field(default_factory=set)
    implied: set[tuple[str, str]] = field(default_factory=set)
    """Wordings of several items that were met, and their items."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One way to read a part: words that name the item, a figure, its unit, if it counts pieces."""

    name: str
    figure: float | None = None
    unit: str | None = None
    pieces: bool = False
    width: bool = False
    """Its figure is a length, which says how wide a piece is where it can be no size."""


def read_scope(text: str, vocabulary: Vocabulary, *, area_unit: str = "sqft") -> ScopeReading:
    """The scope items a text lists, parted by ; , | line ends and full stops.

    A size is in the item's unit (square feet, feet, pieces); an item with no size given is 1.0,
    "no niche" is 0.0. Bare areas are in ``area_unit``.

    >>> from costlearn.vocabulary import standard
    >>> read_scope("niche; wall tile 96 sf; 2 pot lights", standard()).items
    {'niche': 1.0, 'wall_tile': 96.0, 'lighting': 2.0}
    >>> sorted(read_scope("tub swap; walk-in shower in hall", standard()).items)
    ['tiled_shower_floor', 'tub_install', 'tub_removal', 'wall_tile']
    """
    reader = _Reader(vocabulary, area_unit, ScopeReading())
    into = reader.into
    parts = _PARTS.split(text)
    if len(parts) > MOST_PARTS:
        into.problem = f"a scope of {len(parts):,} parts, where {MOST_PARTS:,} are the most"
        return into
    for part in parts:
        words = tidy(part).strip(" .-•*\t")
        if words and not reader.read(words):
            halves = [half for half in _JOINS.split(words) if half]
            for half in halves:
                if len(halves) == 1 or not reader.read(half):
                    reader.unknown(half)
    for word, key in into.implied:
        if any(into.items.get(other) for other in vocabulary.unless.get((word, key), ())):
            into.items.pop(key, None)
    return into


def read_scope_cell(
    raw: Raw, item: Item, *, unit: str | None, area_unit: str, decimal: str = "."
) -> Reading[float]:
    """The size of one item from the cell of its own column: a quantity, yes (1.0) or no (0.0)."""
    if not isinstance(raw, int | float) or isinstance(raw, bool):
        answer = read_yes_no(raw)
        digits = isinstance(raw, str) and raw.strip() in {"0", "1"}
        if answer.value is not None and not digits:
            return Reading(1.0 if answer.value else 0.0)
    number = read_number(raw, decimal=decimal)
    stated = unit
    if number.value is None and isinstance(raw, str):
        found = _SIZE.fullmatch(tidy(raw)[: LONGEST_VALUE + 1])
        if found and not found["before"].strip():
            number = read_number(found["figure"], decimal=decimal)
            stated = headings().units.get(fold_heading(found["unit"]), stated)
            if not found["unit"].strip() or stated is None:
                return refused(raw, "is neither a size nor yes or no")
    if number.value is None:
        return refused(raw, "is neither a size nor yes or no") if number.problem else Reading()
    if number.value < 0:
        return refused(raw, "is negative, which no size can be", "negative")
    size = _in_item_unit(number.value, item, stated, area_unit)
    if size is None:
        return refused(raw, f"is in a unit {item.name} is not measured in")
    return Reading(size)


def _in_item_unit(figure: float, item: Item, unit: str | None, area_unit: str) -> float | None:
    """A figure in the item's own unit, or None if its unit does not go with the item."""
    if unit is None:
        unit = area_unit if item.unit == "sqft" else item.unit
    factor = _FACTORS.get((item.unit, unit))
    return None if factor is None else figure * factor


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the parts of one scope."""

    vocabulary: Vocabulary
    area_unit: str
    into: ScopeReading

    def read(self, words: str) -> bool:
        """Take one part if all its words are known."""
        known = self.vocabulary.scope_words
        for way in _ways(words):
            # What goes in is new; only a "new tub" or a "new circuit" has a name with it.
            for name in (fold(way.name), fold(_NEW.sub("", way.name))):
                if name in known:
                    self.put(name, way)
                    self.into.known += 1
                    return True
        for way in _ways(words):
            found = self._phrases(fold(way.name).split())
            if found is None or (len(found) != 1 and way.figure is not None):
                continue
            for name in found:
                self.put(name, way)
            self.into.known += 1
            return True
        return False

    def _phrases(self, words: Sequence[str]) -> list[str] | None:
        """The wordings a part holds, longest first; None where it says anything else as well.

        What is said of a place ("over the tub") names no item; sorts and colours change none.
        """
        known, fillers = self.vocabulary.scope_words, self.vocabulary.fillers
        found: list[str] = []
        at, placed = 0, False
        if len(words) > 2 * MOST_WORDS:
            return None
        while at < len(words):
            most = min(MOST_WORDS, len(words) - at)
            spans = (" ".join(words[at : at + long]) for long in range(most, 0, -1))
            name = next((span for span in spans if span in known), "")
            if name:
                # "Hall laundry" is a room, and says nothing of what was done in it.
                found += [] if placed or name in self.vocabulary.job_words else [name]
                at += len(name.split())
                continue
            if words[at] not in fillers:
                return None
            placed = placed or (words[at] in _PLACED and bool(found))
            at += 1
        return found

    def put(self, name: str, way: _Part) -> None:
        """Take the items a known wording means, in the size it is given."""
        keys = self.vocabulary.scope_words[name]
        for key in keys:
            if len(keys) > 1:
                self.into.implied.add((name, key))
            self._put(self.vocabulary.item(key), name, way)

    def _put(self, item: Item, name: str, way: _Part) -> None:
        items, figure = self.into.items, way.figure
        size: float | None = 1.0
        sized = figure is not None and not (way.pieces and item.unit != "each" and figure)
        if figure is not None and figure > LARGEST:
            size = None
        elif figure is not None and sized:
            size = 0.0 if figure == 0 else _in_item_unit(figure, item, way.unit, self.area_unit)
            if way.unit is None and item.unit == "sqft" and figure:
                self.into.bare.append(name)
        if size is None and way.width:
            size, sized = 1.0, False
        elif size is None:
            written = f"{name} {figure:g}"
            self.into.unknown.append(Unknown(written, name, (item.name,)))
            size, sized = 1.0, False
        unsized = self.into.unsized
        if item.unit == "each" or (sized and item.key not in unsized):
            size += items.get(item.key, 0.0)
        elif not sized:
            # That an item is there twice in words makes it no larger.
            if items.get(item.key):
                return
            unsized.add(item.key)
        else:
            unsized.discard(item.key)
        items[item.key] = size

    def unknown(self, words: str) -> None:
        """A part nobody knows: a slip of the pen is taken and told, the rest waits."""
        known = self.vocabulary.scope_words
        meaning = {word: " ".join(keys) for word, keys in known.items() if keys}
        for way in reversed(_ways(words)):
            near = recognise(fold(_NEW.sub("", way.name)), meaning)
            if near.word:
                self.put(near.word, way)
                self.into.known += 1
                if near.slip:
                    names = (self.vocabulary.item(key).name for key in known[near.word])
                    self.into.slips.append((way.name, " and ".join(names)))
                return
        name = _ways(words)[-1].name
        folded = fold(name)
        if len(folded) < 2 or all(word in self.vocabulary.fillers for word in folded.split()):
            return
        items = self.vocabulary.item_words
        names = (self.vocabulary.item(items[w]).name for w in recognise(folded, items).likely)
        self.into.unknown.append(Unknown(words, name, tuple(names)))


def _ways(words: str) -> list[_Part]:
    """Ways to part words into an item's name, a figure and a unit; nothing parted comes first."""
    if len(words) > LONGEST_VALUE:
        # Prose, no item; the patterns below would take the square of its length.
        return [_Part(words)]
    ways = [_Part(words)]
    absent = _NOT.match(words)
    if absent:
        return [*ways, _Part(words[absent.end() :], 0.0)]
    units = headings().units
    pieces = _TIMES.search(words) is not None
    first = _COUNT.match(words)
    if first:
        unit = units.get(fold_heading(first["unit"] or ""))
        figure = _figure(first["figure"], unit)
        # "3 uppers" are three pieces, "96 wall tile" can only be square feet.
        ways.append(_Part(words[first.end() :], figure, unit, pieces or (unit is None)))
    last = _SIZE.fullmatch(words)
    if last and last["before"].strip():
        folded = fold_heading(last["unit"])
        if not folded or folded in units:
            unit = units.get(folded)
            before = last["before"].strip(" (:-")
            width = unit in ("lnft", "lnm")
            ways.append(_Part(before, _figure(last["figure"], unit), unit, pieces, width))
    bare = _DIMENSIONS.sub(lambda found: "" if _MARKED.search(found[0]) else found[0], words)
    if bare.strip() and bare != words:
        wide = any(way.width for way in ways)
        ways.insert(len(ways) if wide else 1, _Part(" ".join(bare.split())))
    return ways


def _figure(text: str, unit: str | None) -> float:
    """A size, its comma read as its form says: "9,5" has a decimal one, "1,250" sq ft thousands.

    No part of a job has thousands of metres: "2,125 m2" is a fraction.
    """
    metric = unit in ("sqm", "lnm")
    thousands = None if metric else numeral(text, decimal_in(text))
    return float(text.replace(",", ".")) if thousands is None else float(thousands)
