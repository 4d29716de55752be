"""Where the table of a sheet begins, which kind it is, and what its columns are."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import PurePath

from costlearn.errors import InputProblem, Place
from costlearn.intake.columns import NO_HEADINGS, ColumnMap, Head, position
from costlearn.intake.entries.hours_columns import SPREAD, log_columns
from costlearn.intake.entries.hours_named import NAMED
from costlearn.intake.entries.line_columns import (
    by_cells,
    is_bill,
    kinds_by_cells,
    without_row_numbers,
)
from costlearn.intake.entries.progress_columns import OF, ON, by_progress
from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import DENIED, HeadingReader, Match
from costlearn.intake.looks import Profile, allows
from costlearn.intake.named_by_cells import kinds_below, phases_below, steps_below, with_names
from costlearn.intake.on_top import borne_out, labelled, named_on_top, without_quote_words
from costlearn.intake.spelling import likest
from costlearn.intake.targets import KINDS, fold_heading, headings, other_currency, reads_as
from costlearn.intake.taxed_headings import taxes_named
from costlearn.intake.values.cells import Raw
from costlearn.vocabulary import fold

_FIGURE = re.compile(r"[\s$€£(+-]*\d[\d.,\s]*[%$)]?")
"""A cell of a text file that is a number all through, and so no heading."""
DEEPEST = 30
"""The heading row is looked for in this many rows from the top."""

_PHASE_WORDS = frozenset(("phase", "phases", "step", "steps", "etape", "etapes", "trade", "poste"))
"""Headings with one of these name phases; under any other the cells must be words of phases."""
_Found = tuple[int, str, Match]
"""A column's index, its heading, and what it was taken for."""
_SURE, _ROWS_MORE = 3.0, 3
"""Headings as sure as this are not looked for below so many rows more: those are their cells."""
_WORTH = {"exact": 1.0, "close": 0.8, "ask": 0.2, "none": 0.0}
_RANKS = ("exact", "close", "ask", "none", DENIED)
_PREFERRED = ("changes", "hours", "receipts", "phases", "jobs", "statement", "scope")
REPEATED = "(a job in several rows)"
"""Stands among the fields of a table in which it is so."""
_LINES = ("receipts", "statement")
_BILL, _ONLY = "(lines of one bill)", "(a statement by its cells)"
_BILL_WORDS = {"bill", "bills", "supplier", "receipt", "receipts", "invoice", "facture", "factures"}
LOOKED_THROUGH = 200
"""Rows of a table that are looked through to see whether jobs repeat."""
_HINTED_AT = 70
"""How like a known heading must be, of 100, to be named in a message."""
_HINTED = 0.5
"""What a title that speaks of a bank or a card is worth, in headings."""
_CHANGE_WORDS = {"change", "changes", "co", "cos", "extra", "extras", "avenant", "avenants"}
_BANK_WORDS = {"bank", "card", "statement", "account", "transactions", "banque", "carte", "releve"}
_PRICE_WORDS = {"price", "quote", "quoted", "contract", "prix", "soumission"}
_AMOUNT_STARTS = ("plan.", "actual.", "phase.")


@dataclass(frozen=True, slots=True)
class Column:
    """One field and where it stands: column indexes (several are joined with ``joint``)."""

    field: str
    heading: str
    indexes: tuple[int, ...]
    unit: str | None = None
    how: str = "exact"
    near: tuple[str, ...] = ()
    joint: str = " / "

    @property
    def key(self) -> str:
        """The key of the column's values in a row: its field.

        Several columns may hold work of no known phase; each keeps a phase of its own there.
        """
        if self.how != "ask":
            return self.field
        start, phase, rest = self.field.split(".", 2)
        return f"{start}.{phase}@{self.indexes[0]}.{rest}"


