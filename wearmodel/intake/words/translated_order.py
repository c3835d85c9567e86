"""Words of a repair line as those write it whose own language puts them in another order: `cross joint behind`.

Where German, French or Spanish stands behind the English, the place follows its part, `cardan` is the shaft, and
`defect` tells that a part is defective. Common practice of workshops on the continent, no source.
"""

import re

from wearmodel.intake.words.turns import as_list, in_turn, turn

__all__ = ["TRANSLATED_WORDS", "in_english_order"]

TRANSLATED_WORDS = frozenset(
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


def _sleeve_too(found: "re.Match[str]") -> str:
    """A sleeve listed after a CV joint or half shaft, as the boot on it; a slip joint has sleeves of its own."""
    is_boot = "slip" not in found.string and _OF_HALF_SHAFT.search(found.string[: found.start()])
    return "boot" if is_boot else found[0]


_TURNS = (
    turn(" join", steps=[(_JOIN, r"\1 joint")]),
    turn(" stone", " cobbles", steps=[(_ON_STONES, "on rough road")]),
    turn("steering ", beside=(" back",), steps=[(_NOT_COMING_BACK, "steering stiff")]),
    turn(" set", steps=[(_SET, r"\1")]),
    turn(
        "cardan",
        steps=[
            (_CARDAN_BEARING, "cardan shaft "),
            (_LINE_OF_CARDAN, r"\2 cardan shaft \1"),
            (_LINE_BEFORE_CARDAN, r"\2 cardan shaft \1"),
            (_OF_CARDAN, r"cardan shaft \1"),
            (_CARDAN_BEFORE, r"\1 cardan shaft "),
        ],
    ),
    turn(" behind", " in front", steps=[(_BEHIND, lambda m: f"{m[1]} {'rear' if m[2] == 'behind' else 'front'}")]),
    turn(
        " above", " below", " top", " under", beside=("steering",),
        steps=[(_STEERING_END, lambda m: f"{m[1]} {'upper' if m[2] in ('above', 'on top') else 'lower'}")],
    ),
    turn("back ", steps=[(_BACK, "rear ")]),
    turn("fault", steps=[(_DEFECT, r"\1 defective"), (_DEFECT_BEFORE, "defective ")]),
    turn("hit", steps=[(_HIT, "knock ")]),
    turn(" chang", " start", " driv", steps=[(_SHIFT, "on take off")]),
    turn("by ", steps=[(_TURN, "on turning")]),
    turn("finished", "ready", " tag", steps=[(_FINISHED, "")]),
    turn(
        "mounted", " again", "same ",
        steps=[
            (_NEW_MOUNTED, r"\1 renewed"),
            (_AGAIN, lambda m: m[0] if _NEW_BEFORE.search(m.string[: m.start()]) else "refitted"),
        ],
    ),
    turn(" in service", steps=[(_AT_SERVICE, r"\1 at service")]),
    turn(" with ", " incl ", steps=[(_WITH, as_list(_NAMED, _RENEWED))]),
    turn(" mount", "assembl", steps=[(_MEANWHILE, "renewed at same time")]),
    turn("because ", "done in add", steps=[(_BECAUSE_HEARD, ""), (_DONE_ADDED, "done ")]),
    turn("because ", "together ", steps=[(_APART, "renewed at same time")]),
    turn("bad ", "poor ", beside=("in ",), steps=[(_BAD_STATE, r"\1")]),
    turn(" with ", steps=[(_WITH_CLAMPS, r"\1")]),
    turn("states of ", steps=[(_STATE_OF, "")]),
    turn(" greased", steps=[(_GREASY, "greased everywhere")]),
    turn(" order", steps=[(_LAST_ORDER, "after our repaired")]),
    turn("sleeve", "dust cover", steps=[(_BOOT_OF_SHAFT, lambda m: "boot " if m[0].endswith(" ") else "boot")]),
    turn("sleeve", beside=(" and ",), steps=[(_SLEEVE_TOO, _sleeve_too)]),
    turn(
        "in", " side and", beside=("boot ",),
        steps=[(_BOTH_BOOTS, lambda m: f"{'inboard and outboard' if m[2] else 'outboard and inboard'} {m[1]}")],
    ),
    turn("both ", steps=[(_BOTH_TOLD, r"\1")]),
)  # fmt: skip


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
    return in_turn(words, _TURNS)
