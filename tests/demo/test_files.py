"""The demo folder is found in sources and in an installed copy, or a sentence says it is not."""

import pytest

from costlearn.demo import files
from costlearn.errors import UnreadableFile


def test_sources_hold_the_folder():
    folder = files.demo_folder()
    assert (folder / "jobs_2021.csv").is_file()
    assert folder.parts[-2:] == ("data", "demo") or folder.name == "files"


def test_installed_copy_comes_first(tmp_path, monkeypatch):
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "firm.toml").write_text("[firm]\n")
    monkeypatch.setattr(files, "HERE", tmp_path)
    assert files.demo_folder() == tmp_path / "files"


def test_missing_folder_is_one_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "HERE", tmp_path / "costlearn" / "demo")
    with pytest.raises(UnreadableFile, match="files of the invented firm are missing"):
        files.demo_folder()
