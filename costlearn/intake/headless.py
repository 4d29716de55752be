"""Files without a row of headings: offered for reading by position, with their first rows shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from costlearn.errors import Place
from costlearn.intake.answers import LEAVE_OUT, Answers, key_of
from costlearn.intake.files.sheets import Grid
from costlearn.intake.findings import Notes
from costlearn.intake.looks import Profile, look_of, profile
from costlearn.intake.tables import cell_text
from costlearn.intake.values.cells import Raw
from costlearn.records import Question
from costlearn.units import say_count

TOPIC = "headings"
_SHOWN = 3
_MOST_COLUMNS = 12
_TELLING = frozenset(("date", "clock", "time", "figure", "money", "size", "share"))
"""Looks of cells that are no headings."""
_LARGE = 300.0
"""A bare figure from here on is money rather than hours or days (judgement, no source)."""
_MOST_HOURS = 24.0


def with_headings(grid: Grid, answers: Answers, notes: Notes) -> Grid | None:
    """A sheet without headings under those a person gave; None while nobody did, and it is asked.

    A sheet that may have headings nobody knows, or no plain rows, is not asked about.
    """
    if not _plain_rows(grid):
        return None
    about = (grid.file, grid.sheet)
    told = answers.get(TOPIC, *about)
    place = Place(grid.file, grid.sheet, grid.first_row)
    if told == LEAVE_OUT:
        notes.add("understood", place, "this sheet without headings is left out, as you answered")
        return grid
    if told:
        notes.add("understood", place, f"its columns are {told}, as you answered")
        heads = [head.strip() for head in told.split(",")]
        width = len(grid.rows[0])
        row: tuple[Raw, ...] = tuple((*heads, *[None] * width)[:width])
        return replace(grid, rows=(row, *grid.rows), first_row=grid.first_row - 1)
    samples = tuple(_line(row) for row in grid.rows[:_SHOWN])
    guess = ", ".join(_guess(grid))
    text = "No row reads like headings. What are the columns, from left to right ('-' for none)?"
    held = say_count(len(grid.rows), "row")
    choices = (guess, "other headings, parted by commas", f"{LEAVE_OUT} (no records of jobs)")
    key = key_of(TOPIC, *about)
    asked = Question(
        key, TOPIC, place, samples[0], text, choices, len(grid.rows), holds=held, samples=samples
    )
    notes.ask(asked)
    notes.add(
        "asked", place, f"{held} without headings wait for what their columns are", samples[0]
    )
    return grid


def _line(row: Sequence[Raw]) -> str:
    return " | ".join(cell_text(raw) for raw in row)


def _plain_rows(grid: Grid) -> bool:
    """Whether the first row looks like the others, and holds words and a figure, date or amount."""
    if len(grid.rows) < 2 or not 2 <= len(grid.rows[0]) <= _MOST_COLUMNS:
        return False
    looks = [look_of(raw) for raw in grid.rows[0]]
    told = [at for at, look in enumerate(looks) if look in _TELLING]
    words = [at for at, look in enumerate(looks) if look in ("words", "mixed")]
    below = [profile(grid.rows[1:], at) for at in range(len(looks))]
    return (
        bool(words)
        and bool(told)
        and all(below[at].share(_TELLING) >= 0.5 for at in told)
        and all(below[at].share(("words", "mixed", "flag")) >= 0.5 for at in words)
    )


def _guess(grid: Grid) -> list[str]:
    """Headings that the cells allow, each at most once; "-" where nothing is likely."""
    found: list[str] = []
    profiles = [profile(grid.rows, at) for at in range(len(grid.rows[0]))]
    daily = any(p.share(("date",)) >= 0.5 for p in profiles) and any(_hours(p) for p in profiles)
    for one in profiles:
        likely = _likely(one, daily=daily)
        found.append(next((word for word in likely if word not in found), "-"))
    return found


def _hours(one: Profile) -> bool:
    return bool(one.figures) and max(one.figures) <= _MOST_HOURS and not one.running


def _likely(one: Profile, *, daily: bool) -> tuple[str, ...]:
    large = bool(one.figures) and max(one.figures) >= _LARGE
    ways: tuple[tuple[bool, tuple[str, ...]], ...] = (
        (one.share(("date",)) >= 0.5, ("date",) if daily else ("started", "finished")),
        (
            one.share(("words", "mixed")) >= 0.5,
            ("job", "person", "phase", "notes") if daily else ("job", "scope", "notes"),
        ),
        (one.running or one.references, ()),
        (one.share(("money",)) >= 0.5 or large, ("cost", "price")),
        (one.share(("size",)) >= 0.5, ("area",)),
        (one.share(("time", "clock", "figure")) >= 0.5, ("hours",) if daily else ("days",)),
    )
    return next((words for fits, words in ways if fits), ())
