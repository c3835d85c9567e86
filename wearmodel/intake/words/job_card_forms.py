"""What the form of an order and its routine add to a repair line: numbered jobs, pre-start faults, backlogs.

Common practice of mines, farms and their contractors, no source.
"""

import re

from wearmodel.intake.words.turns import in_turn, turn

__all__ = ["JOB_CARD_WORDS", "in_plain_form", "numbered_with_brackets"]

JOB_CARD_WORDS = frozenset(
    {"prestart", "straight", "faulty", "pulldown", "backlog", "condition", "scope"}
    | {"melting", "dripping", "towed", "badly", "wrongly", "factory", "arrived"}
)
"""Words that tell such a form, though they mean little by themselves."""

_NUMBERED = re.compile(r"(?:^|(?<=\s))([1-9])[/.] (?=\S)")
# What only somebody who drove can have noticed.
_DRIVEN = (
    r"(?:vibration|noise|clunk|click|knock|grinding|squeal|squeak|rumble|rattle|shudder|steering|thump|growl|hum|whine"
    r"|greased|grease|bang|bump|shake|lock)"
)
_PRESTART = re.compile(
    r"\b(?:prestart|pre start|pre trip|pretrip|pre use|preuse|pre op|preop)(?: checked)? "
    rf"(?:(?:fault|defect|report|complaint|reported|write up|card|sheet)\b(?: [:,-])?|:)"
    rf" (?=\? |(?:(?![/.] )\S+ ){{0,6}}?{_DRIVEN}\b)"
)
_MONITORED = re.compile(r"\bcondition monitor(?:ed|ing)?\b")
_MONITOR_ONLY = re.compile(r"^(?:\. )?(?:\? )?monitor (?=/)")
_FROM_STORES = re.compile(r"\bout of (?:stores|store)\b")
_STRAY_GREASE = re.compile(r"\bgreased (?:in|on|at|over) (?:inboard|inside|outboard"
    r"|outside) side (?:of )?(?=wheel|tyre|rim|brake)")
_GREASE_LOST = re.compile(
    r"\bgreased (?:smoking|smoke|burning|dripping|cooking|running|melting|baking|sizzling)(?: (?:off|on|from"
    r"|over|onto|on to))? "
    r"(?=exhaust|wheel|brake|rim|tyre|disc|ground|floor|muffler|hub)"
)
_OPERATOR = re.compile(r"\b(complaint|complaints|reported|report|by|from) op\b")
# `put on backlog` is a list, nothing was put on.
_ON_LIST = re.compile(
    r"\b(?:put|placed|added|entered|went|gone|goes|left|kept|logged|written)(?: it| back)? (?:on|on to|onto|to"
    r"|in|into|up on) "
    r"(?:backlog|defect list|list|planner|whiteboard|board|schedule|job list|to do|watch|wish list|snag list"
    r"|next order)\b"
)
_NOT_WEAR = re.compile(r"(?: ,)? not (?:from |due to |by )?(?:normal |fair )?(?:worn|wear)(?: and (?:torn"
    r"|tear))?(?= [.,/-]|$)")
_NOT_YET = re.compile(
    r"(?: ,)? (?:not|no)(?: \S+){0,2}? (?:thrown|throwing|greased|leaking|split|torn|through|lost|losing|open|broken)"
    r"(?: greased| right through| through)? yet\b"
)
_NEW_ONE_BAD = re.compile(
    r"(?:^|(?<=[.,:/-] ))new (?=(?:(?![.,:/-] |and )\S+ ){1,8}?(?:faulty|defective|fault|failed|dud|noise|u s"
    r"|unserviceable)\b)"
)
_BACK_AGAIN = re.compile(
    r"\b(?:came|come|comes|brought) (?:straight|right|directly) back(?: again)?\b"
    r"|\bsame (?:fault|noise|problem|complaint|job|defect|vibration) (?:back|again|still|as before|returned)\b"
    r"|\bwe (?:fitted|put in|installed|changed) (?:unserviceable|failed|faulty|defective|broken)\b"
)
_FROM_NEW = re.compile(
    r"\b(?:unserviceable|faulty|failed|defective|bad|dud) (?:from|when|as) (?:new|supplied)\b"
    r"|\b(?:came|come|was|arrived|delivered) (?:fault|faulty|defective|bad) (?:from|by) (?:factory|supplier"
    r"|stores|works|maker)\b"
)
# `boot worn / done`: what was found bad and is done with was renewed.
_BAD_DONE = re.compile(r"\b(worn|split|torn|perished|leaking|failed|broken|seized) ([/:-]|\.) done(?= [./]|$)")
# `backlog: joint worn / parts arrived, changed`: no longer put off.
_ARRIVED = re.compile(
    r"\b(?:outstanding|backlog|deferred|carried over|carry over|later) (?:item )?[:-] (?=(?:\S+ )*?"
    r"(?:arrived|received|came in|landed|turned up)\b(?: \S+){0,4}? "
    r"(?:c o|changed|replaced|renewed|fitted|installed|exchanged|put in|in)\b)"
)
_TOWED_WRONG = re.compile(r"\b(?:badly|wrong|wrongly|incorrectly|improperly) towed\b|\btowed (?:wrong|wrongly"
    r"|badly|incorrectly|improperly)\b")
