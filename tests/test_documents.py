"""README and DEVELOPERS are true: every command shown in them runs, and what they show is shown."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
INSTALLS = re.compile(r"^python3 -m venv ")


def shell_lines(text: str) -> list[str]:
    blocks = re.findall(r"^```sh\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.strip().splitlines()]
    return [line for line in lines if line and not line.startswith("#")]


def run(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a shown command with the tests' own Python, in a folder beside a link to the data."""
    words = shlex.split(command)
    words[0] = words[0].removeprefix(".venv/bin/")
    if words[0] == "costlearn":
        words[:1] = [sys.executable, "-m", "costlearn"]
    elif words[0] == "python":
        words[:1] = [sys.executable]
    else:
        words[:1] = [sys.executable, "-m", words[0].replace("lint-imports", "importlinter.cli")]
    wide = os.environ | {"COLUMNS": "100"}
    return subprocess.run(words, cwd=folder, capture_output=True, text=True, env=wide, check=False)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    here = tmp_path_factory.mktemp("as_shown")
    for name in ("data", "tests", "costlearn", "pyproject.toml", "README.md", "DEVELOPERS.md"):
        (here / name).symlink_to(ROOT / name)
    return here


def test_the_two_set_up_commands_are_the_only_ones_that_install() -> None:
    installs = [line for line in shell_lines(README) if INSTALLS.match(line)]
    assert [line.rsplit("&& ", 1)[1] for line in installs] == [
        ".venv/bin/costlearn demo",
        ".venv/bin/python -m pytest",
    ]
    assert not [line for line in shell_lines(DEVELOPERS) if "pip install" in line]


def test_every_command_of_the_readme_runs(folder: Path) -> None:
    asked = [line for line in shell_lines(README) if not INSTALLS.match(line)]
    assert len(asked) >= 8
    for command in asked:
        done = run(command, folder)
        assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
        assert done.stdout.strip(), command


def test_the_demo_output_shown_is_what_the_demo_prints(folder: Path) -> None:
    shown = re.search(
        r"<!-- demo output -->\n```text\n(.*?)```\n<!-- end of demo output -->", README, re.DOTALL
    )
    assert shown, "the README shows the demo's output between its two marks"
    done = run("costlearn demo", folder)
    assert done.returncode == 0, done.stderr
    told = [line.rstrip() for line in done.stdout.strip().splitlines()]
    assert told == [line.rstrip() for line in shown[1].strip().splitlines()]
    assert (folder / "reports" / "index.html").is_file()


def test_the_notebook_example_runs(tmp_path: Path) -> None:
    shown = re.findall(r"^```python\n(.*?)^```", DEVELOPERS, re.MULTILINE | re.DOTALL)
    assert len(shown) == 1
    (tmp_path / "example.py").write_text(shown[0], "utf-8")
    done = subprocess.run(
        [sys.executable, "-W", "error", "example.py"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert re.search(r"^cost +\d+\.\d +\d+\.\d +\d+\.\d +USD$", done.stdout, re.MULTILINE)
    assert "Direct cost" in done.stdout
    assert "Tile and grout" in done.stdout


def test_every_file_the_documents_name_is_there() -> None:
    named = set(re.findall(r"`((?:costlearn|tests|data|\.ci)/[\w./]+)`", README + DEVELOPERS))
    assert len(named) >= 8
    assert not [name for name in sorted(named) if not (ROOT / name).exists()]
    pictures = re.findall(r"!\[[^\]]*\]\(([^)]+)\)", README)
    assert pictures
    assert all((ROOT / p).read_bytes().startswith(b"\x89PNG") for p in pictures)


def test_the_map_shown_in_the_readme_is_a_valid_map(tmp_path: Path) -> None:
    from costlearn.intake.columns import load_map

    shown = re.search(r"```toml\n(# map\.toml.*?)```", README, re.DOTALL)
    assert shown
    (tmp_path / "map.toml").write_text(shown[1], "utf-8")
    assert load_map(tmp_path / "map.toml").kind == "phases"


def test_every_command_is_in_the_readme() -> None:
    from costlearn.cli.main import app

    names = {c.name for c in app.registered_commands}
    missing = [n for n in sorted(names, key=str) if f"costlearn {n}" not in README]
    assert not missing


def test_the_check_of_every_commit_runs_the_readme_command() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "README.md" in script
    assert "constraints.txt" in script
