"""Files of job pages: safe names for any job, each its own, the same each time."""

import re
from pathlib import PurePosixPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costlearn.pages.naming import job_pages, page_of
from costlearn.pages.tables import csv_name
from costlearn.questions.answer import Table
from costlearn.records import Job, job_key

NASTY = (
    "../../etc/passwd", "..", ".", "", "con", "NUL", "a/b", "a\\b", "C:\\x", "-rf", "x" * 400,
    "<script>alert(1)</script>", "\u202egnp.exe", "東京 bath", "Übung 3", "Ubung 3", "ß", "ss",
    "B1: hall?", "b1 HALL", "a\x00b", "%2e%2e%2f", "job ", "𝟙", "1", "é", "e\u0301", "\ud800",
)  # fmt: skip


def jobs(*names: str) -> list[Job]:
    """As jobs come out of the records: no two share a key."""
    return list({job_key(n): Job(job_key(n), n) for n in names}.values())


def test_nasty_names_give_plain_files_each_its_own() -> None:
    found = job_pages(jobs(*NASTY))
    assert len(set(found.values())) == len(found)
    assert all(re.fullmatch(r"jobs/job-[a-z0-9-]{0,64}\.html", f) for f in found.values())


DEVICES = ("CON", "PRN", "AUX", "NUL", "COM1", "com9", "COM¹", "LPT1", "Lpt9", "CONIN$", "CLOCK$")
"""What no file may be called where it is a device (common practice, no source), whatever ending,
point or blank follows."""


def is_device(file: str) -> bool:
    """Whether such a system takes a file for a device: by what stands before its first point."""
    stem = PurePosixPath(file).name.partition(".")[0].rstrip().upper()
    return stem in {device.upper() for device in DEVICES}


@pytest.mark.parametrize(
    "ending", ["", ".txt", ".html", ".", "...", " ", " .", ":", "/", "\\", "?"]
)
def test_a_job_called_as_a_device_gets_a_plain_file_of_its_own(ending: str) -> None:
    names = [device + ending for device in DEVICES] + ['a<b>:"c"', "a|b?*", "a.", "b ", "c/d\\e"]
    found = job_pages(jobs(*names))
    assert len({f.casefold() for f in found.values()}) == len(found) == len(jobs(*names))
    for file in (*found.values(), *(page_of("check", name) for name in names)):
        stem = file.removeprefix("jobs/").removesuffix(".html")
        assert re.fullmatch(r"(?:job|check)-[a-z0-9-]+", stem)
        assert not is_device(file)


def test_a_table_called_as_a_device_is_saved_as_a_plain_file() -> None:
    for device in DEVICES:
        name = csv_name(Table(device, (), ()))
        assert re.fullmatch(r"[a-z0-9-]+\.csv", name)
        assert not is_device(name)
    assert csv_name(Table("Console", (), ())) == "console.csv"


def test_a_job_keeps_its_page_whatever_jobs_come_beside_it() -> None:
    together = job_pages(jobs(*NASTY))
    for one in jobs(*NASTY):
        assert job_pages([one]) == {one.key: together[one.key]}


@given(st.lists(st.text(max_size=80), max_size=12))
def test_any_names_give_plain_files_each_its_own(names: list[str]) -> None:
    found = job_pages(jobs(*names))
    assert len(set(found.values())) == len(found) == len({job_key(n) for n in names})
    assert all(re.fullmatch(r"jobs/job-[a-z0-9-]{0,64}\.html", f) for f in found.values())


def test_a_plain_name_stays_readable() -> None:
    (path,) = job_pages(jobs("B25-01 main bath, tub to shower")).values()
    assert path == "jobs/job-b25-01-main-bath-tub-to-shower.html"
