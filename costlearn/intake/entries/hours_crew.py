"""Whose hours a row of a log gives: one person's, each one's of several, or of all together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from costlearn.intake.answers import LEAVE_OUT
from costlearn.intake.entries.hours_columns import BY
from costlearn.intake.entries.hours_worked import RowWaits, Worked
from costlearn.intake.entries.people import legend_of, several, spelled
from costlearn.intake.looks import look_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.intake.values.cells import is_missing
from costlearn.intake.values.gangs import Gang, read_gang
from costlearn.records import HoursEntry
from costlearn.units import say_count
from costlearn.vocabulary import fold

EACH, TOGETHER = "each", "together"
"""Whose the hours of a row with several people are."""
PEOPLE = "people"
"""The answer that columns are headed by people."""
_OF_ALL = {"person", "man", "labour", "labor", "personne", "total", "all", "combined"}
_OF_EACH = {"crew", "each", "ea", "per", "site", "equipe", "par", "chacun", "apiece"}
_LISTS = {"crew", "people", "persons", "men", "workers", "guys", "names", "equipe", "us"}
_NEAR = 1e-6


@dataclass(slots=True)
class Crews:
    """What proves, for all rows of one table, whose hours they are."""

    table: Table
    setting: Setting
    worked: Worked
    legend: dict[str, str]
    known: set[str] = field(default_factory=set)
    told: str = ""
    """EACH or TOGETHER where the table, its arithmetic or a person says so."""
    waiting: int = 0
    _named: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, table: Table, rows: Sequence[Row], worked: Worked, setting: Setting) -> Crews:
        """How these rows share their hours."""
        legend = legend_of(table.grid)
        made = cls(table, setting, worked, legend)
        alone = {fold(row.text("person")) for row in rows}
        made.known = {fold(name) for name in (*setting.firm.names, *legend.values())}
        made.known |= {*legend, *(name for name in alone if name and " " not in name)}
        for short, name in legend.items():
            text = f"'{short.upper()}' is {name}, as the sheet says"
            place = table.place(table.header)
            setting.notes.once(("legend", short), "understood", place, text, short)
        made.told = made._settled(rows)
        return made

    def names(self, row: Row) -> tuple[str, ...]:
        """The people a row names, spelled as the sheet's legend has them."""
        text = row.text("person")
        found = self._named.get(text)
        if found is None:
            found = self._named[text] = self._people(text)
        return found

    def _people(self, text: str) -> tuple[str, ...]:
        if not any(c.isalpha() for c in text):
            return (text,) if text else ()
        column = self.table.column("person")
        listed = column is not None and bool(_LISTS & set(fold(column.heading).split()))
        return tuple(spelled(n, self.legend) for n in several(text, self.known, listed=listed))

    def entries(self, row: Row, whole: HoursEntry) -> list[HoursEntry]:
        """An entry a person of a row whose hours are ``whole.hours``.

        Raises:
            RowWaits: nothing proves whose hours they are, or the cell and the names differ.
        """
        names, crew = self.names(row), row.number("crew")
        cell = self.worked.raw(row, "hours")
        gang = None if is_missing(cell) else read_gang(cell)
        if gang and gang.each:
            return self._gang(whole, gang, names, crew)
        if crew is None and not names and not is_missing(said := self.worked.raw(row, "crew")):
            raise RowWaits(f"'{cell_text(said)}' is not a number of people", "crew")
        count = float(len(names)) if len(names) > 1 else crew if crew and not names else 1.0
        if count == 1:
            return [whole]
        how = EACH if self.worked.clocked(row) else self._by_total(row, count) or self.told
        if not how:
            self._ask(row, count)
            raise RowWaits
        if how == LEAVE_OUT:
            raise RowWaits("hours of several people are left out, as you answered", "hours")
        if how == TOGETHER:
            whole = replace(whole, hours=whole.hours / count)
        return _shared(whole, names, count)

    def _gang(
        self, whole: HoursEntry, gang: Gang, names: Sequence[str], crew: float | None
    ) -> list[HoursEntry]:
        count = gang.people or (len(names) or crew)
        if not count:
            raise RowWaits(
                f"{gang.hours:g} hours each, and nothing says of how many people", "hours"
            )
        if names and len(names) != count:
            text = f"its hours are of {count:g} people, it names {len(names)}"
            raise RowWaits(text, "hours")
        return _shared(replace(whole, hours=gang.hours), names, float(count))

    def _by_total(self, row: Row, count: float) -> str:
        """Whose hours they are by the row's own total."""
        stated, hours = row.number("total"), row.number("hours")
        if stated is None or hours is None or self.table.column("regular") is not None:
            return ""
        if abs(stated - hours * count) < _NEAR:
            return EACH
        if abs(stated - hours) < _NEAR:
            return TOGETHER
        text = f"{hours:g} hours of {count:g} people, and the total says {stated:g}"
        raise RowWaits(text, "total")

    def _settled(self, rows: Sequence[Row]) -> str:
        """Whose hours the rows of several people give, by heading, clock, total row or answer."""
        column = self.table.column("hours") or self.table.column("regular")
        if column is None:
            return ""
        words = set(fold(column.heading).split())
        if words & (_OF_EACH - {"site", "crew"}) or (words & _OF_EACH and not words & _OF_ALL):
            return EACH
        if words & _OF_ALL:
            return TOGETHER
        counts = [(row, self._count(row)) for row in rows]
        ways = {self._by_clock(row, count) for row, count in counts if count > 1} - {""}
        if len(ways) == 1:
            return ways.pop()
        if self._foot_says_each(rows, counts, column):
            return EACH
        said = self.setting.answers.get("each", *self._about())
        if said:
            place = self.table.place(self.table.body - 1, column.heading)
            text = f"hours of several people on one line are {said}, as you answered"
            self.setting.notes.once(("each", column.heading), "understood", place, text)
        return said or ""

    def _count(self, row: Row) -> float:
        names = self.names(row)
        return float(len(names)) if names else row.number("crew") or 1.0

    def _by_clock(self, row: Row, count: float) -> str:
        """Whose hours a row states, by the times of day beside them."""
        stated = row.number("hours")
        if stated is None or not self.worked.clocked(row):
            return ""
        try:
            self.worked.hours(row)
        except RowWaits:
            return ""
        return EACH

    def _foot_says_each(
        self, rows: Sequence[Row], counts: Sequence[tuple[Row, float]], column: Column
    ) -> bool:
        """Whether a row of totals sums the hours of each person."""
        more = sum((r.number("hours") or 0.0) * (count - 1) for r, count in counts if count != 1)
        if abs(more) < _NEAR:
            return False
        each = sum(row.number("hours") or 0.0 for row in rows) + more
        return any(abs(foot - each) < _NEAR for foot in self.worked.feet(rows, column))

    def _about(self) -> tuple[str, ...]:
        heads = [self.table.column(name) for name in ("person", "crew", "hours", "regular")]
        return tuple(column.heading for column in heads if column)

    def _ask(self, row: Row, count: float) -> None:
        hours = self.worked.raw(row, "hours")
        who = row.text("person") or f"a crew of {count:g}"
        text = (
            f"'{who}' and {cell_text(hours)} hours: did each work so long, or is it all of them "
            "together? Such rows wait."
        )
        self.waiting += 1
        place = replace(row.place, column=next(iter(self._about()), ""))
        self.setting.ask(
            "each",
            self._about(),
            place,
            text,
            (f"{EACH} (counted once a person)", f"{TOGETHER} (shared among them)", LEAVE_OUT),
            found=who,
            holds="hours of jobs",
            samples=(f"{who} {cell_text(hours)}",),
        )


