"""Words of a repair line put in their usual order: names of a parts list, and a boot that comes with its joint.

A parts list names the thing first: `boot, CV joint, outer`. A shop says `CV joint boot, outer`.
"""

import re

from wearmodel.intake.words.turns import in_turn, turn

__all__ = ["ORDER_WORDS", "in_usual_order"]

ORDER_WORDS = frozenset(
    {"flexible", "dust", "protective", "protection", "cover", "sleeve", "set", "matching", "fresh", "rest", "remaining"}
    | {"remainder", "incl", "own", "halves", "hub", "hand", "int"}
)
"""Words that tell the order, though they mean nothing by themselves."""

# `rear of prop shaft` is an end, `rear prop shaft` a shaft; elsewhere the word tells nothing.
_OF = re.compile(r"(?<! front)(?<! rear)(?<! centre)(?<! upper)(?<! lower)(?<!^front)(?<!^rear) of ")
_BEGIN = r"(?:^|(?<=[.,:/-] )|(?<=and )|(?<=x ))"
_CV = r"(?:cv joint|constant velocity joint|cv|constant velocity)"
_SHAFT = r"(?:(?:cv )?(?:drive shaft|half shaft|axle shaft|axle|shaft))"
_STUFF = r"(?:rubber|dust|flexible|protective|protection)"
_SIDE = (
    r"(?:outboard|inboard|left|right|front|rear|driver|driverside|passenger|passengerside|offside|nearside|lower"
    r"|upper|kerb|kerbside|wheel|hub|diff|gear box|transmission|centre)"
)
_END = rf"(?:{_SIDE} (?:(?:side|end) )?)"
_RUBBER_BOOT = re.compile(r"\brubber (?:dust )?(?:boot|cover)\b(?= |$)|\bboot rubber\b")
_SPIDER = re.compile(r"\bspider (?=gear box\b)")
# A boot by its other names, where it is named as that of a joint or half shaft.
_COVER = re.compile(rf"\b(?:{_STUFF} )*(?:boot|cover|sleeve) , (?:{_STUFF} , )+(?={_CV}|{_SHAFT})")
_FLEXIBLE = re.compile(rf"\b(?:{_STUFF} )+(?:cover|sleeve) ,(?= {_CV}| {_SHAFT})")
_DUST_COVER = re.compile(rf"(?<=joint )(?:{_STUFF} )*(?:cover|sleeve)\b|(?<=joint )(?:{_STUFF} )+boot\b")
_LISTED_BOOT = re.compile(
    rf"{_BEGIN}boot (?:set )?, ({_END}*)(?:({_CV})(?=(?: [,-])? {_SIDE}\b|$)|({_SHAFT})(?! joint))(?! boot)"
)
_LISTED_END = re.compile(rf"\bboot , ({_CV}|{_SHAFT})(?= [,-] (?:outboard|inboard|wheel|diff|gear box|transmission)\b)")
# `boot outer CV joint` without a mark between: a boot of that joint.
_BOOT_BEFORE = re.compile(
    rf"(?<!cv )(?<!shaft )(?<!axle )(?<!joint )\b(?:{_STUFF} )?boot ((?:{_END})*)"
    r"((?:cv|constant velocity|pot|plunge|plunging) joint|tripod(?: cv)?(?: joint)?)\b(?! boot)"
)
_BOTH_OF_SHAFT = re.compile(rf"\bboth (?:cv )?boot (?:on |of |at )?{_SHAFT}\b(?! joint)")
_BOOT_OF = re.compile(
    rf"\b(?:{_STUFF} )?boot (?:of|on|for|at) ((?:{_END}|both |all |cv |drive shaft |constant velocity )*)"
    r"(?:joint|cv(?! joint| boot| shaft| axle))\b"
)
_LISTED_JOINT = re.compile(
    r"\bjoint (?:assembly )?, (?:(drive shaft|half shaft|axle) , )?(universal|cardan|cv|constant velocity|tripod)\b"
    r"(?! joint)"
)
_LISTED_BEARING = re.compile(
    rf"{_BEGIN}(?<!cross and )(?<!spider and )bearing (?:assembly )?, "
    rf"(steady|centre|support|carrier|intermediate|hanger)\b(?! bearing)"
)
_LISTED_YOKE = re.compile(rf"{_BEGIN}(yoke|joint|spline|coupling|sleeve) , slip\b")
_WITH_JOINTS = re.compile(
    r"(?<=shaft)((?: ,)?(?: assembly| complete| front| rear|"
    rf" {_SIDE})*) (?:, )?(?:complete )?(?:with|incl|and) (?:both |all |2 |new )*(?:cv (?:joint )?|joint )and boot\b"
    r"|(?<=shaft)((?: ,)?(?: assembly| complete| front| rear|"
    rf" {_SIDE})*) (?:, )?(?:complete )?(?:with|incl) (?:both |all |2 |new )*(?:cv joint|joint"
    rf"|cv)(?: and boot)?\b(?! boot)"
)
# Only a half shaft has boots or CV joints: `drive shaft complete with joints and boots`.
_HALF_WITH_BOOTS = re.compile(
    r"\b(?:front )?(?:drive shaft|axle)(?= (?:assembly |complete )*(?:with|incl) (?:both |all |2 |new )*"
    r"(?:cv|(?:joint |joint and )boot|joint and boot))"
)
_ENUMERATED = re.compile(r"\bx [1-8]\b")
_LISTED_SHAFT = re.compile(rf"{_BEGIN}shaft (?:assembly )?, (axle|drive|half|prop|cardan|cv)\b(?! shaft)")
# `joint with new boot`: both are renewed.
_WITH_BOOT = re.compile(
    rf"\b(?:complete |together |along )?(?:with|incl) (?:(?:new|fresh|own|matching|its|{_STUFF[3:-1]}) )*"
    rf"(?={_END}?(?:cv )?boot\b)"
)
_WITH_EACH = re.compile("with / ")
_DONE_WITH_BOOT = re.compile(
    r"\b(replaced|renewed|changed|exchanged)(?: pair)? (?:with|incl) (?:new |fresh |own |matching )?boot\b"
    r"(?! (?:of|at|on)\b)"
)
_AFTER_JOINT = re.compile(
    rf"\b(?:joint|cv|tripod|pot|cup)(?: (?:{_SIDE}|[,/-]|pass|co|side|end|hand|assembly|replaced|renewed|fitted|changed"
    r"|installed|supplied|at|on|of|street|near|off|kerb|inside|outside|cup|pot|housing|drive shaft|half shaft"
    r"|axle shaft|axle|shaft|streetside))* $"
)
# A new boot named beside its joint: the same was done to both.
_AND_NEW = re.compile(rf"\band new (?={_END}?(?:cv )?boot\b)")
_OTHER_WORK = re.compile(r"\b(?:cleaned|greased|lubricated|checked|inspected|removed|refitted|serviced|ok)\b")
_BEHIND = re.compile(r"\brear of (?=(?:centre|carrier|support|steady|hanger|gear box|transmission|transfer)\b)")
_BACK_OF = re.compile("back of ")
_BEFORE = re.compile(r"\bfront of (?=(?:diff|pinion)\b)")
_COUNTED = re.compile(r"\b(joint|boot|bearing|universal|cross) ([1-8]) x\b(?! [1-8])")
_AT_YOKE = re.compile(
    r"\b(front|rear|centre|diff|pinion|gear box|transmission|transfer box) (?:yoke|flange) (?=u joint|universal)"
)
# `boot and clamps - seized`: what fastens the boot comes with it.
_FASTENED = re.compile(r"(?<=boot) and (?:new )?(?:clamps?|clips?|straps?|bands?)(?= |$)(?! (?:only|loose"
    r"|missing|came|off)\b)")
