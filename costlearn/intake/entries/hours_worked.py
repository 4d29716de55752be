"""The hours of a row of a log: stated, in parts, or between times of day; each proves the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import time

from costlearn.intake.entries.hours_times import CLOCKS, PARTS
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.intake.targets import fold_heading
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.intake.values.clocks import Clock, read_clock, read_pause, shifts
from costlearn.intake.values.sizes import read_hours
from costlearn.intake.values.stretches import read_stretch
from costlearn.vocabulary import fold

DURATION, OF_DAY = "hours worked", "times of day"
"""The answers to what a column of bare times is."""
_BARE_TIMES = {"time", "temps", "heure"}
"""Headings that mean how long as well as when."""
_LONGEST_WORKED = 16.0
WITHIN, ON_TOP = "already in them", "on top of them"
"""The answers to whether overtime is part of the hours beside it."""
_NEAR = 0.02
_QUARTER = 0.125 + 1e-6
"""Hours by which a figure in quarters may be off the clock."""
_SHORTEST_LUNCH, _LONGEST_LUNCH = 0.25, 1.0
_WEEK_DAYS = 5


@dataclass(slots=True)
class RowWaits(Exception):
    """A row cannot be used: why, and the field that holds it up. "" where a question says it."""

    why: str = ""
    field: str = ""


@dataclass(slots=True)
class Worked:
    """How the rows of one table give their hours; made once from all of them."""

    table: Table
    setting: Setting
    by_24: bool = False
    lunches: frozenset[float] = frozenset((0.0,))
    """Hours by which stated figures may fall short of the clock: a break nobody wrote down."""
    yes: float | None = None
    """How long a break is that is only marked."""
    within: bool | None = None
    """Whether overtime is part of the hours beside it; None where only a person can say."""
    by_clock: bool = field(default=False, init=False)
    _parted: bool = field(default=False, init=False)
    when: str = ""
    """Why a column of bare times is not read as hours, "" where it is; "?" while a person is asked.
    """

    @classmethod
    def of(cls, table: Table, rows: Sequence[Row], setting: Setting) -> Worked:
        """How these rows give their hours."""
        made = cls(table, setting)
        made._parted = any(table.column(name) is not None for name in PARTS)
        made.by_clock = table.column("start") is not None and table.column("end") is not None
        if made.by_clock:
            made._prove_clock(rows)
        elif _bare_times(table, rows):
            made.when = made._prove_durations(rows)
        if made._parted and table.column("regular") is None:
            made.within = made._prove_overtime(rows)
        return made

    def raw(self, row: Row, name: str) -> Raw:
        """A cell as the file has it."""
        column = self.table.column(name)
        return self.table.grid.rows[row.index][column.indexes[0]] if column else None

    def hours(self, row: Row) -> float | None:
        """The hours of a row; None if it gives none.

        Raises:
            RowWaits: its cells contradict each other, or a question must be answered first.
        """
        stated = self._in_parts(row) if self._parted else row.number("hours")
        if stated is not None and self.when:
            raise RowWaits(self.when.strip("?"), "hours")
        if not self.by_clock:
            return stated
        if stated is None and row.bad:
            raise RowWaits(row.bad, "hours")
        return self._by_clock(row, stated)

    def clocked(self, row: Row) -> bool:
        """Whether times of day tell a row's hours: they are those of each person it names."""
        if self.by_clock:
            return bool(self._spans(row))
        return "hours" in row.values and read_stretch(self.raw(row, "hours")) is not None

    def feet(self, rows: Sequence[Row], column: Column) -> list[float]:
        """What a column holds in the rows that are no records: totals at its foot."""
        taken = {row.index for row in rows}
        cells = self.table.grid.rows
        read = [
            read_hours(cells[i][column.indexes[0]], unit="hours", hours_per_day=8).value
            for i in range(self.table.body, len(cells))
            if i not in taken
        ]
        return [foot for foot in read if foot is not None]

    def _prove_durations(self, rows: Sequence[Row]) -> str:
        """Whether bare times ("7:30") are hours worked: by their sum, their size, or a person."""
        column = self.table.column("hours")
        found = [hours for row in rows if (hours := row.number("hours")) is not None]
        if column is None or any(abs(f - sum(found)) < _NEAR for f in self.feet(rows, column)):
            return ""
        said = self.setting.answers.get("clock", column.heading)
        if said == DURATION:
            return ""
        why = f"column '{column.heading}' gives times of day, not hours worked"
        if said == OF_DAY or any(hours > _LONGEST_WORKED for hours in found):
            return why
        self.setting.ask(
            "clock",
            (column.heading,),
            self.table.place(self.table.body - 1, column.heading),
            f"Are '{column.heading}' hours worked or times of day? Its rows wait.",
            (DURATION, f"{OF_DAY} (left out)"),
            waiting=len(found),
            holds="hours of jobs",
            samples=[cell_text(self.raw(row, "hours")) for row in rows[:3]],
        )
        return "?"

    # -- regular and overtime ---------------------------------------------------------------------

    def _in_parts(self, row: Row) -> float | None:
        parts = [row.number(name) for name in PARTS]
        extra = sum(part or 0.0 for part in parts[1:])
        if self.table.column("regular") is None:
            hours = row.number("hours")
            if not extra or hours is None:
                return hours if hours is not None else (extra or None)
            if self.within is None:
                raise RowWaits
            return hours if self.within else hours + extra
        total = row.number("total")
        if all(part is None for part in parts):
            return total
        made = (parts[0] or 0.0) + extra
        if total is not None and abs(total - made) > _NEAR:
            raise RowWaits(f"its parts make {made:g} hours, the total says {total:g}", "total")
        return made

    def _prove_overtime(self, rows: Sequence[Row]) -> bool | None:
        """Whether overtime is within the hours: the day before it is the same in all rows."""
        column = self.table.column("hours")
        over = [
            (hours, (row.number("overtime") or 0.0) + (row.number("double") or 0.0))
            for row in rows
            if (hours := row.number("hours")) is not None
        ]
        over = [(hours, extra) for hours, extra in over if extra]
        if not over or column is None:
            return False
        if "total" in fold_heading(column.heading).split():
            return True
        day = self.setting.firm.hours_per_day
        whole = {round(hours, 2) for hours, _ in over}
        less = {round(hours - extra, 2) for hours, extra in over}
        usual = {day, day * _WEEK_DAYS}
        if len(less) == 1 and (len(whole) > 1 or less <= usual):
            return True
        if len(whole) == 1 and (len(less) > 1 or whole <= usual):
            return False
        return self._ask_overtime(column, len(over))

    def _ask_overtime(self, column: Column, waiting: int) -> bool | None:
        table = self.table
        extra = table.column("overtime") or table.column("double") or column
        about = (column.heading, extra.heading)
        said = self.setting.answers.get("overtime", *about)
        place = table.place(table.body - 1, extra.heading)
        if said is not None:
            text = (
                f"the hours in '{extra.heading}' are {said} in '{column.heading}', as you answered"
            )
            self.setting.notes.add("understood", place, text)
            return said == WITHIN
        text = (
            f"Are the hours in '{extra.heading}' already in those in '{column.heading}', or on top "
            "of them? Rows with both wait."
        )
        self.setting.ask(
            "overtime", about, place, text, (WITHIN, ON_TOP), waiting=waiting, holds="hours of jobs"
        )
        return None

    # -- times of day -----------------------------------------------------------------------------

    def _by_clock(self, row: Row, stated: float | None) -> float | None:
        spans = self._spans(row)
        if not spans:
            said = [name for name in CLOCKS if cell_text(self.raw(row, name))]
            if stated is not None or not said:
                return stated
            raise RowWaits(self._why_no_span(row), "end" if said == ["start"] else said[0])
        pause = self._pause(row)
        nets = [round(span - pause, 4) for span in spans if span > pause]
        if stated is not None:
            if any(_agree(net - lunch, stated) for net in nets for lunch in self.lunches):
                return stated
            shown = " or ".join(f"{net:g}" for net in nets) or "no"
            raise RowWaits(
                f"{self._shown(row)} make {shown} hours, the cell says {stated:g}", "hours"
            )
        if len(nets) != 1:
            shown = " or ".join(f"{net:g}" for net in nets) or "no"
            raise RowWaits(f"{self._shown(row)} may be {shown} hours", "end")
        return nets[0]

    def _spans(self, row: Row) -> tuple[float, ...]:
        ends: list[Clock] = []
        said = {name: self.raw(row, name) for name in CLOCKS}
        if not cell_text(said["back"]) and not cell_text(said["end"]):
            # In and out once only, in a log with two of each.
            said["out"], said["end"] = None, said["out"]
        for name in CLOCKS:
            clock = read_clock(said[name])
            if clock is None and (cell_text(said[name]) or name in ("start", "end")):
                return ()
            ends += [clock] if clock else []
        return shifts(ends, by_24=self.by_24) if len(ends) in (2, 4) else ()

    def _why_no_span(self, row: Row) -> str:
        unread = [
            cell_text(raw)
            for name in CLOCKS
            if cell_text(raw := self.raw(row, name)) and read_clock(raw) is None
        ]
        if unread:
            return f"'{unread[0]}' is not a time of day"
        return f"{self._shown(row)} are not the two ends of a day's work"

    def _shown(self, row: Row) -> str:
        said = [_clock_text(raw) for name in CLOCKS if cell_text(raw := self.raw(row, name))]
        pause = _clock_text(self.raw(row, "pause"))
        return " to ".join(said) + (f" with a break of {pause}" if pause else "")

    def _pause(self, row: Row) -> float:
        column = self.table.column("pause")
        read = read_pause(self.raw(row, "pause"), minutes=_in_minutes(column))
        if read.note == "yes":
            if self.yes is None:
                raise RowWaits
            return self.yes
        if read.value is None:
            raise RowWaits(read.problem, "pause")
        return read.value

    def _prove_clock(self, rows: Sequence[Row]) -> None:
        """Settle the style of the clock, the break nobody wrote down, and the one only marked."""
        raws = [raw for row in rows for name in CLOCKS if cell_text(raw := self.raw(row, name))]
        self.by_24 = any(_by_24(raw) for raw in raws)
        column = self.table.column("pause")
        marked = [row for row in rows if self._only_marked(row, column)]
        short: list[float] = []
        for row in rows:
            spans = self._spans(row)
            stated = row.number("hours") if not self._parted else None
            if len(spans) == 1 and stated is not None and (column is None or row in marked):
                short.append(round(spans[0] - stated, 2))
        gaps = {gap for gap in short if _SHORTEST_LUNCH <= gap <= _LONGEST_LUNCH}
        same = len(gaps) == 1
        if column is None and same and short.count(min(gaps)) > 1:
            self.lunches = frozenset((0.0, *gaps))
            text = f"hours fall short of the clock by {60 * min(gaps):g} minutes: a break taken off"
            self.setting.notes.add("understood", self.table.place(self.table.body - 1), text)
        if marked:
            self.yes = min(gaps) if same else self._ask_break(marked)

    def _only_marked(self, row: Row, column: Column | None) -> bool:
        return bool(column) and read_pause(self.raw(row, "pause")).note == "yes"

    def _ask_break(self, marked: Sequence[Row]) -> float | None:
        column = self.table.column("pause")
        heading = column.heading if column else "Break"
        said = self.setting.answers.get("break", heading)
        place = self.table.place(self.table.body - 1, heading)
        if said is not None:
            text = f"a break marked in '{heading}' is {said} minutes, as you answered"
            self.setting.notes.add("understood", place, text)
            return float(said) / 60
        self.setting.ask(
            "break",
            (heading,),
            place,
            f"How long is the break that is marked in column '{heading}'? Its rows wait.",
            ("30 minutes", "45 minutes", "60 minutes", "0 minutes (it is paid)"),
            found=cell_text(self.raw(marked[0], "pause")),
            waiting=len(marked),
            holds="hours of jobs",
        )
        return None


