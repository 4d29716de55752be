"""Tidy copies of a book: all entries as plain tables, ready for a spreadsheet or a notebook.

Importing the copy into a new book gives the identical history: each row says which file, sheet and
row it came from, and texts that a spreadsheet could take for formulas are kept harmless.
"""

from __future__ import annotations

import csv
import errno
import io
import json
import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

from costlearn import tidy
from costlearn.disk import is_device
from costlearn.errors import InputProblem, Place
from costlearn.fields import columns
from costlearn.firm import Firm
from costlearn.records import Entry
from costlearn.units import from_cents

LONGEST = {"csv": 100_000, "xlsx": 32_000}
"""Letters that fit into one cell."""
MOST_ROWS = 1_000_000
"""Rows of a sheet; a spreadsheet program shows 1,048,576 (ECMA-376, SpreadsheetML limits)."""

_FIRST_DAY = date(1904, 1, 1)
"""Earlier days are written as text: the serial numbers of early 1900 are ambiguous."""
_FORMATS = {"money": "#,##0.00", "number": "General", "whole": "0", "date": "yyyy-mm-dd"}
_WIDTHS = {
    **{"text": 18, "scope": 30, "spans": 24},
    **{"money": 12, "number": 10, "whole": 9, "date": 11, "flag": 8},
}


def export(
    entries: Iterable[Entry], firm: Firm, to: Path, *, replace: bool = False
) -> tuple[Path, ...]:
    """Write all entries to a workbook (.xlsx) or, as .csv files, to a folder.

    The firm's settings go beside them as a TOML file, ready for ``import --settings``.

    Args:
        entries: as :meth:`costlearn.book.store.Book.entries` gives them.
        firm: the settings.
        to: a file ending in .xlsx, or a folder; the folder is made if it is not there.
        replace: write over what an earlier export left there.

    Returns:
        The files written.

    Raises:
        InputProblem: something stands there already, the folder above is not there, or an entry
            does not fit a spreadsheet.
    """
    tables: dict[str, list[Sequence[tidy.Cell]]] = {kind: [] for kind in tidy.KINDS}
    for entry in entries:
        tables[tidy.kind_of(entry)].append(tidy.cells(entry))
    if to.suffix.casefold() == ".xlsx":
        made = {to: _workbook(tables), to.with_name(f"{to.stem}_firm.toml"): _settings(firm)}
        folder = to.parent
    else:
        if to.exists() and not to.is_dir():
            raise InputProblem(
                "this is a file",
                place=Place(str(to)),
                expected="a name ending in .xlsx, or a folder",
            )
        made = {to / f"tidy_{kind}.csv": _text(kind, rows) for kind, rows in tables.items()}
        made[to / "tidy_firm.toml"] = _settings(firm)
        folder = to
    if not folder.parent.is_dir() or (folder != to and not folder.is_dir()):
        raise InputProblem(
            "its folder does not exist", place=Place(str(to)), hint="create the folder first"
        )
    taken = next((path for path in made if path.exists()), None)
    if taken is not None and not replace:
        raise InputProblem(
            "there is a file of this name already",
            place=Place(str(taken)),
            expected="a new name",
            hint="or add --replace to write over it",
        )
    is_new = not folder.exists()
    if is_new:
        folder.mkdir()
    try:
        write_all(made)
    except BaseException:
        if is_new:
            with suppress(OSError):
                folder.rmdir()
        raise
    return tuple(made)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all.

    Raises:
        InputProblem: it cannot be written; what stood there stays.
    """
    write_all({path: data})


def write_all(made: Mapping[Path, bytes]) -> None:
    """Write files that belong together: none takes its place before all are on the disk.

    Raises:
        InputProblem: one cannot be written; what stood there stays.
    """
    fresh: dict[Path, Path] = {}
    mask = os.umask(0)
    os.umask(mask)
    try:
        for path, data in made.items():
            if is_device(path):
                # A device or a pipe, whose place the file would take.
                raise InputProblem(
                    "is no plain file", place=Place(str(path)), expected="a new name"
                )
            handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
            fresh[path] = Path(name)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            fresh[path].chmod(0o666 & ~mask)
        for path, whole in fresh.items():
            whole.replace(path)
    except OSError as error:
        full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        why = "the disk is full" if full else (error.strerror or str(error)).lower()
        raise InputProblem(
            f"this cannot be written: {why}",
            place=Place(str(next(iter(made)))),
            hint="make room and try again" if full else "name a folder you may write to",
        ) from error
    finally:
        for left in fresh.values():
            left.unlink(missing_ok=True)


def _text(kind: str, rows: Iterable[Sequence[tidy.Cell]]) -> bytes:
    """A table as comma separated values, UTF-8 with the mark that spreadsheet programs look for."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(tidy.headings(kind))
    styles = _styles(kind)
    for row in rows:
        _check_fits(kind, row, "csv")
        writer.writerow([_shown(style, cell) for style, cell in zip(styles, row, strict=True)])
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def _styles(kind: str) -> tuple[str, ...]:
    return (*(c.style for c in columns(tidy.KINDS[kind])), "text", "text", "whole", "text")


