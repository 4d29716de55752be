"""Where figures came from, in words: how each was made, and the rows it stands in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from costlearn.assembly.trail import MOST_PLACES, WORDS
from costlearn.errors import Place
from costlearn.questions.answer import Table
from costlearn.records import Job, Origin
from costlearn.vocabulary import standard

MOST_NAMES = 16
"""A longer list of figures with one origin is cut, and counted."""
SHOWN_NAMES = 3
SCOPE = "scope "


def origin_of(job: Job, figure: str) -> tuple[str, str]:
    """How a figure of a job was made and where it stands; empty texts where nobody wrote it."""
    found = next((o for o in job.origins if o.figure == figure), None)
    return ("", "") if found is None else (found.how, say_rows_of(found.places))


def sources_table(job: Job, shown: Iterable[str]) -> Table | None:
    """The origins of all figures that are not traced in a table of their own.

    Figures made the same way from the same rows share a line.

    Args:
        job: the job.
        shown: figures traced elsewhere, by their field name.
    """
    traced = set(shown)
    groups: dict[tuple[str, str, tuple[Place, ...]], list[str]] = {}
    for one in job.origins:
        if one.figure not in traced:
            about, name = figure_words(one)
            groups.setdefault((about, one.how, one.places), []).append(name)
    rows = tuple(
        (about or "the whole job", _listed(names), how, say_rows_of(places))
        for (about, how, places), names in groups.items()
    )
    if not rows:
        return None
    heads = ("phase", "figures", "how", "where")
    return Table("Where the figures of the phases came from", heads, rows)


def figure_words(origin: Origin) -> tuple[str, str]:
    """What a figure is about (a phase, the scope, or the job: ""), and its name in words."""
    figure = origin.figure
    about, _, name = figure.rpartition(": ")
    if figure.startswith(SCOPE):
        key = figure.removeprefix(SCOPE)
        return "scope", next((i.name for i in standard().items if i.key == key), key)
    side, _, measure = name.rpartition(".")
    said = {"plan": "planned ", "actual": "actual "}.get(side, "")
    words = said + WORDS.get(measure, measure.replace("_", " "))
    return (standard().phase_name(about.removeprefix("phase ")) if about else ""), words


def say_rows_of(places: Sequence[Place]) -> str:
    """Places in words: each sheet once, its rows as numbers and stretches.

    >>> say_rows_of([Place("a.csv", "", n) for n in (2, 3, 4, 9)])
    'a.csv, rows 2 to 4 and 9'
    >>> say_rows_of([Place("b.xlsx", "2024", 5, "Cost")])
    "b.xlsx, sheet '2024', row 5, column 'Cost'"
    """
    if len(places) == 1:
        return str(places[0])
    sheets: dict[str, set[int]] = {}
    for place in places:
        sheets.setdefault(str(Place(place.file, place.sheet)), set()).add(place.row)
    told = "; ".join(
        f"{sheet}, {_stretches(rows)}" if any(rows) else sheet for sheet, rows in sheets.items()
    )
    return told + (" (the first of more)" if len(places) >= MOST_PLACES else "")


def _stretches(rows: Iterable[int]) -> str:
    """Row numbers with neighbours together: "rows 2 to 4 and 9"."""
    known = sorted(r for r in rows if r)
    runs: list[list[int]] = []
    for row in known:
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    parts: list[str] = []
    for first, last in runs:
        together = last - first > 1
        parts += [f"{first} to {last}"] if together else [str(r) for r in range(first, last + 1)]
    said = ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1]
    return f"row{'s' if len(known) > 1 else ''} {said}"


def _listed(names: Sequence[str]) -> str:
    """Names of figures; of a long list of scope items the first few."""
    if len(names) <= MOST_NAMES:
        return ", ".join(names)
    return f"{', '.join(names[:SHOWN_NAMES])} and {len(names) - SHOWN_NAMES} more"
