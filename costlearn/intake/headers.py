"""Which column is which: one heading to a field, its unit, and how sure that is."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from costlearn.intake.answers import NONE, Answers
from costlearn.intake.looks import Looks, Rows
from costlearn.intake.spelling import recognise
from costlearn.intake.targets import (
    BOTH_HOURS,
    BOUGHT,
    fold_heading,
    headings,
    measure_reads_as,
    reads_as,
)
from costlearn.intake.taxed_headings import receipt_field, without_tax_words
from costlearn.records import COST_KINDS
from costlearn.vocabulary import UNASSIGNED, Vocabulary, fold

_LONGEST = 70
_BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]")
_OR = re.compile(r"\s*/\s*|\s+(?:or|ou)\s+", re.IGNORECASE)
_AND = re.compile(r"\s*[+&/,]\s*|\s+(?:and|et)\s+", re.IGNORECASE)
_COST_AND_DAYS = {"actual.cost", "actual.days"}
_TAXED = frozenset(("tax", "taxes", "hst", "gst", "pst", "qst", "vat", "tps", "tvq", "ttc", "ht"))
_FILLERS = frozenset(("approx", "approximate", "approximately", "roughly", "altogether", "environ"))
"""Words that say how sure a heading's figures are, and not what they are."""
_WE = frozenset(("we", "i"))
"""Stands before a word of a side: "hours we figured"."""
_JOINTS = frozenset(("+", "&", "and", "et"))
_BOUGHT_KINDS = frozenset(kind for kind in COST_KINDS if kind != "labour")
_TIME_UNITS = {"hours": "person_hours", "days": "days", "weeks": "days"}


@dataclass(frozen=True, slots=True)
class Match:
    """What a heading was taken for.

    ``how`` is ``exact``, ``close`` (a slip of the pen, taken and told), ``ask`` (only a person can
    say; a field may still be set when the figures are kept without a phase) or ``none``. ``near``
    are the known headings it looks like.
    """

    field: str = ""
    unit: str | None = None
    how: str = "none"
    near: tuple[str, ...] = ()


DENIED = "denied"
"""How a heading was matched whose cells are something else."""
NO_MATCH = Match()
LEFT_ALONE = Match(near=(NONE,))
"""A person said that the column holds nothing of use."""


@dataclass(frozen=True, slots=True)
class _Parts:
    """A heading taken apart: what is left when side and unit words are off."""

    core: str
    side: str
    unit: str | None


def asked_as(heading: str, kind: str) -> tuple[str, str]:
    """What the question about a heading is about: one word means different things by kind of table.

    >>> asked_as("What ", "receipts")
    ('receipts', 'what')
    """
    return kind, fold(heading) or heading.strip()


