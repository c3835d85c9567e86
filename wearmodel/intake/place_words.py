"""Where on a vehicle a part sits, in a workshop's words: side, end of the shaft, which shaft.

Common practice of the trade, no source. Driver's side and kerb side are sides of their own until it is known
on which side the driver sits.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.intake.phrase_lists import phrase_table

__all__ = ["DIMENSIONS", "HALF_PLACES", "PLACES", "side_of"]

PLACES: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "left": "left; l h; left side; l side; left hand side",
        "right": "right; r h; right side; r side; right hand side",
        "driver": """
            driverside; driver side; offside; off side; streetside; street side; traffic side; drive side;
            driver hand side
            """,
        "passenger": """
            passengerside; passenger side; nearside; near side; kerbside; kerb side; passenger hand side; non
            driver side; pavement side
            """,
        "front": "front; fore; foremost",
        "rear": """
            rear; back joint; back u joint; back bearing; back end; back prop; back axle; rear axle
            """,
        "fr": "fr",
        "centre": "centre",
        "outboard": """
            outboard; wheel end; wheel side; hub end; hub side; road wheel end; outboard end; outboard side
            """,
        "inboard": """
            inboard; gear box side; diff side; transmission side; inboard end; inboard side; engine side
            """,
        "drive_end": """
            gear box end; transmission end; transfer box end; transfer end; gear box yoke; gear box flange;
            transmission yoke; transmission flange; output end; gear box u joint; transmission u joint; at gear
            box; at transmission; behind gear box; transfer box flange; transfer box yoke; at transfer box
            """,
        "axle_end": """
            diff end; pinion end; axle end; rear axle end; diff flange; pinion flange; pinion yoke; diff yoke;
            diff u joint; pinion u joint; at diff; at pinion; at rear axle; front axle end; diff joint; pinion
            joint
            """,
        "axle": """
            front axle; axle u joint; axle shaft u joint; axle joint; axle shaft joint; stub axle joint; stub
            axle u joint; steering axle u joint; axle shaft universal joint; swivel u joint
            """,
        "upper": "upper; upper end",
        "lower": "lower; lower end",
        "1": "joint 1; u joint 1; bearing 1; no 1; number 1; first; position 1",
        "2": "joint 2; u joint 2; bearing 2; no 2; number 2; second; position 2",
        "3": "joint 3; u joint 3; no 3; number 3; third; position 3",
        "4": "joint 4; u joint 4; no 4; number 4; fourth; last; position 4",
        "front_line": """
            front shaft; front prop shaft; front drive shaft; front drive line; front prop; front cardan shaft;
            forward shaft; front line; front output shaft
            """,
        "rear_line": """
            rear shaft; rear prop shaft; rear drive shaft; rear drive line; rear prop; rear cardan shaft; main
            prop shaft; main shaft; back prop shaft; rear line; main prop; main drive shaft; back shaft
            """,
        "both_sides": "both side; each side; either side; both left and right; all side",
        "nowhere": """
            left in; left at; left with; left for; right away; left as; left on; left off; all right; right
            through; back to; back on; back in; back from; back together; front desk; in front; up front; first
            visit; first time; second opinion; second time; last time; last service; last visit; last week; last
            month; last year; first look; first gear; second gear; third gear; fourth gear; left until; left to;
            left loose; left workshop; right first time; first thing; last job; last repair; second visit;
            centre console; service centre; test centre; left running; last inspection; at last; second check;
            last fitted; last fit; first check; first aid; left by; last replaced; first use; first service
            """,
    }
)
"""Place -> phrases; `_line` means the shaft line, `nowhere` shields its words from meaning a place."""

HALF_PLACES: Mapping[str, str] = MappingProxyType(
    {"driver": "driver", "passenger": "passenger", "kerb": "passenger", "l": "left", "r": "right"}
)
"""Words that mean a place only where a part or another place follows: a driver may also report a fault."""

DIMENSIONS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("left", "right", "driver", "passenger", "both_sides"), "side"),
        **dict.fromkeys(("outboard", "inboard"), "end"),
        **dict.fromkeys(("front_line", "rear_line"), "line"),
        **dict.fromkeys(
            ("front", "rear", "fr", "centre", "upper", "lower", "drive_end", "axle_end", "1", "2", "3", "4"), "along"
        ),
        "axle": "axle",
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
