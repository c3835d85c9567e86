"""Where on a vehicle a part sits, in a workshop's words: side, end of the shaft, which shaft.

Common practice of the trade, no source. Driver's side and kerb side are sides of their own until it is known
on which side the driver sits.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.intake.words.phrase_lists import phrase_table

__all__ = ["DIMENSIONS", "HALF_PLACES", "PLACES", "side_of"]

_SHAFT_NAMES = (
    "shaft", "prop shaft", "prop", "drive shaft", "drive line", "cardan shaft", "tail shaft", "propeller",
    "transmission shaft", "output shaft", "line",
)  # fmt: skip
_NEIGHBOURS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "drive_end": """
            gear box; transmission; engine; gear box output; transmission output; bell housing; transaxle; main box;
            main gear box; clutch; power unit; gear
            """,
        "transfer_end": """
            transfer box; transfer; transfer case; transfer output; transfer box output; transfer case output;
            transfer gear box; drop box; auxiliary gear box; auxiliary box; sub gear box; tc; tb; transfer unit
            """,
        "diff_end": """
            diff; pinion; diff pinion; rear end pinion; axle pinion; rear axle pinion; pinion yoke; diff yoke;
            front diff; rear diff; diff input; crown wheel; final drive; housing; axle
            housing; diff housing; diff carrier; rear housing; rear axle housing; banjo; banjo housing; drive head;
            tail pinion; crown pinion; crown; rear drive; axle casing; rear axle casing; third member; pumpkin; diff
            head
            """,
        "axle_end": "axle; axle input",
        "bearing_end": """
            centre bearing; support bearing; carrier bearing; centre support bearing; hanger bearing; steady bearing;
            centre carrier; centre support; centre carrier bearing; prop bearing; prop shaft bearing; intermediate
            bearing; hanger; carrier; support; prop shaft centre bearing; prop centre bearing; tail shaft bearing;
            centre
            hanger; centre hanger bearing; centre joint bearing; pillow block; steady; cb
            """,
        "outboard": """
            wheel; hub; road wheel; wheel hub; outboard; roadwheel; knuckle; stub axle; stub; upright; swivel; brake;
            disc; drum; tyre; wheel station; wheel bearing
            """,
        "inboard": "inboard; chassis; sump; box",
        "upper": "upper; cab; cabin; steering wheel; dash; column",
        "lower": "lower; steering gear; steering box; steering rack",
    }
)
"""Place -> what lies there; an end of a shaft is told by what is beside it."""

_ENDS = ("end", "side")
_FASTENED = ("flange", "yoke", "coupling", "companion flange")
_AT = ("at", "by", "next to", "nearest", "nearest to", "adjacent", "adjacent to", "beside")
_BEYOND = {
    "drive_end": ("behind",),
    "transfer_end": ("behind",),
    "bearing_end": ("behind", "just behind", "ahead"),
    "diff_end": ("before", "ahead"),
}


def _ends_of(place: str) -> str:
    """Phrases of an end of a shaft: by what is beside it, before it or behind it."""
    fastened = _FASTENED if place in ("drive_end", "transfer_end", "diff_end") else ()
    found = [f"{name} {end}" for name in _NEIGHBOURS[place] for end in (*_ENDS, *fastened)]
    if place in ("drive_end", "transfer_end", "diff_end", "axle_end", "bearing_end"):
        shafts = ("shaft", "prop shaft", "prop", "drive shaft")
        found += [f"{shaft} to {name}" for name in _NEIGHBOURS[place] for shaft in shafts]
        found += [f"{word} {name}" for name in _NEIGHBOURS[place] for word in (*_AT, *_BEYOND.get(place, ()))]
    return "; ".join(found)


def _halves(word: str) -> str:
    """Phrases of half a shaft of two pieces; `front half shaft` is another thing."""
    shafts = ("prop", "prop shaft", "drive shaft", "drive line", "cardan shaft")
    return "; ".join(phrase for shaft in shafts for phrase in (f"{word} half {shaft}", f"{word} {shaft} half"))


# `front axle hub end`: the joint of a driven front axle, or the wheel's end of a half shaft.
_AXLE_HUBS = "; ".join(
    f"{axle} {hub} {end}"
    for axle in ("front axle", "at front axle", "on front axle", "in front axle")
    for hub in ("hub", "wheel", "knuckle", "swivel")
    for end in _ENDS
)


def _lines(*words: str) -> str:
    """Phrases of a shaft line."""
    return "; ".join(f"{word} {shaft}" for word in words for shaft in _SHAFT_NAMES)


PLACES: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "left": "left; l h; left side; l side; left hand side; left as well; left as above; "
        "left at same time; left while",
        "right": "right; r h; right side; r side; right hand side",
        "driver": """
            driverside; driver side; offside; off side; streetside; street side; traffic side; drive side;
            driver hand side; road side; crown side; road crown side; driving side; operator side; off hand side;
            traffic lane side; centre line side; median side; steer side
            """,
        "passenger": """
            passengerside; passenger side; pass side; nearside; near side; kerbside; kerb side; passenger hand side;
            pass hand side; non driver side; pavement side; co driver side; footpath side; ditch side; co driver;
            gutter side; verge side; shoulder side; sidewalk side; conductor side; cleaner side; helper side; mate side;
            attendant side; navigator side; door side; entrance side; near hand side; second man side; guard side; non
            operator side; footway side
            """,
        "front": "front; fore; foremost; front side; fore side; front end; forward end; shaft up front; "
        "prop up front; drive line up front; "
        "joint up front; u joint up front; universal joint up front; universal up front; cross up front; cv up front",
        "rear": "rear; rear side; back side; hind side; hind end; tail side; hind joint; back joint; "
        "back u joint; back bearing; back end; back prop; back axle; rear axle; rear end",
        "fr": "fr",
        "centre": """
            centre; intermediate; intermediate joint; intermediate u joint; between shaft; between two shaft; between
            two halves; between halves; between prop shaft; between two prop shaft; between sections; between two
            sections; between drive shaft; between two drive shaft; halfway; half way
            """,
        "outboard": f"""
            outboard; {_ends_of("outboard")}; {_AXLE_HUBS}; fixed side; fixed end; bell side; bell end; ball end;
            ball side
            """,
        "inboard": f"""
            inboard; {_ends_of("inboard")}; plunge side; plunge end; plunging side; plunging end; tripod side; tripod
            end; pot side; pot end; cup side; cup end; slider side; engine side
            """,
        "drive_end": f"""
            {_ends_of("drive_end")}; input end; driving end; drive end; box end; leading end; nose end; gear box u
            joint; transmission u joint; gear
            box output; transmission output
            """,
        "transfer_end": f"{_ends_of('transfer_end')}; transfer box u joint",
        "diff_end": f"""
            {_ends_of("diff_end")}; output end; driven end; trailing end; tail end; diff u joint; pinion u joint; diff
            joint; pinion joint; diff universal joint; pinion universal joint; pinion universal; diff universal
            """,
        "axle_end": """
            axle end; at axle; by axle; rear axle end; at rear axle; by rear axle; front axle end; at front axle; by
            front axle; rear axle flange; front axle flange; back axle end; at back axle; axle flange; axle input;
            axle side; rear axle side; front axle side; front axle input; rear axle input; back axle side
            """,
        "bearing_end": _ends_of("bearing_end"),
        "near_bearing": "; ".join(f"{w} {name}" for name in _NEIGHBOURS["bearing_end"] for w in ("near", "near "
        "to", "close to")),
        "axle": f"""
            front axle; axle u joint; axle shaft u joint; universal joint front wheel; universal joint
            wheel; universal front wheel;
            axle joint; axle shaft joint; front axle shaft joint; front axle shaft u joint; front axle joint; front axle
            u joint; front axle shaft universal joint; front axle universal joint; stub axle joint; stub axle u
            joint; steering axle u joint; axle shaft universal joint; swivel u joint; steering knuckle; u joint front
            wheel; front wheel u joint; u joint at wheel; wheel u joint; front hub u joint; knuckle u joint; u joint
            knuckle; front axle shaft; wheel joint; at knuckle; knuckle end; knuckle; front knuckle; swivel hub;
            swivel; steering swivel; swivel housing; u joint front hub; hub u joint; hub universal joint; inside swivel
            housing; inside swivel; in swivel housing; inside knuckle; inside hub; swivel housing u joint;
            {_AXLE_HUBS}; live axle; front live axle; live front axle; steering axle; steering axle shaft;
            front steering axle
            """,
        "upper": f"""
            {_ends_of("upper")}; upper; upper most; up side; upside; upper part; firewall end; bulkhead end;
            inside cab; in cab; inside cabin; in cabin; under
            dash; at dash
            """,
        "lower": f"""
            {_ends_of("lower")}; lower; lower most; down side; downside; below side; lower part; engine bay end;
            engine bay; under bonnet; at steering gear; at steering box; at
            steering rack; under hood; outside cab; outside cabin
            """,
        "1": "joint 1; u joint 1; bearing 1; no 1; number 1; first; position 1",
        "2": "joint 2; u joint 2; bearing 2; no 2; number 2; second; position 2",
        "3": "joint 3; u joint 3; no 3; number 3; third; position 3",
        "4": "joint 4; u joint 4; no 4; number 4; fourth; last joint; last u joint; last universal joint; position 4",
        "front_line": f"""
            {_lines("front", "forward", "fore")}; front axle end; at front axle; by front axle; at front diff;
            front axle side; front axle flange; front axle input;
            {_lines("fr")}; front diff end; front diff side; front diff flange; front pinion end
            """,
        "front_section": f"front section; first section; forward section; front piece; {_halves('front')}",
        "rear_section": f"rear section; second section; back section; rear piece; {_halves('rear')}; {_halves('back')}",
        "rear_line": f"""
            {_lines("rear", "back", "main", "aft")}; rear axle end; rear axle side; back axle side; at rear axle; by
            rear axle; at back axle; at rear
            diff; rear diff end; rear diff side; rear diff flange; rear pinion end; back diff end
            """,
        "both_ends": "in and out; in and outboard; both end; each end; either end; both inboard and outboard; in out",
        "both_sides": "both side; each side; either side; both left and right; all side",
        "left_behind": "left in; left at; left with; left for; left as; left on; left to; left by; left until; "
                "left next",
        "nowhere": """
            right one; right part; right item; right size; right way; right parts; right kit; put right; left with
            no; left with play; left with customer; left with driver; left with vehicle; left as is; left as found;
            right away; left off; all right; right through; back to; back
            on; back in; back from; back together; front desk; in front; up front; left slack; left
            undone; left open; left dry; left unsecured; left hanging; left out; last one; last ones;
            last lot; last pair; last set; first visit; first time; second
            opinion; second time; last time; last service; last visit; last week; last month; last year; first look;
            first gear; second gear; third gear; fourth gear; left loose; left workshop; right
            first time; first thing; last job; last repair; second visit; centre console; service centre; test centre;
            left running; last inspection; at last; second check; last fitted; last fit; first check; last replaced;
            first use; first service; right round; right around; right across; right along; last
            legs; last leg
            """,
    }
)
"""Place -> phrases; `_line` means the shaft line, `nowhere` shields its words from meaning a place; whether
`near_bearing` is the end there or the bearing itself is told by what stands before.
"""

HALF_PLACES: Mapping[str, str] = MappingProxyType(
    {
        "driver": "driver", "passenger": "passenger", "pass": "passenger", "kerb": "passenger", "l": "left",
        "r": "right", "inside": "inboard", "outside": "outboard",
    }
)  # fmt: skip
"""Words that mean a place only where a part or another place follows: a driver may also report a fault."""

DIMENSIONS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("left", "right", "driver", "passenger", "both_sides"), "side"),
        **dict.fromkeys(("outboard", "inboard", "both_ends"), "end"),
        **dict.fromkeys(("front_line", "rear_line"), "line"),
        **dict.fromkeys(("front", "rear", "fr", "centre", "upper", "lower", "1", "2", "3", "4"), "along"),
        **dict.fromkeys(("drive_end", "transfer_end", "diff_end", "axle_end", "bearing_end"), "beside"),
        "axle": "axle",
        **dict.fromkeys(("front_section", "rear_section"), "section"),
    }
)
"""Place -> what it tells: two places of one kind are two parts, or one that cannot be told."""


def side_of(place: str, *, steering_side: str) -> str:
    """The side a word of place means.

    Parameters
    ----------
    place : str
        As in `PLACES`.
    steering_side : str
        Side the driver sits on, `left` or `right`; empty where it is not known.

    Returns
    -------
    str
        `left` or `right` for the sides of driver and passenger; any other place as it is. The kerb is on the
        passenger's side.

    Examples
    --------
    >>> side_of("passenger", steering_side="right"), side_of("driver", steering_side="")
    ('left', 'driver')
    """
    if place not in ("driver", "passenger") or not steering_side:
        return place
    other = "left" if steering_side == "right" else "right"
    return steering_side if place == "driver" else other
