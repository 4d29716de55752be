"""The compare command: two files, or one with something on top or left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Command

SCOPE = DEMO / "scope_new.toml"


def test_with_an_item_and_a_second_file_say_the_same(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    second = tmp_path / "warm.toml"
    text = SCOPE.read_text("utf-8").replace('"tub install",', '"tub install", "heated floor 30",')
    second.write_text(text, "utf-8")
    by_file = command("compare", SCOPE, second, "--book", demo_book, "--json").data
    by_words = command(
        "compare", SCOPE, "--with", "heated floor 30", "--book", demo_book, "--json"
    ).data
    assert by_file["differences"] == by_words["differences"]
    assert by_words["second"]["name"] == "scope_new with heated floor"
    assert by_words["wanted_margin"] == 0.27


def test_without_an_item_it_is_left_out(command: Command, demo_book: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    done = command("compare", SCOPE, "--without", "niche", "--book", demo_book, "--html", page)
    assert done.code == 0
    assert "scope_new without shower niche against scope_new" in " ".join(done.out.split())
    assert "shower niche left out" in page.read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "there is only one version; expected a second file"),
        ((SCOPE, "--with", "bench"), "--with is given beside a second file"),
        ((SCOPE, "--without", "niche"), "--without is given beside a second file"),
        (("--with", "niche"), "--with: the scope has shower niche already"),
        (("--without", "bench"), "--without: the scope has no bench; expected one of its items"),
        (("--with", "bench", "--without", "bench"), "--with: bench is both added and left out"),
        (("--with", "hovercraft"), "--with: 'hovercraft' is no scope item costlearn knows"),
        (("--with", ";"), "--with: found ';'; expected an item such as"),
        (("--with", "bench", "--margin", "27"), "--margin"),
        (("--with", "bench", "--on", "soon"), "--on"),
    ],
)
def test_what_makes_no_second_version_is_refused(
    command: Command, demo_book: Path, words: tuple[object, ...], told: str
) -> None:
    assert told in command("compare", SCOPE, *words, "--book", demo_book).told


def test_another_size_of_an_item_is_a_version(command: Command, demo_book: Path) -> None:
    data = command("compare", SCOPE, "--with", "wall tile 140", "--book", demo_book, "--json").data
    assert data["changes"][0]["how"] == "size"
    assert data["differences"][0]["middle"] > 0