@dataclass(frozen=True, slots=True)
class Table:
    """A table found in a grid. ``header`` counts grid rows from 0; ``body`` is the first row."""

    grid: Grid
    kind: str
    header: int
    body: int
    columns: tuple[Column, ...]
    unused: tuple[tuple[str, Match], ...]
    titles: tuple[str, ...] = ()
    job: str = ""
    """The job that the lines above name, where it has no column for it."""
    _by_key: dict[str, Column] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Remember each column by its key: rows ask for them again and again."""
        self._by_key.update((column.key, column) for column in reversed(self.columns))

    def place(self, row: int, column: str = "") -> Place:
        """The place of a grid row (counted from 0) and a column."""
        return Place(self.grid.file, self.grid.sheet, self.grid.first_row + row, column)

    def column(self, field: str) -> Column | None:
        """The column of a field, or of a value's key."""
        return self._by_key.get(field)


@dataclass(frozen=True, slots=True)
class _Candidate:
    score: float
    table: Table


def find_table(grid: Grid, reader: HeadingReader, chart: ColumnMap | None) -> Table | None:
    """The table of a grid, or None if no row of the first 30 reads like its headings.

    Raises:
        InputProblem: the column map names a heading row or a column that is not there.
    """
    if chart and chart.columns:
        return _mapped(grid, chart)
    kinds = (chart.kind,) if chart and chart.kind else _PREFERRED
    constants = set(chart.constants) if chart else set()
    best: _Candidate | None = None
    for row in _rows(grid, chart):
        if best and best.score >= _SURE and row > best.table.header + _ROWS_MORE:
            break
        for deep in (1, 2):
            if row + deep > len(grid.rows):
                continue
            allowed = kinds_by_cells(grid.rows, row, deep)
            for kind in [k for k in kinds if k in allowed] if allowed else kinds:
                only = allowed == ("statement",)
                found = _candidate(grid, row, deep, kind, reader, constants, only=only)
                if found and (best is None or found.score > best.score):
                    best = found
    return best.table if best else None


def heads_table(grid: Grid, row: int, reader: HeadingReader) -> bool:
    """Whether a row reads beyond doubt like the headings of a table.

    At least two headings are known, and no more than one in three is not.
    """
    for kind in _PREFERRED:
        found = _candidate(grid, row, 1, kind, reader, set())
        if found is None:
            continue
        sure = sum(1 for c in found.table.columns if c.how == "exact")
        if sure >= 2 and 2 * sure >= len(found.table.unused) + len(found.table.columns) + 1:
            return True
    return False


def headings_of(grid: Grid) -> tuple[str, ...]:
    """The texts of the row that looks most like headings, for a message."""
    rows = [_texts(row) for row in grid.rows[:DEEPEST]]
    best = max(rows, key=lambda row: len({t for t in row if t}), default=())
    return tuple(t for t in best if t)


def looked_for(texts: Iterable[str], reader: HeadingReader) -> str:
    """The known headings that look like those of a file, for a message."""
    known = dict.fromkeys(word for kind in KINDS for word in reader.known(kind))
    folded = {text: fold_heading(text) for text in texts}
    near = {t: likest(w, known, 1, least=_HINTED_AT) for t, w in folded.items() if w not in known}
    return ", ".join([f"'{words[0]}' for '{text}'" for text, words in near.items() if words][:6])


def cell_text(raw: Raw) -> str:
    """A cell as text, stripped; a blank cell is an empty text."""
    if raw is None:
        return ""
    if isinstance(raw, str):
        return " ".join(raw.split())
    return str(int(raw) if isinstance(raw, float) and raw.is_integer() else raw)


def _rows(grid: Grid, chart: ColumnMap | None) -> range:
    if chart is None or chart.header_row is None:
        return range(min(DEEPEST, len(grid.rows)))
    row = chart.header_row - grid.first_row
    if not 0 <= row < len(grid.rows):
        last = grid.first_row + len(grid.rows) - 1
        raise InputProblem(
            f"the column map puts the headings in row {chart.header_row}",
            place=Place(grid.file, grid.sheet),
            expected=f"a row from {grid.first_row} to {last}",
        )
    return range(row, row + 1)


def _texts(row: Sequence[Raw], *, dates: bool = False) -> tuple[str, ...]:
    """The cells of a row that can be headings; numbers are none, and dates only where asked for."""
    return tuple(
        cell_text(raw)
        if isinstance(raw, str)
        else day.isoformat()
        if dates and (day := _date(raw))
        else ""
        for raw in row
    )


