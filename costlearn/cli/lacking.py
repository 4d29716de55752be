"""Which finished jobs lack what, and which cell, column or question holds it up."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import TYPE_CHECKING

from costlearn.assembly import finish_unknown
from costlearn.errors import Place
from costlearn.intake.headers import HeadingReader
from costlearn.records import COST_KINDS, Entry, Finding, Job, JobEntry, job_key
from costlearn.units import say_count
from costlearn.vocabulary import standard

if TYPE_CHECKING:
    from costlearn.book.store import Book
    from costlearn.records import History, Question

MOST_LINES = 6
NAMED_ROWS = 4


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that finished jobs should have: its name, who lacks it, what gives it."""

    name: str
    lacks: Callable[[Job], bool]
    fields: frozenset[str]
    topics: frozenset[str] = frozenset()


def _not_known(job: Job) -> bool:
    """Whether nobody said that a job is finished, though somebody worked on it."""
    return finish_unknown(job) or (job.state == "quoted" and not job.actual.empty)


FIGURES = (
    Figure(
        "cost",
        lambda job: job.state == "finished" and job.actual.total is None,
        frozenset({"cost", *COST_KINDS}),
        frozenset({"currency", "tax"}),
    ),
    Figure(
        "days",
        lambda job: (
            job.state == "finished"
            and job.actual.site_days is None
            and job.actual.person_days is None
        ),
        frozenset({"days", "site_days", "person_days", "person_hours"}),
    ),
    Figure(
        "crew size",
        lambda job: job.state == "finished" and job.actual.crew is None,
        frozenset({"crew"}),
        frozenset({"crew"}),
    ),
    Figure(
        "size",
        lambda job: job.state == "finished" and job.area_sqft is None,
        frozenset({"area"}),
        frozenset({"unit"}),
    ),
    Figure("finish", _not_known, frozenset({"finished", "state"}), frozenset({"jobs of a list"})),
)


@dataclass
class Held:
    """Jobs that lack one figure for one reason."""

    figure: str
    place: Place
    question: int | None
    rows: list[int] = field(default_factory=list)
    cell: bool = False

    @property
    def sentence(self) -> str:
        """How many jobs lack what, and where that stands."""
        count = len(self.rows)
        if self.figure == "finish":
            verb = "is" if count == 1 else "are"
            said = f"{say_count(count, 'job')} {verb} not known to be finished"
        else:
            verb = "has" if count == 1 else "have"
            said = f"{say_count(count, 'finished job')} {verb} no {self.figure}"
        where = str(replace(self.place, row=0))
        if self.cell and any(self.rows):
            rows = ", ".join(str(row) for row in sorted(self.rows)[:NAMED_ROWS])
            more = ", ..." if count > NAMED_ROWS else ""
            where += f", row{'' if count == 1 else 's'} {rows}{more}"
        asked = f" (question {self.question})" if self.question else ""
        return f"{said}: {where}{asked}" if where else f"{said}: no list of jobs has them"


def lacking(kept: Book, history: History, asked: Sequence[Question]) -> list[str]:
    """What finished jobs lack and what holds it up, the most jobs first, a line each.

    Args:
        kept: the book.
        history: what it says of all jobs.
        asked: what waits, in the order in which it is numbered.
    """
    places: dict[str, Place] = {}
    for entry in sorted(kept.entries(), key=lambda e: not isinstance(e, JobEntry)):
        places.setdefault(job_key(entry.job or ""), _of_row(entry))
    cells = _cells(kept.findings())
    found: dict[tuple[str, Place, int | None, bool], Held] = {}
    for figure in FIGURES:
        for job in filter(figure.lacks, history.jobs):
            row = places.get(job.key, Place())
            place, number, cell = _held_by(figure, row, asked, cells)
            key = (figure.name, replace(place, row=0), number, cell)
            held = found.setdefault(key, Held(figure.name, place, number, cell=cell))
            held.rows.append(row.row)
    ranked = sorted(found.values(), key=lambda h: (h.question is None, not h.cell, -len(h.rows)))
    lines = [held.sentence for held in ranked]
    more = len(lines) - MOST_LINES
    return [*lines[: MOST_LINES - 1], f"and {more + 1} more such"] if more > 0 else lines


def _of_row(entry: Entry) -> Place:
    return replace(entry.place, column="")


def _cells(findings: Iterable[Finding]) -> Mapping[Place, list[str]]:
    """By row, the columns of the cells that are not used."""
    found: dict[Place, list[str]] = {}
    for one in findings:
        if one.kind in ("set aside", "asked") and one.place.column and one.raw != one.place.column:
            found.setdefault(replace(one.place, column=""), []).append(one.place.column)
    return found


def _held_by(
    figure: Figure, row: Place, asked: Sequence[Question], cells: Mapping[Place, list[str]]
) -> tuple[Place, int | None, bool]:
    """Where a job's figure stands or should stand, the question that asks for it, if a cell."""
    sheet = (row.file, row.sheet)
    for number, one in enumerate(asked, 1):
        here = (one.place.file, one.place.sheet) == sheet
        here &= one.place.row == row.row or one.topic not in ("total", "rows of a job")
        if here and (one.topic in figure.topics or _fields_of(one) & figure.fields):
            return one.place, number, False
    for column in cells.get(row, ()):
        if _fields(column) & figure.fields:
            return replace(row, column=column), None, True
    return row, None, False


def _fields_of(one: Question) -> set[str]:
    """What the answers to a question, or the heading it is about, would give."""
    words = [choice.partition(" (")[0] for choice in one.choices]
    found = _fields(one.place.column) if one.place.column else set()
    return found.union(*map(_fields, words)) if one.topic == "column" else found


@cache
def _reader() -> HeadingReader:
    return HeadingReader(standard())


def _fields(word: str) -> set[str]:
    """What a heading of a list of jobs gives, planned figures left out."""
    side, _, measure = _reader().match(word, "jobs").field.rpartition(".")
    return {measure} if side != "plan" and measure else set()
