"""A terminal on which nothing from a file acts unseen: names of jobs are texts of somebody else."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment

from costlearn.errors import visible


class GuardedConsole(Console):
    r"""A console that shows what would steer the terminal, or turn its text round, as its code.

    >>> GuardedConsole(width=40).print("bath\x1b[31m")
    bath\x1b[31m
    """

    def render(
        self, renderable: RenderableType, options: ConsoleOptions | None = None
    ) -> Iterable[Segment]:
        """The pieces of what is printed, their letters harmless; styles and controls stay ours."""
        for piece in super().render(renderable, options):
            yield piece if piece.control else piece._replace(text=visible(piece.text, lines=True))
