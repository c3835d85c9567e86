"""Names of labour operations put in their usual order: `boot, CV joint outer`, `shaft assembly, front wheel drive`.

A list of labour operations names the thing first, then whose it is and where; parts lists shorten the same names.
"""

import re

from wearmodel.intake.words.turns import in_turn, turn

__all__ = ["in_spoken_order"]

_END = r"(?:outboard|inboard|wheel side|diff side|gear box side|upper|lower)"
_CV = r"(?:cv joint|constant velocity joint|cv|constant velocity)"
_AXLE = r"(?:(?:front |left |right )?(?:cv )?(?:half shaft|drive axle|drive shaft|axle shaft|axle|shaft))"
# Only a parts list says `front wheel drive shaft`; `four wheel drive shaft` may be a propeller shaft.
_WHEEL_SHAFT = re.compile(r"(?<!four )(?<!4 )(?<!rear )(?<!all )(?:front )?wheel (?:driver?|driving) (?:half )?shaft\b")
_SHAFT_LISTED = re.compile(
    r"\b(?:drive )?shaft (?:assembly )?(?:, )?(?:front |left |right )?wheel (?:driver?|driving)\b(?! bolt| nut)"
)
_AXLE_LISTED = re.compile(rf"\b(?:drive )?axle (?:assembly )?, ((?:{_END} |front |left |right )*)cv\b(?! joint| boot)")
_AXLE_SHORT = re.compile(r"\b(?:drive )?axle assembly cv\b(?! joint| boot)|\bcv axle assembly\b")
_DRIVE_AXLE = re.compile(r"\b(?:front )?drive axle (?=(?:assembly )?(?:[,-] )?(?:inboard |outboard )?(?:joint|boot)\b)")
_SEAL_BOOT = re.compile(r"\bseal boot\b|\bboot seal(?= ,)")
_DONE = r"(?:replaced|renewed|fitted|changed|installed|new|r r|also|with|and|exchanged)"
# `new boot, CV joint and clips` is a list of three.
_GOES_ON = (
    r"(?! (?:and|or) (?:clip|clamp|strap|band|greased|nut|circlip|boot)\b)(?! boot)(?! worn| torn| split| failed)"
)
_BOOT_LISTED = re.compile(
    rf"(?:^|(?<=[.:;/-] )|(?<=, also )|\b(?P<done>{_DONE} ))boot (?:assembly )?, (?P<whose>{_CV}|{_AXLE})"
    rf"(?=(?: {_END})?(?: [.,/:;-]|$| (?:left|right|front|driver|passenger|offside|nearside|and|with|same|both)))"
    rf"{_GOES_ON}"
)
_BOOT_OF_END = re.compile(
    rf"(?:^|(?<=[.:;/-] )|\b(?P<done>{_DONE} ))boot , (?P<end>{_END}) (?P<whose>{_CV}|{_AXLE})(?= [.,/:;-]|$)"
)
_JOINT_LISTED = re.compile(r"\bjoint , (prop shaft|prop|drive line) (universal|cardan)\b(?! joint)")
_JOINT_SHORT = re.compile(r"\bjoint (?:assembly )?(universal|cardan)\b(?! joint| cross| spider)")
_OF_ANOTHER = r"(?:diff|pinion|axle|wheel|hub|alternator|release|clutch)"
_BEARING_LISTED = re.compile(
    r"bearing(?<!centre bearing)(?<!support bearing)(?<!carrier bearing)(?<!prop bearing)(?<!shaft bearing)"
    r"(?<!hanger bearing)(?<!steady bearing)(?<!intermediate bearing)"
    rf" (?:assembly )?(?:, )?({_OF_ANOTHER})(?: side)?(?= [.,/:;-]|$)"
)
_CENTRE_LISTED = re.compile(
    r"(?<!cross and )(?<!spider and )"
    r"bearing , (?:prop shaft |prop |drive shaft |drive line )?centre(?: support)?(?: bearing)?(?= [.,/:;-]|$)"
)
_FOREIGN_JOINT = re.compile(r"\b(?:flex|flexible|flexi) joint , exhaust\b|\bexhaust , (?:flex|flexible|flexi) joint\b")

# `boot, L.H.` ends with a dot that is also the abbreviation's; a counted part or a label begins anew.
_NEXT_ITEM = re.compile(
    r"\b(left|right|front|rear|outboard|inboard|upper|lower|centre|support) "
    r"(?=1 (?:cv|joint|boot|universal|u joint|half shaft|bearing|slip|support)\b)"
)
_DONE_SINCE = re.compile(
    r"\bto be (replaced|renewed|changed|fitted)\b"
    r"(?=(?: (?!when|after|once|next|if|until|be|on|with)\w+){0,6} (?:\. )?done(?: \.)?$)"
)
_NEXT_LABEL = re.compile(r"(?<=[a-z]) (?=(?:diagnosis|complaint|fault|customer|states) :)")

