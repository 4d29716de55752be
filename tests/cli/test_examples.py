"""Help shows examples, all of them run; a near miss is told what was meant; a shell completes."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from costlearn.cli.completion import items, kinds, short_names
from costlearn.cli.examples import EXAMPLES
from costlearn.cli.main import COMMANDS, app

from .conftest import DEMO, Command

WIDTHS = (60, 80)


def test_every_command_has_examples_and_its_help_shows_them(command: Command) -> None:
    assert set(EXAMPLES) == set(COMMANDS) == {c.name for c in app.registered_commands}
    for name, examples in EXAMPLES.items():
        told = command(name, "--help").out
        for example in examples:
            assert example in [line.strip() for line in told.splitlines()], name


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_can_be_asked_for_data(command: Command, name: str) -> None:
    assert "--json" in command(name, "--help").out


def test_every_example_runs_where_the_files_are(
    command: Command, demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in DEMO.iterdir():
        (tmp_path / file.name).symlink_to(file)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "jobs.book").write_bytes(demo_book.read_bytes())
    # The demo and the set of pages have tests of their own, and take long. The order is that of the
    # list: `answer` reads the sheet that `questions` writes.
    for name in (n for n in EXAMPLES if n not in {"demo", "pages", "backtest"}):
        for example in EXAMPLES[name]:
            words = shlex.split(example)
            assert words[:2] == ["costlearn", name]
            done = command(*words[1:])
            assert done.code in (0, 1), (example, done.err)
            assert done.out.strip(), example


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("estmate",), "estimate"),
        (("forcast",), "forecast"),
        (("forecast", "B26-08", "--left", "tyle 12 h"), "tile"),
        (("estimate", "--items", "nihce"), "shower niche"),
    ],
)
def test_a_near_miss_is_told_what_was_meant(
    command: Command, demo_book: Path, words: tuple[str, ...], meant: str
) -> None:
    book = ("--book", demo_book) if len(words) > 1 else ()
    assert f"did you mean '{meant}'?" in command(*words, *book).told


def test_a_word_like_nothing_is_not_guessed_at(command: Command) -> None:
    assert "did you mean" not in command("xyzzy").told


def completed(line: str, folder: Path) -> list[str]:
    words = line.split(" ")
    asking = {"COMP_WORDS": line, "COMP_CWORD": str(len(words) - 1)}
    done = subprocess.run(
        [sys.executable, "-c", "import sys; from costlearn.cli.main import run; run()"],
        env=os.environ | asking | {"_COSTLEARN_COMPLETE": "complete_bash"},
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert not done.stderr
    return done.stdout.split()


def test_a_shell_completes_commands_jobs_and_kinds(demo_book: Path, tmp_path: Path) -> None:
    assert "estimate" in completed("costlearn est", tmp_path)
    jobs = completed(f"costlearn jobs --book {demo_book} B26-0", tmp_path)
    assert "B26-08" in jobs
    assert all(name.startswith("B26-0") for name in jobs)
    assert completed("costlearn jobs --book none.book B2", tmp_path) == []
    (tmp_path / "bad.book").write_text("no book")
    assert completed("costlearn jobs --book bad.book B2", tmp_path) == []


def test_items_complete_the_last_of_several() -> None:
    assert "niche" in items("ni")
    assert "gut; niche" in items("gut; ni")
    assert items("zzz") == []
    assert kinds("ba") == ["bathroom", "basement"]
    assert short_names(["A1 x", "A1 y", "B2 z", ""]) == ["A1 x", "A1 y", "B2", ""]


@pytest.mark.parametrize("width", WIDTHS)
def test_help_fits_the_terminal(
    command: Command, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    for name in COMMANDS:
        shown = command(name, "--help").out.partition("For example:")[0]
        assert max(map(len, shown.splitlines())) <= width, name
