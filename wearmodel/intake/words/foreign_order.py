"""Words of a repair line as those write it whose own language puts them in another order: `cross joint behind`.

Where German, French or Spanish stands behind the English, the place follows its part, `cardan` is the shaft, and
`defect` tells that a part is defective. Common practice of workshops on the continent, no source.
"""

import re

__all__ = ["FOREIGN_WORDS", "in_english_order"]

FOREIGN_WORDS = frozenset(
    {"behind", "above", "below", "load", "direction", "finished", "ready", "sleeve", "mounted", "back"}
    | {"dirty", "smeared", "soiled", "former", "join", "alone", "poor", "shape", "condition", "together"}
    | {"because", "sliding", "suspension"}
)
"""Words that tell a place or a state in that order, though they mean little by themselves."""

_CROSS = (
    r"(?:universal joint|u joint|cross joint|joint cross|cross piece|cross set|joint set|cross kit|cross bearing"
    r"|joint spider|universal|cross|spider)"
)
_PART = rf"(?:{_CROSS}|cv joint|joint|boot|bearing|sleeve|spline|yoke)"
_WHERE = r"(?:left|right|front|rear|centre|upper|lower|inboard|outboard|side|end|axle|(?:cardan |prop |drive )?shaft)"
_SET = re.compile(r"\b(cross|joint) (?:set|sets)\b")
# `cross joint cardan rear, transfer box side`: the shaft, then the end of it.
_CARDAN_BEARING = re.compile(
    r"\bcardan (?=(?:suspension|support|intermediate|centre|hanger|carrier|middle) (?:bearing|support)\b|(?:slip"
    r"|sliding) )"
)
_LINE_OF_CARDAN = re.compile(rf"\b({_CROSS}) cardan(?: shaft)? (front|rear) ,")
_LINE_BEFORE_CARDAN = re.compile(rf"\b({_CROSS}) (front|rear) cardan(?: shaft)?(?: ,|(?= ))")
_OF_CARDAN = re.compile(rf"\b({_CROSS}) cardan(?: shaft)?\b(?! joint| cross| shaft)")
_CARDAN_BEFORE = re.compile(rf"\b(front|rear) cardan (?={_CROSS}\b|: )")
_BEHIND = re.compile(
    rf"\b({_PART}(?: cardan)?(?: shaft)?(?: {_WHERE})*) (behind|in front)\b"
    r"(?! (?:of|shaft|prop|gear|transmission|transfer|diff|pinion|axle|wheel|hub|centre|support|carrier|hanger"
    r"|bearing|engine"
    r"|cab|seat|joint|yoke|flange|spline|boot|drive|universal|cross|cardan|side|end|cover|panel|on|at)\b)"
)
_STEERING_END = re.compile(rf"\b(steering(?: column| shaft)?(?: {_PART})+) (above|on top|below|underneath)\b")
_BACK = re.compile(
    r"(?:^|(?<=[.,:/-] )|(?<=and )|(?<=replaced )|(?<=renewed )|(?<=changed )|(?<=exchanged )|(?<=new )|(?<=greased )"
    r"|(?<=lubricated )|(?<=out )|(?<=old )|(?<=worn )|(?<=found )|(?<=by us )|(?<=of )|(?<=at )|(?<=on )"
    r"|(?<=checked ))"
    rf"back (?={_CROSS}\b|shaft\b|prop\b|prop shaft\b|drive shaft\b|joint\b|yoke\b)"
)
# `joint in front defect`: an adjective. `defect: joint` tells what follows.
_DEFECT = re.compile(
    rf"\b((?:{_PART}|complete|half shaft|{_WHERE})) fault(?= (?:[.,/-]|and|new|changed|replaced|renewed"
    rf"|exchanged|mounted"
    r"|fitted|removed)|$)"
)
_DEFECT_BEFORE = re.compile(rf"(?:^|(?<=[.,/-] ))fault (?=(?:{_WHERE} )*(?:{_PART}|cardan|half|steering)\b)")
# A knock is a hit in other languages, and it comes when something starts, not from outside.
_HIT = re.compile(
    r"\bhit(?:s|ting)? (?=(?:when|while|as|by|on|at|in|during) (?:\? )?(?:clutch|load|start|gear|changed|acceleration"
    r"|take|drive|brak|engag|forward|front|revers|pull|mov|turn))"
)
_SHIFT = re.compile(
    r"\b(?:by|at|on|in|during|when|with|of) (?:load|direction|gear|speed) changed?\b"
    r"|\b(?:by|at|on|in|during|when) changed? (?:of )?(?:load|direction|gear|(?:front(?: and)? )?reverse)\b"
    r"|\b(?:by|at|on) (?:start|starting|drive away|driving off)\b"
)
_TURN = re.compile(r"\bby (?:turning|full turning|curve|curves|full steering)\b")
_FINISHED = re.compile(
    r"(?<=[.,/-]) (?:job |work |vehicle |all |repaired )?(?:finished|ready|ready for use)(?= [.,/-]|$)"
    r"|(?<=[.,/-]) (?:\? )?tag(?:s|ged|ged out)? (?:off|removed|lifted|cleared)(?= [.,/-]|$)"
)
_BOOT_OF_SHAFT = re.compile(
    r"\b(?:(?:dust|rubber|protective) )*(?:sleeve|sleeves|dust cover) (?=(?:wheel|gear box|diff|hub|transmission"
    r"|inboard"
    r"|outboard|side|end|of|on| )*(?:drive|half|axle) shaft\b)"
    r"|(?<=drive shaft )(?:dust |rubber |protective )*sleeves?\b|(?<=half shaft )(?:dust |rubber )*sleeves?\b"
)
_SLEEVE_TOO = re.compile(r"(?<= and )(?:new |dust |rubber )*sleeve\b(?! (?:yoke|bearing|nut))")
_OF_HALF_SHAFT = re.compile(r"\b(?:cv joint|(?:inboard|outboard|wheel side|gear box side"
    r"|diff side) (?:\S+ ){0,3}?joint|joint (?:\S+ ){0,4}?(?:drive|half) shaft|drive shaft (?:inboard"
    r"|outboard)? ?joint|tripod)\b")
