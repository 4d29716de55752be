"""Workbooks to read, and what was read of them by kind, for the tests of this room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import openpyxl

from costlearn.firm import Firm
from costlearn.records import Batch

Read = Callable[..., Batch]
FIRM = Firm(currency="CAD")


def workbook(path: Path, **sheets: list[list[object]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)  # type: ignore[arg-type]
    for name, rows in sheets.items():
        sheet = book.create_sheet(name.replace("_", " "))
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


T = TypeVar("T")


def of(batch: Batch, kind: type[T]) -> list[T]:
    return [e for e in batch.entries if isinstance(e, kind)]


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]
