"""Scope in words to scope items: "niche; heated floor; wall tile 96 sf; 2 pot lights"."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from costlearn.intake.spelling import nearest
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import LARGEST, Raw, Reading, read_number, read_yes_no, refused
from costlearn.intake.values.numerals import LONGEST_VALUE, decimal_in, numeral, tidy
from costlearn.units import FT_PER_M, SQFT_PER_SQM
from costlearn.vocabulary import Item, Vocabulary, fold

_PARTS = re.compile(r"[;|\n]+|,(?!\d)|(?<!\d),")
_SIZE = re.compile(
    r"(?P<before>.*?)[\s:=x×(]*(?:(?<![\w.,])|(?<=\sx))(?P<figure>\d+(?:[.,]\d+)?)\s*"
    r"(?P<unit>[a-zA-Z²2$.' ]*?)\)?\s*$"
)
_COUNT = re.compile(
    r"^[x×]?(?P<figure>\d+(?:[.,]\d+)?)\s*(?P<unit>sf|sq\.? ?ft|m2|m²|lf)?\s*[x×]?\s+(?=\D)"
)
MOST_PARTS = 1_000
"""No job has so many items; each part is looked for among all words that are known."""
_NOT = re.compile(r"^(?:no|not|without|sans|pas de|none)\b\s*", re.IGNORECASE)
_NEW = re.compile(
    r"^(?:a |an |one )?(?:brand[ -])?(?:new|nouveau|nouvelle|nouvel)\s+", re.IGNORECASE
)
_JOINS = re.compile(r"\s+(?:and|et|&|\+)\s+", re.IGNORECASE)
_FACTORS = {
    ("sqft", "sqft"): 1.0,
    ("sqft", "sqm"): SQFT_PER_SQM,
    ("lnft", "lnft"): 1.0,
    ("lnft", "lnm"): FT_PER_M,
    ("each", "each"): 1.0,
}


@dataclass(slots=True)
class ScopeReading:
    """Items and their sizes; ``close`` are close spellings taken, ``unknown`` what to ask."""

    items: dict[str, float] = field(default_factory=dict)
    close: list[tuple[str, str]] = field(default_factory=list)
    unknown: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    bare: list[str] = field(default_factory=list)
    """Parts whose size has no unit, read in the item's own."""
    problem: str = ""
    """Why the text was not read at all."""


def read_scope(text: str, vocabulary: Vocabulary, *, area_unit: str = "sqft") -> ScopeReading:
    """The scope items a text lists, parted by ; , | or line ends.

    A size is in the item's unit (square feet, feet, pieces); an item with no size given is 1.0,
    "no niche" is 0.0. Bare areas are in ``area_unit``.

    >>> from costlearn.vocabulary import standard
    >>> read_scope("niche; wall tile 96 sf; 2 pot lights", standard()).items
    {'niche': 1.0, 'wall_tile': 96.0, 'lighting': 2.0}
    """
    reading = ScopeReading()
    parts = _PARTS.split(text)
    if len(parts) > MOST_PARTS:
        reading.problem = f"a scope of {len(parts):,} parts, where {MOST_PARTS:,} are the most"
        return reading
    for part in parts:
        words = tidy(part).strip(" .-•*\t")
        if words and not _read_part(words, vocabulary, area_unit, reading):
            halves = _JOINS.split(words)
            for half in halves:
                if len(halves) == 1 or not _read_part(half, vocabulary, area_unit, reading):
                    _unknown(half, vocabulary, area_unit, reading)
    return reading


def item_word(words: str) -> str:
    """A part of a scope without its count or size: the word that names the item.

    >>> item_word("fancy niche 3")
    'fancy niche'
    """
    return _ways(words)[-1][0]


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
        match = _SIZE.fullmatch(tidy(raw)[: LONGEST_VALUE + 1])
        if match and not match["before"].strip():
            number = read_number(match["figure"], decimal=decimal)
            stated = headings().units.get(fold_heading(match["unit"]), stated)
            if not match["unit"].strip() or stated is None:
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


def _read_part(words: str, vocabulary: Vocabulary, area_unit: str, into: ScopeReading) -> bool:
    """Read one part into ``into`` if its words are known exactly."""
    for name, figure, unit in _ways(words):
        # What goes in is new; only a "new tub" or a "new circuit" has a name with it.
        bare = _NEW.sub("", name)
        key = vocabulary.item_words.get(fold(name)) or vocabulary.item_words.get(fold(bare))
        if key is None:
            continue
        _put(key, name, figure, unit, vocabulary, area_unit, into)
        return True
    return False


def _ways(words: str) -> list[tuple[str, float | None, str | None]]:
    """Ways to part words into an item's name, a figure and a unit; nothing parted comes first."""
    if len(words) > LONGEST_VALUE:
        # Prose, no item; the patterns below would take the square of its length.
        return [(words, None, None)]
    absent = _NOT.match(words)
    if absent:
        return [(words[absent.end() :], 0.0, None)]
    ways: list[tuple[str, float | None, str | None]] = [(words, None, None)]
    units = headings().units
    first = _COUNT.match(words)
    if first:
        unit = units.get(fold_heading(first["unit"] or ""))
        ways.append((words[first.end() :], _figure(first["figure"], unit), unit))
    last = _SIZE.fullmatch(words)
    if last and last["before"].strip():
        folded = fold_heading(last["unit"])
        if not folded or folded in units:
            unit = units.get(folded)
            ways.append((last["before"].strip(" (:-"), _figure(last["figure"], unit), unit))
    return ways


def _figure(text: str, unit: str | None) -> float:
    """A size, its comma read as its form says: "9,5" has a decimal one, "1,250" sq ft thousands.

    No part of a job has thousands of metres: "2,125 m2" is a fraction.
    """
    metric = unit in ("sqm", "lnm")
    thousands = None if metric else numeral(text, decimal_in(text))
    return float(text.replace(",", ".")) if thousands is None else float(thousands)


def _put(
    key: str,
    name: str,
    figure: float | None,
    unit: str | None,
    vocabulary: Vocabulary,
    area_unit: str,
    into: ScopeReading,
) -> None:
    item = vocabulary.item(key)
    size: float | None = 1.0
    if figure is not None and figure > LARGEST:
        size = None
    elif figure is not None:
        size = 0.0 if figure == 0 else _in_item_unit(figure, item, unit, area_unit)
        if unit is None and item.unit == "sqft" and figure:
            into.bare.append(name)
    if size is None:
        into.unknown.append((f"{name} {figure:g}", (item.name,)))
        size = 1.0
    into.items[key] = into.items.get(key, 0.0) + size


def _unknown(words: str, vocabulary: Vocabulary, area_unit: str, into: ScopeReading) -> None:
    """A part nobody knows: a close spelling is taken and told, the rest is asked."""
    for name, figure, unit in reversed(_ways(words)):
        near = nearest(fold(name), vocabulary.item_words)
        if near and near[0].sure:
            key = vocabulary.item_words[near[0].word]
            _put(key, name, figure, unit, vocabulary, area_unit, into)
            into.close.append((name, vocabulary.item(key).name))
            return
    name = _ways(words)[-1][0]
    near = nearest(fold(name), vocabulary.item_words)
    names = dict.fromkeys(vocabulary.item(vocabulary.item_words[n.word]).name for n in near)
    into.unknown.append((words, tuple(names)))
