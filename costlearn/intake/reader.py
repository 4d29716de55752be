"""A contractor's file to a batch of entries and findings: the door of this room."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.answers import Answers, held
from costlearn.intake.blocks import part_beside, part_blocks
from costlearn.intake.both import settle_both
from costlearn.intake.columns import ColumnMap
from costlearn.intake.currencies import in_named_currency
from costlearn.intake.day_sheet import NAME, is_day_sheet
from costlearn.intake.elsewhere import of_jobs
from costlearn.intake.entries.day_sheet_rows import day_sheet_entries
from costlearn.intake.entries.hours_columns import ON, SPREAD
from costlearn.intake.entries.progress_columns import OF as OF_PHASE
from costlearn.intake.entries.progress_columns import ON as ON_DAY
from costlearn.intake.entries.quote_rows import TOPIC as QUOTED
from costlearn.intake.entries.quote_rows import without_quotes
from costlearn.intake.entries.tidy_rows import tidy_entries
from costlearn.intake.entries.typed_rows import line_entries, lines_of
from costlearn.intake.files.sheets import Grid, digest, read_grids
from costlearn.intake.findings import TAKEN_FOR, Notes
from costlearn.intake.headers import HeadingReader
from costlearn.intake.headless import TOPIC, with_headings
from costlearn.intake.names import ask_about_jobs, ask_phase, rename_jobs
from costlearn.intake.nearly import nearly
from costlearn.intake.normalise import entries_of
from costlearn.intake.readings import Setting
from costlearn.intake.tables import (
    Column,
    Table,
    cell_text,
    find_table,
    headings_of,
    looked_for,
    missing_heading,
)
from costlearn.intake.targets import reads_as
from costlearn.intake.titles import of_one_job
from costlearn.intake.typed import NAME as TYPED
from costlearn.intake.typed import is_typed
from costlearn.intake.unknown import note_unknown
from costlearn.records import Batch, Entry
from costlearn.tidy import NOT_READ
from costlearn.units import say_count
from costlearn.vocabulary import Vocabulary, fold, standard
from costlearn.watch import Watch, unwatched

_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SPREAD_NAMES = {f"{ON}{number}": f"on {name}" for number, name in enumerate(_DAYS)}
_UNITS = {
    "sqft": " in square feet",
    "sqm": " in square metres",
    "lnft": " in feet",
    "lnm": " in metres",
    "hours": ", bare numbers in hours",
    "days": ", bare numbers in days",
}


_WIDE = 3
"""Cells from which a row above the headings is more than a title."""


def read_file(
    path: Path,
    firm: Firm,
    *,
    column_map: ColumnMap | None = None,
    vocabulary: Vocabulary | None = None,
    known_jobs: Collection[str] = (),
    answers: Answers | None = None,
    watch: Watch = unwatched,
) -> Batch:
    """What one spreadsheet or text file says about the firm's jobs.

    Args:
        path: a file of any kind :func:`costlearn.intake.files.sheets.read_grids` reads.
        firm: settings: hours in a day, order of dates, currency, words of its own.
        column_map: what each column means, where nobody could guess.
        vocabulary: the words of the trade; the standard ones if none are given.
        known_jobs: names of jobs on file, to ask about names that are not.
        answers: what a person said to questions of earlier readings.
        watch: is told how far the reading is.

    Returns:
        Entries in the order of the file, all findings (what was understood, proposed, set aside,
        asked and checked), and the questions only a person can answer.
        An export of the day sheet has the one name all of them have in the book: it takes their
        place, and 'costlearn import' puts them together.

    Raises:
        UnreadableFile: the file cannot be read at all.
        InputProblem: no sheet holds a table of jobs that can be recognised, the map does not fit
            the file, or other tables stand beside a day sheet.
    """
    watch("opening", 0.0)
    sheets = _wanted(read_grids(path), column_map, path)
    told, chart = answers or Answers(), column_map or ColumnMap()
    words = told.extend((vocabulary or standard()).with_phases(firm.phase_words))
    words, notes = chart.extend(words), Notes()
    reader = HeadingReader(words, told, {fold(name) for name in firm.names}, known_jobs)
    sheets = [sheet for sheet in sheets if not _is_no_record(sheet, notes)]
    plain = Setting(firm, words, notes, chart, answers=told, watch=watch)
    if (batch := _own_file(sheets, column_map, path, plain, known_jobs)) is not None:
        return batch
    entries, sheets = _exported(sheets, column_map, notes)
    if not column_map:
        sheets = without_quotes(sheets, entries, known_jobs, plain)
    grids = _parted(sheets, reader, column_map, notes)
    tables = [(grid, find_table(grid, reader, column_map)) for grid in grids]
    if not column_map:
        tables = settle_both(_of_jobs(tables, reader, known_jobs, plain), plain)
    waits = any(asked.topic in (TOPIC, QUOTED) for asked in notes.questions.values())
    if grids and not entries and not waits and not any(table for _, table in tables):
        raise _nothing_found(grids, reader, column_map, path)
    own = in_named_currency(firm, (table for _, table in tables), notes)
    whole = replace(plain, firm=own)
    for grid, table in tables:
        if table is not None:
            entries.extend(_entries_of(table, reader, replace(whole, orders={}, phases={})))
        elif not waits:
            _note_no_table(grid, notes, mapped=bool(chart.columns))
    return _in_currency(_batch(path.name, path, entries, whole, known_jobs), own, firm)


def _of_jobs(
    tables: list[tuple[Grid, Table | None]],
    reader: HeadingReader,
    known_jobs: Collection[str],
    setting: Setting,
) -> list[tuple[Grid, Table | None]]:
    """The tables of a file that speak of jobs, those of one job's workbook under its name."""
    notes = setting.notes
    offered = [_offered(*found, reader, setting.answers, notes) for found in tables]
    kept = of_jobs(offered, known_jobs, notes)
    named = of_one_job([table for _, table in kept])
    return [(grid, table) for (grid, _), table in zip(kept, named, strict=True)]


