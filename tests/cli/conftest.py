"""The command line, called as a person calls it, and one book of the demo's files."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from costlearn.cli.main import main
from costlearn.demo.files import demo_folder

DEMO = demo_folder()
SHEETS = sorted([*map(str, DEMO.glob("*.csv")), str(DEMO / "phases.xlsx")])


def refuse_constant(text: str) -> Any:
    """Python's JSON takes NaN and Infinity, which are no JSON."""
    raise AssertionError(f"{text} is no JSON")


@dataclass(frozen=True)
class Done:
    """What a command printed and how it ended."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out, parse_constant=refuse_constant)

    @property
    def told(self) -> str:
        """The one sentence of a refusal."""
        lines = self.err.strip().splitlines()
        assert self.code == 2, (self.code, self.out, self.err)
        assert len(lines) == 1, self.err
        assert lines[0].startswith("costlearn: ")
        assert lines[0].endswith(".")
        assert "Traceback" not in self.err
        assert "Error" not in self.err
        return lines[0].removeprefix("costlearn: ")


Command = Callable[..., Done]


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    """Run a command in this process; words may be paths and numbers."""
    monkeypatch.setenv("COLUMNS", "100")

    def run(*words: object) -> Done:
        capsys.readouterr()
        code = main([str(w) for w in words])
        told = capsys.readouterr()
        return Done(code, told.out, told.err)

    return run


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of all of the demo's files; commands that only ask leave it as it is."""
    book = tmp_path_factory.mktemp("firm") / "firm.book"
    settings = str(DEMO / "firm.toml")
    assert main(["import", *SHEETS, "--settings", settings, "--book", str(book)]) == 0
    return book


@pytest.fixture(scope="session")
def small_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of one job: enough where a figure is refused before anything is computed."""
    folder = tmp_path_factory.mktemp("small")
    jobs, book = folder / "jobs.csv", folder / "small.book"
    jobs.write_text("Job,Cost,Finished\nA1 hall bath,12000,2024-03-01\n", "utf-8")
    assert main(["import", str(jobs), "--book", str(book)]) == 0
    return book