def _date(raw: Raw) -> date | None:
    return raw.date() if isinstance(raw, datetime) else raw if isinstance(raw, date) else None


def _filled(row: Sequence[str]) -> list[str]:
    """Group headings carried to the right over the columns they span."""
    filled: list[str] = []
    last = ""
    for text in row:
        last = text or last
        filled.append(last)
    return filled


def _candidate(
    grid: Grid,
    row: int,
    deep: int,
    kind: str,
    reader: HeadingReader,
    constants: set[str],
    *,
    only: bool = False,
) -> _Candidate | None:
    last = row + deep - 1
    below = _texts(grid.rows[last], dates=kind == "hours")
    wrong = sum(
        1
        for raw, text in zip(grid.rows[last], below, strict=True)
        if raw is not None and (_FIGURE.fullmatch(text) if text else not isinstance(raw, str))
    )
    if not any(below) or wrong > sum(1 for t in below if t) / 2:
        return None
    titles = tuple(t for above_row in grid.rows[:row] for t in _texts(above_row) if t)
    matches = _matches(grid, row, last, below, kind, reader)
    if not only and not any(match.field or match.how == DENIED for _, _, match in matches):
        return None
    hints = _hints(grid, titles, [shown for _, shown, _ in matches])
    matches = _by_cells(grid, last + 1, matches, kind, hints, reader)
    columns, unused = _assign(matches, kind)
    if kind == "phases":
        columns = _of_stage(columns, grid, titles)
    named = {c.field for c in columns} | constants
    if kind == "scope" and unused:
        # Items beside anything else are the lines of a bill.
        return None
    if kind == "receipts" and _jobs_repeat(grid, last + 1, columns):
        named.add(REPEATED)
    if kind == "receipts" and hints & _BILL_WORDS and is_bill(grid.rows[last + 1 :]):
        named.add(_BILL)
    if kind == "statement" and only:
        named.add(_ONLY)
    job = "" if named & {"job", "job_code"} else _job_above(grid, row, kind, reader)
    if job and kind == "receipts":
        named.add("job")
    if not _fits(kind, named, hints):
        return None
    score = sum(_WORTH[c.how] for c in columns) + 0.1 * _asked(unused)
    score += _HINTED * (kind == "statement" and bool(hints & _BANK_WORDS))
    table = Table(grid, kind, row, last + 1, columns, unused, titles, job)
    # Two rows of headings must say more than one of them alone, be it only the units.
    units = headings().units
    if deep == 2:
        score += 0.1 if all(fold_heading(t) in units for t in below if t) else -0.01
    return _Candidate(score - wrong, table)


def _of_stage(columns: tuple[Column, ...], grid: Grid, titles: Sequence[str]) -> tuple[Column, ...]:
    """The columns of a sheet of its own for the plan: what says no side of itself is planned."""
    sides = headings().sides
    for around in ((grid.sheet,), titles):
        words = {word for text in around for word in fold(text).split()}
        said = {sides[word] for word in words & sides.keys()}
        if said == {"plan"}:
            return tuple(
                column
                if set(fold_heading(column.heading).split()) & sides.keys()
                else replace(column, field=column.field.replace("actual.", "plan."))
                for column in columns
            )
        if said:
            break
    return columns


def _job_above(grid: Grid, row: int, kind: str, reader: HeadingReader) -> str:
    """The job that lines above a table name; of lines of money it must be borne out elsewhere.

    A title alone names it too where the file or the sheet is called like it.
    """
    rows = texts_of(grid.rows[:row])
    around = (PurePath(grid.file).stem, grid.sheet)
    name = named_on_top(rows, reader.jobs)
    if not name:
        alone = next((line for line in rows if any(line)), [])
        title = without_quote_words(" ".join(filter(None, alone)))
        name = title if sum(map(bool, alone)) == 1 and borne_out(title, around, ()) else ""
    if kind in _LINES and not borne_out(name, around, reader.jobs):
        return labelled(rows)
    return name