def _in_currency(batch: Batch, own: Firm, firm: Firm) -> Batch:
    """A batch with the currency its jobs name, where the firm has named none."""
    return batch if own is firm else replace(batch, currency=own.currency)


def _own_file(
    sheets: list[Grid],
    column_map: ColumnMap | None,
    path: Path,
    setting: Setting,
    known_jobs: Collection[str],
) -> Batch | None:
    """What an export of the day sheet, or the lines typed by hand, give; None for other files."""
    if _is_day_sheet(sheets, column_map):
        return _batch(NAME, path, day_sheet_entries(sheets[0], setting), setting, known_jobs)
    if len(sheets) == 1 and is_typed(sheets[0]) and not column_map:
        entries, own = line_entries(lines_of(sheets[0]), setting)
        batch = _batch(TYPED, path, entries, setting, known_jobs)
        return replace(batch, currency=None if own is setting.firm else own.currency)
    return None


def _entries_of(table: Table, reader: HeadingReader, setting: Setting) -> list[Entry]:
    """The entries of one table, and what its titles and columns were taken for."""
    _note_titles(table, setting.notes)
    _note_columns(table, setting.notes, mapped=bool(setting.chart.columns))
    _ask_phase_columns(table, reader, setting)
    return entries_of(table, setting)


def _offered(
    grid: Grid, table: Table | None, reader: HeadingReader, told: Answers, notes: Notes
) -> tuple[Grid, Table | None]:
    """A sheet without headings under those a person gave, or asked about; any other as it is."""
    headed = with_headings(grid, told, notes) if table is None else None
    if headed is None or headed is grid:
        return grid, table
    return headed, find_table(headed, reader, None)


def _batch(
    name: str, path: Path, entries: list[Entry], setting: Setting, known_jobs: Collection[str]
) -> Batch:
    """All that a file gave, under the name the book is to know it by."""
    notes = setting.notes
    entries = rename_jobs(entries, setting.answers, notes)
    ask_about_jobs(entries, known_jobs, setting)
    questions = tuple(map(held, notes.questions.values()))
    return Batch(name, digest(path), tuple(entries), tuple(notes.found), questions)


