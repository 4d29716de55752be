"""Reasons why a job stood still on a day, as logs give them beside no hours."""

from __future__ import annotations

import re

from costlearn.intake.names import says_waiting
from costlearn.vocabulary import fold

_STOOD_STILL = re.compile(
    r"wait(?:s|ed|ing)?|rain(?:ed|y|ing)?(?: out)?|storm|snow(?:ed)?|weather|no access|locked out"
    r"|no ?shows?|did ?n[o\']?t (?:come|show|show up|arrive)|dr(?:y|ying)(?: time)?|cur(?:e|ing)"
    r"|nobody (?:there|on site|here|in)|no ?one (?:there|on site)|stood? (?:still|down)|standby"
    r"|idle|on hold|held up|delay(?:s|ed)?|late|back ?order(?:ed)?"
    r"|not (?:in|here|ready|delivered|arrived)"
    r"|power out|no power|no water|inspect(?:or|ion)|attente|pluie|neige|sechage|retard"
)
"""Why nobody works on a job, as logs say on a day without hours (common practice, no source)."""
_AT_WORK = re.compile(r"passed|done|off sick|sick|holiday|vacation|day off|conge|malade")


def stood_still(text: str) -> bool:
    """Whether a text gives a reason why nobody worked on a job: "rain day", "tile not in".

    >>> stood_still("waiting on inspector"), stood_still("inspection passed"), stood_still("tile")
    (True, False, False)
    """
    folded = fold(text)
    if not folded or (any(c.isdigit() for c in folded) and len(folded) < 4):
        return False
    told = re.search(rf"\b(?:{_STOOD_STILL.pattern})\b", folded)
    return says_waiting(text) or (bool(told) and not _AT_WORK.search(folded))