_INNER = r"(?:inside|inboard|(?:gear box|diff|transmission|engine) side)"
_OUTER = r"(?:outside|outboard|(?:wheel|hub) side)"
_BOTH_BOOTS = re.compile(
    rf"\b((?:cv |drive shaft |half shaft )?boot) (?:({_INNER}) and {_OUTER}"
    rf"|{_OUTER} and {_INNER})(?! (?:of )?(?:cv|joint|boot))\b"
)
_BOTH_TOLD = re.compile(
    r"\b(both (?:cv )?boot (?:of |on |at )?(?:(?:cv|drive|half|axle) )+shaft) - (?:inboard and outboard"
    r"|outboard and inboard) ,"
)
_NEW_MOUNTED = re.compile(rf"\bnew ((?:(?![.,:/-] |and )\S+ ){{0,6}}?{_PART}) mounted\b(?! by| last)")
_AGAIN = re.compile(
    r"\b(?:same (?:part|one|joint|boot|piece) )?(?:mounted|fitted|installed|assembled|put) (?:again|back again)\b"
    r"|\bsame (?:part|one|piece) (?:mounted|fitted|installed)(?: again)?\b"
)
_NEW_BEFORE = re.compile(r"\bnew (?:\S+ ){0,2}$")
# `bearing with joint broken, renewed`: both are told of before any work.
_WITH = re.compile(
    rf"(?<!along )(?<!together )(?<!coupled )(?<!combined )(?<!complete )\b(?:with"
    rf"|incl)(?: new)? (?=(?:{_WHERE} |driver |passenger |co |hand |gear box |wheel |cardan |rubber |drive "
    rf"|half |cv |steering )*{_PART}\b)"
)
_NAMED = re.compile(rf"\b{_PART}\b")
_RENEWED = re.compile(r"\b(?:replaced|renewed|fitted|changed|installed|new|exchanged|mounted|repaired with new)\b")
_MEANWHILE = re.compile(
    r"\b(?:at|by|on|during|when|while) (?:mounting|mounted|mount|assembly|assembling|reassembly)(?: again)?\b(?: put)?"
)
# `because of noise joint replaced`: nobody blames the joint.
_BECAUSE_HEARD = re.compile(
    r"\bbecause (?:of )?(?=(?:\S+ ){0,2}?(?:noise|vibration|knock|shudder|clunk|rumble|rattle|click|squeak"
    r"|grinding|smell|hum"
    r"|whine|tremble|thump)\b)"
)
_DONE_ADDED = re.compile(r"\bdone in (?=addition)")
_APART = re.compile(r"\bbecause (?:it |this |shaft |all )?removed\b|\btogether with other (?:part|parts|work)\b"
    r"|\bby removed of other part damage\b")
_GREASY = re.compile(r"\b(?:dirty|smeared|soiled|dirtied|full) (?:of|with|from|by) greased\b")
_BAD_STATE = re.compile(r"\bin (?:very )?(bad|poor) (?:states|condition|shape)\b")
_WITH_CLAMPS = re.compile(
    r"\b(changed|replaced|renewed|exchanged|fitted|mounted) with (?:new |all new )?(?:clamps?|clips?|straps?"
    r"|bands?|bolts?|nuts?"
    r"|circlips?|hardware|retainers?|screws)\b"
)
_JOIN = re.compile(r"\b(cv|cross|universal|outboard|inboard) join\b")
_ON_STONES = re.compile(r"\b(?:on|over) (?:\? )?(?:pavement |paving )?(?:stones|stone|cobbles)\b(?! damage)")
_NOT_COMING_BACK = re.compile(r"\bsteering (?:wheel )?(?:does )?not (?:come|comes|came|coming|go"
    r"|return) back(?: alone)?\b")
