"""What is worth a look, through the command line: a count after an import, a list on request."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

HEAD = "Job,Kind,Floor area (sq ft),Start,Finish,Planned cost,Actual cost\n"


def book_with(tmp_path: Path, command: Callable[..., Any], slip: str) -> tuple[Path, Any]:
    """A book of ten bathrooms that cost 250 a square foot, the last one as written."""
    rows = [
        f"J-{i:02d} bath,bathroom,{40 + i},2024-0{1 + i % 9}-03,2024-0{1 + i % 9}-24,"
        f"{(40 + i) * 240},{(40 + i) * 250 + 37 * i}\n"
        for i in range(9)
    ]
    path = tmp_path / "jobs.csv"
    path.write_text(HEAD + "".join(rows) + slip, encoding="utf-8")
    book = tmp_path / "jobs.book"
    return book, command("import", path, "--book", book)


def test_a_slip_is_counted_after_the_import_and_listed_on_request(
    tmp_path: Path, command: Callable[..., Any]
) -> None:
    slip = "J-20 bath,bathroom,48,2024-03-04,2024-03-28,11500,1201300\n"
    book, done = book_with(tmp_path, command, slip)
    assert done.code == 0
    assert "1 thing on file is worth a look: see costlearn jobs --look." in " ".join(
        done.out.split()
    )
    listed = command("jobs", "--look", "--book", book)
    assert listed.code == 0
    assert "J-20 bath" in listed.out
    found = command("jobs", "--look", "--json", "--book", book).data
    assert [(a["job"], a["kind"]) for a in found["found"]] == [("J-20 bath", "unit slip")]
    assert found["found"][0]["places"][0]["row"] == 11
    again = command("import", tmp_path / "jobs.csv", "--book", book, "--json").data
    assert again["worth_a_look"] == 1


def test_a_sound_book_is_left_in_peace(tmp_path: Path, command: Callable[..., Any]) -> None:
    sound = "J-20 bath,bathroom,48,2024-03-04,2024-03-28,11500,12013\n"
    book, done = book_with(tmp_path, command, sound)
    assert "worth a look" not in done.out
    listed = command("jobs", "--look", "--book", book)
    assert "Nothing on file looks like a slip." in listed.out