# `joint and caps at the diff`: the caps are of the joint.
_CAPPED = re.compile(
    r"(?<=joint|cross)(?: assembly)? (?:and|with|incl) (?:new |all |bearing |needle |u |yoke )*(?:caps?|cups?|needles|"
    r"needle bearings?|circlips?|snap rings?|retainers?|straps?|strap|bolts?|clips|hardware|bearing)(?= "
    r"|$)(?! (?:and )?tightened)"
)
_CAPPED_UNIVERSAL = re.compile(r"(?<=universal) (?:and|with|incl) (?:new |bearing )?(?:caps?|cups?|straps?"
    r"|circlips?)(?= |$)")
# `u-joint caps dry`: what is told of a piece is told of the joint.
_PIECE_BAD = re.compile(
    r"\b(?:bearing |needle )?(?:caps?|cups?|needles|needle bearing|rollers?|cage|balls|journals?"
    r"|trunnions?|(?<=joint )seals?|(?<=cross )seals?|(?<=universal )seals?) (?=(?:all |been |badly "
    r"|both )*(?:dry|gone|worn|"
    r"flew|flown|popped|slipped|displaced|dislodged|adrift|pushed|damage|perished|leaking|torn|"
    r"rough|rusted|seized|loose|broken|pitted|spun|spinning|walked|walking|out\b(?! of)|missing|came|come|fell"
    r"|fallen|had|notchy|stiff|"
    r"failed|blown|shot|bad|rooted|munted|cactus|stuffed|buggered|knackered|goosed|kaput|destroyed|flogged|cracked|split|disintegrated|collapsed|burnt|blue|blued|starved|lost|thrown|spat"
    r"|no good|binding|play|"
    r"let go|dropped|turning|burst|backing|backed|sheared|snapped|frozen|locked|tight|brinelled|galled|scored|powder))"
)
# `axle shaft assembly (CV)`
_SHAFT_CV = re.compile(r"\b((?:axle|drive|half) shaft(?: assembly)?) cv\b(?! (?:joint|boot|axle|shaft|drive|half))")
_PIECES = (" cap", " cup", " needle", " seal", " cage", " roller")
_BOOT_NAMES = ("boot", "cover", "sleeve")
_BOOT_ON = ("boot of ", "boot on ", "boot for ", "boot at ")
_HELD_BY = ("joint", "universal", "cross", "spider")
_JOINS_CAPS = ("joint and ", "cross and ", "joint with ", "joint incl ", "universal and ", "joint assembly and ")
# `joint boot and all`: the boot came with it.
_AND_ALL = re.compile(r"\b(joint|cv)((?: (?:on|left|right|hand|side|driver|driverside|passenger|passengerside"
    r"|offside|nearside"
    r"|inboard|outboard|-|,))*) boot (?:and all|included|incl|as well|too)\b")