_LAST_ORDER = re.compile(r"\b(?:from|in|at|by|on|with) (?:our )?(?:previous|last|former|earlier) (?:work )?order\b")
# `state of boot bad`: nobody states anything.
_STATE_OF = re.compile(r"(?<!driver )(?<!customer )(?<!operator )\bstates of ")
_AT_SERVICE = re.compile(r"\b(measured|found|seen|noticed|detected|observed|checked|spotted|noted|looked) in service\b")


def in_english_order(words: str) -> str:
    """Words of a line, what follows the order of another language put in that of a repair line.

    Parameters
    ----------
    words : str
        In their one form, with a space between them; marks are words of their own.

    Examples
    --------
    >>> in_english_order("cross joint cardan rear , transfer box side fault , changed")
    'rear cardan shaft cross joint transfer box side defective , changed'
    >>> in_english_order("steering u joint above replaced")
    'steering u joint upper replaced'
    """
    # Looking for a few letters first is much faster than every pattern.
    if " join" in words:
        words = _JOIN.sub(r"\1 joint", words)
    if " stone" in words or " cobbles" in words:
        words = _ON_STONES.sub("on rough road", words)
    if "steering " in words and " back" in words:
        words = _NOT_COMING_BACK.sub("steering stiff", words)
    if " set" in words:
        words = _SET.sub(r"\1", words)
    if "cardan" in words:
        words = _CARDAN_BEARING.sub("cardan shaft ", words)
        words = _LINE_OF_CARDAN.sub(r"\2 cardan shaft \1", words)
        words = _LINE_BEFORE_CARDAN.sub(r"\2 cardan shaft \1", words)
        words = _CARDAN_BEFORE.sub(r"\1 cardan shaft ", _OF_CARDAN.sub(r"cardan shaft \1", words))
    if " behind" in words or " in front" in words:
        words = _BEHIND.sub(lambda m: f"{m[1]} {'rear' if m[2] == 'behind' else 'front'}", words)
    if "steering" in words and (" above" in words or " below" in words or " top" in words or " under" in words):
        words = _STEERING_END.sub(lambda m: f"{m[1]} {'upper' if m[2] in ('above', 'on top') else 'lower'}", words)
    if "back " in words:
        words = _BACK.sub("rear ", words)
    if "fault" in words:
        words = _DEFECT_BEFORE.sub("defective ", _DEFECT.sub(r"\1 defective", words))
    if "hit" in words:
        words = _HIT.sub("knock ", words)
    if " chang" in words or " start" in words or " driv" in words:
        words = _SHIFT.sub("on take off", words)
    if "by " in words:
        words = _TURN.sub("on turning", words)
    if "finished" in words or "ready" in words or " tag" in words:
        words = _FINISHED.sub("", words)
    if "mounted" in words or " again" in words or "same " in words:
        words = _NEW_MOUNTED.sub(r"\1 renewed", words)
        words = _AGAIN.sub(lambda m: m[0] if _NEW_BEFORE.search(words[: m.start()]) else "refitted", words)
    if " in service" in words:
        words = _AT_SERVICE.sub(r"\1 at service", words)
    if " with " in words or " incl " in words:
        words = _WITH.sub(lambda m: _as_list(m, words), words)
    if " mount" in f" {words}" or "assembl" in words:
        words = _MEANWHILE.sub("renewed at same time", words)
    if "because " in words or "done in add" in words:
        words = _DONE_ADDED.sub("done ", _BECAUSE_HEARD.sub("", words))
    if "because " in words or "together " in words:
        words = _APART.sub("renewed at same time", words)
    if "in " in words and ("bad " in words or "poor " in words):
        words = _BAD_STATE.sub(r"\1", words)
    if " with " in words:
        words = _WITH_CLAMPS.sub(r"\1", words)
    if "states of " in words:
        words = _STATE_OF.sub("", words)
    if " greased" in words:
        words = _GREASY.sub("greased everywhere", words)
    if " order" in words:
        words = _LAST_ORDER.sub("after our repaired", words)
    return _boots(words)


def _as_list(found: "re.Match[str]", words: str) -> str:
    """What joins two parts, as `and` where the work on both is told after them."""
    before = words[: found.start()].rpartition(" . ")[2]
    is_list = _NAMED.search(before) and not _RENEWED.search(before) and _RENEWED.search(words[found.end() :])
    return "and " if is_list else found[0]


def _boots(words: str) -> str:
    """Sleeves of half shafts and CV joints, as boots."""
    if "sleeve" in words or "dust cover" in words:
        words = _BOOT_OF_SHAFT.sub(lambda m: "boot " if m[0].endswith(" ") else "boot", words)
        if " and " in words and "slip" not in words:
            words = _SLEEVE_TOO.sub(lambda m: "boot" if _OF_HALF_SHAFT.search(words[: m.start()]) else m[0], words)
    if "boot " in words and " and " in words and ("in" in words or " side and" in words):
        words = _BOTH_BOOTS.sub(lambda m: f"{'inboard and outboard' if m[2] else 'outboard and inboard'} {m[1]}", words)
    if "both " in words and " - " in words:
        words = _BOTH_TOLD.sub(r"\1", words)
    return words
