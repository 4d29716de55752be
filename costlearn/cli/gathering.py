"""The files an import reads: those named, and the spreadsheets of folders named."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from costlearn.errors import InputProblem, Place
from costlearn.intake.sheet_names import is_sheet
from costlearn.units import say_count

LOCKS = ("~$", ".~lock.")
"""What the names of files begin with by which a spreadsheet program says that one is open."""
MAY_BE_TEXT = ".txt"
"""In a folder such a file is more often a letter than a table."""


@dataclass(frozen=True, slots=True)
class Gathered:
    """The files to read, in order, and for each folder one sentence of what was left out."""

    files: tuple[Path, ...]
    said: tuple[str, ...] = ()


def gather(named: Sequence[Path]) -> Gathered:
    """The files named, and in the place of a folder its spreadsheets and those below it, by name.

    Raises:
        InputProblem: nothing is named, or a folder holds no spreadsheet.
    """
    if not named:
        raise InputProblem(
            "no file is named",
            expected="spreadsheets, or a folder of them",
            hint="the files on file are listed with --list",
        )
    files: dict[Path, None] = {}
    said: list[str] = []
    for path in named:
        if path.is_dir():
            found, sentence = _of_folder(path)
            files.update(dict.fromkeys(found))
            said.append(sentence)
        else:
            files[path] = None
    return Gathered(tuple(files), tuple(said))


def _of_folder(folder: Path) -> tuple[list[Path], str]:
    from costlearn.intake.answer_sheet import is_answer_sheet

    listed = list(_below(folder))
    hidden = [p for p in listed if any(x.startswith((".", *LOCKS)) for x in _parts(folder, p))]
    seen = [p for p in listed if p not in set(hidden)]
    sheets = [p for p in seen if is_sheet(p) and p.suffix.casefold() != MAY_BE_TEXT]
    filled = [p for p in sheets if is_answer_sheet(p)]
    found = [p for p in sheets if p not in filled]
    if not found:
        raise InputProblem(
            "no spreadsheet is in this folder",
            place=Place(str(folder)),
            expected="files such as .xlsx, .xls, .ods or .csv",
        )
    counts = ((len(seen) - len(sheets), "no table"), (len(hidden), "hidden or a lock"))
    left = [f"{n} {'is' if n == 1 else 'are'} {what}" for n, what in counts if n]
    left += [f"{p.name} holds answers: costlearn answer {p}" for p in filled]
    sentence = f"{folder}: {say_count(len(found), 'spreadsheet')}"
    return found, f"{sentence}; left out: {', '.join(left)}." if left else f"{sentence}."


def _below(folder: Path) -> Iterator[Path]:
    """All files of a folder and of those below it, in the order of their names."""
    found = (Path(base) / name for base, _, names in os.walk(folder) for name in names)
    return iter(sorted(found, key=lambda p: [x.casefold() for x in _parts(folder, p)]))


def _parts(folder: Path, path: Path) -> tuple[str, ...]:
    return path.relative_to(folder).parts
