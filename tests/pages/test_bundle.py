"""A set of pages comes whole or not at all, and takes away only what an earlier set wrote."""

import os
from pathlib import Path

import pytest

from costlearn.errors import InputProblem
from costlearn.pages import bundle
from costlearn.pages.bundle import write_set


def tree(folder: Path) -> dict[str, str]:
    """All visible files of a folder with their texts."""
    files = [p for p in folder.rglob("*") if p.is_file() and p.name != bundle.LISTED]
    return {str(p.relative_to(folder)): p.read_text("utf-8") for p in files}


def test_a_set_is_written_whole_with_nothing_beside(tmp_path):
    files = {"index.html": "i", "a.html": "é", "jobs/job-1.html": "1"}
    assert write_set(files, tmp_path / "deep" / "er") == tmp_path / "deep" / "er" / "index.html"
    assert tree(tmp_path / "deep" / "er") == files


def test_a_later_set_takes_away_its_own_old_pages_and_nothing_else(tmp_path):
    (tmp_path / "mine.html").write_text("mine", "utf-8")
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "job-own.html").write_text("own", "utf-8")
    write_set({"index.html": "1", "old.html": "1", "jobs/job-1.html": "1"}, tmp_path)
    write_set({"index.html": "2", "jobs/job-2.html": "2"}, tmp_path)
    assert tree(tmp_path) == {
        "index.html": "2",
        "jobs/job-2.html": "2",
        "mine.html": "mine",
        "jobs/job-own.html": "own",
    }


@pytest.mark.parametrize(
    "line", ["../outside.html", "/etc/hosts", "jobs/../../outside.html", "..\\outside.html", "."]
)
def test_a_list_that_leads_elsewhere_is_not_believed(tmp_path, line):
    outside = tmp_path / "outside.html"
    outside.write_text("stays", "utf-8")
    folder = tmp_path / "set"
    write_set({"index.html": "1"}, folder)
    (folder / bundle.LISTED).write_text(f"{line}\n", "utf-8")
    write_set({"index.html": "2"}, folder)
    assert outside.read_text("utf-8") == "stays"


@pytest.mark.parametrize("at", [0, 1, 2])
def test_a_set_that_fails_while_written_leaves_the_one_before(tmp_path, monkeypatch, at):
    first = {"index.html": "1", "a.html": "1", "b.html": "1"}
    write_set(first, tmp_path)
    real, count = Path.write_text, [0]

    def full(self, *words, **named):
        count[0] += 1
        if count[0] > at:
            raise OSError(28, "No space left on device", str(self))
        return real(self, *words, **named)

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(InputProblem, match="the disk is full"):
        write_set(dict.fromkeys(first, "2"), tmp_path)
    monkeypatch.undo()
    assert tree(tmp_path) == first
    assert not list(tmp_path.glob(".pages-*"))


def test_a_folder_in_the_place_of_a_page_is_told_before_anything_moves(tmp_path):
    write_set({"index.html": "1", "a.html": "1"}, tmp_path)
    (tmp_path / "b.html").mkdir()
    with pytest.raises(InputProblem, match="folder of this name"):
        write_set({"index.html": "2", "a.html": "2", "b.html": "2"}, tmp_path)
    assert tree(tmp_path) == {"index.html": "1", "a.html": "1"}


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="needs a user without all rights")
def test_a_folder_that_may_not_be_written_is_told_in_one_sentence(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(InputProblem, match="cannot be written: permission denied"):
        write_set({"index.html": "1"}, tmp_path / "set")
    tmp_path.chmod(0o700)


def test_a_file_in_the_place_of_the_folder_is_told_in_one_sentence(tmp_path):
    (tmp_path / "reports").write_text("a file", "utf-8")
    with pytest.raises(InputProblem, match="cannot be written"):
        write_set({"index.html": "1"}, tmp_path / "reports")
