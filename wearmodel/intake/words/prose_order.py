"""Words of whole sentences put as a repair line has them: `took the joint off` is `removed the joint`."""

import re

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
_FOUND_AT = re.compile(r"\b(?:traced|tracked|narrowed|isolated|pinned) (?:it |noise |that |vibration )?(?:down )?to\b")


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
    # Looking for a few letters first is much faster than every pattern.
    if "where " in words:
        words = _WHERE.sub(r"\1 \2 end", words)
    if " off" in words or " out" in words or " apart" in words or " down" in words:
        words = _TAKEN.sub(lambda m: f"removed {m[1].rstrip()}", words)
    if " pull" in words:
        words = _PULL_OUT.sub("on take off", words)
    if "put " in words:
        words = _PUT_IN.sub(r"fitted \1", _PUT_SIDE.sub("fitted ", _BOOT_IN.sub("on acceleration", words)))
    if " with it" in words or " with them" in words:
        words = _RENEWED_WITH.sub(r"\1 \2collateral", _TOOK_WITH.sub(r"\1collateral", words))
    if " back" in words:
        words = _BACK.sub("put back", words)
    if " exchanged " in words and len(_RENEWED.findall(words)):
        words = _EXCHANGE.sub(r"\1 complete ", words)
    if "along with " in words or "together with " in words or "coupled with " in words:
        words = _ALONG.sub(lambda m: _as_list(m, words), words)
    if "boot" in words:
        words = _FASTENING.sub(r"\3 \1 \2", _TO_GO_WITH.sub(r"and \1", words))
    if "damage " in words:
        words = _DAMAGED.sub("damage by . ", words)
    if "fixed" in words:
        words = _FIXED.sub(_as_fitted, _FIXED_BACK.sub("refitted", words)).replace("fixed", "repaired")
    if " to " in words and ("trac" in words or "narrowed" in words or "isolated" in words or "pinned" in words):
        words = _FOUND_AT.sub("traced", words)
    return words


def _as_fitted(found: "re.Match[str]") -> str:
    """What was fixed on, as fitted."""
    begin = found["new"] or (f"{found['badly']} " if found["badly"] else "")
    return f"{begin}fitted{' ' if found[0].endswith(' ') else ''}"


def _as_list(found: "re.Match[str]", words: str) -> str:
    """What joins two parts, as `and` where the work on both is told after them."""
    before = words[: found.start()].rpartition(" . ")[2]
    is_list = _NAMED.search(before) and not _RENEWED.search(before) and _RENEWED.search(words[found.end() :])
    return "and " if is_list else found[0]
