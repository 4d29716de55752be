"""A bar for long imports: on a terminal only, on the error stream, never in what is printed."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from costlearn.cli import pace
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.watch import unwatched

LINES = "Job,Phase,Hrs\n" + "".join(f"J-{i},tile,8\n" for i in range(40))


def test_nothing_is_shown_where_nobody_looks_on(capsys: pytest.CaptureFixture[str]) -> None:
    with pace.shown("hours.csv", 1, 2) as watch:
        assert watch is unwatched
        watch("opening", 0.0)
    said = capsys.readouterr()
    assert said.out == said.err == ""


def test_reading_tells_how_far_it_is(tmp_path: Path) -> None:
    path = tmp_path / "hours.csv"
    path.write_text(LINES, encoding="utf-8")
    told: list[tuple[str, float]] = []
    read_file(path, Firm(), watch=lambda doing, share: told.append((doing, share)))
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert any("column 'Hrs'" in doing for doing, _ in told)


def test_parts_of_a_work_are_told_as_shares_of_the_whole() -> None:
    told: list[tuple[str, float]] = []
    first = pace.scaled(lambda doing, share: told.append((doing, share)), 0.0, 0.5)
    assert list(pace.counted("ab", 2, "answers", first)) == ["a", "b"]
    pace.scaled(lambda doing, share: told.append((doing, share)), 0.5, 1.0)("pages", 1.0)
    assert told == [("answers", 0.0), ("answers", 0.25), ("answers", 0.5), ("pages", 1.0)]


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are a Unix thing")
def test_on_a_terminal_the_bar_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "hours.csv"
    path.write_text(LINES, encoding="utf-8")
    ours, theirs = pty.openpty()
    order = [sys.executable, "-m", "costlearn", "import", str(path), "--book", str(tmp_path / "b")]
    settings = {**os.environ, "TERM": "xterm", "COLUMNS": "100"}
    with subprocess.Popen(
        order, stdout=subprocess.PIPE, stderr=theirs, env=settings, text=True
    ) as process:
        os.close(theirs)
        shown = b""
        try:
            while block := os.read(ours, 4096):
                shown += block
        except OSError:
            # The other end is closed: the process is done.
            pass
        printed, _ = process.communicate()
    os.close(ours)
    assert process.returncode == 0
    assert b"hours.csv" in shown
    assert b"\x1b[" in shown
    assert b"\\x1b[" not in shown, "what steers the terminal is not printed as letters"
    assert "keeping" not in printed
    assert "On file" in printed
