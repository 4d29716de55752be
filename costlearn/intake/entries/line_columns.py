"""What the columns of bills and statements are by their cells, whatever their headings say."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from costlearn.intake.headers import Match
from costlearn.intake.looks import profile
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import Raw
from costlearn.vocabulary import Vocabulary, fold

Matched = list[tuple[int, str, Match]]
"""Columns by index, with their headings and what those were taken for."""

_MAY_NAME = frozenset(("", "notes", "kind", "job_code", "payee", "marker"))
"""Fields of columns that may name jobs, for all their headings say."""
_LONGEST = 6
_MOST = 0.6
_SUMS = frozenset(("sum", "part"))
_TAX = frozenset(("tax", "hst", "gst", "vat", "tps", "tvq", "tvh", "taxes", "taxe"))


def by_cells(rows: Sequence[Sequence[Raw]], matches: Matched, vocabulary: Vocabulary) -> Matched:
    """The matches with running numbers taken for no job, and the column that names jobs for one.

    A column names jobs if its words come again from line to line and most speak of a kind of job
    ("Moss ensuite"): owners write the job into whatever column is free.
    """
    kept = [
        (at, text, Match() if match.field == "job_code" and _numbers_rows(rows, at) else match)
        for at, text, match in matches
    ]
    if any(match.field in ("job", "job_code") for _, _, match in kept):
        return kept
    for place, (at, text, match) in enumerate(kept):
        if match.field in _MAY_NAME and _names_jobs(rows, at, vocabulary):
            kept[place] = (at, text, Match("job", None, "exact"))
            break
    return kept


def _numbers_rows(rows: Sequence[Sequence[Raw]], at: int) -> bool:
    """Whether a column holds a number of its own for each row."""
    found = profile(rows, at)
    return found.said > 1 and len(set(found.figures)) == found.said


def _names_jobs(rows: Sequence[Sequence[Raw]], at: int, vocabulary: Vocabulary) -> bool:
    texts = [fold(raw) for row in rows if at < len(row) and isinstance(raw := row[at], str)]
    texts = [text for text in texts if text]
    named = set(texts)
    if len(named) == len(texts) or any(len(text.split()) > _LONGEST for text in named):
        return False
    jobs = {name for name in named if _speaks_of_a_job(name, vocabulary)}
    rest = {name for name in named - jobs if name not in vocabulary.cost_words}
    return bool(jobs) and len(jobs) >= _MOST * (len(jobs) + len(rest))


def _speaks_of_a_job(name: str, vocabulary: Vocabulary) -> bool:
    """Whether a name has a kind of job in it, and more than that."""
    words = name.split()
    known = vocabulary.job_words
    pairs = (" ".join(pair) for pair in pairwise(words))
    return len(words) > 1 and any(text in known for text in (*words, *pairs))


def is_bill(rows: Sequence[Sequence[Raw]]) -> bool:
    """Whether lines end in a subtotal or total and a tax, as those of one bill do."""
    first = [next((raw for raw in row if raw not in (None, "")), None) for row in rows]
    labels = [fold_heading(raw) for raw in first if isinstance(raw, str)]
    known = headings().totals
    tax = any(set(label.replace("%", " ").split()) & _TAX for label in labels)
    return tax and any(known.get(label) in _SUMS for label in labels)
