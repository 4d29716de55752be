"""What the columns of bills and statements are by their cells, whatever their headings say."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from costlearn.intake.entries.statement_lines import looks_like_statement, markers_in
from costlearn.intake.headers import Match
from costlearn.intake.looks import SAMPLE, profile
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import Raw
from costlearn.vocabulary import Vocabulary, fold

Matched = list[tuple[int, str, Match]]
"""Columns by index, with their headings and what those were taken for."""

_MAY_NAME = frozenset(("", "notes", "kind", "job_code", "payee"))
"""Fields of columns that may name jobs, for all their headings say."""
_LONGEST = 6
_MOST = 0.6
_SUMS = frozenset(("sum", "part"))
_TAX = frozenset(("tax", "hst", "gst", "vat", "tps", "tvq", "tvh", "taxes", "taxe"))


def by_cells(
    rows: Sequence[Sequence[Raw]], matches: Matched, kind: str, vocabulary: Vocabulary
) -> Matched:
    """The matches with running numbers taken for no job, and the column that names jobs for one.

    What says which way money went is no text about it, however it is headed.

    A column names jobs if its words come again from line to line and most speak of a kind of job
    ("Moss ensuite"): owners write the job into whatever column is free.
    """
    kept = [
        (at, text, Match() if match.field == "job_code" and _numbers_rows(rows, at) else match)
        for at, text, match in matches
    ]
    marks = markers_in(rows[:SAMPLE]) if kind == "statement" else None
    if marks:
        marker = Match("marker", None, "exact")
        kept = [(at, text, marker if at == marks[0] else match) for at, text, match in kept]
    if any(match.field in ("job", "job_code") for _, _, match in kept):
        return kept
    for place, (at, text, match) in enumerate(kept):
        if match.field in _MAY_NAME and _names_jobs(rows, at, vocabulary):
            kept[place] = (at, text, Match("job", None, "exact"))
            break
    return kept


def kinds_by_cells(rows: Sequence[Sequence[Raw]], row: int, deep: int) -> tuple[str, ...]:
    """The kinds a table below one or two rows of headings can only be; () if any will do."""
    for last in (row, row + deep - 1):
        heads = [" ".join(str(raw).split()) if raw is not None else "" for raw in rows[last]]
        kinds = looks_like_statement(heads, rows[last + 1 :])
        if kinds:
            return kinds
    return ()


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