class HeadingReader:
    """Matches headings to fields with one vocabulary, remembering what it saw."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        told: Answers | None = None,
        people: Collection[str] = (),
        jobs: Collection[str] = (),
    ) -> None:
        """Read headings by a vocabulary; ``told`` says which known heading an unknown one means.

        ``people`` are the folded names of the firm's people: they may head columns of hours;
        ``jobs`` are the names of jobs on file.

        An answer of before questions named the kind of table names the heading alone; it holds in
        every kind that does not know the heading by itself.
        """
        self._vocabulary = vocabulary
        self.people = people
        self.jobs = jobs
        self._told = told or Answers()
        self._seen: dict[tuple[str, str], Match] = {}
        self._looks = Looks(())

    def looks(self, rows: Rows) -> Looks:
        """What the columns of a sheet look like, found once for all kinds of table."""
        if self._looks.rows is not rows:
            self._looks = Looks(rows)
        return self._looks

    @property
    def vocabulary(self) -> Vocabulary:
        """The words the headings are read by."""
        return self._vocabulary

    def match(self, text: str, kind: str) -> Match:
        """What a heading means in a kind of table."""
        key = (text, kind)
        if key not in self._seen:
            self._seen[key] = self._match(text, kind)
        return self._seen[key]

    def ways(self, match: Match, text: str, kind: str) -> tuple[Match, ...]:
        """All a heading may mean: the cells below it choose, and any cell may be a text."""
        base, _ = _bracket_unit(text)
        fields = headings().others[kind].get(fold_heading(base), (match.field,))
        ways = [replace(match, field=field) for field in fields]
        return tuple(sorted(ways, key=lambda way: reads_as(kind, way.field) == "text"))

    def joined(self, group: str, text: str, kind: str) -> tuple[str, Match]:
        """A heading under a group heading ("Planned" over "Cost"), or on its own, and its meaning.

        The group counts only where it makes sense of the heading: a title above a table does not.
        """
        if group and text:
            both = self.match(f"{group} {text}", kind)
            alone = self.match(text, kind)
            clear = both.how == "exact" or (both.how == "ask" and both.field)
            if clear and (both.field != alone.field or alone.how != "exact"):
                return f"{group} {text}", both
        return text or group, self.match(text or group, kind)

    def known(self, kind: str) -> Iterable[str]:
        """The spellings of a kind's fields, for hints."""
        return headings().fields[kind]

    def asked_word(self, heading: str) -> str:
        """The word in a heading that may mean several phases ("rough" in "Rough hrs"), or ""."""
        folded = f" {fold(heading)} "
        words = [w for w in self._vocabulary.ask if f" {w} " in folded]
        return max(words, key=len, default="")

    def _match(self, text: str, kind: str) -> Match:
        if not text or len(text) > _LONGEST:
            return NO_MATCH
        said = self._told.get("column", *asked_as(text, kind))
        found = self._known(text, kind)
        if not said and found.how != "exact":
            said = self._told.get("column", text)
        if said:
            return LEFT_ALONE if said == NONE else self._known(said, kind)
        return found

    def _known(self, text: str, kind: str) -> Match:
        base, unit = _bracket_unit(text)
        table = headings().fields[kind]
        whole = fold_heading(base)
        if whole in table:
            return Match(table[whole], unit or headings().units.get(whole), "exact")
        taxed = self._taxed(whole, unit, kind)
        if taxed:
            return taxed
        named = {table.get(fold_heading(word), "") for word in _OR.split(base)}
        if len(named) == 1 and "" not in named:
            # "Job / client": two words for one field.
            return Match(named.pop(), unit, "exact")
        parts = _take_apart(whole, unit)
        field = self._resolve(parts, kind)
        if field:
            return Match(field, parts.unit, "exact")
        found = self._cost_and_days(base, kind) or self._beside_remark(text, unit, kind)
        return found or self._phase_to_ask(parts, kind) or self._close(parts, kind)

    def _taxed(self, whole: str, unit: str | None, kind: str) -> Match | None:
        """A heading that says whether tax is in its amounts, with that in the place of a unit."""
        if kind == "receipts":
            field = receipt_field(whole, headings().fields[kind])
            return Match(field, unit if unit == "money" else None, "exact") if field else None
        rest, said = without_tax_words(whole)
        field = self._resolve(_take_apart(rest, None), kind) if said else ""
        return Match(field, said, "exact") if reads_as(kind, field) == "money" else None

    def _beside_remark(self, text: str, unit: str | None, kind: str) -> Match | None:
        """A known heading with a remark in brackets, "Money out (our cost)"; none on tax."""
        remark = " ".join(_BRACKETS.findall(text))
        said = [part for part in remark.split(",") if _TAXED & set(fold(part).split())]
        if len(remark.split()) < 2:
            return None
        if said:
            # "price (no HST, extras in)": what is said of tax counts, the rest is a remark.
            without = f"{_BRACKETS.sub(' ', text)} {' '.join(said)}"
            found = self._known(without, kind) if remark not in said else NO_MATCH
            return found if found.how == "exact" else None
        for part in _without_brackets(text):
            found = self._known(part, kind)
            if found.how == "exact":
                return replace(found, unit=found.unit or unit)
        return None

    def _cost_and_days(self, base: str, kind: str) -> Match | None:
        """A heading of cost and days in one cell ("cost + time"): days stand behind the cost."""
        words = _AND.split(base)
        if kind != "jobs" or len(words) != 2:
            return None
        fields = {self._resolve(_take_apart(fold_heading(word), None), kind) for word in words}
        return Match("actual.cost", None, "exact") if fields == _COST_AND_DAYS else None

    def _resolve(self, parts: _Parts, kind: str) -> str:
        """The field of a heading taken apart, or an empty text."""
        table = headings().fields[kind]
        if parts.core in table and _allowed(table[parts.core], parts, kind):
            return table[parts.core]
        if kind not in ("jobs", "phases"):
            return ""
        measure = self._measure(parts)
        if measure:
            return f"{parts.side or 'actual'}.{measure}"
        item = self._vocabulary.item_words.get(parts.core)
        if kind == "jobs" and item and parts.unit not in ("hours", "days", "money"):
            return f"scope.{item}"
        return self._phase_column(parts)

    def _measure(self, parts: _Parts) -> str:
        if not parts.core:
            if not parts.unit and not parts.side:
                return ""
            return _with_unit("cost", parts.unit)
        known = headings().measures
        if known.get(f"{parts.unit} {parts.core}") == BOTH_HOURS:
            return BOTH_HOURS
        measure = known.get(f"{parts.core} {parts.unit}") or known.get(parts.core)
        measure = measure or _bought(parts.core)
        return _with_unit(measure, parts.unit) if measure else ""

    def _phase_column(self, parts: _Parts) -> str:
        """The field of a column that is one phase's figure ("Tile hrs", "Demo labour planned")."""
        for word, measure in _splits(parts):
            key = self._vocabulary.phase_words.get(word)
            if key and measure:
                return f"phase.{key}.{parts.side or 'actual'}.{measure}"
        return ""

    def _phase_to_ask(self, parts: _Parts, kind: str) -> Match | None:
        """A phase column that only a person can place: two phases, or no unit."""
        if kind not in ("jobs", "phases"):
            return None
        for word, measure in _splits(parts):
            if word in self._vocabulary.ask and measure:
                field = f"phase.{UNASSIGNED}.{parts.side or 'actual'}.{measure}"
                return Match(field, parts.unit, "ask", self._vocabulary.ask[word])
        if parts.core in self._vocabulary.phase_words:
            near = (f"{parts.core} hrs", f"{parts.core} $", f"{parts.core} days")
            return Match("", parts.unit, "ask", near)
        return None

    def _close(self, parts: _Parts, kind: str) -> Match:
        if not any(c.isalpha() for c in parts.core):
            return NO_MATCH
        pool = dict(headings().fields[kind])
        if kind in ("jobs", "phases"):
            pool = {**headings().measures, **pool}
        near = recognise(parts.core, pool)
        if near.word:
            field = self._resolve(_Parts(near.word, parts.side, parts.unit), kind)
            how = "close" if field else "ask"
            return Match(field, parts.unit, how, (near.word,))
        # "Price incl. tax" and "client phone" begin with what they may be.
        begun = (word for word in pool if parts.core.startswith(f"{word} "))
        likely = near.likely or tuple(sorted(begun, key=len, reverse=True)[:1])
        return Match("", parts.unit, "ask", likely) if likely else NO_MATCH