def _is_day_sheet(sheets: list[Grid], chart: ColumnMap | None) -> bool:
    """Whether a file is an export of the day sheet, and nothing else.

    Raises:
        InputProblem: other tables stand beside it; several exports are told apart by their files.
    """
    found = [sheet for sheet in sheets if is_day_sheet(sheet)]
    if not found or (chart and chart.columns):
        return False
    if len(sheets) > 1:
        raise InputProblem(
            "a day sheet stands beside other tables",
            place=Place(found[0].file, found[0].sheet),
            expected="an export of the day sheet in a file of its own",
        )
    return True


def _parted(
    sheets: list[Grid], reader: HeadingReader, chart: ColumnMap | None, notes: Notes
) -> list[Grid]:
    """The tables of each sheet; a map that says where the headings stand means one table."""
    told = chart is not None and (chart.columns or chart.header_row is not None)
    grids: list[Grid] = []
    for sheet in sheets:
        place = Place(sheet.file, sheet.sheet)
        for note in sheet.notes:
            notes.add("understood", place, note)
        beside = [sheet] if told else part_beside(sheet, reader)
        parts = [sheet] if told else [p for side in beside for p in part_blocks(side, reader)]
        if len(beside) > 1:
            text = f"{len(beside)} tables stand side by side on this sheet; each is read"
            notes.add("understood", place, text)
        elif len(parts) > 1:
            rows = ", ".join(str(part.first_row) for part in parts)
            text = f"{len(parts)} tables stand on this sheet, from rows {rows} on; each is read"
            notes.add("understood", place, text)
        grids += parts
    return grids


def _is_no_record(sheet: Grid, notes: Notes) -> bool:
    """Whether a sheet says of itself that it is not to be read: notes, lists of choices."""
    first = next((raw for raw in sheet.rows[0] if raw is not None), None)
    if not isinstance(first, str) or not first.strip().casefold().startswith(NOT_READ):
        return False
    text = f"the sheet begins with '{NOT_READ}' and is left alone"
    notes.add("understood", Place(sheet.file, sheet.sheet), text, first)
    return True


def _exported(
    grids: list[Grid], chart: ColumnMap | None, notes: Notes
) -> tuple[list[Entry], list[Grid]]:
    """The entries of the sheets that an export wrote, and the other sheets."""
    entries: list[Entry] = []
    others: list[Grid] = []
    for grid in grids:
        found = None if chart and chart.columns else tidy_entries(grid, notes)
        if found is None:
            others.append(grid)
        else:
            entries.extend(found)
    return entries, others


def _wanted(grids: tuple[Grid, ...], chart: ColumnMap | None, path: Path) -> list[Grid]:
    """The sheets with anything in them, or the one the map names."""
    filled = [g for g in grids if any(any(_said(raw) for raw in row) for row in g.rows)]
    if chart is None or chart.sheet is None:
        return filled
    named = [g for g in filled if g.sheet.strip().casefold() == chart.sheet.strip().casefold()]
    if not named:
        names = ", ".join(f"'{g.sheet}'" for g in filled)
        raise InputProblem(
            f"the column map names a sheet '{chart.sheet}' that is not there",
            place=Place(path.name),
            expected=f"one of {names}" if names else "a sheet with something in it",
        )
    return named


def _said(raw: object) -> bool:
    return raw is not None and raw != ""


def _nothing_found(
    grids: list[Grid], reader: HeadingReader, chart: ColumnMap | None, path: Path
) -> InputProblem:
    """The sentence for a file of which nothing was understood."""
    if chart and chart.columns and grids:
        return missing_heading(grids, chart)
    best = max((headings_of(g) for g in grids), key=len, default=())
    found = "no row of the first 30 of any sheet reads like the headings of a table"
    lacking = nearly(grids, reader)
    if lacking:
        found += f"; {lacking}"
    elif best:
        found += "; the nearest to headings are " + ", ".join(f"'{t}'" for t in best[:12])
    near = looked_for(best, reader)
    return InputProblem(
        found,
        place=Place(path.name),
        expected="headings such as Job, Phase, Hours, Cost, Date, Amount"
        + (f"; is it {near}?" if near else ""),
        hint="say what each column means with --map and a column map",
    )


