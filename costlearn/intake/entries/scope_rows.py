"""The words of a scope, in a job list or a row an item, to items; what nobody knows, asked once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from costlearn.errors import LONGEST_FOUND, Place
from costlearn.intake.answers import NONE, scope_choices
from costlearn.intake.entries.line_rows import at
from costlearn.intake.findings import MOST_SAMPLES
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import set_aside
from costlearn.intake.scope import Unknown, read_scope, read_scope_cell
from costlearn.intake.tables import Table
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.numerals import decimal_in
from costlearn.records import Entry, JobEntry
from costlearn.units import say_count
from costlearn.vocabulary import fold

_MOST_ALONE = 5
"""Different unknown wordings from which a column that names few items is prose."""
_SHOWN = 4


@dataclass(slots=True)
class _Unread:
    """A wording nobody knows: the first met, where, in which jobs, and the cells it stands in."""

    first: Unknown
    place: Place
    jobs: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class ScopeWords:
    """All scope of a table in words, read job by job.

    A wording nobody knows is asked about where several jobs have it, or where a job would have no
    scope at all without it. All others stay in the notes, and are counted in one finding.
    """

    table: Table
    setting: Setting
    known: int = 0
    scoped: set[str] = field(default_factory=set)
    unread: dict[str, _Unread] = field(default_factory=dict)

    def read(self, words: str, place: Place, job: str) -> tuple[dict[str, float], str]:
        """The items some words name, and the words that are left for the notes."""
        setting, notes = self.setting, self.setting.notes
        reading = read_scope(words, setting.vocabulary, area_unit=setting.firm.area_unit)
        if reading.problem:
            notes.add("set aside", place, reading.problem, words[:LONGEST_FOUND])
        for written, taken in reading.slips:
            notes.slip(("scope", written), place, written, taken)
        if reading.bare:
            unit = "square metres" if setting.firm.area_unit == "sqm" else "square feet"
            text = f"sizes with no unit in the scope are taken as {unit}"
            notes.once(("bare", place.sheet), "understood", place, text, words)
        self.known += reading.known
        if reading.items:
            self.scoped.add(job)
        for one in reading.unknown:
            unread = self.unread.setdefault(fold(one.word), _Unread(one, place))
            unread.jobs.setdefault(job, words)
        return reading.items, "; ".join(one.written for one in reading.unknown)

    def ask(self) -> None:
        """Ask about the wordings worth it, and say which are left in the notes."""
        many = len(self.unread)
        prose = many > _MOST_ALONE and 2 * self.known < many
        left: list[_Unread] = []
        for one in self.unread.values():
            word, jobs = one.first.word, one.jobs
            needed = len(jobs) > 1 or (not prose and not jobs.keys() <= self.scoped)
            if self.setting.answers.get("scope", word) == NONE:
                text = f"'{word}' is no scope item, as you answered"
                self.setting.notes.add("understood", one.place, text, word)
            elif needed and not one.first.prose:
                self._ask(one)
            else:
                left.append(one)
        if left:
            shown = ", ".join(f"'{one.first.word[:LONGEST_FOUND]}'" for one in left[:_SHOWN])
            more = f" and {len(left) - _SHOWN} more" if len(left) > _SHOWN else ""
            text = f"{say_count(len(left), 'remark')} in the scope, no item, kept in the notes: "
            self.setting.notes.add("understood", left[0].place, f"{text}{shown}{more}")

    def _ask(self, one: _Unread) -> None:
        word, jobs = one.first.word, say_count(len(one.jobs), "job")
        text = f"Which scope item is '{word}', in {jobs}? It is left out so far."
        self.setting.notes.add("asked", one.place, f"scope word '{word}' is not known", word)
        self.setting.ask(
            "scope",
            (word,),
            one.place,
            text,
            scope_choices(one.first.likely, jobs),
            found=one.first.written,
            waiting=len(one.jobs),
            holds=f"scope of {jobs}",
            samples=tuple(one.jobs.values())[:MOST_SAMPLES],
        )


def joined(*notes: str) -> str:
    """Notes of one row, put together."""
    return "; ".join(note for note in notes if note)


def scope_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a row that names a job and an item; an item with no size has the size 1."""
    words = ScopeWords(table, setting)
    entries: list[Entry] = []
    for row in rows:
        job, item = row.text("job"), row.text("item")
        why = row.bad or ("" if key_of(job) else "it names no job")
        if not why and not item:
            why = "it names no item"
        if why:
            set_aside(table, row, why, setting)
            continue
        scope, left = words.read(item, at(table, row, "item"), key_of(job))
        if scope:
            sized = _sized(table, row, scope, setting)
            entries.append(
                JobEntry(job, row.place, scope=sized, notes=joined(row.text("notes"), left))
            )
    words.ask()
    return entries


def _sized(
    table: Table, row: Row, scope: Mapping[str, float], setting: Setting
) -> Mapping[str, float | None]:
    """The item of a row with the size that stands beside it."""
    size, unit = row.text("size"), row.text("unit")
    if len(scope) != 1 or not size:
        return dict(scope)
    key = next(iter(scope))
    known = headings().units.get(fold_heading(unit)) if unit else None
    if unit and known is None:
        text = f"'{unit}' is no unit of size; the row is kept without its size"
        setting.notes.add("set aside", at(table, row, "unit"), text, unit)
        return {key: 1.0}
    item, area_unit = setting.vocabulary.item(key), setting.firm.area_unit
    decimal = decimal_in(size)
    found = read_scope_cell(size, item, unit=known, area_unit=area_unit, decimal=decimal)
    if found.value is None:
        setting.notes.add("set aside", at(table, row, "size"), found.problem, size)
        return {key: 1.0}
    return {key: found.value}
