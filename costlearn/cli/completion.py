"""What a shell may complete: names of jobs on file, kinds, grades, scope items.

A word that cannot be completed is no mistake, so nothing here ever complains.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import typer

GRADES = ("basic", "middle", "high")
BETWEEN = ";"
"""What stands between two items."""


def jobs(ctx: typer.Context, incomplete: str) -> list[str]:
    """Jobs on file, each as short as it can be said."""
    return _starting(incomplete, _names(ctx, running=False))


def running_jobs(ctx: typer.Context, incomplete: str) -> list[str]:
    """Running jobs on file, each as short as it can be said."""
    return _starting(incomplete, _names(ctx, running=True))


def kinds(incomplete: str) -> list[str]:
    """Kinds of jobs."""
    from costlearn.vocabulary import standard

    return _starting(incomplete, dict.fromkeys(standard().job_words.values()))


def grades(incomplete: str) -> list[str]:
    """Levels of finish."""
    return _starting(incomplete, GRADES)


def items(incomplete: str) -> list[str]:
    """Scope items for the last of several, those before it kept."""
    from costlearn.vocabulary import standard

    before, between, last = incomplete.rpartition(BETWEEN)
    gap = last[: len(last) - len(last.lstrip())]
    found = _starting(last.strip(), sorted(standard().item_words))
    return [f"{before}{between}{gap}{name}" for name in found]


def short_names(names: Iterable[str]) -> list[str]:
    """Each name by its first word where no other begins so: a shell need not quote that.

    >>> short_names(["B25-02 hall bath", "Kitchen Elm St", "Kitchen Oak St"])
    ['B25-02', 'Kitchen Elm St', 'Kitchen Oak St']
    """
    listed = list(names)
    firsts = [name.split()[0] if name.split() else name for name in listed]
    return [
        first if sum(n.casefold().startswith(first.casefold()) for n in listed) == 1 else name
        for first, name in zip(firsts, listed, strict=True)
    ]


def _names(ctx: typer.Context, *, running: bool) -> list[str]:
    """Names from the book that the line names so far, else from the one in this folder."""
    from costlearn.book.store import Book
    from costlearn.errors import CostlearnError

    default = next(str(p.default) for p in ctx.command.params if p.name == "book")
    path = Path(ctx.params.get("book") or default)
    if not path.is_file():
        return []
    try:
        with Book.open(path, create=False) as book:
            history = book.history()
    except (CostlearnError, OSError):
        return []
    return short_names(j.name for j in (history.running if running else history.jobs))


def _starting(incomplete: str, words: Iterable[str]) -> list[str]:
    return [w for w in words if w.casefold().startswith(incomplete.casefold())]
