"""What the book keeps beside the rows: each file as it came, and the answers a person gave."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from costlearn.disk import LARGEST_FILE
from costlearn.errors import BookProblem, Place
from costlearn.records import Question


@dataclass(frozen=True, slots=True)
class Source:
    """A file as it came: its bytes, its name without the folder, and the column map used."""

    file: str
    data: bytes
    map_name: str = ""
    map_text: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """A question and what a person said to it.

    ``insisted`` where they kept it although a figure looks absurd by it.
    """

    question: Question
    said: str
    insisted: bool = False


def write_source(connection: sqlite3.Connection, file_id: int, source: Source) -> None:
    """Keep a file as it came, in place of an earlier state of it."""
    connection.execute(
        "INSERT OR REPLACE INTO source (file_id, file, packed, map_name, map_text) "
        "VALUES (?, ?, ?, ?, ?)",
        (file_id, source.file, zlib.compress(source.data, 6), source.map_name, source.map_text),
    )


def read_source(connection: sqlite3.Connection, file_id: int) -> Source | None:
    """A file as it came, or None if it was imported before files were kept.

    Raises:
        BookProblem: what is kept is no file: not whole, or its name is a way to another folder.
    """
    found = connection.execute(
        "SELECT file, packed, map_name, map_text FROM source WHERE file_id = ?", (file_id,)
    ).fetchone()
    if found is None:
        return None
    file, packed, map_name, map_text = found
    if file in ("", ".", "..") or Path(file).name != file or "\x00" in file:
        # A file is laid under its name to be read; a book may come from somebody else.
        raise BookProblem(
            f"the book keeps a file under the name '{file}'", expected="a name without a folder"
        )
    return Source(file, _unpacked(packed, file), map_name, map_text)


def _unpacked(packed: bytes, file: str) -> bytes:
    """The bytes of a file, if they are whole and no more than an import would have read."""
    unpacker = zlib.decompressobj()
    try:
        data = unpacker.decompress(packed, LARGEST_FILE)
    except zlib.error:
        data = b""
    if not unpacker.eof:
        raise BookProblem(
            "the file as it came cannot be unpacked: it is damaged, or far too large",
            place=Place(file),
            expected=f"at most {LARGEST_FILE // 2**20} MB",
            hint="import the file again",
        )
    return data


def map_of(connection: sqlite3.Connection, file_id: int) -> str | None:
    """The column map a file was read with, or None if the file itself is not kept."""
    found = connection.execute(
        "SELECT map_text FROM source WHERE file_id = ?", (file_id,)
    ).fetchone()
    return None if found is None else str(found[0])


def read_answers(connection: sqlite3.Connection) -> tuple[Answered, ...]:
    """All answers given, in the order of their keys."""
    listed = connection.execute(
        "SELECT key, topic, found, text, choices, said, insisted FROM answer ORDER BY key"
    )
    return tuple(
        Answered(
            Question(key, topic, Place(), found, text, tuple(filter(None, choices.split("\n")))),
            said,
            bool(insisted),
        )
        for key, topic, found, text, choices, said, insisted in listed
    )


def write_answers(connection: sqlite3.Connection, given: Iterable[Answered]) -> None:
    """Keep answers, each in place of an earlier one; an empty one takes an earlier one back."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    for one in given:
        asked = one.question
        if not one.said:
            connection.execute("DELETE FROM answer WHERE key = ?", (asked.key,))
            continue
        choices = "\n".join(asked.choices)
        connection.execute(
            "INSERT OR REPLACE INTO answer (key, topic, found, text, choices, said, at, insisted) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (asked.key, asked.topic, asked.found, asked.text, choices, one.said, now, one.insisted),
        )
