"""Who worked and for how long, as the words of a cell say it, one fact after the other."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from costlearn.intake.values.times import KINDS, Span, take_span
from costlearn.intake.values.tokens import Token, Walk, lex, lexicon, plain

_WORDS = lexicon(
    **{
        **KINDS,
        "men": "man|men|guy|guys|people|person|persons|ppl|worker|workers|crew|of us|hommes|homme"
        "|gars|personne|personnes",
        "together": "together|ensemble|the lot of us|all of us",
        "crew of": "crew of|team of|gang of",
        "both": "both of us|both|both guys|us both|a deux|the two of us",
        "alone": "alone|solo|by myself|by himself|on my own|just me|only me|me only|me alone"
        "|me myself|all alone|seul|tout seul|no help|no helper|without help|single handed",
        "me": "me|moi|i|myself",
        "helper": "helper|a helper|my helper|the helper|apprentice|an apprentice|my apprentice",
        "away": "away|off|sick|absent|absente|out|gone|not there|not here|on holiday|on holidays"
        "|on vacation|malade",
        "only": "only|seulement|just",
        "lacking": "no|without|w/o|minus|sans",
        "half time": "half the time|half time|half of the time|half of it|half the days"
        "|half of the days|la moitie du temps",
        "with": "with|w/|avec",
        "each": "ea|each|apiece|chacun|chaque",
        "times": "x|*|×",
        "of them": "of them|of those|of it|of these",
        "filler": "on site|work|worked|working|total|in total|all in|in all|of work|straight|for"
        "|took|de travail|sur place|les",
        "bound": "max|maximum|min|minimum|at least|at most|up to|under|over|less than|more than"
        "|no more than|allow",
        "doubt": "planned|plan|quoted|quote|budget|so far|left|remaining|wait|waits|waiting|lost"
        "|not|except|extra|more|of|per|before|after|drying|delay|delays|incl|including|still"
        "|sometimes|mostly|some|part|then|but|if|until|on|off and on|elapsed|calendar|start",
    }
)  # fmt: skip


@dataclass(slots=True)
class Part:
    """One span of time and who worked in it."""

    span: Span | None = None
    factor: Span | None = None
    crews: set[float] = field(default_factory=set)
    names: set[str] = field(default_factory=set)
    said: set[str] = field(default_factory=set)
    """Kinds of single words: "me", "helper", "with", "each", "together", "times"."""

    def crew(self, team: int | None) -> float | None:
        """How many worked, as the part says it; None if it does not, or says two things."""
        crews = set(self.crews)
        if "together" in self.said and team:
            crews.add(float(team))
        others = len(self.names) + ("helper" in self.said)
        if others and self.said & {"me", "with"}:
            crews.add(1.0 + others)
        elif others > 1:
            crews.add(float(others))
        elif "me" in self.said and not crews:
            crews.add(1.0)
        return crews.pop() if len(crews) == 1 else None


@dataclass(slots=True)
class Found:
    """What a cell says, while it is read."""

    text: str
    parts: list[Part] = field(default_factory=lambda: [Part()])
    joined: bool = True
    away: list[Span | None] = field(default_factory=list)
    halves: int = 0
    named: list[Span] = field(default_factory=list)
    unknown: list[Token] = field(default_factory=list)


def read_facts(text: str, decimal: str, people: Collection[str], hours_per_day: float) -> Found:
    """What a tidied text says about days and people; ``people`` are the names the firm gave."""
    walk = Walk(_with_names(lex(text, decimal, _WORDS), people))
    found = Found(text)
    while walk.kind():
        _fact(walk, found, people, hours_per_day)
    return found


def _with_names(tokens: list[Token], people: Collection[str]) -> list[Token]:
    """Tokens in which the people of the firm are names, whatever else their initial may mean."""
    known = {plain(name) for name in people}
    named = []
    for i, token in enumerate(tokens):
        glued = i > 0 and tokens[i - 1].kind == "number" and tokens[i - 1].end == token.start
        named.append(token._replace(kind="name") if token.text in known and not glued else token)
    return named


def _is_name(walk: Walk, found: Found, people: Collection[str], ahead: int = 0) -> bool:
    """Whether a word is somebody's name: one the firm gave, else any with a capital letter."""
    if walk.kind(ahead) == "name":
        return True
    if people or walk.kind(ahead) != "word":
        return False
    token = walk.tokens[walk.at + ahead]
    return len(token.text) == 1 or found.text[token.start].isupper()


def _fact(walk: Walk, found: Found, people: Collection[str], per_day: float) -> None:
    """Take the next thing a cell says."""
    part, kind = found.parts[-1], walk.kind()
    if kind in {",", ";", "(", ")", ".", ":", "filler", "of them"}:
        walk.take()
    elif kind == "and":
        walk.take()
        if (
            "me" in part.said
            and walk.kind() in {"number", "count"}
            and walk.kind(1) in {"", ",", ")"}
        ):
            span = take_span(walk, per_day)
            part.crews.add(1 + span.low if span else 0)
    elif kind == "lacking" and _is_name(walk, found, people, 1):
        walk.at += 2
        found.away.append(None)
    elif kind == "only" and _is_name(walk, found, people, 1):
        walk.at += 2
        part.crews.add(1.0)
    elif kind in {"alone", "both"}:
        walk.take()
        part.crews.add(1.0 if kind == "alone" else 2.0)
    elif kind in {"me", "helper", "with", "each", "together", "times"}:
        part.said.add(walk.take().kind)
    elif _is_name(walk, found, people):
        _about(walk.take().text, walk, found, per_day)
    elif kind == "crew of" and walk.kind(1) in {"number", "count"}:
        walk.take()
        part.crews.add(_people(walk))
    elif kind in {"number", "count"} and "men" in {walk.kind(1), _behind_dash(walk)}:
        part.crews.add(_people(walk))
    elif (span := take_span(walk, per_day)) is not None:
        _place(span, found)
    else:
        found.unknown.append(walk.take())


def _people(walk: Walk) -> float:
    """A number of people: "two of us", "2 men", "2-man crew"."""
    number = Walk([walk.take()])
    span = take_span(number, 1.0)
    while walk.kind() in {"men", "-"}:
        walk.take()
    return span.low if span else 0.0


def _behind_dash(walk: Walk) -> str:
    return walk.kind(2) if walk.kind(1) == "-" else ""


def _about(name: str, walk: Walk, found: Found, per_day: float) -> None:
    """What is said about one person: away, there half the time, there for some days, or there."""
    if walk.kind() == "away":
        walk.take()
        found.away.append(take_span(walk, per_day))
    elif walk.kind() in {"alone", "only"}:
        walk.take()
        found.parts[-1].crews.add(1.0)
    elif walk.kind() == "half time":
        walk.take()
        found.halves += 1
    else:
        walk.at += walk.kind() in {"filler", ":"}
        span = take_span(walk, per_day)
        if span is not None:
            found.named.append(span)
        else:
            found.parts[-1].names.add(name)


def _place(span: Span, found: Found) -> None:
    """Put a span into the part it belongs to: the first one, a factor, or a part of its own."""
    part = found.parts[-1]
    if part.span is None:
        part.span = span
    elif "times" in part.said and part.factor is None and not (part.span.measure and span.measure):
        part.span, part.factor = (span, part.span) if span.measure else (part.span, span)
    else:
        found.parts.append(Part(span))
