"""Words in cells to keys: phases, kinds of job, states, cost kinds; and the names of jobs."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from costlearn.assembly.called import JobNames
from costlearn.errors import Place
from costlearn.intake.answers import LEAVE_OUT, NONE, OWN, Answers, phase_choices, scope_choices
from costlearn.intake.answers import key_of as key_for
from costlearn.intake.findings import Notes
from costlearn.intake.kinds import read_kind
from costlearn.intake.readings import Setting
from costlearn.intake.row import key_of
from costlearn.intake.scope import item_word
from costlearn.intake.spelling import nearest
from costlearn.records import Entry, JobEntry, Question, job_key
from costlearn.units import say_count
from costlearn.vocabulary import UNASSIGNED, fold

MOST_JOBS = 4
"""Jobs that a question about a name offers."""
WAITING = {"waiting", "wait", "idle", "standby", "attente", "lost time", "waited"}
_WAITING_FOR = re.compile(r"(?:wait(?:ing|ed)? (?:for|on)|en attente d|attente d)", re.IGNORECASE)


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
    if folded in vocabulary.ask:
        choices = vocabulary.ask[folded]
        names = ", ".join(vocabulary.phase_name(k) for k in choices)
        meaning = f"may mean {names}" if choices else "names no phase"
        setting.notes.once(once, "asked", place, f"phase '{word}' {meaning}; {kept}", word)
        ask_phase(word, choices, place, setting)
        return UNASSIGNED
    near = nearest(folded, (*vocabulary.phase_words, *vocabulary.ask))
    if near and near[0].sure and near[0].word in vocabulary.phase_words:
        key = vocabulary.phase_words[near[0].word]
        text = f"phase '{word}' is taken for '{near[0].word}' ({vocabulary.phase_name(key)})"
        setting.notes.once(once, "proposed", place, text, word)
        return key
    likely: dict[str, str] = {}
    for n in near:
        likely.setdefault(vocabulary.phase_words.get(n.word, n.word), n.word)
    like = ", ".join(f"'{spelling}'" for spelling in likely.values())
    hint = f" (is it {like}?)" if like else ""
    text = f"phase '{word}' is not known{hint}; {kept}"
    setting.notes.once(once, "asked", place, text, word)
    keys = [vocabulary.phase_words[n.word] for n in near if n.word in vocabulary.phase_words]
    ask_phase(word, keys, place, setting)
    return UNASSIGNED


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
    setting.ask("phase", (word,), place, text, choices, found=word, waiting=waiting)


def ask_scope(unknown: Iterable[tuple[str, Sequence[str]]], place: Place, setting: Setting) -> None:
    """Ask about scope words nobody knows; those said to be none are passed over."""
    for written, near in unknown:
        word = item_word(written)
        if setting.answers.get("scope", word) == NONE:
            text = f"scope word '{word}' is no scope item, as you answered"
            setting.notes.once(("no item", word), "understood", place, text, word)
            continue
        like = f"; is it {' or '.join(near)}?" if near else "; it is not used"
        setting.notes.add("asked", place, f"scope word '{written}' is not known{like}", written)
        choices = scope_choices(word, near, setting.vocabulary)
        setting.ask("scope", (word,), place, f"What is '{word}'?", choices, found=written)


def word_of(
    word: str, known: Mapping[str, str], what: str, place: Place, setting: Setting
) -> str | None:
    """The key of a word in a short list; a close spelling is taken and told, others asked."""
    folded = fold(word)
    said = setting.answers.get(what, word)
    if said is not None:
        text = f"{what} '{word}' is taken for '{said}', as you answered"
        setting.notes.once((what, "told", folded), "understood", place, text, word)
        return said
    if folded in known:
        return known[folded]
    once = (what, place.file, place.sheet, folded)
    near = nearest(folded, known)
    if near and near[0].sure:
        text = f"{what} '{word}' is taken for '{near[0].word}'"
        setting.notes.once(once, "proposed", place, text, word)
        return known[near[0].word]
    likely = dict.fromkeys(known[n.word] for n in near) or dict.fromkeys(known.values())
    like = " or ".join(key.replace("_", " ") for key in likely)
    setting.notes.once(once, "asked", place, f"{what} '{word}' is not known; is it {like}?", word)
    keys = tuple(dict.fromkeys(known.values()))
    setting.ask(what, (word,), place, f"Which {what} is '{word}'?", keys, found=word)
    return None


def job_kind(word: str, place: Place, setting: Setting) -> str | None:
    """The kind of a job by the words of its own column; what stays open is asked, once a word."""
    what = "kind of job"
    if setting.answers.get(what, word) is not None:
        return word_of(word, setting.vocabulary.job_words, what, place, setting)
    reading = read_kind(word, setting.vocabulary)
    if reading.kind is None:
        return word_of(word, setting.vocabulary.job_words, what, place, setting)
    if reading.spelled:
        text = f"{what} '{word}' is taken for '{reading.kind}', having '{reading.spelled}' in it"
        setting.notes.once((what, fold(word)), "proposed", place, text, word)
    return reading.kind


def ask_about_jobs(entries: Iterable[Entry], known_jobs: Collection[str], setting: Setting) -> None:
    """Ask about names of jobs that are on no list of jobs, each once, with the nearest known.

    Nothing is asked where no list of jobs is known at all.
    """
    listed = list(entries)
    names = {job_key(name): name for name in known_jobs}
    names.update({job_key(e.job): e.job for e in listed if isinstance(e, JobEntry)})
    if not names:
        return
    same_start, known = _starts(names), JobNames(names)
    for entry in listed:
        name = entry.job
        if isinstance(entry, JobEntry) or not name:
            continue
        key = key_of(name)
        found = known.find(name)
        if key in names or same_start(key) or found.key:
            continue
        like = ", ".join(f"'{names[one]}'" for one in found.may_be[:MOST_JOBS])
        text = f"job '{name}' is on no list of jobs" + (f"; is it {like}?" if like else "")
        setting.notes.once(("job", key), "asked", entry.place, text, name)


def rename_jobs(entries: list[Entry], answers: Answers, notes: Notes) -> list[Entry]:
    """The entries under the jobs a person said they belong to."""
    told = {key: name for key, name in answers.of("job").items() if name != OWN}
    if not told:
        return entries
    renamed: list[Entry] = []
    for entry in entries:
        name = entry.job or ""
        said = None if isinstance(entry, JobEntry) else told.get(fold(name) or name.strip())
        if said is None:
            renamed.append(entry)
            continue
        text = f"job '{name}' is taken for '{said}', as you answered"
        if said == LEAVE_OUT:
            text = f"rows of '{name}' are left out, as you answered"
        else:
            renamed.append(replace(entry, job=said))
        notes.once(("job told", name), "understood", entry.place, text, name)
    return renamed


def job_questions(
    listed: Iterable[str], others: Iterable[tuple[str, int, Place]]
) -> tuple[Question, ...]:
    """Ask about job names of logs, bills and phases that no list of jobs has, with the nearest.

    Args:
        listed: the names on the lists of jobs of all files; if there are none, nothing is asked.
        others: the other names met, with how many rows have them and where the first stands.
    """
    names: dict[str, str] = {}
    known, twice = JobNames({}), set[str]()
    for name in listed:
        key = job_key(name)
        called, longer = known.find(name), JobNames({key: name})
        if key in names or called.key or any(longer.find(names[k]).key for k in called.may_be):
            # Another list calls one of these jobs so.
            twice.add(key)
        else:
            names[key] = name
            known.add(key, name)
    if not names:
        return ()
    same_start = _starts(names)
    found: dict[str, Question] = {}
    for written, rows, place in others:
        key = key_of(written)
        called = known.find(written)
        if not key or key in names or key in twice or same_start(key) or called.key:
            continue
        # A room alone ("hall bath") means no job, but those whose names hold it are likely.
        holding = [k for k, name in names.items() if fold(written) in fold(name)]
        likely = [names[one] for one in (called.may_be or holding)[:MOST_JOBS]]
        choices = (*likely, f"{OWN} (a job of its own)", f"{LEAVE_OUT} (no job's)")
        text = f"Which job is '{written}'? No list of jobs has it."
        name = key_for("job", written)
        holds = say_count(rows, "row")
        asked = Question(name, "job", place, written, text, choices, rows, holds=holds)
        if name in found:
            asked = replace(found[name], rows_waiting=found[name].rows_waiting + rows)
        found[name] = asked
    return tuple(found.values())


def _starts(names: Mapping[str, str]) -> Callable[[str], bool]:
    """Whether a key is the leading code of exactly one known job ("J-07" of "J-07 hall bath")."""
    codes: dict[str, int] = {}
    for name in names.values():
        code = job_key(name.split()[0]) if name.split() else ""
        codes[code] = codes.get(code, 0) + 1

    def known(key: str) -> bool:
        return any(c.isdigit() for c in key) and codes.get(key) == 1

    return known