_CHANGE_OUT = re.compile(
    r"\b(?:scheduled|programmed|planned|hours|hour|life|component|lifed|interval|routine) c o\b"
    r"|\bc o (?=(?:as |per |on |at )*(?:scheduled|planned|hours|programme|interval|due|per|life))"
)
_PULLED_DOWN = re.compile(r"\b(?:in|at|during|on|with) (?:the )?same (?:pull down|pulldown|strip down|pull apart"
    r"|strip)\b")
_GOING_AGAIN = re.compile(r"(?<=[.,/-]) (?:(?:vehicle|unit|back) )?(?:going|away|mobile|on road|running"
    r"|up and running) again(?= [.,/-]|$)")
_STRAY_TIGHT = re.compile(r"\b(seized|locked|jammed|frozen|stuck|bound)(?: up)? (?:tight|solid|fast)\b")
_SCOPE = re.compile(r"\b(?:as |per |in )*(?:rebuild|repaired|overhaul|shutdown|shut|refurb|campaign"
    r"|project) (?:scope|plan|list|kit|spec)\b")
_ALL_VEHICLES = re.compile(
    r"\b(?:series action|service action|retrofit action|campaign)\b|\bfor all vehicles?\b(?: type)?"
    r"|\ball vehicles? (?:type|series)\b"
)

_TURNS = (
    turn("pre", steps=[(_PRESTART, "driver reported ")]),
    turn("condition monitor", steps=[(_MONITORED, "inspection")]),
    turn("monitor /", steps=[(_MONITOR_ONLY, "inspection ")]),
    turn(" store", steps=[(_FROM_STORES, "supplied")]),
    turn("greased ", steps=[(_GREASE_LOST, "greased thrown on "), (_STRAY_GREASE, "greased inside ")]),
    turn(" op", steps=[(_OPERATOR, r"\1 operator")]),
    turn(" backlog", " list", " board", " planner", " watch", steps=[(_ON_LIST, "later")]),
    turn(" not ", " no ", steps=[(_NOT_WEAR, ""), (_NOT_YET, "")]),
    turn("new ", steps=[(_FROM_NEW, "defective from new"), (_NEW_ONE_BAD, "fitted by us ")]),
    turn(" back", "same ", "we ", steps=[(_BACK_AGAIN, "after our repaired")]),
    turn(" from factory", " from supplier", " from stores", steps=[(_FROM_NEW, "defective from new")]),
    turn(" done", steps=[(_BAD_DONE, r"\1 \2 replaced")]),
    turn("outstanding", "backlog", "deferred", "carr", beside=(":",), steps=[(_ARRIVED, "")]),
    turn("towed", steps=[(_TOWED_WRONG, "accident damage")]),
    turn("c o", steps=[(_CHANGE_OUT, lambda m: "changed " if m[0].endswith(" ") else "planned changed")]),
    turn("same ", steps=[(_PULLED_DOWN, "at same time")]),
    turn(" again", steps=[(_GOING_AGAIN, "")]),
    turn(" tight", " solid", " fast", steps=[(_STRAY_TIGHT, r"\1 solid")]),
    turn(" scope", " plan", steps=[(_SCOPE, "planned")]),
    turn("action", "campaign", "vehicle", steps=[(_ALL_VEHICLES, "campaign")]),
)


def numbered_with_brackets(text: str) -> str:
    """The text with its jobs numbered `1)` where they were `1/` or `1.`.

    Parameters
    ----------
    text : str
        As written.

    Examples
    --------
    >>> numbered_with_brackets("1/ boot split, replaced 2/ tyre swapped")
    '1) boot split, replaced 2) tyre swapped'
    """
    if " 2/ " not in text and " 2. " not in text and not text.startswith(("1/ ", "1. ")):
        return text
    return _NUMBERED.sub(r"\1) ", text)


def in_plain_form(words: str) -> str:
    """Words of a line, what belongs to the form of an order put in plain words.

    Parameters
    ----------
    words : str
        In their one form, with a space between them; marks are words of their own.

    Examples
    --------
    >>> in_plain_form("prestart fault , vibration at speed / u joint worn , put on backlog")
    'driver reported vibration at speed / u joint worn , later'
    """
    return in_turn(words, _TURNS)
