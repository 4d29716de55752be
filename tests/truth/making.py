"""The files of a case as its maker would have them on disk: text as it stands, or a workbook."""

from __future__ import annotations

import csv
import re
from datetime import date, time
from pathlib import Path
from typing import Any

import openpyxl

_NUMBER = re.compile(r"-?(?:0|[1-9]\d*)(?:\.\d+)?")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


def make(files: list[dict[str, Any]], folder: Path, *, workbooks: bool) -> list[Path] | None:
    """Write the files of a case.

    Args:
        files: the ``[[file]]`` parts.
        folder: where to.
        workbooks: text files are written as workbooks of one sheet.

    Returns:
        Their paths in the order of the case; None if there is nothing that could be a workbook
        instead: all are, or a row is torn, which no workbook can be.
    """
    texts = [one for one in files if "text" in one]
    if workbooks and (not texts or any(torn(one["text"]) for one in texts)):
        return None
    paths = []
    for one in files:
        path = folder / one["name"]
        path.parent.mkdir(parents=True, exist_ok=True)
        if "text" not in one:
            write_workbook(path, [(s["name"], s["text"]) for s in one["sheet"]])
        elif workbooks:
            path = path.with_suffix(".xlsx")
            write_workbook(path, [("Sheet1", one["text"])])
        else:
            path.write_text(one["text"], "utf-8")
        paths.append(path)
    return paths


def delimiter_of(text: str) -> str:
    """What parts the cells of a text: whatever most of its rows agree on."""
    lines = text.splitlines()
    return max(",;\t", key=lambda sign: sum(sign in line for line in lines if line))


def cells_of(text: str, delimiter: str | None = None) -> list[list[str]]:
    """A text as rows of cells; workbooks are given with commas."""
    return list(csv.reader(text.splitlines(), delimiter=delimiter or delimiter_of(text)))


def torn(text: str) -> bool:
    """Whether a row has more cells than the row of the headings, the widest of the first six."""
    rows = cells_of(text)
    return len({len(row) for row in rows if row}) > 1


def write_workbook(path: Path, sheets: list[tuple[str, str]]) -> None:
    """Write sheets given as comma-parted text (one that is not keeps its own sign)."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, text in sheets:
        sheet = book.create_sheet(name)
        for row in cells_of(text, None if len(sheets) == 1 else ","):
            sheet.append([as_cell(cell) for cell in row])
    book.save(path)


def as_cell(text: str) -> Any:
    """What a person who types this into a workbook gets: a number, a date, a time, or text."""
    if _NUMBER.fullmatch(text):
        return float(text) if "." in text else int(text)
    if _DAY.fullmatch(text):
        return date.fromisoformat(text)
    clock = _CLOCK.fullmatch(text)
    if clock:
        return time(int(clock[1]), int(clock[2]))
    return text or None
