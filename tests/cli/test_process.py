"""The real command as a process of its own: exit codes, streams, closed pipes, the demo."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from costlearn.cli import demo as demo_command
from tests.cli.conftest import DEMO, Command

COSTLEARN = [sys.executable, "-m", "costlearn"]


def run(*words: object, cwd: Path | None = None, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COSTLEARN, *map(str, words)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        cwd=cwd,
        env={**os.environ, "COLUMNS": "100", **env},
    )


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The demo's folder, made once, and what it printed."""
    to = tmp_path_factory.mktemp("demo") / "pages"
    done = run("demo", "--to", to)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return to, done.stdout


def test_the_demo_answers_every_question_and_writes_its_pages(demo: tuple[Path, str]) -> None:
    to, told = demo
    for heading in ("A new bathroom: ", "Quote ", "Overruns: ", "A second person: "):
        assert heading in told
    index = (to / "index.html").read_text("utf-8")
    pages = sorted(p.name for p in to.glob("*.html") if p.name != "index.html")
    running = sum(name.startswith("running") for name in pages)
    others = len(demo_command.QUOTES) + demo_command.OTHER_ANSWERS
    assert running >= 1
    assert len(pages) == running + others, "the bar counts them beforehand"
    assert all(f'href="{name}"' in index for name in pages)


def test_the_demo_as_data_names_its_files_and_answers(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One answer stands for all: what they say is tested where they are given."""
    all_answers = demo_command.answers

    def _first(*asked: Any) -> Iterator[demo_command.Asked]:
        yield next(all_answers(*asked))

    monkeypatch.setattr(demo_command, "answers", _first)
    told = command("demo", "--to", tmp_path, "--json").data
    assert told["written"] == [str(tmp_path / "demo.book"), str(tmp_path / "index.html")]
    assert [a["page"] for a in told["answers"]] == ["estimate.html"]
    assert told["sentence"].startswith("An invented firm: ")


@pytest.mark.parametrize(
    ("quote", "code"), [("quote_sane", 0), ("quote_forgotten", 1), ("none", 2)]
)
def test_exit_codes_say_whether_to_trust(demo: tuple[Path, str], quote: str, code: int) -> None:
    done = run("check", DEMO / f"{quote}.toml", "--book", demo[0] / "demo.book", "--json")
    assert done.returncode == code
    assert bool(done.stdout) == (code < 2)
    assert done.stderr.count("\n") == (1 if code == 2 else 0)
    if code < 2:
        assert json.loads(done.stdout)["trusted"] is (code == 0)


def test_the_book_is_looked_for_where_one_stands(tmp_path: Path) -> None:
    jobs = tmp_path / "jobs.csv"
    jobs.write_text("Job,Cost,Finished\nA1 bath,12000,2024-03-01\n", "utf-8")
    assert run("import", "jobs.csv", cwd=tmp_path).returncode == 0
    assert (tmp_path / "jobs.book").is_file()
    assert "A1 bath" in run("jobs", cwd=tmp_path).stdout


def test_help_comes_without_asking_for_it() -> None:
    bare, asked = run(), run("--help")
    assert (bare.returncode, bare.stdout) == (0, asked.stdout)
    assert "estimate" in asked.stdout
    assert run("-h").stdout == asked.stdout


@pytest.mark.skipif(os.name == "nt", reason="pipes close another way on Windows")
@pytest.mark.parametrize(
    ("words", "code"),
    [(("words", "--json"), 0), (("check", str(DEMO / "quote_forgotten.toml"), "--json"), 1)],
)
def test_a_reader_that_stops_early_changes_nothing(
    demo: tuple[Path, str], words: tuple[str, ...], code: int
) -> None:
    book = () if words[0] == "words" else ("--book", str(demo[0] / "demo.book"))
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as closed:
        done = subprocess.run(
            [*COSTLEARN, *words, *book], stdout=closed, stderr=subprocess.PIPE, check=False
        )
    assert done.stderr == b""
    assert done.returncode == code


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_a_full_disk_is_one_sentence() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*COSTLEARN, "words"], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "no space left" in done.stderr


def test_letters_the_terminal_does_not_have_stop_nothing(tmp_path: Path) -> None:
    jobs = tmp_path / "jobs.csv"
    jobs.write_text("Job,Cost,Finished\nA1 salle d’eau №5,12000,2024-03-01\n", "utf-8")
    book = ("--book", tmp_path / "b")
    run("import", jobs, *book)
    done = run("jobs", *book, PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert "A1 salle" in done.stdout
    data = run("jobs", *book, "--json", PYTHONIOENCODING="ascii")
    assert json.loads(data.stdout)[0]["name"] == "A1 salle d’eau №5"