def _shown(style: str, cell: tidy.Cell) -> str:
    """A cell as text: money with two decimals, numbers with all their digits."""
    if cell is None:
        return ""
    if style == "money" and isinstance(cell, int):
        return tidy.money_text(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    return repr(cell) if isinstance(cell, float) else str(cell)


def _check_fits(kind: str, row: Sequence[tidy.Cell], ending: str) -> None:
    """Refuse a text longer than a cell can hold: a cut text would not come back.

    Raises:
        InputProblem: a text is too long; its place is named.
    """
    most = LONGEST[ending]
    heads = tidy.headings(kind)
    for heading, cell in zip(heads, row, strict=True):
        if isinstance(cell, str) and len(cell) > most:
            file, sheet, number, _ = row[-len(tidy.ORIGIN) :]
            line = number if isinstance(number, int) else 0
            raise InputProblem(
                f"a text of {len(cell):,} letters does not fit a cell",
                place=Place(str(file or ""), str(sheet or ""), line, heading),
                expected=f"at most {most:,} letters",
                hint="" if ending == "csv" else "export to a folder instead",
            )


def _workbook(tables: Mapping[str, Sequence[Sequence[tidy.Cell]]]) -> bytes:
    """All tables as the sheets of one workbook."""
    import xlsxwriter

    raw = io.BytesIO()
    book = xlsxwriter.Workbook(
        raw, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    )
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    formats = {style: book.add_format({"num_format": f}) for style, f in _FORMATS.items()}
    for kind, rows in tables.items():
        if len(rows) > MOST_ROWS:
            raise InputProblem(
                f"{len(rows):,} rows of {kind} do not fit a sheet",
                expected=f"at most {MOST_ROWS:,}",
                hint="export to a folder instead",
            )
        sheet = book.add_worksheet(kind)
        sheet.freeze_panes(1, 1)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        styles = _styles(kind)
        for at, (heading, style) in enumerate(zip(tidy.headings(kind), styles, strict=True)):
            sheet.write_string(0, at, heading, head)
            sheet.set_column(at, at, _WIDTHS[style], formats.get(style))
        for line, row in enumerate(rows, 1):
            _check_fits(kind, row, "xlsx")
            for at, (style, cell) in enumerate(zip(styles, row, strict=True)):
                _put(sheet, line, at, style, cell, formats)
    book.close()
    return raw.getvalue()


def _put(
    sheet: Any, row: int, at: int, style: str, cell: tidy.Cell, formats: Mapping[str, Any]
) -> None:
    """Write a cell as a number or date where that keeps it whole, else as text."""
    if cell is None or cell == "":
        return
    if isinstance(cell, date) and cell >= _FIRST_DAY:
        sheet.write_datetime(row, at, cell, formats["date"])
        return
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        value = from_cents(cell) if style == "money" and isinstance(cell, int) else cell
        # A workbook keeps 16 figures of a number; what needs more stays whole as text.
        kept = float(f"{value:.16G}")
        whole = round(kept * 100) == cell and abs(cell) < 10**15 if style == "money" else True
        if kept == value and whole and abs(value) < 10**15:
            sheet.write_number(row, at, value, formats.get(style))
            return
    sheet.write_string(row, at, _shown(style, cell))


def _settings(firm: Firm) -> bytes:
    """What the firm stated about itself, as TOML."""
    usual = Firm()
    lines = ["[firm]"]
    for one in fields(firm):
        value = getattr(firm, one.name)
        if value != getattr(usual, one.name):
            lines.append(f"{one.name} = {_toml(value)}")
    return ("\n".join(lines) + "\n").encode()


def _toml(value: Any) -> str:
    """A setting's value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_toml(str(key))} = {_toml(v)}" for key, v in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(_toml(one) for one in value)}]"
    if isinstance(value, str):
        # JSON's escapes are TOML's, but for the one control character JSON leaves as it is.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(float(value))
