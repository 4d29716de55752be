"""Words in cells to keys: phases, kinds of job, states, cost kinds; and the names of jobs."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping

from costlearn.errors import Place
from costlearn.intake.readings import Setting
from costlearn.intake.row import key_of
from costlearn.intake.spelling import nearest
from costlearn.records import Entry, JobEntry, job_key
from costlearn.vocabulary import UNASSIGNED, fold

WAITING = {"waiting", "wait", "idle", "standby", "attente", "lost time", "waited"}


def phase_of(word: str, place: Place, setting: Setting) -> str:
    """The key of a phase word; a word only a person can place is asked and "unassigned"."""
    known = setting.phases.get(word)
    if known is None:
        known = setting.phases[word] = _phase_of(word, place, setting)
    return known


def _phase_of(word: str, place: Place, setting: Setting) -> str:
    folded = fold(word)
    vocabulary = setting.vocabulary
    mapped = setting.chart.phases.get(folded)
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
        return UNASSIGNED
    near = nearest(folded, (*vocabulary.phase_words, *vocabulary.ask))
    if near and near[0].sure and near[0].word in vocabulary.phase_words:
        key = vocabulary.phase_words[near[0].word]
        text = f"phase '{word}' is taken for '{near[0].word}' ({vocabulary.phase_name(key)})"
        setting.notes.once(once, "proposed", place, text, word)
        return key
    like = ", ".join(f"'{n.word}'" for n in near)
    hint = f" (is it {like}?)" if like else ""
    text = f"phase '{word}' is not known{hint}; {kept}"
    setting.notes.once(once, "asked", place, text, word)
    return UNASSIGNED


def word_of(
    word: str, known: Mapping[str, str], what: str, place: Place, setting: Setting
) -> str | None:
    """The key of a word in a short list; a close spelling is taken and told, others asked."""
    folded = fold(word)
    if folded in known:
        return known[folded]
    once = (what, place.file, place.sheet, folded)
    near = nearest(folded, known)
    if near and near[0].sure:
        text = f"{what} '{word}' is taken for '{near[0].word}'"
        setting.notes.once(once, "proposed", place, text, word)
        return known[near[0].word]
    like = ", ".join(f"'{n.word}'" for n in near) or ", ".join(dict.fromkeys(known.values()))
    setting.notes.once(once, "asked", place, f"{what} '{word}' is not known; is it {like}?", word)
    return None


def kind_in_name(name: str, setting: Setting) -> str | None:
    """The kind of job its name speaks of, or None if it speaks of none or of two.

    "Basement bath" is a bathroom: the catch-all kind counts only where no other is named.
    """
    words = fold(name).split()
    found: set[str] = set()
    for length in range(1, 4):
        for start in range(len(words) - length + 1):
            key = setting.vocabulary.job_words.get(" ".join(words[start : start + length]))
            if key:
                found.add(key)
    clear = found - {"other"} or found
    return clear.pop() if len(clear) == 1 else None


def ask_about_jobs(entries: Iterable[Entry], known_jobs: Collection[str], setting: Setting) -> None:
    """Ask about names of jobs that are on no list of jobs, each once, with the nearest known.

    Nothing is asked where no list of jobs is known at all.
    """
    listed = list(entries)
    names = {job_key(name): name for name in known_jobs}
    names.update({job_key(e.job): e.job for e in listed if isinstance(e, JobEntry)})
    if not names:
        return
    same_start = _starts(names)
    for entry in listed:
        name = entry.job
        if isinstance(entry, JobEntry) or not name:
            continue
        key = key_of(name)
        if key in names or same_start(key):
            continue
        near = nearest(fold(name), [fold(n) for n in names.values()])
        like = ", ".join(f"'{n.word}'" for n in near)
        text = f"job '{name}' is on no list of jobs" + (f"; is it {like}?" if like else "")
        setting.notes.once(("job", key), "asked", entry.place, text, name)


def _starts(names: Mapping[str, str]) -> Callable[[str], bool]:
    """Whether a key is the leading code of exactly one known job ("J-07" of "J-07 hall bath")."""
    codes: dict[str, int] = {}
    for name in names.values():
        code = job_key(name.split()[0]) if name.split() else ""
        codes[code] = codes.get(code, 0) + 1

    def known(key: str) -> bool:
        return any(c.isdigit() for c in key) and codes.get(key) == 1

    return known
