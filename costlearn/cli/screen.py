"""Answers and findings on a terminal: sentence first, then tables, grounds, cautions."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table as Grid
from rich.text import Text

from costlearn.cli.guarded import GuardedConsole
from costlearn.cli.laying import as_list, column_widths, with_bars, wrapped
from costlearn.errors import visible
from costlearn.units import say_count

if TYPE_CHECKING:
    from costlearn.intake.findings import SummaryLine
    from costlearn.questions.answer import Answer, Table

WIDEST = 110
SHOWN_PLACES = 3
POINT = "  - "
"""What a point of a list begins with."""


def console() -> Console:
    """The terminal, no wider than reads well; colour only where the terminal has it."""
    screen = GuardedConsole(highlight=False, soft_wrap=False)
    screen.width = min(screen.width, WIDEST)
    return screen


def width() -> int:
    """How many letters a line of the terminal has, as far as they read well."""
    return console().width


def plain(text: str) -> None:
    """Lines that are laid out already."""
    console().print(Text(text))


def say(text: str, hang: int = 0) -> None:
    """One plain paragraph, wrapped, its further lines ``hang`` letters in."""
    screen = console()
    lines = wrapped(text, screen.width - hang).split("\n")
    screen.print(Text("\n".join((" " * hang if n else "") + x for n, x in enumerate(lines))))


def show_answer(answer: Answer) -> None:
    """An answer as text: the sentence, the tables, what it rests on, cautions last."""
    screen = console()
    _print(screen, answer.sentence, style="bold")
    for line in getattr(answer, "outside", ()):
        if line not in answer.sentence:
            _print(screen, "! " + line)
    if asks := getattr(answer, "asks", ()):
        _print(screen, "To answer for a whole year, say " + "; ".join(asks) + ".")
    screen.print()
    for table in answer.tables():
        show_table(table, screen)
    if answer.known:
        _print(screen, f"Rests on {grounds_line(answer)}.")
    else:
        _print(screen, f"On file: {say_count(answer.grounds.jobs, 'finished job')}.")
    for note in answer.grounds.notes:
        say(f"{POINT}{note}.", len(POINT))
    if answer.cautions:
        screen.print(Text("Cautions", style="bold"))
        for caution in answer.cautions:
            say(POINT + caution, len(POINT))


def grounds_line(answer: Answer) -> str:
    """Jobs, dates and prices of an answer, as one clause."""
    grounds = answer.grounds
    parts = [say_count(grounds.jobs, "finished job"), grounds.span]
    if grounds.prices:
        parts.append("prices " + grounds.prices)
    return "; ".join(parts)


def show_table(table: Table, screen: Console | None = None) -> None:
    """A table of figures, as it is to be read; row by row where the terminal is too narrow."""
    to = screen or console()
    if table.caption:
        _print(to, table.caption, style="bold")
    if not table.rows:
        _print(to, table.note)
        return
    drawn = with_bars(table, to.width) if _draws(to) else table
    given = column_widths(drawn, to.width)
    if given is None:
        to.print(Text(as_list(table, to.width)))
    else:
        to.print(_grid(drawn, given))
    if table.note:
        _print(to, table.note)
    if table.note or given is None:
        to.print()


def _grid(table: Table, widths: Sequence[int]) -> Grid:
    """A table with its columns as wide as said; numbers stand under one another."""
    grid = Grid(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    for number, (head, width) in enumerate(zip(table.heads, widths, strict=True)):
        cells = [row[number] for row in table.rows]
        numbers = all(cell.replace(",", "").isdigit() for cell in cells)
        grid.add_column(
            Text(wrapped(head, width)),
            width=width,
            overflow="fold",
            justify="right" if numbers else "left",
        )
    for row in table.rows:
        cells = [wrapped(c, w) if len(c) > w else c for c, w in zip(row, widths, strict=True)]
        grid.add_row(*map(Text, cells))
    return grid


def _draws(screen: Console) -> bool:
    """True where a person looks on and the terminal has the letters of a bar."""
    return screen.is_terminal and "utf" in screen.encoding.casefold()


def _print(screen: Console, text: str, *, style: str = "") -> None:
    """A paragraph that never parts a figure from its percent sign."""
    screen.print(Text(wrapped(text, screen.width), style=style))


def show_summary(file: str, lines: Sequence[SummaryLine]) -> None:
    """What was understood, set aside and asked about one file, like things as one line."""
    from costlearn.questions.answer import Table as Figures

    rows = []
    for line in lines:
        places = "; ".join(_short(str(p), file) for p in line.first_places[:SHOWN_PLACES])
        more = ", ..." if line.count > len(line.first_places[:SHOWN_PLACES]) else ""
        rows.append((line.kind, f"{line.count:,}", _what(line), places + more))
    show_table(Figures("", ("", "rows", "what", "where"), tuple(rows)))


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
    text = json.dumps(data, indent=2, ensure_ascii=narrow, allow_nan=False)
    if visible(text, lines=True) != text:
        text = json.dumps(data, indent=2, allow_nan=False)
    print(text)


def made(path: Path, *, as_json: bool = False, hint: str = "") -> None:
    """Say where something was written, and what to do with it."""
    if as_json:
        print_json({"written": [str(path)]})
        return
    say(f"Written: {path}")
    if hint:
        say(hint)
