"""A file to grids of cells that know their address: workbooks and tables written as text.

What a file is, is judged by its content: a table as text that is named .xls is read, a picture
that is named .xlsx is refused with a sentence.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import python_calamine

from costlearn.disk import LARGEST_FILE, is_device
from costlearn.errors import Place, UnreadableFile, visible
from costlearn.intake.files.containers import kind_of
from costlearn.intake.files.delimited import decode, read_rows
from costlearn.intake.files.trial import broken_as, survives
from costlearn.intake.files.workbooks import Peek, Peeks, address, peek
from costlearn.intake.values.cells import Raw

MAX_ROWS = 2_000_000
MAX_COLUMNS = 5_000
MAX_CELLS = 20_000_000
"""Far beyond any job record; a file that reaches further holds a slip, or is meant to harm."""

_EXPECTED = "a workbook (.xlsx, .xls, .ods) or a table as text (.csv)"


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet of a file; ``rows[i]`` is spreadsheet row ``first_row + i``.

    Attributes:
        file: the file's name, without its folder.
        sheet: the sheet's name, "" for a table written as text.
        rows: the cells, all rows equally wide, blank cells None; empty outer rows and columns at
            the end are left off. Only the first cell of merged cells is filled. An error in a
            cell stands as its code ("#REF!") where the file gives it.
        first_row: the spreadsheet's number of the first row.
        notes: what a person should know about the sheet as a whole, one sentence each.
        block: which of several tables stacked on the sheet this is, from 1; 0 for a whole sheet.
        job: the job that a line above an earlier table of the sheet names for all below it.
    """

    file: str
    sheet: str
    rows: tuple[tuple[Raw, ...], ...]
    first_row: int = 1
    notes: tuple[str, ...] = ()
    block: int = 0
    job: str = ""


def read_grids(path: Path) -> tuple[Grid, ...]:
    """All sheets of a file that hold anything, in the file's order.

    Raises:
        UnreadableFile: there is no such file, or it cannot be read as a table: empty, damaged,
            locked by a password, too large, no workbook. The sentence says which.
    """
    data = _load(path)
    kind = kind_of(data)
    if kind.kind == "refused":
        raise UnreadableFile(
            kind.reason, place=Place(path.name), expected=_EXPECTED, hint=kind.hint
        )
    if kind.kind == "text":
        rows = _gather(read_rows(decode(data, path.name), path.name), Place(path.name))
        grids: tuple[Grid, ...] = (Grid(path.name, "", rows),)
    else:
        grids = _read_workbook(data, path.name, binary=kind.kind == "binary")
    filled = tuple(grid for grid in grids if grid.rows)
    if not filled:
        raise UnreadableFile("holds no filled cell", place=Place(path.name), expected=_EXPECTED)
    return filled


def digest(path: Path) -> str:
    """The SHA-256 of a file's bytes, in hexadecimal: the same file has the same digest.

    Raises:
        UnreadableFile: there is no such file, or it cannot be opened.
    """
    return hashlib.sha256(_load(path)).hexdigest()


