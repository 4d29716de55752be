"""How far long work is, as a bar on a terminal; nothing where nobody looks on."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from costlearn.watch import Watch, unwatched

READING = 0.7
"""The share of an import's time that reading takes; the rest goes into the book (measured)."""
ANSWERING = 0.75
"""The share of the time of a set of pages that its answers take (measured)."""

T = TypeVar("T")


@contextmanager
def bar(what: str) -> Iterator[Watch]:
    """A bar for one piece of work, on the error stream, gone when the work is done."""
    from costlearn.cli.guarded import GuardedConsole

    # The stream of messages shows what steers a terminal as its code: a bar goes past it, and the
    # console guards the letters of names instead.
    screen = GuardedConsole(file=getattr(sys.stderr, "before", sys.stderr))
    if not screen.is_terminal:
        yield unwatched
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=24),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=screen, transient=True) as shown_bar:
        task = shown_bar.add_task(what, total=1.0)

        def _tell(doing: str, share: float) -> None:
            shown_bar.update(task, completed=share, description=f"{what}, {doing}")

        yield _tell


@contextmanager
def shown(name: str, number: int, total: int) -> Iterator[Watch]:
    """A bar for one file of several.

    Gives what is to be told of the reading and, as "keeping", of the book.
    """
    of = f"{number} of {total}: " if total > 1 else ""
    with bar(f"{of}{name}") as told:
        yield told if told is unwatched else scaled(told, 0.0, READING)


def scaled(told: Watch, start: float, end: float) -> Watch:
    """Who hears of a part of the work as of the whole: the part runs from ``start`` to ``end``."""
    return lambda doing, share: told(doing, start + (end - start) * share)


def counted(items: Iterable[T], total: int, doing: str, watch: Watch) -> Iterator[T]:
    """Hand on items as they are made, and tell how many of ``total`` there are."""
    watch(doing, 0.0)
    for number, item in enumerate(items, 1):
        yield item
        watch(doing, number / total)
