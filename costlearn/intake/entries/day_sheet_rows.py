"""Records of the day sheet to entries, by the usual readers; a finished job is one line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from costlearn.errors import Place
from costlearn.intake.day_sheet import HEADINGS, NAME, Record, records_of
from costlearn.intake.entries.callbacks import place_work
from costlearn.intake.entries.hours_rows import hours_entries
from costlearn.intake.entries.line_rows import change_entries, no_job
from costlearn.intake.entries.receipt_rows import receipt_entries
from costlearn.intake.entries.typed_rows import LineAsked, line_entries
from costlearn.intake.files.sheets import Grid
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.rows import read_rows, set_aside
from costlearn.intake.tables import Column, Table
from costlearn.records import Entry, HoursEntry

JOB = "job"
"""What the record of a finished job calls itself."""
KINDS = {"hours": "hours", "receipt": "receipts", "extra": "changes"}
"""What a record calls itself, and the kind of table it is read as."""

_FIELDS: Mapping[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "hours": (
        ("job", ("job",)),
        ("person", ("person",)),
        ("day", ("day",)),
        ("phase", ("phase",)),
        ("hours", ("hours",)),
        ("waiting", ("waiting",)),
        ("notes", ("waiting for", "note")),
    ),
    "receipts": (
        ("job", ("job",)),
        ("day", ("day",)),
        ("phase", ("phase",)),
        ("payee", ("paid to",)),
        ("kind", ("cost kind",)),
        ("amount", ("amount before tax",)),
        ("tax", ("tax",)),
        ("gross", ("amount with tax",)),
        ("notes", ("note",)),
    ),
    "changes": (
        ("job", ("job",)),
        ("label", ("extra",)),
        ("price", ("price",)),
        ("state", ("answer",)),
        ("phase", ("phase",)),
    ),
}
"""The fields of each kind of table and the headings they stand under."""

_NOTHING_BETWEEN = "; "


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The records that stand, laid out as one table, and the place each row came from."""

    grid: Grid
    records: tuple[Record, ...]

    def table(self, kind: str, name: str) -> Table:
        """The rows of one kind as a table of their own; all other rows are blank."""
        blank = (None,) * len(HEADINGS)
        heads, *rows = self.grid.rows
        own = [
            row if record.said("record").casefold() == name else blank
            for row, record in zip(rows, self.records, strict=True)
        ]
        columns = tuple(
            Column(
                field,
                " and ".join(texts),
                tuple(HEADINGS.index(text) for text in texts),
                "hours" if field == "hours" else None,
                joint=_NOTHING_BETWEEN,
            )
            for field, texts in _FIELDS[kind]
        )
        grid = replace(self.grid, rows=(heads, *own))
        return Table(grid, kind, 0, 1, columns, ())

    def place(self, place: Place) -> Place:
        """Where a row of these tables really stands."""
        row = place.row - 2
        if place.file != NAME or not 0 <= row < len(self.records):
            return place
        return replace(self.records[row].place, column=place.column)


def day_sheet_entries(grid: Grid, setting: Setting) -> list[Entry]:
    """The entries of an export of the day sheet; removed records give none.

    Each entry, finding and question says the file and row of the export its record stood in.
    """
    every = records_of(grid)
    standing = tuple(record for record in every if not record.removed)
    sheet = _Sheet(Grid(NAME, "", (HEADINGS, *map(_cells, standing))), standing)
    first = len(setting.notes.found)
    entries = _hours(sheet, setting)
    for name, build in (("receipt", receipt_entries), ("extra", change_entries)):
        table = sheet.table(KINDS[name], name)
        rows = read_rows(table, setting)
        entries += build(table, rows, setting) if rows else []
    entries += line_entries([_line(record) for record in standing if _is_job(record)], setting)[0]
    _note_strangers(standing, setting)
    notes = setting.notes
    notes.found[first:] = [replace(f, place=sheet.place(f.place)) for f in notes.found[first:]]
    for key, asked in notes.questions.items():
        notes.questions[key] = replace(asked, place=sheet.place(asked.place))
    _note_read(grid, every, standing, setting)
    placed = (replace(entry, place=sheet.place(entry.place)) for entry in entries)
    return sorted(placed, key=lambda entry: (entry.place.file, entry.place.row))


def _hours(sheet: _Sheet, setting: Setting) -> list[Entry]:
    """Hours worked and waited; a wait with nobody on site is a wait of no paid hours."""
    table = sheet.table("hours", "hours")
    rows = read_rows(table, setting)
    found = hours_entries(table, [row for row in rows if not _is_empty_wait(row)], setting)
    for row in filter(_is_empty_wait, rows):
        job, day = row.text("job"), row.day("day")
        why = no_job(job, setting) or ("" if day else "it names no day")
        if why:
            set_aside(table, row, why, setting)
            continue
        phase = place_work(table, row, setting).phase
        found.append(HoursEntry(job, "", day, 0.0, row.place, phase, True, row.text("notes")))
    return found


def _is_job(record: Record) -> bool:
    return record.said("record").casefold() == JOB


def _line(record: Record) -> LineAsked:
    """A finished job: its name and day stand beside the line that says the rest."""
    return LineAsked(
        record.said("line"),
        record.key,
        record.place,
        name=record.said("job"),
        finished=record.said("day"),
    )


def _is_empty_wait(row: Row) -> bool:
    return bool(row.flag("waiting")) and not row.text("person") and not row.number("hours")


def _cells(record: Record) -> tuple[str | None, ...]:
    return tuple(record.said(heading) or None for heading in HEADINGS)


def _note_strangers(records: Iterable[Record], setting: Setting) -> None:
    """Say which rows are of no kind of record the day sheet has."""
    for record in records:
        word = record.said("record")
        if word.casefold() not in (*KINDS, JOB):
            why = f"'{word}' is no kind of record: hours, receipt, extra or job"
            said = " | ".join(record.said(h) for h in HEADINGS if record.said(h))
            setting.notes.add("set aside", record.place, why, said)


def _note_read(
    grid: Grid, every: tuple[Record, ...], standing: tuple[Record, ...], setting: Setting
) -> None:
    place = Place(grid.file, grid.sheet, grid.first_row)
    many = "" if len(standing) == 1 else "s"
    text = f"{len(standing)} record{many} of a day sheet read"
    gone = len(every) - len(standing)
    if gone:
        text += f"; {gone} taken out on the sheet {'are' if gone > 1 else 'is'} in no figure"
    setting.notes.add("understood", place, text)
    if any(r.said("record").casefold() == "extra" for r in standing):
        text = "the day of an extra stands in the sheet only; a change order has none in the book"
        setting.notes.add("understood", place, text)