def _load(path: Path) -> bytes:
    """The bytes of a file, if it can be opened and is no larger than a job record can be."""
    if visible(path.name) != path.name:
        # A name is told beside each figure, and kept; half a letter can be neither.
        raise UnreadableFile(
            "its name holds letters that cannot be shown",
            place=Place(str(path)),
            hint="rename the file",
        )
    try:
        if path.is_dir():
            raise UnreadableFile(
                "is a folder, not a file", place=Place(str(path)), expected=_EXPECTED
            )
        if is_device(path):
            # A device or a pipe may go on for ever.
            raise UnreadableFile("is no plain file", place=Place(str(path)), expected=_EXPECTED)
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise UnreadableFile(
                f"is {size / 2**20:,.0f} MB large",
                place=Place(str(path)),
                expected=f"at most {LARGEST_FILE // 2**20} MB",
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise UnreadableFile("there is no such file", place=Place(str(path))) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UnreadableFile(f"cannot be opened: {why}", place=Place(str(path))) from None


def _read_workbook(data: bytes, file: str, *, binary: bool) -> tuple[Grid, ...]:
    """The sheets of a workbook, each looked at for its reach before room is made for it."""
    seen_first = Peeks({}, plain=False) if binary else peek(data)
    for name, seen in seen_first.sheets.items():
        if seen.last is not None:
            _check_reach(seen.area, seen.last, Place(file, name))
    if not seen_first.plain and not survives(data):
        raise _damaged(file)
    try:
        with broken_as(_damaged(file)):
            return _read_sheets(data, file, seen_first.sheets)
    except python_calamine.PasswordError:
        raise UnreadableFile(
            "is locked by a password",
            place=Place(file),
            hint="open it with its password and save a copy without one",
        ) from None
    except (python_calamine.CalamineError, OSError, ValueError, OverflowError, MemoryError):
        raise _damaged(file) from None


def _damaged(file: str) -> UnreadableFile:
    return UnreadableFile(
        "is a workbook that cannot be read: it is damaged, or far too large",
        place=Place(file),
        expected=_EXPECTED,
        hint="open it in a spreadsheet program and save it again",
    )


def _read_sheets(data: bytes, file: str, peeks: dict[str, Peek]) -> tuple[Grid, ...]:
    """The sheets of a workbook that hold cells; charts and macros are no sheets."""
    grids = []
    with python_calamine.CalamineWorkbook.from_filelike(BytesIO(data)) as workbook:
        for about in workbook.sheets_metadata:
            if about.typ != python_calamine.SheetTypeEnum.WorkSheet:
                continue
            place = Place(file, about.name)
            seen = peeks.get(about.name, Peek())
            with broken_as(_broken(place)):
                cells = _cells(workbook.get_sheet_by_name(about.name), place)
            rows = _gather(_with_errors(cells, seen), place)
            hidden = about.visible != python_calamine.SheetVisibleEnum.Visible
            grids.append(Grid(file, about.name, rows, notes=_notes(seen, hidden=hidden)))
    return tuple(grids)


def _cells(sheet: python_calamine.CalamineSheet, place: Place) -> list[list[Raw]]:
    """The cells of a sheet, if it does not reach too far."""
    if sheet.end is not None:
        last = (sheet.end[0] + 1, sheet.end[1] + 1)
        _check_reach(last[0] * last[1], last, place)
    return [[*row] for row in sheet.to_python(skip_empty_area=False)]


def _broken(place: Place) -> UnreadableFile:
    return UnreadableFile(
        "is a sheet that cannot be read: a cell of it is damaged",
        place=place,
        expected="figures where figures are meant, and days where a cell is set as a date",
        hint="look for a cell of hash signs, such as a date far below zero, and correct it",
    )


def _check_reach(area: int, last: tuple[int, int], place: Place) -> None:
    """Refuse a sheet with a cell so far out that it cannot be a table of jobs."""
    if last[0] > MAX_ROWS or last[1] > MAX_COLUMNS or area > MAX_CELLS:
        raise UnreadableFile(
            f"the cells reach as far as {address(*last)}",
            place=place,
            expected=f"at most {MAX_COLUMNS:,} columns, {MAX_ROWS:,} rows and {MAX_CELLS:,} cells",
            hint="delete what stands far outside the table",
        )


def _with_errors(rows: list[list[Raw]], seen: Peek) -> list[list[Raw]]:
    """The rows with the codes of error cells in their places."""
    for (row, column), code in seen.errors.items():
        rows.extend([] for _ in range(row - len(rows)))
        cells = rows[row - 1]
        cells.extend([None] * (column - len(cells)))
        cells[column - 1] = code
    return rows


def _notes(seen: Peek, *, hidden: bool) -> tuple[str, ...]:
    """What a person should know about a sheet as a whole."""
    notes = ["the sheet is hidden in the workbook; it is read like any other"] if hidden else []
    for count, what in ((seen.hidden_rows, "row"), (seen.hidden_columns, "column")):
        if count:
            many = f"{count:,} {what}s are" if count > 1 else f"one {what} is"
            notes.append(f"{many} hidden in the workbook and read like any other")
    if seen.no_result:
        more = len(seen.no_result) - 1
        others = f" and {more:,} more like it" if more else ""
        notes.append(
            f"the formula in {address(*seen.no_result[0])}{others} has no stored result and is"
            " blank here; open the file in a spreadsheet program and save it"
        )
    return tuple(notes)


def _gather(rows: Iterable[Sequence[Raw]], place: Place) -> tuple[tuple[Raw, ...], ...]:
    """Rows made equally wide, blank cells None, empty rows and columns at the end left off."""
    gathered: list[tuple[Raw, ...]] = []
    width = kept = cells = 0
    for number, row in enumerate(rows, start=1):
        plain = tuple(_plain(cell) for cell in row)
        filled = next((i for i in range(len(plain), 0, -1) if plain[i - 1] is not None), 0)
        cells += filled
        if number > MAX_ROWS or filled > MAX_COLUMNS or cells > MAX_CELLS:
            _check_reach(MAX_CELLS + 1, (number, filled or 1), place)
        width = max(width, filled)
        gathered.append(plain[:filled])
        kept = number if filled else kept
    if width * kept > MAX_CELLS:
        _check_reach(width * kept, (kept, width), place)
    return tuple(row + (None,) * (width - len(row)) for row in gathered[:kept])


def _plain(cell: Raw) -> Raw:
    """A cell as people mean it: blank text is None, a whole number has no decimals."""
    if isinstance(cell, str):
        return cell if cell.strip() else None
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return int(cell)
    return cell
