"""What the columns of bills and statements are by their cells, whatever their headings say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from itertools import pairwise, product

from costlearn.intake.entries.balances import Step, follow
from costlearn.intake.entries.statement_lines import looks_like_statement, markers_in
from costlearn.intake.headers import Match
from costlearn.intake.looks import SAMPLE, allows, profile
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import Raw, vote_decimal
from costlearn.intake.values.money import read_money
from costlearn.vocabulary import Vocabulary, fold

Matched = list[tuple[int, str, Match]]
"""Columns by index, with their headings and what those were taken for."""

_MAY_NAME = frozenset(("", "notes", "kind", "job_code", "payee"))
"""Fields of columns that may name jobs, for all their headings say."""
_ROWS = 1_000
"""Rows that are looked through for names that come again."""
_LONGEST = 6
_MOST = 0.6
_SHORTEST = 4
_FEWEST = 4
_WRONG = 0.1
"""A balance proves columns from so many steps on, with no larger share of them wrong."""
_SUMS = frozenset(("sum", "part"))
_TAX = frozenset(("tax", "hst", "gst", "vat", "tps", "tvq", "tvh", "taxes", "taxe"))


def by_cells(
    rows: Sequence[Sequence[Raw]],
    matches: Matched,
    kind: str,
    vocabulary: Vocabulary,
    jobs: Collection[str] = (),
) -> Matched:
    """The matches with running numbers taken for no job, and the column that names jobs for one.

    What says which way money went is no text about it, however it is headed; what explains a
    running balance is money out or money in.

    A column names jobs if its words come again from line to line and most speak of a kind of job
    ("Moss ensuite") or of one on file: owners write the job into whatever column is free.

    Args:
        rows: the rows below the headings.
        matches: what the headings were taken for.
        kind: the kind of table.
        vocabulary: knows the kinds of job and of cost.
        jobs: the names of jobs on file.
    """
    kept = list(matches)
    marks = markers_in(rows[:SAMPLE]) if kind == "statement" else None
    if marks:
        marker = Match("marker", None, "exact")
        kept = [(at, text, marker if at == marks[0] else match) for at, text, match in kept]
    kept = _by_balance(rows[:SAMPLE], kept) if kind == "statement" else kept
    if any(match.field in ("job", "job_code") for _, _, match in kept):
        return kept
    for place, (at, text, match) in enumerate(kept):
        if match.field in _MAY_NAME and _names_jobs(
            rows, at, vocabulary, _own_words(jobs, vocabulary)
        ):
            kept[place] = (at, text, Match("job", None, "exact"))
            break
    return kept


def kinds_by_cells(rows: Sequence[Sequence[Raw]], row: int, deep: int) -> tuple[str, ...]:
    """The kinds a table below one or two rows of headings can only be; () if any will do."""
    for last in range(row, row + deep):
        heads = [" ".join(str(raw).split()) if raw is not None else "" for raw in rows[last]]
        kinds = looks_like_statement(heads, rows[last + 1 :])
        if kinds:
            return kinds
    return ()


def without_row_numbers(
    rows: Sequence[Sequence[Raw]], matches: Sequence[tuple[int, str, Match]]
) -> list[tuple[int, str, Match]]:
    """The columns without one that numbers the rows, each by another number: it names no job."""
    name = next((at for at, _, match in matches if match.field == "job"), None)
    names = {fold(str(row[name])) for row in rows[:SAMPLE] if row[name]} if name is not None else {}
    return [
        (at, text, Match())
        if match.field == "job_code" and _numbers_rows(rows, at, len(names))
        else (at, text, match)
        for at, text, match in matches
    ]


def _numbers_rows(rows: Sequence[Sequence[Raw]], at: int, names: int) -> bool:
    """Whether a column holds a number of its own for each row; headings may come again.

    Copied rows repeat it: then there are more numbers than jobs' names.
    """
    found = profile(rows, at)
    figures, different = found.wordless().said, len(set(found.figures))
    copied = 0 < names < different and 2 * different > figures
    return figures > 1 and (different == figures or copied)


def _names_jobs(
    rows: Sequence[Sequence[Raw]], at: int, vocabulary: Vocabulary, on_file: frozenset[str]
) -> bool:
    cells = Counter(row[at] for row in rows[:_ROWS] if at < len(row))
    texts = [(text, n) for raw, n in cells.items() if isinstance(raw, str) and (text := fold(raw))]
    named = {text for text, _ in texts}
    again = sum(n for _, n in texts) > len(named)
    if not again or any(len(text.split()) > _LONGEST for text in named):
        return False
    jobs = {n for n in named if _speaks_of_a_job(n, vocabulary) or set(n.split()) & on_file}
    rest = {name for name in named - jobs if name not in vocabulary.cost_words}
    return bool(jobs) and len(jobs) >= _MOST * (len(jobs) + len(rest))


def _speaks_of_a_job(name: str, vocabulary: Vocabulary) -> bool:
    """Whether a name has a kind of job in it, and more than that."""
    words = name.split()
    pairs = (" ".join(pair) for pair in pairwise(words))
    return len(words) > 1 and not vocabulary.job_words.keys().isdisjoint((*words, *pairs))


def _own_words(jobs: Collection[str], vocabulary: Vocabulary) -> frozenset[str]:
    """The words that only the names of jobs have: "Ironwood" of "Ironwood hall bath"."""
    known = {part for word in vocabulary.job_words for part in word.split()}
    words = {word for name in jobs for word in fold(name).split()}
    return frozenset(w for w in words - known if len(w) >= _SHORTEST and w.isalpha())


def _by_balance(rows: Sequence[Sequence[Raw]], matches: Matched) -> Matched:
    """The matches with the columns of money out and in that a running balance proves.

    Used where headings leave one of them open: the balance moves by what came in less what went
    out from line to line, in one order or the other.
    """
    fields = {match.field: at for at, _, match in matches}
    if "balance" not in fields or "amount" in fields or {"out", "in"} <= fields.keys():
        return matches
    free = [at for at, _, match in matches if not match.field and _is_money(rows, at)]
    balance = _cents(rows, fields["balance"])
    outs = [fields["out"]] if "out" in fields else free
    ins = [fields["in"]] if "in" in fields else free
    for out, into in product(outs, ins):
        if out != into and _explains(_cents(rows, out), _cents(rows, into), balance):
            new = {out: Match("out", None, "exact"), into: Match("in", None, "exact")}
            return [(at, text, new.get(at, match)) for at, text, match in matches]
    return matches


def _is_money(rows: Sequence[Sequence[Raw]], at: int) -> bool:
    found = profile(rows, at)
    return found.said > 1 and allows(found, "money")


def _cents(rows: Sequence[Sequence[Raw]], at: int) -> list[int | None]:
    raws = [row[at] if at < len(row) else None for row in rows]
    decimal = vote_decimal(raws)
    read = (read_money(raw, decimal=decimal).value for raw in raws)
    return [None if money is None else money.cents for money in read]


def _explains(
    out: Sequence[int | None], into: Sequence[int | None], balance: Sequence[int | None]
) -> bool:
    """Whether nearly all steps of a balance are what came in less what went out."""
    steps = [Step((i or 0) - (o or 0), b) for o, i, b in zip(out, into, balance, strict=True)]
    chain = follow(steps)
    return chain.links >= _FEWEST and len(chain.breaks) <= _WRONG * chain.links


def is_bill(rows: Sequence[Sequence[Raw]]) -> bool:
    """Whether lines end in a subtotal or total and a tax, as those of one bill do."""
    if len(rows) > _ROWS:
        return False
    first = [next((raw for raw in row if raw not in (None, "")), None) for row in rows]
    labels = [fold_heading(raw) for raw in first if isinstance(raw, str)]
    known = headings().totals
    tax = any(set(label.replace("%", " ").split()) & _TAX for label in labels)
    return tax and any(known.get(label) in _SUMS for label in labels)
