"""Problems that speak one sentence: where, what was found, what was expected, what to do.

Every mistake a user can make ends in one of these classes. The command line prints ``str(error)``
and exits with code 2; a notebook user catches :class:`CostlearnError`.

::

    CostlearnError
    |-- InputProblem        a file, sheet, row, column or option holds what cannot be used
    |   `-- UnreadableFile  the file as a whole cannot be read
    |-- BookProblem         the job book cannot be used as it stands
    |   `-- NewerBook       it was written by a later version of costlearn
    `-- NothingToSay        a number was asked of a model that has none to give
"""

from __future__ import annotations

import re
from dataclasses import dataclass

LONGEST_FOUND = 600
"""Letters of what was found, or of where, that are told; a cell may hold a book."""

_UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]"
)
"""Characters that show nothing and do something: they steer a terminal, turn the direction of
reading (Unicode Standard Annex 9, 2), break a line, or are half a character."""


def visible(text: str, *, lines: bool = False) -> str:
    r"""A text of somebody else's as it may be shown: what acts unseen stands as its code.

    Args:
        text: the text.
        lines: line ends and tabs may stay as they are.

    >>> print(visible("hall bath\x1b[31m"))
    hall bath\x1b[31m
    """
    return _UNSEEN.sub(lambda found: _code(found[0], lines=lines), text)


def _code(letter: str, *, lines: bool) -> str:
    if letter in "\n\t":
        return letter if lines else " "
    return letter.encode("unicode_escape").decode()


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where a value stands: file, sheet, row (counted from 1, as a spreadsheet does), column."""

    file: str = ""
    sheet: str = ""
    row: int = 0
    column: str = ""

    def __str__(self) -> str:
        parts = [self.file] if self.file else []
        if self.sheet:
            parts.append(f"sheet '{self.sheet}'")
        if self.row:
            parts.append(f"row {self.row}")
        if self.column:
            # What a spreadsheet calls a column is an entry in a file of settings.
            what = "entry" if self.file.casefold().endswith(".toml") else "column"
            parts.append(f"{what} '{self.column}'")
        return ", ".join(parts)


class CostlearnError(Exception):
    """Base of every problem costlearn reports; its text is one clear sentence.

    Args:
        found: what was found, as a clause ("'PNS' is no amount of money").
        place: where it was found.
        expected: what would have been accepted ("an amount such as 1,250.00").
        hint: what to do about it, a short clause.
    """

    def __init__(
        self, found: str, *, place: Place | None = None, expected: str = "", hint: str = ""
    ) -> None:
        self.found = found
        self.place = place or Place()
        self.expected = expected
        self.hint = hint
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """The whole problem in one sentence."""
        text = self.found.rstrip(".")
        if len(text) > LONGEST_FOUND:
            text = text[: LONGEST_FOUND - 3].rstrip() + "..."
        where = str(self.place)
        if len(where) > LONGEST_FOUND:
            where = where[: LONGEST_FOUND - 3] + "..."
        if where:
            text = f"{where}: {text}"
        if self.expected:
            text += f"; expected {self.expected.rstrip('.')}"
        if self.hint:
            text += f" ({self.hint.rstrip('.')})"
        return visible(text) + "."


class InputProblem(CostlearnError):
    """A file, sheet, row, column or option holds something that cannot be used."""


class UnreadableFile(InputProblem):
    """A file that cannot be read at all: missing, empty, damaged, locked by a password."""


class BookProblem(CostlearnError):
    """The job book cannot be used as it stands."""


class NewerBook(BookProblem):
    """The job book was written by a later version of costlearn; it is left untouched."""


class NothingToSay(CostlearnError):
    """A number was asked of a model or distribution that has none to give."""
