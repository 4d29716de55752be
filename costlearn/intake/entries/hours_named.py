"""Hours written with their person into one cell: "M 6h, K 4h"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import Match
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.vocabulary import Vocabulary, fold

NAMED = "named_hours"
"""The field of a column of such cells."""

_MAY_HOLD = {"hours", "person", "crew"}
_PIECE = re.compile(
    r"\s*(?P<name>[^\W\d_](?:[^\W\d_]|[.'-]){0,19})\s?[:=]?\s?"
    r"(?P<hours>\d{1,2}(?:[.,]\d{1,2})?)(?![\d.])\s?(?P<unit>(?:h|hr|hrs|hours?|heures?)\b\.?)?"
    r"\s?(?:[,;/&+]|\b(?:and|et)\b|$|(?=\s|[^\W\d_]))",
    re.IGNORECASE,
)
_LONGEST_CELL = 200
_NOBODY = {
    "about", "approx", "around", "ca", "env", "total", "each", "crew", "people", "day", "days",
    "week", "am", "pm", "ot", "overtime", "h", "hr", "hrs", "hours", "heures", "x", "mon", "tue",
    "wed", "thu", "fri", "sat", "sun", "no", "nr", "lot", "unit", "apt",
}  # fmt: skip
"""Words before a figure that name no person; common practice, no source."""
_MOST_ROWS = 500

Found = tuple[int, str, Match]


def read_named(text: str) -> tuple[tuple[str, float], ...]:
    """Each person of a cell with the hours beside the name; empty if the cell is anything else.

    >>> read_named("M 6h, K 4.5h")
    (('M', 6.0), ('K', 4.5))
    >>> read_named("about 6h")
    ()
    """
    return tuple((name, hours) for name, hours, _ in _pieces(text))


def by_name(grid: Grid, body: int, found: Sequence[Found], words: Vocabulary) -> list[Found]:
    """The columns of an hours log, with one that holds people and their hours named as such.

    It is looked for where no other column holds the hours. Phases with hours are no people.
    """
    sure = ("exact", "close")
    hours = [at for at, (_, _, match) in enumerate(found) if match.field == "hours"]
    for at, (index, text, match) in enumerate(found):
        may = match.field in _MAY_HOLD and match.how in sure and (not hours or at in hours)
        if may and _holds_named(grid, body, index, words, hours_said=match.field == "hours"):
            return [
                (index, text, replace(match, field=NAMED, unit="hours")) if one == at else other
                for one, other in enumerate(found)
            ]
    return list(found)


def _holds_named(grid: Grid, body: int, index: int, words: Vocabulary, *, hours_said: bool) -> bool:
    """Whether most of a column are names with hours: by its heading, a unit, or two to a cell."""
    cells: list[Raw] = [row[index] for row in grid.rows[body : body + _MOST_ROWS]]
    said = [raw for raw in cells if not is_missing(raw)]
    read = [pieces for raw in said if isinstance(raw, str) and (pieces := _pieces(raw))]
    phases = words.phase_words.keys() | words.ask.keys()
    people = [p for p in read if not any(fold(name) in phases for name, _, _ in p)]
    plain = [p for p in people if len(p) > 1 or p[0][2]]
    return 2 * len(people) > len(said) and (hours_said or 2 * len(plain) >= len(people))


def _pieces(text: str) -> list[tuple[str, float, bool]]:
    """Name, hours and whether a unit stands beside them; empty if anything is left over."""
    found: list[tuple[str, float, bool]] = []
    line = " ".join(text.split())
    at = 0
    while at < len(line) <= _LONGEST_CELL:
        piece = _PIECE.match(line, at)
        if piece is None or fold(piece["name"]) in _NOBODY:
            return []
        hours = float(piece["hours"].replace(",", "."))
        found.append((piece["name"].rstrip(".-'"), hours, bool(piece["unit"])))
        at = piece.end()
    return found