_SIDE_OF = re.compile(r"\b(boot|joint|cv) side (wheel|gear box|diff|transmission|engine)\b(?! side)")
_WHEEL_SHAFT = re.compile(r"\b(?:drive shaft , front (?:wheel|hub)|front wheel drive shaft)\b")
_DUST_BOOT = re.compile(rf"(?<=board )((?:{_SIDE} )*)dust (?:boot|cover)\b")
_INT = re.compile(r"\bint(?= shaft\b)|(?<=prop )int\b|(?<=bearing )int\b|\bint(?= bearing)")
_LEFT_RIGHT = re.compile(r"\bl and r\b(?! [ir]\b)|\br and l\b")
_OF_CARDAN = re.compile(r"\b(of|of front|of rear|on front|on rear|in front|in rear) cardan\b(?! joint| shaft| cross)")
# What comes after these words is no longer the part that was worked on.
_OTHERS = re.compile(r"(?<! with) (?=(?:rest|remainder|remaining|remain) )")


def _as_and(found: "re.Match[str]") -> str:
    """`joint with new boot`, as a list; what else has a new boot is no joint."""
    return "and " if _AFTER_JOINT.search(found.string[: found.start()]) else found[0]


def _as_done_too(found: "re.Match[str]") -> str:
    """`and new boot`, as a list, unless its sentence tells of other work on the joint."""
    sentence = found.string[: found.start()].rpartition(" . ")[2]
    return found[0] if _OTHER_WORK.search(sentence) else "and "


