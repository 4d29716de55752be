"""Lines typed about jobs to entries: each line is a job list of one row, read as any other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.intake.answers import LEAVE_OUT, key_of
from costlearn.intake.currencies import in_named_currency
from costlearn.intake.entries.job_rows import job_entries
from costlearn.intake.files.sheets import Grid
from costlearn.intake.findings import Notes
from costlearn.intake.kinds import kind_in_name
from costlearn.intake.line import AMOUNT, Parted, cells_for_quote, part_line
from costlearn.intake.readings import Setting
from costlearn.intake.rows import read_rows
from costlearn.intake.tables import Column, Table
from costlearn.intake.typed import NAME, typed_lines
from costlearn.intake.values.money import read_money
from costlearn.records import Entry

TOPIC = "part of a line"
"""The questions about a piece of a line whose words do not say what it is of."""
_AMOUNTS = ("cost (what it cost you)", "price (what the client pays)", LEAVE_OUT)
_DAYS = ("finished", "started", "quoted", LEAVE_OUT)
_KINDS = ("bathroom", "laundry", "kitchen", "other")
_FIELDS = {"finished": "finished", "started": "started", "quoted": "quoted_on", "price": "price"}
HEADS: Mapping[str, str] = {
    "job": "job",
    "kind": "kind",
    "state": "state",
    "area": "size",
    "actual.days": "days",
    "crew": "crew",
    "actual.cost": "cost",
    "price": "price",
    "paid": "paid",
    "plan.days": "planned days",
    "plan.cost": "planned cost",
    "quoted_on": "quoted on",
    "started": "started",
    "finished": "finished",
    "plan.finished": "planned finish",
    "house_year": "house built",
    "grade": "grade",
    "condo": "condo",
    "scope": "scope",
    "notes": "note",
}
"""What each figure of a line is called, in the order it is shown."""


@dataclass(frozen=True, slots=True)
class LineAsked:
    """A line to be read: what questions about it are named by, its place, and what is known.

    ``name`` and ``finished`` are what stands beside the line (a day sheet asks for both);
    ``planned`` says that the job is only asked about, so all its figures are planned.
    """

    text: str
    label: str
    place: Place
    name: str = ""
    finished: str = ""
    planned: bool = False


def lines_of(grid: Grid) -> list[LineAsked]:
    """The lines of the table of those typed by hand; those taken back are none."""
    return [
        LineAsked(one.text, f"line {one.number}", one.place)
        for one in typed_lines(grid)
        if not one.back
    ]


def line_entries(lines: Sequence[LineAsked], setting: Setting) -> tuple[list[Entry], Firm]:
    """What lines say, with a question for each piece that only a person can place.

    A line whose cost or price waits for an answer gives no entry yet. The firm comes back with the
    one currency that its lines name, if it has named none.
    """
    notes, places = setting.notes, {line.label: line.place for line in lines}
    first = len(notes.found)
    tables = {line.label: _table(line, setting) for line in lines}
    firm = in_named_currency(setting.firm, tables.values(), notes)
    entries: list[Entry] = []
    for label, table in tables.items():
        if table is not None:
            own = replace(setting, firm=firm, orders={})
            made = job_entries(table, read_rows(table, own), own)
            entries += [] if _waits(label, setting) else made
    _put(places, first, notes)
    return [replace(e, place=_placed(e.place, places)) for e in entries], firm


def _waits(label: str, setting: Setting) -> bool:
    """Whether the cost or price of a line waits; whether its job is finished hangs on that."""
    questions = setting.notes.questions
    start = key_of(TOPIC, NAME, label)
    waits = any(key.startswith(f"{start} / ") and one.money for key, one in questions.items())
    if waits:
        questions.pop(key_of("jobs of a list", NAME, label), None)
    return waits


def _put(places: Mapping[str, Place], first: int, notes: Notes) -> None:
    """Let findings and questions say the line instead of the table that was made of it."""
    notes.found[first:] = [replace(f, place=_placed(f.place, places)) for f in notes.found[first:]]
    for key, asked in notes.questions.items():
        notes.questions[key] = replace(asked, place=_placed(asked.place, places))


def _placed(place: Place, places: Mapping[str, Place]) -> Place:
    line = places.get(place.sheet) if place.file == NAME else None
    return replace(line, column=place.column) if line is not None else place


def _table(line: LineAsked, setting: Setting) -> Table | None:
    """A line as a job list of one row."""
    parted = part_line(line.text, setting.vocabulary, setting.firm, name=line.name)
    if not parted.name and not line.planned:
        setting.notes.add("set aside", line.place, "it begins with no name of a job", line.text)
        return None
    cells = _cells(parted, line, setting)
    heads = [key for key in HEADS if cells.get(key)]
    rows = (tuple(HEADS[key] for key in heads), tuple(cells[key] for key in heads))
    columns = tuple(Column(key, HEADS[key], (at,)) for at, key in enumerate(heads))
    return Table(Grid(NAME, line.label, rows), "jobs", 0, 1, columns, ())


def _cells(parted: Parted, line: LineAsked, setting: Setting) -> dict[str, str]:
    """The texts of the figures, with what a person said of the open ones."""
    cells = dict(parted.cells)
    _settle_open(parted, line, cells, setting)
    cells["job"] = parted.name or "this job"
    if line.finished:
        cells.setdefault("finished", line.finished)
        cells.setdefault("state", "finished")
    if line.planned:
        cells = {**cells_for_quote(cells), "state": cells.get("state", "quoted")}
    elif parted.quoted and not {"state", "actual.cost", "actual.days", "finished"} & cells.keys():
        cells["state"] = "quoted"
    cells["scope"] = "; ".join(parted.scope)
    cells["notes"] = "; ".join((*parted.notes, *parted.twice))
    for text in parted.notes:
        setting.notes.add("understood", line.place, f"'{text}' is kept as a note", text)
    for text in parted.twice:
        why = f"'{text}' says again, differently, what stands before it; kept as a note"
        setting.notes.add("set aside", line.place, why, text)
    if not line.planned and "kind" not in cells:
        _ask_kind(parted.name, line, cells, setting)
    return cells


def _settle_open(parted: Parted, line: LineAsked, cells: dict[str, str], setting: Setting) -> None:
    """Amounts and days that no word places: where a person said they belong, else asked."""
    for piece, what in parted.open.items():
        about = (NAME, line.label, piece)
        said = setting.answers.get(TOPIC, *about)
        if said is None:
            amount = what == AMOUNT
            read = read_money(
                piece, ranges=True, net_only=True, firm_currency=setting.firm.currency
            )
            cents = read.value.cents if read.value else 1
            asks = "what the job cost you, or its price" if amount else "the day it finished"
            text = f"Is '{piece}' {asks}?"
            holds = f"its {'cost or price' if amount else 'dates'}"
            choices = _AMOUNTS if amount else _DAYS
            setting.ask(
                TOPIC, about, line.place, text, choices,
                found=piece, money=cents if amount else 0, holds=holds, samples=(line.text,),
            )  # fmt: skip
            setting.notes.add("asked", line.place, f"nothing says what '{piece}' is of", piece)
        elif said == LEAVE_OUT:
            setting.notes.add("set aside", line.place, "left out, as you answered", piece)
        else:
            key = _FIELDS.get(said, "actual.cost")
            if key in cells:
                parted.twice.append(piece)
            cells.setdefault(key, piece)
            setting.notes.add("understood", line.place, f"'{piece}' is {said}, as you said", piece)


def _ask_kind(name: str, line: LineAsked, cells: dict[str, str], setting: Setting) -> None:
    """The kind of job where its name does not tell, as a person said it; asked if nobody did."""
    if kind_in_name(name, setting.vocabulary):
        return
    said = setting.answers.get("kind of job", name)
    if said is not None:
        cells["kind"] = said
        return
    text = f"What kind of job is '{name}'?"
    setting.ask("kind of job", (name,), line.place, text, _KINDS, found=name)
    setting.notes.add("asked", line.place, "its name tells no one kind of job", name)