def _bare_times(table: Table, rows: Sequence[Row]) -> bool:
    """Whether a column whose heading may mean when as well as how long holds only "7:30"."""
    column = table.column("hours")
    if column is None or fold(column.heading) not in _BARE_TIMES:
        return False
    said = [
        raw for row in rows if not is_missing(raw := table.grid.rows[row.index][column.indexes[0]])
    ]
    bare = [raw for raw in said if isinstance(raw, time) or (isinstance(raw, str) and ":" in raw)]
    return bool(said) and len(bare) == len(said)


def _in_minutes(column: Column | None) -> bool | None:
    """Whether a heading says that bare figures of breaks are minutes or hours; None for neither."""
    words = set(fold(column.heading).split()) if column else set()
    if words & {"min", "mins", "minute", "minutes"}:
        return True
    return False if words & {"h", "hr", "hrs", "hour", "hours", "heures"} else None


def _by_24(raw: Raw) -> bool:
    """Whether a cell shows that times are of a clock of 24 hours."""
    clock = read_clock(raw)
    if clock is None or (isinstance(raw, str) and any(c in raw.lower() for c in "apmn")):
        return False
    return clock.hour >= 13 or (isinstance(raw, str) and raw.strip().startswith("0"))


def _clock_text(raw: Raw) -> str:
    """A time as people write it: without the seconds a workbook adds."""
    text = cell_text(raw)
    return text[:-3] if text.count(":") == 2 and text.endswith(":00") else text


def _agree(made: float, stated: float) -> bool:
    quarters = abs(stated * 4 - round(stated * 4)) < 1e-6
    return abs(made - stated) <= (_QUARTER if quarters else _NEAR)
