"""What a disk may hold: files and folders are plain, a pipe or what is not there is told apart."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from costlearn.book import kept
from costlearn.disk import LARGEST_FILE, is_device
from costlearn.intake.files import sheets


def test_files_folders_and_nothing_are_no_devices(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("x", "utf-8")
    assert not any(map(is_device, (tmp_path, tmp_path / "a.csv", tmp_path / "none.csv")))


@pytest.mark.skipif(sys.platform == "win32", reason="pipes with a name are a Unix thing")
def test_a_pipe_is_a_device(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert is_device(tmp_path / "pipe")


def test_what_is_read_can_be_kept_and_read_anew() -> None:
    assert kept.LARGEST_FILE == sheets.LARGEST_FILE == LARGEST_FILE
