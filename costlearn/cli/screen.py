"""Answers and findings on a terminal: sentence first, then tables, grounds, cautions."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

if TYPE_CHECKING:
    from costlearn.intake.findings import SummaryLine
    from costlearn.questions.answer import Answer, Table

WIDEST = 110
SHOWN_PLACES = 3
SHORT, ROOM, GAP = 12, 12, 2
"""Cells up to ``SHORT`` letters are kept whole if each other column keeps ``ROOM`` letters."""


def console() -> Console:
    """The terminal, no wider than reads well; colour only where the terminal has it."""
    screen = Console(highlight=False, soft_wrap=False)
    screen.width = min(screen.width, WIDEST)
    return screen


def say(text: str) -> None:
    """One plain paragraph, wrapped."""
    console().print(Text(text))


def show_answer(answer: Answer) -> None:
    """An answer as text: the sentence, the tables, what it rests on, cautions last."""
    screen = console()
    screen.print(Text(answer.sentence, style="bold"))
    for line in getattr(answer, "outside", ()):
        if line not in answer.sentence:
            screen.print(Text("! " + line))
    if asks := getattr(answer, "asks", ()):
        screen.print(Text("To answer for a whole year, say " + "; ".join(asks) + "."))
    for table in answer.tables():
        show_table(table, screen)
    screen.print(Text(f"Rests on {grounds_line(answer)}."))
    for note in answer.grounds.notes:
        screen.print(Padding(Text("- " + note + "."), (0, 0, 0, 2)))
    if answer.cautions:
        screen.print(Text("Cautions", style="bold"))
        for caution in answer.cautions:
            screen.print(Padding(Text("- " + caution), (0, 0, 0, 2)))


def grounds_line(answer: Answer) -> str:
    """Jobs, dates and prices of an answer, as one clause."""
    grounds = answer.grounds
    parts = [f"{grounds.jobs} finished job{'' if grounds.jobs == 1 else 's'}", grounds.span]
    if grounds.prices:
        parts.append("prices " + grounds.prices)
    return "; ".join(parts)


def show_table(table: Table, screen: Console | None = None) -> None:
    """A table of figures, as it is to be read."""
    to = screen or console()
    grid = Grid(
        title=Text(table.caption),
        title_justify="left",
        box=SIMPLE_HEAD,
        title_style="bold",
        caption=Text(table.note) if table.note else None,
        caption_justify="left",
        pad_edge=False,
        padding=(0, 1, 0, 0),
    )
    whole = unbroken(table, to.width)
    for number, head in enumerate(table.heads):
        grid.add_column(head, overflow="fold", no_wrap=number in whole)
    for row in table.rows:
        grid.add_row(*(Text(cell) for cell in row))
    to.print(grid)


def unbroken(table: Table, width: int) -> set[int]:
    """The columns of short cells, never to be broken; none if that leaves the rest no room."""
    columns = enumerate(zip(table.heads, *table.rows, strict=True))
    widths = {number: max(map(len, cells)) for number, cells in columns}
    short = {number for number, longest in widths.items() if longest <= SHORT}
    taken = sum(widths[number] for number in short) + GAP * len(widths)
    broken = len(widths) - len(short)
    return short if taken + broken * ROOM <= width else set()


def show_summary(file: str, lines: Sequence[SummaryLine]) -> None:
    """What was understood, set aside and asked about one file, like things as one line."""
    screen = console()
    grid = Grid(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    for head in ("", "rows", "what", "where"):
        grid.add_column(head, overflow="fold", justify="right" if head == "rows" else "left")
    for line in lines:
        places = "; ".join(_short(str(p), file) for p in line.first_places[:SHOWN_PLACES])
        more = ", ..." if line.count > len(line.first_places[:SHOWN_PLACES]) else ""
        grid.add_row(line.kind, f"{line.count:,}", Text(_what(line)), Text(places + more))
    screen.print(grid)


def _what(line: SummaryLine) -> str:
    """What a line says; where a whole row was left out, that it was."""
    whole = line.example.place.row and not line.example.place.column
    if line.kind == "set aside" and whole and "not used" not in line.text:
        return f"row not used: {line.text}"
    return line.text


def _short(place: str, file: str) -> str:
    """A place without the file's name, which stands above the table."""
    return place.removeprefix(file + ", ").removeprefix(file)


def print_json(data: Any) -> None:
    """Data as JSON, keys in order, ready for another program, whatever letters it takes."""
    narrow = "utf" not in (sys.stdout.encoding or "").casefold()
    print(json.dumps(data, indent=2, ensure_ascii=narrow, allow_nan=False))


def made(path: Path) -> None:
    """Say where something was written."""
    say(f"Written: {path}")
