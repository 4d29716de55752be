"""What on file is worth a look: listed on request, counted in one line after an import."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from costlearn.cli import options as opt

if TYPE_CHECKING:
    from costlearn.questions.attention import Look


def look(book: Path, *, as_json: bool) -> None:
    """List what looks like a slip, a copy, a double or an unfinished book."""
    from costlearn.cli import screen
    from costlearn.questions.attention import attention

    with opt.open_book(book) as kept:
        found = attention(kept.history(), kept.entries(), today=date.today())
    if as_json:
        screen.print_json(found.plain())
        return
    screen.say(found.sentence)
    for table in found.tables():
        screen.show_table(table)


def one_line(found: Look) -> str:
    """How many things are worth a look and how to see them; empty if there is none."""
    if not found.found:
        return ""
    return f"{found.sentence.removesuffix('.')}: see costlearn jobs --look."