def texts_of(rows: Sequence[Sequence[Raw]]) -> list[list[str]]:
    """The texts of some rows; what is no text stands as an empty one."""
    return [[cell_text(raw) if isinstance(raw, str) else "" for raw in row] for row in rows]


def _matches(
    grid: Grid, row: int, last: int, below: Sequence[str], kind: str, reader: HeadingReader
) -> list[_Found]:
    """What the headings of a row, or of two rows of which the upper groups, are taken for."""
    found: list[_Found] = []
    above = _texts(grid.rows[row]) if last > row else ()
    groups = _filled(above) if above else [""] * len(below)
    for index, text in enumerate(below):
        group = groups[index] if text else (above[index] if above else "")
        if not text and not group:
            if kind == "phases" and steps_below(grid, last + 1, index, reader.vocabulary):
                found.append((index, "the first column", Match("phase", None, "exact")))
            continue
        shown, match = reader.joined(group, text, kind)
        ways = reader.ways(match, shown, kind) if match.field else (match,)
        if kind == "jobs" and kinds_below(grid, last + 1, index, reader.vocabulary):
            ways = (replace(match, field="kind", how="exact"), *ways)
        cells = reader.looks(grid.rows).below(last + 1, index) if ways[0].field else Profile()
        chosen = _allowed(cells, ways, kind)
        if kind == "phases" and _no_unit(shown, chosen) and cells.share(("figure",)):
            chosen = Match("", None, "ask", ("hours", "days"))
        if kind == "jobs" and chosen.field == "state":
            steps = phases_below(grid, last + 1, index, reader.vocabulary)
            chosen = Match("", None, DENIED, ("state",)) if steps else chosen
        vague = chosen.field == "phase" and not set(fold(shown).split()) & _PHASE_WORDS
        if vague and not phases_below(grid, last + 1, index, reader.vocabulary):
            chosen = Match("", None, DENIED, ("phase",))
        found.append((index, shown, chosen))
    return found


def _no_unit(heading: str, match: Match) -> bool:
    """Whether a heading of a phase's time leaves open if figures are hours or days: "Time"."""
    words = fold_heading(heading).split()
    told = match.unit or any(word.startswith(("day", "jour")) for word in words)
    return match.field.endswith(".days") and not told


def _by_cells(
    grid: Grid, body: int, found: list[_Found], kind: str, hints: set[str], reader: HeadingReader
) -> list[_Found]:
    """The columns of a kind of table with those that only their cells tell."""
    words = reader.vocabulary
    if kind != "jobs":
        found = without_row_numbers(grid.rows[body:], found)
    if kind == "hours":
        return log_columns(grid, body, found, reader)
    if kind in _LINES:
        return by_cells(grid.rows[body:], found, kind, words, reader.jobs)
    if kind == "phases":
        return by_progress(grid, body, found, hints, words)
    return with_names(grid, body, found, hints, words) if kind == "jobs" else found


def _allowed(found: Profile, ways: Sequence[Match], kind: str) -> Match:
    """The first of a heading's meanings that the cells below it allow.

    A heading never overrules its cells: where none is allowed, what it seemed to be is only near.
    """
    for way in ways:
        how = reads_as(kind, way.field) if way.field else None
        if way.field == "job_code" and (found.running or found.references):
            # A bare number of the row or of a slip names no job; "Job no" says that it does.
            continue
        if how is None or allows(found, how):
            return way
    if len(ways) == 1 and ways[0].how == "exact" and how and allows(found.wordless(), how):
        # Words contradict nothing: each cell waits by itself.
        return ways[0]
    return Match("", ways[0].unit, DENIED, (ways[0].field,))


def _jobs_repeat(grid: Grid, start: int, columns: Sequence[Column]) -> bool:
    """Whether some job stands in several rows: then a row is no job, but something of a job."""
    at = next((c.indexes[0] for c in columns if c.field == "job"), None)
    if at is None:
        return False
    rows = grid.rows[start : start + LOOKED_THROUGH]
    named = [fold(text) for row in rows if (text := cell_text(row[at]))]
    return len(set(named)) < len(named)


