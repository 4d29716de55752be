"""What every question returns: one frozen Answer that text, page and JSON all render.

Nothing is computed in a renderer: numbers stand in the fields of the Answer, and its ``tables``
hold them as they are to be read.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from costlearn.errors import InputProblem

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Grounds:
    """What an answer rests on: how many jobs, from when, in which units and prices, made how."""

    jobs: int
    first: date | None = None
    last: date | None = None
    currency: str = "USD"
    area_unit: str = "sqft"
    prices: str = ""
    notes: tuple[str, ...] = ()

    @property
    def span(self) -> str:
        """The dates of the jobs, in words."""
        if self.first is None or self.last is None:
            return "no dates on file"
        return f"{self.first:%b %Y} to {self.last:%b %Y}"


@dataclass(frozen=True)
class Table:
    """Figures as they are to be read: a caption, column heads, rows of texts, a line under it.

    The last ``totals`` rows sum up the others, and stay last in whatever order these are put.
    """

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    totals: int = 0


@dataclass(frozen=True)
class Answer:
    """The base of every answer.

    ``sentence`` is the answer in one or two sentences; ``known`` is False where the records cannot
    say; ``trusted`` is False where a check was promised and the answer is "do not trust this".
    """

    sentence: str
    grounds: Grounds
    cautions: tuple[str, ...] = field(default=(), kw_only=True)
    known: bool = field(default=True, kw_only=True)
    trusted: bool = field(default=True, kw_only=True)

    def tables(self) -> tuple[Table, ...]:
        """The figures behind the sentence."""
        return ()

    def plain(self) -> dict[str, Any]:
        """All fields as plain data, ready for JSON: dates ISO, missing None, no rounding."""
        return {"question": type(self).__name__.lower(), **plain_data(self)}

    def to_frame(self) -> pd.DataFrame:
        """The main figures as a frame, a row each, unrounded; units stand in ``attrs``."""
        from costlearn.questions.frames import frame_of

        return frame_of(self)

    def figure(self) -> Any:
        """The first picture of the answer's page, as a plotly figure.

        Raises:
            InputProblem: its page has no picture, or nobody has said how answers are drawn.
        """
        if not _shown:
            raise InputProblem(
                "nobody has said how answers are drawn",
                expected="questions asked by their public names, such as costlearn.estimate",
                hint="or import costlearn.pages.notebook first",
            )
        return _shown[-1].figure(self)

    def _repr_html_(self) -> str | None:
        """What a notebook shows in the place of the fields (IPython's own protocol)."""
        return _shown[-1].html(self) if _shown else None


@dataclass(frozen=True)
class Shown:
    """How answers show themselves in a notebook: as a piece of HTML, and as a picture."""

    html: Callable[[Answer], str]
    figure: Callable[[Answer], Any]


_shown: list[Shown] = []


def show_with(shown: Shown) -> None:
    """Say how answers show themselves from now on.

    Questions know nothing of pages, so whoever draws says so here.
    """
    _shown[:] = [shown]


def plain_data(value: Any) -> Any:
    """Dataclasses, dates and numbers as plain data ready for JSON; not-a-number is None."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_data(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {str(k): plain_data(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain_data(v) for v in value]
    if isinstance(value, date):
        return value.isoformat()
    if callable(to_plain := getattr(value, "item", None)):
        # A numpy number; numpy itself is not loaded, so that light commands start at once.
        value = to_plain()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
