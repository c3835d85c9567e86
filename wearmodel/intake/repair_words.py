"""The words a workshop writes, and what each is taken to mean: the whole lexicon of repair lines.

Phrases are of plain lower-case words; word forms are brought to one form first, and a phrase within a longer one
means nothing. So `cv joint boot` is a boot, and `no play` is no wear.
"""

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["DEEDS", "PARTS", "PLACES", "REASON_WORDS", "WORD_FORMS"]

WORD_FORMS: Mapping[str, str] = MappingProxyType(
    {
        "joints": "joint", "jnt": "joint", "jt": "joint", "bearings": "bearing", "brg": "bearing", "brgs": "bearing",
        "boots": "boot", "gaiter": "boot", "gaiters": "boot", "bellows": "boot", "shafts": "shaft",
        "halfshaft": "half shaft", "halfshafts": "half shaft", "driveshaft": "drive shaft",
        "driveshafts": "drive shaft", "propshaft": "prop shaft", "propshafts": "prop shaft", "axles": "axle",
        "ujoint": "u joint", "ujoints": "u joint", "uj": "u joint", "ujs": "u joint", "cvjoint": "cv joint",
        "cvj": "cv joint", "cvs": "cv", "splines": "spline", "yokes": "yoke",
        "center": "centre", "centers": "centre", "central": "centre", "ctr": "centre", "middle": "centre",
        "mid": "centre", "lh": "left", "lhs": "left", "rh": "right", "rhs": "right",
        "frt": "front", "fr": "front", "rr": "rear",
        "outer": "outboard", "inner": "inboard",
        "replace": "replaced", "replacing": "replaced", "replacement": "replaced", "replacd": "replaced",
        "repl": "replaced", "rplcd": "replaced", "renew": "renewed", "renewing": "renewed", "renewal": "renewed",
        "fitting": "fitted", "fit": "fitted", "change": "changed", "changing": "changed",
        "install": "installed", "installing": "installed", "swap": "swapped",
        "lubed": "lubricated", "lube": "lubricated", "lubrication": "lubricated", "lubricate": "lubricated",
        "grease": "greased", "greasing": "greased", "inspect": "inspected", "inspection": "inspected",
        "check": "checked", "checks": "checked", "tighten": "tightened", "retightened": "tightened",
        "adjust": "adjusted", "clean": "cleaned",
        "break": "broken", "broke": "broken", "breakage": "broken", "fail": "failed", "fails": "failed",
        "failure": "failed", "failing": "failed", "seize": "seized", "snap": "snapped", "shear": "sheared",
        "clunking": "clunk", "clunks": "clunk", "clicking": "click", "clicks": "click", "knocking": "knock",
        "vibrating": "vibration", "vibrations": "vibration", "vibrates": "vibration", "noise": "noisy",
        "wear": "worn", "wearing": "worn", "cracks": "cracked", "tear": "torn", "leak": "leaking",
        "leaks": "leaking", "schedule": "scheduled", "preventative": "preventive", "needing": "needs",
        "need": "needs", "recommend": "recommended", "advise": "advised", "nr": "no",
    }
)
"""Other spellings -> the form used in the phrases below."""

PARTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "u_joint": (
            "u joint", "u j", "universal joint", "universal", "cardan joint", "joint cross", "joint spider",
            "cross and bearing", "spider joint", "prop shaft joint", "drive shaft joint", "shaft joint",
        ),
        "cv_joint": (
            "cv joint", "c v joint", "cv", "constant velocity joint", "half shaft joint", "outboard joint",
            "inboard joint",
        ),
        "cv_joint_outboard": ("ball type joint",),
        "cv_joint_inboard": ("tripod joint", "tripod", "plunging joint", "tulip joint"),
        "cv_boot": (
            "cv boot", "cv joint boot", "half shaft boot", "drive shaft boot", "axle boot", "axle shaft boot",
            "boot kit", "joint boot", "outboard boot", "inboard boot", "cv boot kit", "outboard joint boot",
            "inboard joint boot", "constant velocity joint boot",
            "boot outboard", "boot inboard",
        ),
        "support_bearing": (
            "support bearing", "centre bearing", "centre support bearing", "centre support", "carrier bearing",
            "hanger bearing", "prop shaft bearing", "drive shaft bearing", "shaft bearing", "centre mount",
            "shaft support bearing", "prop shaft support bearing", "prop shaft centre bearing",
        ),
        "slip_spline": (
            "slip spline", "slip yoke", "slip joint", "sliding spline", "sliding yoke", "sliding joint",
            "splined yoke", "splined shaft",
        ),
        "steering_joint": (
            "steering joint", "steering shaft joint", "steering u joint", "steering shaft u joint",
            "steering column joint", "steering column u joint", "intermediate shaft joint",
            "steering universal joint", "steering shaft universal joint",
        ),
        "whole_shaft": (
            "half shaft", "axle shaft", "drive shaft", "prop shaft", "complete shaft", "shaft assembly",
            "half shaft assembly", "drive shaft assembly", "prop shaft assembly", "cv axle",
        ),
        "bare_boot": ("boot",),
        "other": (
            "ball joint", "ball joint boot", "wheel bearing", "hub bearing", "rack boot", "steering rack boot",
            "steering rack", "boot lid", "boot lock", "gear lever boot", "gear boot", "shifter boot", "tie rod joint",
            "track rod end", "release bearing", "clutch bearing", "pinion bearing", "carrier bearing diff",
            "diff carrier bearing", "axle bearing", "joint compound", "alternator bearing", "pilot bearing",
            "spring shackle", "jump pack", "drive belt", "shock boot", "strut boot", "brake boot", "caliper boot",
        ),
    }
)
"""Component (or family of components) -> phrases that name it.

`bare_boot` needs a CV word beside it, `whole_shaft` is no part by itself, `other` names nothing of a driveline.
"""