_BEGIN = r"(?:^|(?<=[.,:;/-] )|(?<=replaced )|(?<=fitted )|(?<=renewed ))"
_SMALL = r"(?:greased )?nipples?|clips?|clamps?|bolts?|brackets?|straps?|circlips?|nuts?"
_SMALL_WORDS = (
    "nipple", "clip", "clamp", "bolt", "bracket", "strap", "nut", "seal", "flange", "gasket", "sensor", "washer",
    "shield",
)  # fmt: skip
_SMALL_FIRST = re.compile(
    rf"{_BEGIN}({_SMALL}) ((?:cv )?boot(?: cv)?|u joint|universal joint|cv joint|(?:centre|support|carrier) bearing)\b"
)
# `seal, axle shaft`: the small thing is named first, the shaft only tells whose it is.
_SMALL_OF = re.compile(
    rf"(?:^|(?<=[.:;/-] )|\b(?P<done>{_DONE} ))"
    rf"(?P<small>(?:oil |grease )?(?:seals?|flange|gasket|sensor|washer|shield|{_SMALL})) (?:assembly )?, "
    rf"(?P<whose>(?:{_END} |front |rear )?(?:cv )?(?:axle shaft|half shaft|drive shaft|prop shaft|drive line|cv joint"
    r"|cv boot|boot|cv axle|(?:centre|support) bearing|u joint|universal joint))"
    r"(?= [.,/:;-]|$| (?:left|right|front|rear|outboard|inboard|driver|passenger|offside|nearside)\b)"
)
_RACK_BOOT = re.compile(
    r"\bboot (?:, |on |for |at |of )?(rack|steering rack|track rod|tie rod|ball joint|gear lever|gear stick|shock|"
    r"selector|gear shift|shift lever|hand brake|handbrake|brake lever|clutch lever|pto lever|drag link|caliper|"
    r"slave cylinder|master cylinder|spark plug|strut)\b"
)
_UNDISTURBED = re.compile(r"\bwithout (?:split|removed|dismantled|disturbed|disturbing) (?:\w+ )?(?:shaft|joint|hub)\b")
# A boot for any vehicle, which names no universal joint.
_ANY_BOOT = re.compile(r"\buniversal (?=(?:\? )?(?:type )?boot\b)|(?<=boot , cv , )universal (?:\? )?type\b")


def _small_of(found: "re.Match[str]") -> str:
    """A small thing named after what it is on."""
    return f"{found['done'] or ''}{found['whose']} {found['small']}"


def _boot_of(found: "re.Match[str]") -> str:
    """A boot named after the joint or half shaft it is on."""
    end = f"{found['end']} " if "end" in found.groupdict() else ""
    owner = "cv" if "cv" in found["whose"] or "velocity" in found["whose"] else "half shaft"
    return f"{found['done'] or ''}{end}{owner} boot"


_TURNS = (
    turn(" 1 ", steps=[(_NEXT_ITEM, r"\1 / ")]),
    turn("to be ", steps=[(_DONE_SINCE, r"\1")]),
    turn(" :", steps=[(_NEXT_LABEL, " . ")]),
    turn(
        "axle",
        steps=[
            (_AXLE_LISTED, r"half shaft assembly \1"),
            (_AXLE_SHORT, "half shaft assembly"),
            (_DRIVE_AXLE, "half shaft "),
        ],
    ),
    turn("wheel driv", steps=[(_WHEEL_SHAFT, "half shaft"), (_SHAFT_LISTED, "half shaft assembly")]),
    turn("boot", steps=[(_SEAL_BOOT, "boot"), (_RACK_BOOT, r"\1 boot")]),
    turn("universal", beside=("boot",), steps=[(_ANY_BOOT, "")]),
    turn("boot , ", "boot assembly , ", steps=[(_BOOT_LISTED, _boot_of), (_BOOT_OF_END, _boot_of)]),
    turn(
        "joint , ", "joint universal", "joint assembly", "joint cardan",
        steps=[(_JOINT_LISTED, r"\1 \2 joint"), (_JOINT_SHORT, r"\1 joint"), (_FOREIGN_JOINT, "exhaust joint")],
    ),
    turn(*_SMALL_WORDS, steps=[(_SMALL_FIRST, r"\2 \1"), (_SMALL_OF, _small_of)]),
    turn("without ", steps=[(_UNDISTURBED, "")]),
    turn("bearing ", steps=[(_CENTRE_LISTED, "centre bearing"), (_BEARING_LISTED, r"\1 bearing")]),
)  # fmt: skip


def in_spoken_order(words: str) -> str:
    """Words of a line, names of labour operations turned round.

    Parameters
    ----------
    words : str
        In their one form, with a space between them; marks are words of their own.

    Examples
    --------
    >>> in_spoken_order("replaced boot , cv joint outboard - left")
    'replaced cv boot outboard - left'
    >>> in_spoken_order("replaced shaft assembly , front wheel drive - right")
    'replaced half shaft assembly - right'
    """
    return in_turn(words, _TURNS)
