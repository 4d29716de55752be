"""Names of people on a sheet: a legend of initials, and cells that name several."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from costlearn.intake.files.sheets import Grid
from costlearn.intake.values.cells import NUMBER_WORDS, Raw
from costlearn.vocabulary import fold

_MEANS = re.compile(
    r"(?<![^\W_])(?P<short>[^\W\d_]{1,3})\s*(?P<sign>[=:]|\s-\s)\s*"
    r"(?P<name>[^\W\d_][^\W\d_'.]+(?: [^\W\d_][^\W\d_'.]+)?)"
)
_ALWAYS = re.compile(r"\s*(?:[&+;/]|\b(?:and|et|with|avec)\b|\bw/)\s*", re.IGNORECASE)
_NO_NAMES = {
    "ot", "dt", "st", "h", "hr", "hrs", "d", "am", "pm", "day", "rain", "wait", "waiting", "none",
    "off", "crew", "men", "man", "guys", "people", "us", "of", "both", "all", "everyone", "alone",
    "me", "helper", "helpers", "team",
}  # fmt: skip
"""Words beside figures or signs that name nobody; common practice, no source."""
_SHORT = 3
_MOST_LEGEND = 60


def legend_of(grid: Grid) -> dict[str, str]:
    """Folded initials to the names that a legend on the sheet gives them ("M = Mo, K = Kay").

    A sign other than "=" must stand in a legend of two at least: "A: wall" alone is none.
    """
    found: dict[str, str] = {}
    for row in (*grid.rows[:_MOST_LEGEND], *grid.rows[-_MOST_LEGEND:]):
        for raw in row:
            if not isinstance(raw, str) or not any(sign in raw for sign in "=:-"):
                continue
            pairs = [m for m in _MEANS.finditer(raw) if m["name"][0].isupper()]
            sure = len(pairs) > 1 or any(m["sign"] == "=" for m in pairs)
            for match in pairs if sure else ():
                if fold(match["short"])[:1] == fold(match["name"])[:1] or match["sign"] == "=":
                    found.setdefault(fold(match["short"]), match["name"])
    return {s: n for s, n in found.items() if s not in _NO_NAMES and fold(n) not in _NO_NAMES}


def reads_as_names(said: Sequence[Raw]) -> bool:
    """Whether most cells of a column name people rather than count them."""
    named = [
        raw
        for raw in said
        if isinstance(raw, str)
        and any(c.isalpha() for c in raw)
        and not set(fold(raw).split()) & (_NO_NAMES | NUMBER_WORDS.keys())
        and not any(c.isdigit() for c in raw)
    ]
    return 2 * len(named) > len(said)


def several(text: str, known: Collection[str], *, listed: bool = False) -> tuple[str, ...]:
    """The people a cell names, one or more.

    A comma or a space parts people only where each piece is short or known: "Smith, John" is one.

    Args:
        text: the cell.
        known: folded names and initials of people known to the firm or the sheet.
        listed: whether the column lists a crew, so that commas part people in any case.
    """
    names = [name for name in _ALWAYS.split(text) if name]
    parted: list[str] = []
    for name in names:
        pieces = [piece.strip() for piece in name.split(",") if piece.strip()]
        ours = all(fold(p) in known or len(fold(p)) <= _SHORT for p in pieces)
        if len(pieces) > 1 and not (ours or listed or len(pieces) > 2):
            pieces = [name]
        for piece in pieces:
            words = piece.split()
            apart = len(words) > 1 and fold(piece) not in known
            parted += words if apart and all(fold(w) in known for w in words) else [piece]
    return tuple(parted)


def spelled(name: str, legend: Mapping[str, str]) -> str:
    """A person by the name a legend gives, else as written."""
    return legend.get(fold(name), name)
