"""What an import says of one file on the screen: at most twelve lines, what matters first."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from costlearn.intake.alike import together
from costlearn.intake.findings import SummaryLine, summary
from costlearn.records import (
    FINDING_KINDS,
    Batch,
    ChangeEntry,
    CostEntry,
    Finding,
    HoursEntry,
    JobEntry,
    PhaseEntry,
    Question,
)
from costlearn.units import say_count, say_money

if TYPE_CHECKING:
    from costlearn.book.changes import Change

MOST_LINES = 12
WIDTH = 80
A_THING = 2
"""Lines that one thing takes at most."""
SHOWN = {"off": 2, "waits": 3, "asked": 2, "aside": 2, "read_as": 2}
NAMED = 6
_READ = {
    JobEntry: "job",
    PhaseEntry: "phase row",
    HoursEntry: "hours line",
    CostEntry: "cost line",
    ChangeEntry: "change order",
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a file gave beside its rows, as a person is told it, like things together.

    Attributes:
        agree: how many sums were checked and agree.
        off: sums that do not agree.
        waits: questions, the most money first.
        asked: what only a person can say and no question takes.
        aside: cells and rows that are not used.
        unused: headings of columns, and sheets, that are not used.
        read_as: words and columns that were read as what they are close to.
    """

    agree: int
    off: tuple[SummaryLine, ...]
    waits: tuple[Question, ...]
    asked: tuple[SummaryLine, ...]
    aside: tuple[SummaryLine, ...]
    unused: tuple[str, ...]
    read_as: tuple[SummaryLine, ...]


def outcome(batch: Batch) -> Outcome:
    """The few things a person must know of a file at once; its summary has all of them."""
    lines = summary(batch)
    kinds = {kind: [line for line in lines if line.kind == kind] for kind in FINDING_KINDS}
    agree = sum(line.count for line in kinds["checked"] if line.example.agrees)
    spoken = {q.found for q in batch.questions} | {q.place for q in batch.questions}
    waits = together(batch.questions)
    whole = [found for found in batch.findings if _of_no_row(found)]
    return Outcome(
        agree,
        tuple(line for line in kinds["checked"] if line.example.agrees is False),
        tuple(one.question for one in waits),
        tuple(n for n in kinds["asked"] if not {n.example.raw, n.example.place} & spoken),
        tuple(line for line in kinds["set aside"] if not _of_no_row(line.example)),
        tuple(dict.fromkeys(f.place.column or f.place.sheet or f.raw for f in whole)),
        (*kinds["proposed"], *(line for line in kinds["understood"] if line.example.slip)),
    )


def _of_no_row(found: Finding) -> bool:
    """Whether a whole column, known by its heading, or a whole sheet was set aside."""
    place = found.place
    heading = place.column and found.raw == place.column
    return found.kind == "set aside" and bool(heading or not place.row)


def told(change: Change, batch: Batch, currency: str, details: str, width: int = WIDTH) -> str:
    """What a file gave: rows read, sums that agree, what waits, words taken for others.

    Args:
        change: what the book did with it.
        batch: all that it gave.
        currency: of the money that waits.
        details: the command that shows all.
        width: letters in a line, 80 at most.
    """
    if change.kind == "unchanged":
        return "\n".join(_lines(change.sentence, width))
    found = outcome(batch)
    lines = _lines(f"{change.file}: {_head(change, batch, found)}.", width)
    last = _lines(f"{{}} more: {details}", width, "  ")
    room = MOST_LINES - len(lines) - len(last)
    left = 0
    for text, count in _things(found, batch.file, currency):
        thing = _lines(text, width, "  ") if text else []
        if not thing or len(thing) > room:
            left, room = left + count, room if not thing else 0
            continue
        lines += thing
        room -= len(thing)
    if left:
        lines += _lines(f"{left:,} more: {details}", width, "  ")
    return "\n".join(lines)


def rows_read(batch: Batch) -> dict[str, int]:
    """How many rows of each sort a file gave, in words."""
    counts = Counter(type(entry) for entry in batch.entries)
    return {word: counts[kind] for kind, word in _READ.items() if counts[kind]}


def _head(change: Change, batch: Batch, found: Outcome) -> str:
    """How much was read, what agrees, and how much does not."""
    read = [say_count(number, word) for word, number in rows_read(batch).items()]
    parts = [f"{', '.join(read)} read" if read else "nothing read"]
    if change.kind == "changed":
        parts[0] += f" ({'; '.join(map(str, change.counts)) or 'no row changed'})"
    parts += [f"{say_count(found.agree, 'sum')} agree{'s' * (found.agree == 1)}"] * bool(
        found.agree
    )
    off = sum(line.count for line in found.off)
    parts += [f"{say_count(off, 'sum')} {'does' if off == 1 else 'do'} not agree"] if off else []
    aside = Counter[str]()
    for line in found.aside:
        aside["cell" if line.example.place.column else "row"] += line.count
    parts += [f"{say_count(n, what)} set aside" for what, n in aside.items()]
    if found.waits:
        rows = sum(q.rows_waiting for q in found.waits)
        verb = "holds" if len(found.waits) == 1 else "hold"
        asked = say_count(len(found.waits), "question")
        parts.append(f"{asked} {verb} up {say_count(rows, 'row')}")
    return ", ".join(parts)


def _things(found: Outcome, file: str, currency: str) -> Iterator[tuple[str, int]]:
    """What is told beside the head, most pressing first, each with how many things it is.

    What comes after the first few of a sort is counted only: its text is empty.
    """
    for name, head in (("off", "Does not agree"), ("waits", "Waits"), ("asked", "Asked")):
        yield from _first(head, getattr(found, name), SHOWN[name], file, currency)
    if found.unused:
        more = f" and {len(found.unused) - NAMED} more" if len(found.unused) > NAMED else ""
        names = ", ".join(f"'{name}'" for name in found.unused[:NAMED])
        yield f"Not used: {names}{more}", len(found.unused)
    for name, head in (("aside", "Set aside"), ("read_as", "Read as")):
        yield from _first(head, getattr(found, name), SHOWN[name], file, currency)


def _first(
    head: str, lines: Sequence[SummaryLine | Question], most: int, file: str, currency: str
) -> Iterator[tuple[str, int]]:
    for number, one in enumerate(lines):
        count = one.count if isinstance(one, SummaryLine) else 1
        said = _question(one, currency) if isinstance(one, Question) else _line(one)
        yield (f"{head}: {said}" if number < most else ""), count


def _line(line: SummaryLine) -> str:
    places = line.first_places
    where = str(replace(places[0], file="")) if places else ""
    more = ", ..." if line.count > 1 else ""
    return f"{line.text} ({where}{more})" if where else line.text


def _question(one: Question, currency: str) -> str:
    return f"{holds(one, currency)}: {one.text}"


def holds(one: Question, currency: str) -> str:
    """What waits for a question's answer: "3 jobs without a cost, $41,000"."""
    said = one.holds or say_count(one.rows_waiting, "row")
    return f"{said}, {say_money(one.money / 100, currency)}" if one.money else said


def _lines(text: str, width: int, indent: str = "") -> list[str]:
    """A text in at most two lines; what does not fit is marked by dots."""
    return textwrap.wrap(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        max_lines=A_THING,
        placeholder=" ...",
        break_on_hyphens=False,
    )