_LISTED = (
    turn(
        "joint , ", "joint assembly , ",
        steps=[(_LISTED_JOINT, lambda m: f"{m[2]} joint{f' {m[1]}' if m[1] else ''}")],
    ),
    turn("bearing , ", "bearing assembly , ", steps=[(_LISTED_BEARING, r"\1 bearing")]),
    turn("shaft , ", "shaft assembly , ", steps=[(_LISTED_SHAFT, r"\1 shaft")]),
    turn(" , slip", steps=[(_LISTED_YOKE, r"slip \1")]),
)  # fmt: skip
# Boots named by the joint or shaft they are on.
_BOOTS = (
    turn("rubber", steps=[(_RUBBER_BOOT, "boot")]),
    turn(
        "cover", "sleeve", "rubber", "dust", "flexible", "protecti", beside=_BOOT_NAMES,
        steps=[(_COVER, "boot , "), (_FLEXIBLE, "boot ,"), (_DUST_COVER, "boot")],
    ),
    turn(
        "boot , ", "boot set , ",
        steps=[(_LISTED_BOOT, lambda m: f"{m[1]}{m[2] or m[3]} boot"), (_LISTED_END, r"\1 boot")],
    ),
    turn(
        "boot ", beside=(" joint", " tripod"),
        steps=[(_BOOT_BEFORE, lambda m: f"{m[2]} boot {m[1]}".rstrip())],
    ),
    turn("both ", steps=[(_BOTH_OF_SHAFT, "both end cv boot")]),
    turn(*_BOOT_ON, beside=("joint", "cv"), steps=[(_DONE_WITH_BOOT, r"\1 . boot \1 same time")]),
    turn(*_BOOT_ON, steps=[(_BOOT_OF, r"\1joint boot")]),
    turn("boot and all", "boot incl", "boot as well", "boot too", steps=[(_AND_ALL, r"\1\2 and boot")]),
    turn("with ", "incl ", beside=_BOOT_NAMES, steps=[(_WITH_EACH, "with "), (_WITH_BOOT, _as_and)]),
    turn("and new ", steps=[(_AND_NEW, _as_done_too)]),
    turn("boot", steps=[(_FASTENED, "")]),
)  # fmt: skip
_TURNS = (
    *_LISTED,
    *_BOOTS,
    turn(*_PIECES, beside=_HELD_BY, steps=[(_PIECE_BAD, "")]),
    turn(*_JOINS_CAPS, beside=(" and ", " with "), steps=[(_CAPPED, ""), (_CAPPED_UNIVERSAL, "")]),
    # The gears of a differential are spider gears.
    turn("spider gear", steps=[(_SPIDER, "cross ")]),
    turn("shaft cv", "assembly cv", steps=[(_SHAFT_CV, r"cv \1")]),
    turn(
        "with ", "incl ", "and boot", beside=("shaft", "axle"),
        steps=[(_HALF_WITH_BOOTS, "half shaft"), (_WITH_JOINTS, lambda m: f"{m[1] or m[2] or ''} complete")],
    ),
    turn("x 1 ", steps=[(_ENUMERATED, lambda m: "." if m.string.startswith("x 1 ") else m[0])]),
    turn(" rest ", " remain", steps=[(_OTHERS, " . ")]),
    turn(" x", steps=[(_COUNTED, r"\1 x \2")]),
    turn(" side ", steps=[(_SIDE_OF, r"\1 \2 side")]),
    turn(" front wheel", "front wheel drive", steps=[(_WHEEL_SHAFT, "half shaft")]),
    turn(" yoke ", " flange ", steps=[(_AT_YOKE, r"\1 ")]),
    turn(" dust ", steps=[(_DUST_BOOT, "boot")]),
    turn(" int ", "int shaft", "int bearing", steps=[(_INT, "intermediate")]),
    turn(
        " l ", " r ", " rear cardan", " front cardan", " of cardan",
        steps=[(_LEFT_RIGHT, "left and right"), (_OF_CARDAN, r"\1 cardan shaft")],
    ),
    turn(" of ", steps=[(_BACK_OF, "rear of "), (_BEHIND, "behind "), (_BEFORE, "before "), (_OF, " ")]),
)  # fmt: skip


def in_usual_order(words: str) -> str:
    """Words of a line, names of a parts list turned round.

    Parameters
    ----------
    words : str
        In their one form, with a space between them; marks are words of their own.

    Examples
    --------
    >>> in_usual_order("boot , rubber , drive shaft , wheel end , torn")
    'drive shaft boot , wheel end , torn'
    >>> in_usual_order("outboard cv joint with new boot replaced")
    'outboard cv joint and boot replaced'
    """
    return in_turn(words, _TURNS)
