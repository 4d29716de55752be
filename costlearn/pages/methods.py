"""How answers of each kind are computed, in plain words: what a page says beside its records."""

from __future__ import annotations

from costlearn.questions.answer import Answer
from costlearn.questions.crewing.crew import Crew
from costlearn.questions.earning.earnings import Earnings
from costlearn.questions.estimate import Estimate
from costlearn.questions.onfile.job import JobOnFile
from costlearn.questions.options import Options
from costlearn.questions.overrun.overruns import Overruns
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.quoting.quote import QuoteCheck
from costlearn.questions.running.midjob import Forecast
from costlearn.questions.running.trust import MidjobTrust
from costlearn.questions.trust import Trust

_COMPARED = (
    "Your finished jobs are compared by floor area, date, scope and what else is on file; what "
    "goes with dear jobs carries over to this one, and what few jobs tell leans on a first guess"
)
_SET_RIGHT = (
    "Each finished job is left out in turn and foretold from the others; by how far off those were "
    "the width of the range is set"
)

METHODS: tuple[tuple[type[Answer], tuple[str, ...]], ...] = (
    (
        Estimate,
        (_COMPARED, _SET_RIGHT, "Phases are drawn together, so that they add up to the whole job"),
    ),
    (
        QuoteCheck,
        (
            _COMPARED,
            _SET_RIGHT,
            "Where past quotes are on file, this quote counts too, as much as they have been worth",
        ),
    ),
    (
        Overruns,
        (
            "Each phase's actual is divided by its plan; its mean is drawn towards that of all "
            "phases, the more the fewer its records, since the worst-looking one is part bad luck",
            "A job that went over in every phase is held against the job, not against each phase",
        ),
    ),
    (
        Crew,
        (
            "Site days with one person and with two are compared at the same size and scope, "
            "since big jobs get two people anyway",
            "A year is reckoned through many times, each time with figures drawn from their ranges",
        ),
    ),
    (
        Earnings,
        (
            "What each job left is divided by its days; a kind's mean is drawn towards that of all "
            "kinds, the more the fewer its jobs, and a job far off moves it little",
            "A short job counts less: an hour more or less shows in it",
        ),
    ),
    (
        SiteCalendar,
        (
            "Days on site are foretold phase by phase and drawn together, so that a job that runs "
            "long runs long throughout; waits are drawn as your jobs recorded them",
            "The phases follow one another in the order of the trade on your working days; first "
            "to last day is what your jobs took",
        ),
    ),
    (
        Trust,
        (
            "Each past job is foretold from the jobs finished before it was quoted, and from "
            "nothing else; then its range is held against what it came to",
        ),
    ),
    (
        Forecast,
        (
            "Finished jobs are cut at the same stage: how far their done phases ran over tells how "
            "much of that the rest carried on, and the rest of this job is foretold from it",
        ),
    ),
    (
        MidjobTrust,
        (
            "Each finished job is stopped after each of its phases and its end foretold from the "
            "jobs finished before it began",
        ),
    ),
    (
        Options,
        (
            "Your finished jobs are compared by floor area, date, scope and what else is on file; "
            "an option's price is what that comparison says with it, less without it",
        ),
    ),
    (JobOnFile, ("Figures stand as they are on file; one that follows from others says which",)),
)
"""Each kind of answer with its method; an answer of any other kind tells its notes alone."""


def method_of(answer: Answer) -> tuple[str, ...]:
    """How an answer was computed; nothing where nothing is known."""
    if not answer.known:
        return ()
    return next((said for kind, said in METHODS if isinstance(answer, kind)), ())
