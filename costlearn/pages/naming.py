"""Which file a page goes into: safe on every disk, whatever a job is called."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable

from costlearn.records import Job, job_key

FOLDER = "jobs"
LONGEST = 48
MARK = 10


def job_pages(jobs: Iterable[Job]) -> dict[str, str]:
    """Each job's key with the path of its page below the folder of the set.

    Names are made of small letters, digits and dashes, so that no name leaves the folder, none is
    reserved on any system, and none differs from another by case alone. A name that says less than
    the job's key does (other letters, too long) carries a mark derived from the key.

    >>> job_pages([Job("b2502largeensuite", "B25-02 large ensuite")])
    {'b2502largeensuite': 'jobs/job-b25-02-large-ensuite.html'}
    """
    return {job.key: f"{FOLDER}/job-{_stem(job.name, job.key)}.html" for job in jobs}


def page_of(what: str, name: str) -> str:
    """The page of something named by the user: "check" and "Q-118 ensuite" or a file's name.

    >>> page_of("check", "quote_sane")
    'check-quote-sane.html'
    """
    return f"{what}-{_stem(name, job_key(name))}.html"


def _stem(name: str, key: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    if plain and plain.replace("-", "") == key and len(plain) <= LONGEST:
        return plain
    mark = hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()[:MARK]
    # Two dashes stand in no plain name, so a marked name is never another one's plain one.
    return f"{plain[:LONGEST].strip('-')}--{mark}"
