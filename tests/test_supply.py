"""What is shipped and what it stands on: licences named, one wheel from one source, typed."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from itertools import chain
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


def declared() -> list[str]:
    """The names of all packages the project asks for."""
    asked = [*PROJECT["dependencies"], *chain(*PROJECT["optional-dependencies"].values())]
    return [re.match(r"[\w.-]+", one).group() for one in asked]  # type: ignore[union-attr]


def licences() -> dict[str, str]:
    """Each package with the licence DEVELOPERS.md says it has."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    part = text.split("### Licences", 1)[1].split("\n#", 1)[0]
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|$", part, re.MULTILINE)
    return {name: licence for licence, names in rows for name in names.split(", ")}


def test_every_package_asked_for_stands_there_with_its_licence() -> None:
    assert set(declared()) == {name for name in licences() if name not in ("packages", "---")}


def test_run_time_packages_ask_nothing_of_those_who_ship_them() -> None:
    """Licences that ask only for their text to be kept (names by SPDX)."""
    told = licences()
    mild = {"MIT", "BSD-2-Clause", "BSD-3-Clause"}
    needed = [re.match(r"[\w.-]+", one).group() for one in PROJECT["dependencies"]]  # type: ignore[union-attr]
    assert {told[name] for name in needed} <= mild


def test_two_builds_give_one_wheel_with_the_types_in_it(tmp_path: Path) -> None:
    made = []
    # Built from a copy: nobody edits it between the two.
    source = tmp_path / "source"
    left_out = shutil.ignore_patterns("__pycache__")
    for folder in ("costlearn", "data"):
        shutil.copytree(ROOT / folder, source / folder, ignore=left_out)
    for file in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
        shutil.copy(ROOT / file, source / file)
    for name in ("one", "two"):
        subprocess.run(
            [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", tmp_path / name],
            cwd=source,
            check=True,
            capture_output=True,
            env={**os.environ, "SOURCE_DATE_EPOCH": "1767225600"},
        )
        (wheel,) = (tmp_path / name).glob("*.whl")
        made.append(wheel)
    assert len({hashlib.sha256(wheel.read_bytes()).hexdigest() for wheel in made}) == 1
    names = zipfile.ZipFile(made[0]).namelist()
    assert "costlearn/py.typed" in names
    assert "costlearn/vocabulary.toml" in names
    assert "costlearn/demo/files/phases.xlsx" in names
    assert all(name.startswith(("costlearn/", "costlearn-")) for name in names)