def _asked(unused: Sequence[tuple[str, Match]]) -> int:
    return sum(1 for _, match in unused if match.how == "ask")


def _hints(grid: Grid, titles: Sequence[str], texts: Sequence[str]) -> set[str]:
    """The words around a table: its headings, titles, sheet and file."""
    around = (grid.file.rsplit(".", 1)[0], grid.sheet, *titles, *texts)
    return {word for text in around for word in fold(text).split()}


def _fits(kind: str, fields: set[str], hints: set[str]) -> bool:
    """Whether a table with these fields can be of a kind."""
    amounts = sum(1 for f in fields if f.startswith(_AMOUNT_STARTS))
    wide = sum(1 for f in fields if f.startswith("phase."))
    has_job = bool({"job", "job_code"} & fields)
    if kind == "changes":
        figures = fields & {"price", "cost", "days"}
        return "label" in fields and bool(figures) and bool(hints & _CHANGE_WORDS)
    if kind == "hours":
        beside = {"person", "day"}
        spread_out = NAMED in fields or any(f.startswith(SPREAD) for f in fields)
        timed = {"start", "regular"} & fields
        if spread_out:
            beside |= {"job", "job_code"}
        return bool(spread_out or timed or "hours" in fields) and bool(fields & beside)
    if kind in ("receipts", "statement", "scope"):
        return _fits_lines(kind, fields, hints)
    if kind == "phases":
        amounts += sum(1 for f in fields if f == "percent_complete" or f.startswith(ON))
        wide += sum(1 for f in fields if f.startswith(OF))
        return ("phase" in fields and amounts > 0) or (wide > 1 and (has_job or wide > 2))
    return has_job and len(fields - {"job", "job_code", "notes", "state", "scope", "crew"}) > 0


def _fits_lines(kind: str, fields: set[str], hints: set[str]) -> bool:
    """Whether a table can be one of receipts, of a bank's or card's lines, or of scope."""
    if kind == "scope":
        return "job" in fields and "item" in fields and bool(fields & {"size", "unit"})
    if kind == "receipts":
        about = len(fields & {"payee", "document", "day", "kind", "tax"})
        described = (
            {"day", "job"} <= fields
            and bool(fields & {"item", REPEATED})
            and not hints & _PRICE_WORDS
        )
        bill = _BILL in fields and "item" in fields
        return bool(fields & {"amount", "gross"}) and (about > 1 or described or bill)
    lone = "amount" in fields and (_ONLY in fields or not {"job", "job_code"} & fields)
    return {"day", "description"} <= fields and (lone or bool(fields & {"out", "in"}))


def _assign(
    matches: Sequence[tuple[int, str, Match]], kind: str
) -> tuple[tuple[Column, ...], tuple[tuple[str, Match], ...]]:
    """One column a field: exact headings first, then close ones, then those kept while asked.

    Bills may hold several taxes, a column each, unless one column holds them all.
    """
    taken: dict[str, Column] = {}
    unused: list[tuple[str, Match]] = []
    ranked = sorted(matches, key=lambda m: _RANKS.index(m[2].how))
    if kind == "jobs":
        # "Charged" is the price, but what was paid where "Contract" stands beside it.
        ranked.sort(key=lambda m: len(_meanings(m[1], kind)) > 1)
    if kind == "receipts":
        ranked.sort(key=lambda m: bool(taxes_named(fold_heading(m[1]))))
    for index, text, match in ranked:
        several = match.how == "ask" and match.field
        name = f"{match.field}@{index}" if several else match.field
        field = match.field
        if kind == "receipts" and name in taken and _another_tax(text, field, taken):
            name = field = f"{len(taken)}.tax"
        if kind in _LINES and name in taken and other_currency(text, taken[name].heading):
            name = field = f"{len(taken)}.{field}"
        if kind == "jobs" and name in taken:
            other = (way for way in _meanings(text, kind) if way not in taken)
            name = field = next(other, name)
        if not field or name in taken:
            unused.append((text, match))
            continue
        taken[name] = Column(field, text, (index,), match.unit, match.how, match.near)
    columns = _with_code(taken, kind, unused)
    return tuple(sorted(columns, key=lambda c: c.indexes[0])), tuple(unused)


