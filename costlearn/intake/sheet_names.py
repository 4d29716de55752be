"""Which files hold a sheet, told by their names alone; reading one takes far more."""

from __future__ import annotations

from pathlib import Path

KINDS = (".xlsx", ".xls", ".xlsm", ".ods", ".csv", ".tsv", ".txt")


def is_sheet(path: Path) -> bool:
    """True if a file's name says it is a workbook or a table as text."""
    return path.suffix.casefold() in KINDS
