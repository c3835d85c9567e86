"""Words of whole sentences put as a repair line has them: `took the joint off` is `removed the joint`."""

import re

from wearmodel.intake.words.turns import as_list, in_turn, turn

__all__ = ["PROSE_WORDS", "in_prose_order"]

PROSE_WORDS = frozenset({"where", "meets", "joins", "enters", "bolts", "goes", "into", "took", "whipped", "yanked"})
"""Words that tell the order of a sentence, though they mean nothing by themselves."""

_SHAFT = r"(?:prop shaft|prop|drive shaft|drive line|cardan shaft|shaft)"
_END = r"(?:transfer box|transfer case|transfer|gear box|transmission|front diff|rear diff|diff|pinion|axle)"
_OURS = r"(?:joint|universal|boot|bearing|cv|cross|spline|spider)"
_IN_CLAUSE = r"(?:(?![.,:/-] )\S+ ){0,14}?"
# `where the front shaft meets the transfer box`
_WHERE = re.compile(
    rf"\bwhere ((?:front |rear |main )?{_SHAFT}) (?:meets|joins|enters|goes (?:in to|into|to|in)|bolts (?:on to|to|on"
    rf"|up to)|connects to) ({_END})\b"
)
# `whipped the joint out`: a part is no shaft that was out for other work.
_TAKEN = re.compile(
    r"\b(?:took|taken|whipped|yanked|dismantled|removed) "
    rf"((?={_IN_CLAUSE}(?:{_OURS}|complete)\b)(?:(?![.,:/-] )\S+ ){{1,14}}?)"
    r"(?:off|out|down|apart)(?= and (?:fitted|put|installed|replaced|new)| [.,/-]| to |$)"
)
_PUT_SIDE = re.compile(r"\bput (?=(?:right|left) (?:hand|side|front|outboard|inboard|inside|outside|cv|drive|half) )")
_PUT_IN = re.compile(
    rf"\bput (?!boot in|new|old|same|back)((?={_IN_CLAUSE}{_OURS}\b)(?:(?![.,:/-] |back )\S+ ){{1,12}}?)"
    r"(?:in|on)(?= [.,]| and | as well| too| also|$)"
)
_BOOT_IN = re.compile(r"\b(?:when|if) put (?:boot|foot) (?:in|down)\b")
_PULL_OUT = re.compile(r"\b(?:when|while|if|as) (?:i |driver |customer )?pull(?:ing|s)? (?:out|away|off)\b")
_TOOK_WITH = re.compile(
    rf"\b(?:took|taking|taken) ((?={_IN_CLAUSE}{_OURS}\b)(?:(?![.,:/-] )\S+ ){{1,8}}?)with (?:it|them)\b"
)
_RENEWED_WITH = re.compile(
    rf"\b(replaced|renewed|fitted|changed|done) ((?={_IN_CLAUSE}{_OURS}\b){_IN_CLAUSE})with (?:it|them)(?= [.,-]|$)"
)
_NAMED = re.compile(rf"\b{_OURS}\b")
_BACK = re.compile(r"\bput (?:it|them|all|everything) back\b")
# `left exchange shaft`: a shaft with everything on it.
_EXCHANGE = re.compile(
    r"\b(left|right|hand|side|front|driverside|passengerside|offside|nearside) exchanged "
    r"(?=(?:cv|drive|half|axle) (?:drive |axle )?shaft\b)"
)
_RENEWED = re.compile(r"\b(?:replaced|renewed|fitted|changed|installed|new|redo|redone|swapped|another)\b")
# `joint along with bearing broken, renewed`: told before any work, both are a list.
_ALONG = re.compile(rf"\b(?:along|together|coupled|combined) with (?={_IN_CLAUSE}{_OURS}\b)")
_TO_GO_WITH = re.compile(r"\band (?:fresh |new )?(boot(?: kit)?) to go with(?: it)?\b")
# `clamp came off inner boot` tells of the clamp.
_FASTENING = re.compile(
    r"\b(clamp|clip|clips|clamps|strap|band|circlip) ((?:came|come|fell|fallen|popped|slipped|blown|worked|was|missing|"
    r"loose|off)(?: off| loose| missing)?) (?:from |on |at )?"
    r"((?:left |right |front |hand |side |driver |driverside |passenger |passengerside |offside |nearside |inboard "
    r"|outboard |inside |outside )*(?:cv |drive shaft |half shaft )?boot)\b"
)
# `damaged the joint`: a sentence that begins so tells what somebody did to it.
_DAMAGED = re.compile(rf"(?:^|(?<=\. ))damage (?={_IN_CLAUSE}{_OURS}\b)")
# `new joint fixed`, `fixed wrongly by us`: in some countries what is fixed on was fitted; else it was repaired.
_FIXED = re.compile(
    r"\b(?P<new>(?:new|correct|another|fresh|right|replaced|spare|removed and"
    r"|changed and) (?:(?![.,:/-] )\S+ ){0,9}?)fixed\b"
    r"(?! back)|\bfixed (?=(?:new|another|correct|fresh|wrong|crooked|in wrong|same time|with new|along)\b)"
    r"|\b(?P<badly>wrongly|wrong|not|never|badly|improper|improperly|loosely) fixed\b"
    r"|\bfixed (?=(?:(?:by us|last|yesterday|recently|only|in last|on last|in previous|previously|not proper|loose"
    r"|[1-8] (?:days?|weeks?|months?)|few)\b))"
)
_FIXED_BACK = re.compile(
    r"\b(?:fixed (?:back|same|again|in place|old)|(?:same|old|back|same part|same one) (?:back )?fixed)(?: back"
    r"| again)?\b"
)
_STILL_FIXED = re.compile("fixed")
_FOUND_AT = re.compile(r"\b(?:traced|tracked|narrowed|isolated|pinned) (?:it |noise |that |vibration )?(?:down )?to\b")


