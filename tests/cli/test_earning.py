"""The earnings command: text, JSON and page of one answer."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Command


def test_earnings_in_text_json_and_on_a_page(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    page = tmp_path / "earnings.html"
    done = command("earnings", "--book", demo_book, "--html", page)
    assert done.code == 0
    assert done.out.startswith("After direct cost a day on site leaves")
    assert "hours of 'Odrin' in the log" in " ".join(done.out.split())
    assert "What earns most a day?" in page.read_text("utf-8")
    data = command("earnings", "--book", demo_book, "--json").data
    assert [m["measure"] for m in data["mixes"]] == ["site", "own"]
    assert data["known"] is True


def test_a_book_of_one_job_says_what_is_missing(command: Command, small_book: Path) -> None:
    done = command("earnings", "--book", small_book)
    assert done.code == 0
    assert "0 finished jobs with both a price and a direct cost" in " ".join(done.out.split())
    assert "expected" in command("earnings", "--book", small_book, "--on", "soon").told
