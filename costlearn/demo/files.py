"""Where the raw files of the invented firm stand."""

from __future__ import annotations

from pathlib import Path

from costlearn.errors import UnreadableFile

HERE = Path(__file__).resolve().parent


def demo_folder() -> Path:
    """The folder of the invented firm's raw files.

    In an installed copy it stands inside the package, in the sources under ``data/demo``.

    Raises:
        UnreadableFile: neither folder is there.
    """
    for folder in (HERE / "files", HERE.parents[1] / "data" / "demo"):
        if (folder / "firm.toml").is_file():
            return folder
    raise UnreadableFile(
        "the files of the invented firm are missing",
        expected=str(HERE.parents[1] / "data" / "demo"),
        hint="write them anew with: python -m costlearn.demo.invent data/demo",
    )