def _as_fitted(found: "re.Match[str]") -> str:
    """What was fixed on, as fitted."""
    begin = found["new"] or (f"{found['badly']} " if found["badly"] else "")
    return f"{begin}fitted{' ' if found[0].endswith(' ') else ''}"


_TURNS = (
    turn("where ", steps=[(_WHERE, r"\1 \2 end")]),
    turn(" off", " out", " apart", " down", steps=[(_TAKEN, lambda m: f"removed {m[1].rstrip()}")]),
    turn(" pull", steps=[(_PULL_OUT, "on take off")]),
    turn("put ", steps=[(_BOOT_IN, "on acceleration"), (_PUT_SIDE, "fitted "), (_PUT_IN, r"fitted \1")]),
    turn(" with it", " with them", steps=[(_TOOK_WITH, r"\1collateral"), (_RENEWED_WITH, r"\1 \2collateral")]),
    turn(" back", steps=[(_BACK, "put back")]),
    turn(
        " exchanged ",
        steps=[(_EXCHANGE, lambda m: f"{m[1]} complete " if _RENEWED.search(m.string) else m[0])],
    ),
    turn("along with ", "together with ", "coupled with ", steps=[(_ALONG, as_list(_NAMED, _RENEWED))]),
    turn("boot", steps=[(_TO_GO_WITH, r"and \1"), (_FASTENING, r"\3 \1 \2")]),
    turn("damage ", steps=[(_DAMAGED, "damage by . ")]),
    turn("fixed", steps=[(_FIXED_BACK, "refitted"), (_FIXED, _as_fitted), (_STILL_FIXED, "repaired")]),
    turn("trac", "narrowed", "isolated", "pinned", beside=(" to ",), steps=[(_FOUND_AT, "traced")]),
)


def in_prose_order(words: str) -> str:
    """Words of a line, what is told in sentences put as a repair line has it.

    Parameters
    ----------
    words : str
        In their one form, with a space between them; marks are words of their own.

    Examples
    --------
    >>> in_prose_order("universal joint where front prop shaft meets transfer case broken")
    'universal joint front prop shaft transfer case end broken'
    """
    return in_turn(words, _TURNS)