def _allowed(field: str, parts: _Parts, kind: str) -> bool:
    """Whether a heading with a side word or unit may still mean a plain field.

    "Planned start" is not the start, and "Hours planned" is no line of an hours log.
    """
    if parts.side == "plan" and field not in {"price", "area"}:
        return False
    if parts.side and kind in {"hours", "receipts", "changes"}:
        return False
    if field == "crew":
        return not parts.side
    if parts.unit in ("each", "percent") and reads_as(kind, field) == "money":
        return False
    return not (parts.unit in _TIME_UNITS and field not in {"hours", "days"})


def _bought(core: str) -> str:
    """The measure of a heading of several kinds of bought cost, "materials + subs"; else ""."""
    kinds = {headings().measures.get(word) for word in core.split() if word not in _JOINTS}
    return BOUGHT if len(kinds) > 1 and kinds <= _BOUGHT_KINDS else ""


def _with_unit(measure: str, unit: str | None) -> str:
    """A measure as its unit makes it: "labour" in hours is person-hours; "" if they do not go."""
    reads = measure_reads_as(f"actual.{measure}")
    if unit in _TIME_UNITS:
        if measure == "labour":
            return "person_hours" if unit == "hours" else "person_days"
        if measure == "cost":
            return _TIME_UNITS[unit]
        if measure == "person_days" and unit == "hours":
            return "person_hours"
        return measure if reads == "time" else ""
    if unit in ("money", "thousands"):
        return measure if reads == "money" else ""
    return measure if unit is None or (unit == "each" and measure == "crew") else ""


