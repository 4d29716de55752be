"""The column that names the jobs of a list, where no known heading stands over it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import Match
from costlearn.intake.kinds import kind_in_name
from costlearn.intake.looks import SAMPLE, look_of
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.vocabulary import ROOMS, Vocabulary, fold

Found = tuple[int, str, Match]

_JOB_WORDS = frozenset(
    ("job", "jobs", "project", "projects", "bathroom", "bathrooms", "bath", "baths", "kitchen",
     "kitchens", "laundry", "laundries", "room", "rooms", "reno", "renos", "renovations", "client",
     "clients", "chantier", "chantiers", "travaux", "projet", "projets", "cuisines", "bains")
)  # fmt: skip
"""Words over or around a list that say its rows are jobs; common practice, no source."""
_MONEY = ("price", "paid", "actual.cost", "plan.cost")
_MEASURES = frozenset(
    ("area", "crew", "started", "finished", *(f"actual.{days}" for days in ("days", "site_days",
     "person_days", "elapsed_days", "person_hours")))
)  # fmt: skip
_NO_NAME = frozenset(
    (
        "serial",
        "ref",
        "reference",
        "id",
        "code",
        "number",
        "email",
        "phone",
        "tel",
        "url",
        "address",
    )
)
"""Words of headings over what is different in each row and no name of a job."""
_STEPS = re.compile(r"[,/+&]|\band\b")
_FEW = 2
_MOST = 0.8
_HALF = 0.5


def with_names(
    grid: Grid, body: int, found: Sequence[Found], around: set[str], words: Vocabulary
) -> list[Found]:
    """The columns of a list, the one that must hold the names of its jobs taken for that.

    It is the first column of different words, in a table that has an amount for each row and whose
    names, words around it or kinds of work say that its rows are jobs.

    Args:
        grid: the sheet.
        body: the first row below the headings.
        found: column index, heading, and what it was taken for.
        around: the words of titles, headings, sheet and file.
        words: the words of the trade.
    """
    fields = {match.field for _, _, match in found if match.how in ("exact", "close")}
    if fields & {"job", "job_code"} or not fields & set(_MONEY):
        return list(found)
    headed = {at: (text, match) for at, text, match in found}
    for at in range(len(grid.rows[0])):
        heading, match = headed.get(at, ("", Match()))
        if (match.how == "exact" and match.field != "kind") or set(
            fold(heading).split()
        ) & _NO_NAME:
            continue
        cells = [row[at] for row in grid.rows[body : body + SAMPLE]]
        if not _names(cells):
            continue
        if steps_below(grid, body, at, words):
            # The steps of one job are no jobs.
            return list(found)
        measured = around & _JOB_WORDS and fields & _MEASURES
        headed_so = set(fold(heading).split()) & _JOB_WORDS
        if not (measured or headed_so or "kind" in fields or _speak_of_rooms(cells, words)):
            return list(found)
        named = (at, heading or "the names", Match("job", None, "exact"))
        return sorted([*(one for one in found if one[0] != at), named], key=lambda one: one[0])
    return list(found)


def kinds_below(grid: Grid, body: int, at: int, words: Vocabulary) -> bool:
    """Whether most cells of a column are kinds of jobs and nothing more: "hall bath", "laundry"."""
    cells = [str(row[at]) for row in grid.rows[body : body + SAMPLE] if not is_missing(row[at])]
    known = sum(1 for text in cells if words.job_words.get(fold(text)) in ROOMS)
    return bool(cells) and known >= _MOST * len(cells)


def phases_below(grid: Grid, body: int, at: int, words: Vocabulary) -> bool:
    """Whether a third of the different cells of a column are words of phases."""
    cells = {
        fold(str(row[at])) for row in grid.rows[body : body + SAMPLE] if not is_missing(row[at])
    }
    known = sum(1 for text in cells if text in words.phase_words or text in words.ask)
    return 3 * known >= len(cells)


def steps_below(grid: Grid, body: int, at: int, words: Vocabulary) -> bool:
    """Whether most cells of a column speak of phases, whole or in a part: "Tile + grout"."""
    cells = [str(row[at]) for row in grid.rows[body : body + SAMPLE] if not is_missing(row[at])]
    known = words.phase_words.keys() | words.ask.keys()
    steps = [c for c in cells if any(fold(part) in known for part in (c, *_STEPS.split(c)))]
    return len(steps) > _FEW and len(steps) >= _HALF * len(cells)


def _names(cells: Sequence[Raw]) -> bool:
    """Whether cells are names: words, nearly all filled and all different."""
    said = [raw for raw in cells if not is_missing(raw)]
    words = [raw for raw in said if look_of(raw) in ("words", "mixed")]
    different = len({fold(str(raw)) for raw in words})
    # A note or a total may stand below the names.
    filled = sum(1 for raw in cells if raw not in (None, ""))
    return len(words) >= 2 and len(words) >= _MOST * filled and different >= _MOST * len(words)


def _speak_of_rooms(cells: Sequence[Raw], words: Vocabulary) -> bool:
    said = [str(raw) for raw in cells if not is_missing(raw)]
    rooms = sum(1 for text in said if kind_in_name(text, words) in ROOMS)
    return bool(said) and rooms >= _HALF * len(said)