def _shared(whole: HoursEntry, names: Sequence[str], count: float) -> list[HoursEntry]:
    """An entry a person with the same hours; half a person of a crew of 1.5 has half of them."""
    if names:
        return [replace(whole, person=name) for name in names]
    shares = [min(1.0, count - n) for n in range(int(-(-count // 1)))]
    if count == 1:
        return [whole]
    return [
        replace(whole, person=f"{n} of crew {count:g}", hours=whole.hours * share)
        for n, share in enumerate(shares, start=1)
    ]


# -- people as columns ----------------------------------------------------------------------------


def settle_people(
    table: Table, rows: Sequence[Row], crews: Crews, setting: Setting
) -> tuple[frozenset[str], bool]:
    """The fields of columns headed by nobody known, and whether a person must still say who.

    A heading is a person's by the settings, a legend, a unit beside the hours, or a total that is
    the sum of the columns; else one question is put for the table.
    """
    columns = [c for c in table.columns if c.field.startswith(BY)]
    open_ones = [c for c in columns if not _proven(table, c, crews)]
    if not open_ones or _add_up(rows, columns):
        _say_people(table, columns, setting)
        return frozenset(), False
    sure = [c for c in columns if c not in open_ones]
    if _add_up(rows, sure):
        _say_people(table, sure, setting)
        return frozenset(c.field for c in open_ones), False
    names = [c.field.removeprefix(BY) for c in open_ones]
    about = (", ".join(names),)
    said = setting.answers.get("people", *about)
    place = table.place(table.body - 1, open_ones[0].heading)
    if said is not None:
        listed = " and ".join(f"'{name}'" for name in names)
        text = f"columns {listed} are {said}, as you answered"
        setting.notes.add("understood", place, text)
        return frozenset(c.field for c in open_ones if said != PEOPLE), False
    listed = " and ".join(f"'{name}'" for name in names)
    of = "people, with their hours" if len(names) > 1 else "a person, with hours"
    waiting = [row for row in rows if any(row.number(c.key) for c in open_ones)]
    setting.ask(
        "people",
        about,
        place,
        f"{'Are' if len(names) > 1 else 'Is'} {listed} {of} below? Their rows wait.",
        (PEOPLE, LEAVE_OUT),
        found=names[0],
        waiting=max(len(waiting), 1),
        holds=f"hours in {say_count(len(waiting), 'row')}",
        samples=tuple(
            cell_text(table.grid.rows[r.index][open_ones[0].indexes[0]]) for r in waiting
        ),
    )
    return frozenset(c.field for c in open_ones), True


def _proven(table: Table, column: Column, crews: Crews) -> bool:
    """Whether a heading is known as a person's, or its cells have the unit of hours."""
    if fold(column.field.removeprefix(BY)) in crews.known:
        return True
    if fold(column.heading).split()[-1:] in (["h"], ["hr"], ["hrs"], ["hours"], ["heures"]):
        return True
    said = [
        raw
        for row in table.grid.rows[table.body :]
        if not is_missing(raw := row[column.indexes[0]])
    ]
    looks = Counter(look_of(raw) for raw in said)
    return bool(said) and looks["time"] == len(said)


def _add_up(rows: Sequence[Row], columns: Sequence[Column]) -> bool:
    """Whether the totals of the rows, two at least, are the sums of some columns."""
    stated = [(t, row) for row in rows if (t := row.number("total")) is not None]
    sums = [
        abs(t - sum(row.number(c.key) or 0.0 for c in columns)) < _NEAR for t, row in stated if t
    ]
    shared = [row for _, row in stated if sum(bool(row.number(c.key)) for c in columns) > 1]
    return len(sums) > 1 and bool(shared) and all(sums)


def _say_people(table: Table, columns: Sequence[Column], setting: Setting) -> None:
    for column in columns:
        name = column.field.removeprefix(BY)
        text = f"column '{column.heading}' holds the hours of '{name}'"
        setting.notes.add("understood", table.place(table.body - 1, column.heading), text, name)
