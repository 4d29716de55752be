"""Files to read and how they are refused, for the tests of this room; all are made here."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from costlearn.errors import InputProblem, UnreadableFile
from costlearn.intake.files.sheets import read_grids


def put(folder: Path, data: bytes | str, name: str = "file.csv") -> Path:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


def refusal(path: Path) -> str:
    with pytest.raises(UnreadableFile) as caught:
        read_grids(path)
    assert isinstance(caught.value, InputProblem)
    assert path.name in str(caught.value)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def workbook(folder: Path, name: str = "jobs.xlsx", **cells: object) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Jobs"
    for where, value in cells.items():
        sheet[where] = value
    book.save(folder / name)
    return folder / name
