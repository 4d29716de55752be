"""How far an import is, as a bar on a terminal; nothing where nobody looks on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from costlearn.watch import Watch, unwatched

READING = 0.7
"""The share of the time that reading takes; the rest goes into the book (measured)."""


@contextmanager
def shown(name: str, number: int, total: int) -> Iterator[Watch]:
    """A bar for one file of several, on the error stream, gone when the file is done.

    Gives what is to be told of the reading and, as "keeping", of the book.
    """
    from rich.console import Console

    screen = Console(stderr=True)
    if not screen.is_terminal:
        yield unwatched
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    of = f"{number} of {total}: " if total > 1 else ""
    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=24),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=screen, transient=True) as bar:
        task = bar.add_task(f"{of}{name}", total=1.0)

        def _tell(doing: str, share: float) -> None:
            done = READING if doing == "keeping" else READING * share
            bar.update(task, completed=done, description=f"{of}{name}, {doing}")

        yield _tell