PLACES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "left": ("left", "l h"),
        "right": ("right", "r h"),
        "front": ("front",),
        "rear": ("rear",),
        "centre": ("centre",),
        "outboard": ("outboard", "outboard boot", "outboard joint", "boot outboard", "outboard joint boot", "o b"),
        "inboard": ("inboard", "inboard boot", "inboard joint", "boot inboard", "inboard joint boot", "i b"),
        "upper": ("upper",),
        "lower": ("lower",),
        "1": ("joint 1", "bearing 1", "no 1", "first joint", "first bearing"),
        "2": ("joint 2", "bearing 2", "no 2", "second joint", "second bearing"),
        "3": ("joint 3", "no 3", "third joint"),
        "4": ("joint 4", "no 4", "fourth joint"),
        "front_line": ("front shaft", "front prop shaft", "front drive shaft", "front drive line", "front prop"),
        "rear_line": ("rear shaft", "rear prop shaft", "rear drive shaft", "rear drive line", "rear prop"),
        "nowhere": ("left in", "left at", "left with", "left for", "left the", "right away"),
    }
)
"""Place -> phrases; `_line` means the shaft line, `nowhere` shields its words from meaning a place."""

REASON_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "failed": (
            "failed", "broken", "seized", "snapped", "sheared", "collapsed", "disintegrated", "came apart",
            "fell apart", "breakdown", "broken down", "roadside", "towed in", "recovered", "recovery", "lost drive",
            "no drive", "vibration", "noisy", "clunk", "click", "knock", "grinding", "squeal", "squealing", "gone",
        ),
        "worn": (
            "worn", "worn out", "play", "excess play", "excessive play", "loose", "slack", "condemned", "torn", "split",
            "perished", "cracked", "leaking", "leaking greased", "greased leaking", "greased thrown", "thrown greased",
            "found on inspected", "found at inspected", "found at service", "found on service", "on inspected", "rough",
            "dry", "notchy", "at limit", "beyond limit", "out of limit",
        ),
        "planned": (
            "planned", "scheduled", "preventive", "pm", "interval", "routine", "by mileage", "at mileage",
            "life expired", "service replaced", "planned replaced", "scheduled replaced", "precaution",
            "as a precaution", "campaign", "programme",
        ),
        "collateral": (
            "collateral", "while in there", "while at it", "while out", "while apart", "while open", "at the same time",
            "same time", "renewed along with", "replaced along with",
            "along with", "together with", "with the above", "as well", "anyway", "for access",
        ),
        "damage": (
            "accident", "crash", "collision", "stolen", "theft", "vandalised", "vandalism", "flood",
            "kerb strike", "hit kerb", "curb strike", "hit curb", "hit debris", "road debris", "crash damage",
            "accident damage", "collision damage", "impact damage",
        ),
        "comeback": (
            "comeback", "come back", "rework", "refitted wrong", "redone", "wrong part", "wrong part fitted",
            "wrongly fitted", "fitted wrong", "fitted wrongly", "incorrectly fitted", "bad fitted", "poor fitted",
            "faulty fitted", "incorrect fitted", "repeat job",
        ),
    }
)
"""Reason -> phrases, after word forms are brought to one form (`leaking grease` is `leaking greased`)."""

DEEDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "renewed": (
            "replaced", "renewed", "fitted", "changed", "new", "installed", "swapped", "exchanged", "r r", "r and r",
            "supplied", "service replaced", "planned replaced", "scheduled replaced", "renewed along with",
            "replaced along with",
        ),
        "looked": ("inspected", "checked", "ok"),
        "tended": (
            "greased", "lubricated", "tightened", "adjusted", "cleaned", "no play", "no worn", "not worn",
            "no fault", "no fault found", "no noisy", "no leaking", "no vibration", "torqued", "retorqued", "serviced",
            "within limit", "not replaced", "not renewed", "not changed", "no replaced",
        ),
        "later": (
            "to be replaced", "to be renewed", "to be changed", "to be fitted", "be replaced", "needs replaced",
            "needs renewed", "needs changed", "recommended replaced", "recommended renewed", "advised replaced",
            "advised renewed", "due for replaced", "due for renewed", "will needs", "quoted for", "quote for",
            "will be replaced", "will be renewed", "should be replaced", "should be renewed", "on order",
            "not yet replaced", "awaiting",
        ),
    }
)
"""What was done: a part renewed, looked at, tended without renewing, or left for later."""
