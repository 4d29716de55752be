"""Words in cells to keys: phases, kinds of job, states, cost kinds; and the names of jobs."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from functools import lru_cache

from costlearn.assembly.called import JobNames
from costlearn.assembly.names import Pile, pile_up
from costlearn.errors import Place
from costlearn.intake.answers import LEAVE_OUT, NONE, OWN, Answers, job_choices, phase_choices
from costlearn.intake.answers import key_of as key_for
from costlearn.intake.findings import MOST_SAMPLES, Notes
from costlearn.intake.kinds import read_kind
from costlearn.intake.readings import Setting
from costlearn.intake.spelling import recognise
from costlearn.records import CostEntry, Entry, JobEntry, Question, job_key
from costlearn.units import say_count
from costlearn.vocabulary import UNASSIGNED, fold

MOST_JOBS = 4
"""Jobs that a question about a name offers."""
_FOLLOWS = {
    "finished": "its cost counts",
    "running": "still being built",
    "quoted": "not begun",
    "approved": "it counts",
    "declined": "it does not count",
    "verbal": "shown apart",
}
"""What follows from an answer about how far a job or a change is."""
WAITING = {"waiting", "wait", "idle", "standby", "attente", "lost time", "waited"}
_TOGETHER = re.compile(r"\s*(?:[,;/+&]|\band\b|\bet\b)\s*", re.IGNORECASE)
"""What stands between the words of a phase called by several: "prime + paint"."""
_WAITING_FOR = re.compile(r"(?:wait(?:ing|ed)? (?:for|on)|en attente d|attente d)", re.IGNORECASE)


@lru_cache(maxsize=1 << 12)
def says_waiting(word: str) -> bool:
    """Whether a word of an hours log says that nobody worked: "waiting", "waiting for the sub".

    >>> says_waiting("Waiting on inspector"), says_waiting("wall tile")
    (True, False)
    """
    return fold(word) in WAITING or _WAITING_FOR.match(word.strip()) is not None


def phase_of(word: str, place: Place, setting: Setting) -> str:
    """The key of a phase word; a word only a person can place is asked and "unassigned"."""
    known = setting.phases.get(word)
    if known is None:
        known = setting.phases[word] = _phase_of(word, place, setting)
    elif known == UNASSIGNED:
        setting.notes.waits(key_for("phase", word))
    return known


def _phase_of(word: str, place: Place, setting: Setting) -> str:
    folded = fold(word)
    vocabulary = setting.vocabulary
    mapped = setting.chart.phases.get(folded) or _answered_phase(word, place, setting)
    key = mapped or (None if folded in vocabulary.ask else vocabulary.phase_words.get(folded))
    if key:
        return key
    once = ("phase", place.file, place.sheet, folded)
    kept = "kept in the job's total without a phase"
    may_be = vocabulary.ask.get(folded)
    if may_be is None:
        parts = [p for part in _TOGETHER.split(word) if (p := fold(part))]
        shared = _shared(parts, setting)
        if len(shared) == 1:
            text = f"phase '{word}' is {vocabulary.phase_name(shared[0])}, as each of its words is"
            setting.notes.once(once, "understood", place, text, word)
            return shared[0]
        near = recognise(folded, {**{w: w for w in vocabulary.ask}, **vocabulary.phase_words})
        if near.word in vocabulary.phase_words:
            if near.slip:
                setting.notes.slip(once, place, word, near.word)
            return vocabulary.phase_words[near.word]
        likely = (near.word,) if near.word else near.likely
        of_parts = [key for part in parts for key in _meanings(part, setting)]
        of_word = [key for text in likely for key in _meanings(text, setting)]
        of_parts = [*shared, *of_parts]
        first = of_parts if len(parts) > 1 or shared else ()
        may_be = tuple(dict.fromkeys((*first, *of_word, *of_parts)))
    names = ", ".join(vocabulary.phase_name(k) for k in may_be)
    meaning = f"may mean {names}" if names else "is no phase costlearn knows"
    setting.notes.once(once, "asked", place, f"phase '{word}' {meaning}; {kept}", word)
    ask_phase(word, may_be, place, setting)
    return UNASSIGNED


def _meanings(part: str, setting: Setting) -> tuple[str, ...]:
    """The phases a known word may mean; none for any other."""
    known = setting.vocabulary.phase_words.get(part)
    return (known,) if known else tuple(setting.vocabulary.ask.get(part, ()))


def _shared(parts: list[str], setting: Setting) -> tuple[str, ...]:
    """The phases that each wording of some parts may mean; none where one of them is not known."""
    sets: list[set[str]] = []
    fillers = setting.vocabulary.fillers | setting.vocabulary.objects
    for part in parts:
        words, at = part.split(), 0
        if _removes(words, setting):
            sets.append({"demo"})
            continue
        while at < len(words):
            spans = (" ".join(words[at:end]) for end in range(len(words), at, -1))
            span = next((text for text in spans if _meanings(text, setting)), "")
            if span:
                sets.append(set(_meanings(span, setting)))
            elif words[at] not in fillers:
                return ()
            at += len(span.split()) or 1
    common = set.intersection(*sets) if sets else set()
    return tuple(sorted(common, key=lambda key: setting.vocabulary.phase_order.get(key, 0)))


def _removes(words: list[str], setting: Setting) -> bool:
    """Whether a wording says that something is taken out: "remove old tile", "tub removal"."""
    said = setting.vocabulary.removals
    return " ".join(words[:2]) in said or words[0] in said or words[-1] in said


def _answered_phase(word: str, place: Place, setting: Setting) -> str | None:
    """The phase a person said a word means; a word that names none stays without a phase."""
    said = setting.answers.get("phase", word)
    if said is None:
        return None
    name = "no phase" if said == NONE else setting.vocabulary.phase_name(said)
    text = f"phase '{word}' is taken for {name}, as you answered"
    setting.notes.once(("told", place.file, word), "understood", place, text, word)
    return UNASSIGNED if said == NONE else said


def ask_phase(
    word: str, near: Iterable[str], place: Place, setting: Setting, waiting: int = 1
) -> None:
    """Ask which phase a word means, once for all rows that wait for it."""
    choices = phase_choices(near, setting.vocabulary)
    text = f"Which phase is '{word}'? Until then its rows are in the job's total only."
    samples = (word,)
    setting.ask(
        "phase", (word,), place, text, choices, found=word, waiting=waiting, samples=samples
    )


def word_of(
    word: str,
    known: Mapping[str, str],
    what: str,
    place: Place,
    setting: Setting,
    until: str = "",
) -> str | None:
    """The key of a word in a short list; a slip of the pen is taken and told, others asked.

    ``until`` says what holds until then.
    """
    folded = fold(word)
    said = setting.answers.get(what, word)
    if said is not None:
        text = f"{what} '{word}' is taken for '{said}', as you answered"
        setting.notes.once((what, "told", folded), "understood", place, text, word)
        return None if said == NONE else said
    once = (what, place.file, place.sheet, folded)
    near = recognise(folded, known)
    if near.word:
        if near.slip:
            setting.notes.slip(once, place, word, near.word)
        return known[near.word]
    likely = [known[text] for text in near.likely]
    keys = tuple(dict.fromkeys((*likely, *known.values())))
    setting.notes.once(once, "asked", place, f"{what} '{word}' is not known", word)
    choices = tuple(f"{key} ({_FOLLOWS[key]})" if key in _FOLLOWS else key for key in keys)
    leave = (f"{NONE} (leave it out)",) if what in ("state", "kind of job") else ()
    text = f"Which {what} is '{word}'?{until}"
    setting.ask(what, (word,), place, text, (*choices, *leave), found=word, samples=(word,))
    return None


def job_kind(word: str, place: Place, setting: Setting) -> str | None:
    """The kind of a job by the words of its own column; what stays open is asked, once a word."""
    what = "kind of job"
    reading = read_kind(word, setting.vocabulary)
    if setting.answers.get(what, word) is not None or reading.kind is None:
        return word_of(word, setting.vocabulary.job_words, what, place, setting)
    if reading.spelled:
        setting.notes.slip((what, fold(word)), place, word, reading.spelled)
    return reading.kind


def ask_about_jobs(entries: Iterable[Entry], known_jobs: Collection[str], setting: Setting) -> None:
    """Say which names are taken for one job, and which are on no list of jobs, each once.

    Of the latter nothing is said where no list of jobs is known at all.
    """
    piles, _ = pile_up([*(JobEntry(name, Place()) for name in known_jobs), *entries])
    for pile in piles:
        for name in pile.joined if pile.name.place.row else ():
            text = f"job '{name.text}' is taken for '{pile.name.text}', the only job it can be"
            setting.notes.add("understood", name.place, text, name.text)
    for pile, likely in _unlisted(piles):
        like = ", ".join(f"'{name}'" for name in likely)
        text = f"job '{pile.name.text}' is on no list of jobs" + (
            f"; is it {like}?" if like else ""
        )
        setting.notes.once(("job", pile.key), "asked", pile.name.place, text, pile.name.text)


def _unlisted(piles: Iterable[Pile]) -> list[tuple[Pile, tuple[str, ...]]]:
    """The piles no list of jobs speaks of, where there is one, with the jobs they may be."""
    listed = {pile.key: pile.name.text for pile in piles if pile.jobs}
    known, folded = JobNames(listed), {fold(name): name for name in listed.values()}
    found = []
    for pile in piles if listed else ():
        if not pile.jobs:
            name = fold(pile.name.text)
            may_be = [listed[key] for key in known.find(pile.name.text).may_be]
            # A room alone ("hall bath") means no job, but those whose names hold it are likely.
            near = recognise(name, {text: text for text in folded}).likely
            likely = may_be or [n for n in listed.values() if name and name in fold(n)]
            likely = likely or [folded[text] for text in near]
            found.append((pile, tuple(likely[:MOST_JOBS])))
    return found


def rename_jobs(entries: list[Entry], answers: Answers, notes: Notes) -> list[Entry]:
    """The entries under the jobs a person said they belong to, without those to be left out."""
    told = {key: name for key, name in answers.of("job").items() if name != OWN}
    if not told:
        return entries
    renamed: list[Entry] = []
    for entry in entries:
        name = entry.job or ""
        said = told.get(fold(name) or name.strip())
        if said is None or job_key(said) == job_key(name):
            renamed.append(entry)
        elif said == LEAVE_OUT:
            text = f"rows of '{name}' are left out, as you answered"
            notes.once(("job told", name), "set aside", entry.place, text, name)
        else:
            text = f"job '{name}' is taken for '{said}', as you answered"
            notes.once(("job told", name), "understood", entry.place, text, name)
            renamed.append(replace(entry, job=said))
    return renamed


def job_questions(entries: Iterable[Entry]) -> tuple[Question, ...]:
    """Ask about job names of logs, bills and phases that no list of jobs has, with likely jobs.

    Names that can only be one job's are that job's (``assembly.names``) and asked about no more;
    where there is no list of jobs at all, nothing is asked.
    """
    piles, _ = pile_up(entries)
    return tuple(_job_question(pile, likely) for pile, likely in _unlisted(piles))


def _job_question(pile: Pile, likely: tuple[str, ...]) -> Question:
    written, lines = pile.name.text, pile.lines
    count, spelled = len(lines), dict.fromkeys(line.job or "" for line in lines)
    return Question(
        key_for("job", written),
        "job",
        pile.name.place,
        written,
        f"Which job is '{written}'? No list of jobs has it.",
        job_choices(likely, say_count(count, "row")),
        count,
        sum(abs(line.gross) for line in lines if isinstance(line, CostEntry)),
        samples=tuple(spelled)[:MOST_SAMPLES],
    )
