"""Who is told how far long work is: a function of what is being done and which share is done."""

from __future__ import annotations

from collections.abc import Callable

Watch = Callable[[str, float], None]
"""Is told what long work is doing and which share of it is done, 0 to 1."""


def unwatched(doing: str, share: float) -> None:
    """Tell nobody how far long work is."""
