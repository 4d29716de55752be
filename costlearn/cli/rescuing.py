"""Saving what can still be read of a damaged job book: ``jobs --rescue``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from costlearn.errors import CostlearnError

if TYPE_CHECKING:
    from costlearn.book.rescue import Rescue
    from costlearn.records import Batch


def say_rescue(book: Path, to: Path, *, as_json: bool) -> None:
    """Save what is readable into a new book, and say what was lost.

    Raises:
        InputProblem: there is no book, or something stands at the new place.
        BookProblem: nothing can be read, or the new book cannot be written.
    """
    from dataclasses import asdict

    from costlearn.book.rescue import rescue
    from costlearn.cli import screen

    found = rescue(book, to, _read_again)
    if as_json:
        screen.print_json({"written": str(to), **asdict(found)})
        return
    screen.made(to)
    for sentence in told(found):
        screen.say(sentence)


def told(found: Rescue) -> list[str]:
    """What was saved and what was lost, in sentences."""
    said = ["Saved: " + ", ".join(f"{number:,} {what}" for what, number in found.kept) + "."]
    if found.hurt:
        said.append(f"Could not be read to the end: {', '.join(found.hurt)}.")
    else:
        said.append("No row was found missing.")
    if found.restored:
        said.append(
            f"Whole, read anew from the copies the book keeps: {', '.join(found.restored)}."
        )
    if found.unsure:
        said.append(f"May lack rows, so import them once more: {', '.join(found.unsure)}.")
    said.append("Look the new book through before you lean on it; the damaged one is untouched.")
    return said


def _read_again(path: Path) -> list[str]:
    """Read anew all files a book keeps; gives the names of those that could be."""
    from costlearn.book.store import Book
    from costlearn.cli import sources

    anew: dict[str, Batch] = {}
    with Book.open(path, create=False) as kept:
        firm, answers, names = kept.firm(), sources.answers_of(kept), sources.names_of(kept)
        for name, source in kept.sources():
            if source is None:
                continue
            try:
                anew[name] = sources.read_source(source, firm, answers, names)
            except CostlearnError:
                # Its rows stay as they were saved, and it is named as one to import again.
                continue
        kept.answer([], anew)
    return list(anew)