def _meanings(text: str, kind: str) -> tuple[str, ...]:
    """All that a heading may mean in a kind of table, where that is more than one field."""
    return headings().others[kind].get(fold_heading(text), ())


def _another_tax(text: str, field: str, taken: Mapping[str, Column]) -> bool:
    """Whether a heading names a tax beside taxes that other columns name, none of them the same."""
    named = taxes_named(fold_heading(text))
    others = [
        taxes_named(fold_heading(c.heading)) for c in taken.values() if c.field.endswith("tax")
    ]
    return field == "tax" and bool(named) and all(o and not o & named for o in others)


def _with_code(
    taken: dict[str, Column], kind: str, unused: list[tuple[str, Match]]
) -> list[Column]:
    """A job's number and name: both in a job list, the number alone wherever it is repeated."""
    code, name = taken.pop("job_code", None), taken.get("job")
    if code:
        if name and kind == "jobs":
            both = (*code.indexes, *name.indexes)
            heading = f"{code.heading} {name.heading}"
            taken["job"] = Column("job", heading, both, None, name.how, name.near, " ")
        else:
            if name:
                unused.append((name.heading, Match("job", None, "exact")))
            taken["job"] = Column("job", code.heading, code.indexes, None, code.how, code.near)
    return list(taken.values())


def _mapped(grid: Grid, chart: ColumnMap) -> Table | None:
    """The table a column map describes.

    Raises:
        InputProblem: the row named has not the headings named.
    """
    headless = chart.header_row == NO_HEADINGS
    for row in (0,) if headless else _rows(grid, chart):
        texts = [""] * len(grid.rows[0]) if headless else [cell_text(r) for r in grid.rows[row]]
        where = {head: column_at(texts, head) for head in chart.heads}
        if any(at is None for at in where.values()):
            continue
        columns = tuple(
            Column(
                field,
                " / ".join(texts[where[h] or 0] or f"column {h}" for h in heads),
                tuple(where[h] or 0 for h in heads),
                chart.units.get(field),
            )
            for field, heads in chart.columns.items()
        )
        used = {i for c in columns for i in c.indexes}
        unused = tuple((t, Match()) for i, t in enumerate(texts) if t and i not in used)
        body = row if headless else row + 1
        job = labelled(texts_of(grid.rows[:row]))
        return Table(grid, chart.kind or "jobs", row, body, columns, unused, job=job)
    return None


def column_at(texts: Sequence[str], head: Head) -> int | None:
    """Where the column of a map stands among headings, from 0; None if it is not there.

    A letter names a column only where there are no headings.
    """
    folded = fold_heading(str(head))
    named = (i for i, text in enumerate(texts) if text and fold_heading(text) == folded)
    found = next(named, None) if isinstance(head, str) else None
    at = position(head) if isinstance(head, int) or not any(texts) else found
    return at if at is not None and at < len(texts) else None


def missing_heading(grids: Sequence[Grid], chart: ColumnMap) -> InputProblem:
    """The sentence for a map whose columns are not in the file."""
    wanted = chart.heads
    best: tuple[int, str, Place, tuple[str, ...]] = (-1, "", Place(), ())
    for grid in grids:
        for row, cells in enumerate(grid.rows[:DEEPEST]):
            texts = tuple(t for raw in cells if (t := cell_text(raw)))
            there = [h for h in wanted if column_at(texts, h) is not None]
            absent = str(next((h for h in wanted if h not in there), ""))
            if len(there) > best[0] and texts:
                place = Place(grid.file, grid.sheet, grid.first_row + row)
                best = (len(there), absent, place, texts)
    _, absent, place, texts = best
    return InputProblem(
        f"the column map names a column '{absent}' that is not there",
        place=place,
        expected="one of the headings found: " + ", ".join(f"'{t}'" for t in texts[:40]),
        hint=f"correct the map {chart.file}" if chart.file else "",
    )
