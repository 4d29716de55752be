"""Which columns of an hours log tell when people came and left, or in which parts they worked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import DENIED, NO_MATCH, Match
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.intake.values.clocks import read_clock
from costlearn.intake.values.sizes import read_hours
from costlearn.vocabulary import fold

CLOCKS = ("start", "out", "back", "end")
"""The times of day of a row, in their order: from out to back nobody works."""
PARTS = ("regular", "overtime", "double")
_OWN = frozenset((*CLOCKS, *PARTS, "pause"))
_BETWEEN = {"duration", "duree", "elapsed", "worked"}
"""Headings that mean hours beside two times of day, and elsewhere may mean anything."""
_OF_ALL = {"total", "man", "person", "labour", "labor", "all", "personne"}
WEEKDAYS = {
    word: day
    for day, words in enumerate(
        (
            ("mon", "monday", "lun", "lundi"),
            ("tue", "tues", "tuesday", "mar", "mardi"),
            ("wed", "weds", "wednesday", "mer", "mercredi"),
            ("thu", "thur", "thurs", "thursday", "jeu", "jeudi"),
            ("fri", "friday", "ven", "vendredi"),
            ("sat", "saturday", "sam", "samedi"),
            ("sun", "sunday", "dim", "dimanche"),
        )
    )
    for word in words
}
_MOST_ROWS = 500
LONGEST_DAY, LONGEST_WEEK = 24.0, 168.0

Found = tuple[int, str, Match]


def timed(grid: Grid, body: int, found: Sequence[Found]) -> list[Found]:
    """The columns of an hours log, times of day and parts of hours kept where their cells are such.

    Two times of day need each other; a lone one says nothing of hours. A column of totals beside
    times or parts becomes the hours, or the field ``total`` where hours are there already.
    """
    kept = [(i, text, _own(grid, body, i, match)) for i, text, match in found]
    if sum(match.field == "person" for _, _, match in kept) > 1:
        # A name goes before a number.
        named = [(i, text, m) for i, text, m in kept if not {"id", "no"} & set(fold(text).split())]
        if any(match.field == "person" for _, _, match in named):
            kept = [
                one if one in named or one[2].field != "person" else (*one[:2], NO_MATCH)
                for one in kept
            ]
    kept = _twice_in_and_out(kept)
    fields = {match.field for _, _, match in kept}
    if not {"start", "end"} <= fields:
        kept = _without(kept, {*CLOCKS, "pause"})
    elif "hours" not in fields and not fields & set(PARTS):
        kept = as_field(grid, body, kept, "hours", _BETWEEN | set(headings().totals))
    if "hours" in fields and fields & {"person", "crew"}:
        kept = as_field(grid, body, kept, "total", set(headings().totals))
    hours = [at for at, (_, _, match) in enumerate(kept) if match.field == "hours"]
    if len(hours) > 1:
        # "Hours" and "Man hours": the hours of all are those of each, taken together.
        whole = [at for at in hours if _OF_ALL & set(fold_heading(kept[at][1]).split())]
        if len(whole) < len(hours):
            kept = [_renamed(one, "total") if at in whole else one for at, one in enumerate(kept)]
    return _parts(grid, body, kept)


def _parts(grid: Grid, body: int, found: list[Found]) -> list[Found]:
    fields = {match.field for _, _, match in found}
    if not fields & set(PARTS):
        return found
    if "regular" in fields:
        found = [_renamed(one, "total") if one[2].field == "hours" else one for one in found]
    elif "hours" not in fields:
        return _without(found, set(PARTS))
    if not any(match.field == "total" for _, _, match in found):
        found = as_field(grid, body, found, "total", set(headings().totals))
    if "regular" not in fields and any(match.field == "total" for _, _, match in found):
        found = [_renamed(one, "regular") if one[2].field == "hours" else one for one in found]
    return found


def _own(grid: Grid, body: int, index: int, match: Match) -> Match:
    """What a heading was taken for; fields of this module only by their exact names and cells."""
    table = headings().fields["hours"]
    if match.how == "ask" and not match.field:
        near = tuple(word for word in match.near if table.get(word) not in _OWN)
        return replace(match, near=near) if near else NO_MATCH
    if match.unit == "money" and (match.field in _OWN or match.field in ("hours", "total")):
        return NO_MATCH
    if match.field == "day" or (match.how == DENIED and match.near == ("day",)):
        days = [fold(raw) for raw in said_in(grid, body, index) if isinstance(raw, str)]
        return Match("weekday", None, "exact") if days and set(days) <= WEEKDAYS.keys() else match
    if match.field not in _OWN:
        return match
    if match.how != "exact" or (match.field in CLOCKS and not tells_time(grid, body, index)):
        return NO_MATCH
    return match


def tells_time(grid: Grid, body: int, index: int) -> bool:
    """Whether most of what a column says are times of day."""
    said = said_in(grid, body, index)
    clocks = [raw for raw in said if read_clock(raw) is not None]
    return bool(clocks) and 2 * len(clocks) > len(said)


def said_in(grid: Grid, body: int, index: int) -> list[Raw]:
    """The cells of a column that say anything."""
    return [raw for row in grid.rows[body : body + _MOST_ROWS] if not is_missing(raw := row[index])]


def holds_hours(grid: Grid, body: int, index: int, longest: float = LONGEST_DAY) -> bool:
    """Whether a column holds hours and nothing else, and at least one; a total may be more."""
    hours = [
        read_hours(raw, unit="hours", hours_per_day=8.0).value for raw in said_in(grid, body, index)
    ]
    short = sum(1 for h in hours if h is not None and 0 <= h <= longest)
    return short > 0 and short >= len(hours) - 1 and None not in hours


def _twice_in_and_out(found: list[Found]) -> list[Found]:
    """In, out, in, out: the first out and the second in are the ends of a break."""
    ends = [at for at, (_, _, m) in enumerate(found) if m.field in ("start", "end")]
    if [found[at][2].field for at in ends] != ["start", "end", "start", "end"]:
        return found
    for at, name in zip(ends, CLOCKS, strict=True):
        found[at] = _renamed(found[at], name)
    return found


def as_field(grid: Grid, body: int, found: list[Found], name: str, words: set[str]) -> list[Found]:
    """The first column with one of some headings, and hours below it, as a field."""
    for at, (index, text, match) in enumerate(found):
        other = match.how == "exact" and match.field
        if (
            not other
            and fold_heading(text) in words
            and holds_hours(grid, body, index, LONGEST_WEEK)
        ):
            named = Match(name, "hours", "exact")
            return [(index, text, named) if one == at else f for one, f in enumerate(found)]
    return found


def _without(found: list[Found], fields: set[str]) -> list[Found]:
    return [(i, text, NO_MATCH if m.field in fields else m) for i, text, m in found]


def _renamed(found: Found, name: str) -> Found:
    index, text, match = found
    return index, text, replace(match, field=name)