def _note_no_table(grid: Grid, notes: Notes, *, mapped: bool) -> None:
    rows = sum(1 for row in grid.rows if any(_said(raw) for raw in row))
    found = ", ".join(f"'{t}'" for t in headings_of(grid)[:8]) or "no headings"
    if mapped:
        text = (
            f"sheet of {say_count(rows, 'row')} is not used: it has not the columns the map names"
        )
    else:
        text = (
            f"sheet of {say_count(rows, 'row')} is not used: no row reads like headings; found "
            f"{found} (a column map with --map can say what its columns mean)"
        )
    notes.add("set aside", Place(grid.file, grid.sheet), text, found)


def _note_titles(table: Table, notes: Notes) -> None:
    """Say which lines between two tables of a sheet were taken for titles of the second."""
    for row in range(table.header):
        cells = [cell_text(raw) for raw in table.grid.rows[row] if _said(raw)]
        said = " | ".join(cells)
        if said and table.grid.block <= 1:
            if len(cells) >= _WIDE:
                text = "it stands above the headings of the table and is not used"
                notes.add("set aside", table.place(row), text, said)
        elif said:
            text = "this line is taken for a title of the table below it"
            notes.add("understood", table.place(row), text, said)


def _note_columns(table: Table, notes: Notes, *, mapped: bool) -> None:
    """Say what each column was taken for, and which were not used."""
    for column in table.columns:
        if column.how == "close":
            place = table.place(table.body - 1, column.heading)
            notes.slip(("column", place), place, column.heading, f"'{column.near[0]}'")
        notes.add(*_about(table, column))
    if mapped:
        left = ", ".join(f"'{heading}'" for heading, _ in table.unused)
        text = f"columns the map does not name are not read: {left}"
        if left:
            notes.add("understood", table.place(table.body - 1), text, left)
        return
    for heading, match in table.unused:
        note_unknown(table, heading, match, notes)


def _ask_phase_columns(table: Table, reader: HeadingReader, setting: Setting) -> None:
    """Ask for the phase of columns whose heading names a word of several phases."""
    for column in table.columns:
        word = reader.asked_word(column.heading) if column.how == "ask" else ""
        if word:
            place = table.place(table.body - 1, column.heading)
            rows = sum(1 for row in table.grid.rows[table.body :] if row[column.indexes[0]])
            ask_phase(word, column.near, place, setting, max(rows, 1))


def _about(table: Table, column: Column) -> tuple[str, Place, str, str]:
    place = replace(table.place(table.body - 1), column=column.heading)
    # "Day" heads dates as well as it names a unit: only sizes and times have one.
    sized = reads_as(table.kind, column.field) in ("time", "area", "scope")
    unit = _UNITS.get(column.unit or "", "") if sized else ""
    text = f"column '{column.heading}'{TAKEN_FOR}{_field_name(column.field)}{unit}"
    if column.how == "ask":
        names = ", ".join(column.near) or "no phase"
        return "asked", place, f"{text}; its phase may be {names}", column.heading
    return "understood", place, text, column.heading


def _field_name(field: str) -> str:
    """A field in words: "phase.tile.plan.person_hours" is "tile: planned person-hours"."""
    if field.startswith("phase."):
        _, phase, rest = field.split(".", 2)
        return f"{phase}: {_field_name(rest)}"
    if field.startswith("scope."):
        return f"scope item {field.removeprefix('scope.').replace('_', ' ')}"
    if field.startswith((ON_DAY, OF_PHASE)):
        return "how far it was" if field.startswith(ON_DAY) else f"how far {field[5:]} was"
    if field.startswith(SPREAD):
        return f"hours {_SPREAD_NAMES.get(field) or field.replace('.', ' ', 1)}"
    side, _, measure = field.rpartition(".")
    said = {"plan": "planned ", "actual": "actual "}.get(side, "")
    return said + measure.replace("_", " ")