def _splits(parts: _Parts) -> list[tuple[str, str]]:
    """Ways to read what is left of a heading as a phase word and a measure."""
    ways: list[tuple[str, str]] = []
    if parts.unit in (*_TIME_UNITS, "money", "thousands"):
        ways.append((parts.core, _with_unit("cost", parts.unit)))
    words = parts.core.split()
    for cut in range(1, len(words)):
        before, after = " ".join(words[:cut]), " ".join(words[cut:])
        for word, rest in ((before, after), (after, before)):
            measure = headings().measures.get(rest)
            if measure:
                ways.append((word, _with_unit(measure, parts.unit)))
    return ways


def _bracket_unit(text: str) -> tuple[str, str | None]:
    """A heading without a unit in brackets, and that unit; other brackets only lose their marks."""
    unit: str | None = None

    def strip(found: re.Match[str]) -> str:
        nonlocal unit
        known = headings().units.get(fold_heading(found.group(1)))
        if known and unit is None:
            unit = known
            return " "
        return f" {found.group(1)} "

    base = _BRACKETS.sub(strip, text)
    return base, unit


def _without_brackets(text: str) -> list[str]:
    """What stands before a heading's brackets, and what stands in them."""
    before = _BRACKETS.sub(" ", text).strip()
    inside = [found.strip() for found in _BRACKETS.findall(text)]
    return [part for part in (before, *inside) if part and part != text]


def _take_apart(folded: str, unit: str | None) -> _Parts:
    words = _without_fillers(folded.split())
    sides = headings().sides
    side = ""
    rest: list[str] = []
    whole = " ".join(words) in headings().measures
    for word, after in pairwise([*words, ""]):
        if word in _WE and after in sides and not whole:
            continue
        if word in sides and not side and not whole:
            side = sides[word]
        else:
            rest.append(word)
    if unit is None:
        rest, unit = _end_unit(rest)
    return _Parts(" ".join(rest), side, unit)


def _without_fillers(words: list[str]) -> list[str]:
    """The words of a heading that say what its figures are: "cost all in" is the cost."""
    kept = [word for word in words if word not in _FILLERS]
    if len(kept) > 2 and kept[-2:] == ["all", "in"]:
        kept = kept[:-2]
    return kept or words


def _end_unit(words: list[str]) -> tuple[list[str], str | None]:
    """Words without a unit at their end or start, and that unit."""
    units = headings().units
    measures = headings().measures
    if " ".join(words) in measures:
        return words, None
    for count in (2, 1):
        if len(words) >= count:
            for taken, left in ((words[-count:], words[:-count]), (words[:count], words[count:])):
                unit = units.get(" ".join(taken))
                if unit:
                    return left, unit
    return words, None
