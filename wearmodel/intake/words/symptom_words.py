"""What is heard, felt or seen of a driveline, and what these symptoms of the trade point to.

Common practice of the trade, no source.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import phrase_table, phrases

__all__ = ["STRAY_GREASE", "SYMPTOMS", "SYMPTOM_EVIDENCE"]

SYMPTOMS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "clunk": "clunk; knock; squeak",
        "click": "click",
        "shudder": "shudder; vibration; rumble",
        "boot_open": """
            torn; split; cracked; perished; burst; leaking; thrown; greased thrown; thrown greased; greased
            leaking; leaking greased; greased everywhere; greased lost; lost greased; losing greased;
            contaminated; chafed; hardened; brittle; missing; open; rubbed through; greased out
            """,
        "take_up": """
            take up; take off; on take off; on take up; engaging; pulling away; pulling off; moving off; setting
            off; into drive; into reverse; into gear; in gear; in to gear; drive to reverse; drive and reverse;
            reverse to drive; direction changed; gear changed; from standstill; from stop; from rest; on off
            throttle; on and off throttle; taking off; shift into; drive take up; starting off; moving away;
            pull away; move off; reverse; when put in gear; put in gear; shifted; shifting; shift
            """,
        "turn": """
            turning; full turning; on turning; when turning; on full turning; tight turning; left turning; right
            turning; in turning; u turning; full steering; left bend; right bend; left bends; right bends;
            left hand bends;
            right hand bends; left hand bend; right hand bend; left hand turning; right hand turning; left hander; right
            hander; left handers; right handers; left curve; right curve; left hand lock; right hand lock
            """,
        "middle": """
            centre; under floor; under cab; under seat; beneath floor; mid; under centre; from underneath; under
            vehicle; through floor; in floor
            """,
    }
)
"""What is heard, felt or seen, and when -> phrases."""

# Clunk engaging a gear and squeak on take-off: universal joint; clicking under power in a tight turn: outboard CV
# joint; shudder from mid-vehicle: support bearing; grease thrown, crack or split: boot.
SYMPTOM_EVIDENCE: tuple[tuple[str, str, str], ...] = (
    ("click", "turn", "cv_joint_outboard"),
    ("clunk", "take_up", "u_joint"),
    ("shudder", "middle", "support_bearing"),
    ("shudder", "take_up", "support_bearing"),
)
"""Symptom, moment or place of it, component it points to. Evidence among candidates, never a component by itself."""

_GREASE_PLACES = phrases(
    """
    wheel; wheels; rim; tyre; tyres; hub; brake; brakes; caliper; disc; discs; exhaust; gear box; transmission;
    transmission housing; bell housing; diff; diff housing; axle; axle housing; floor; ground; drive; arch; wheel
    arch; wheel well; sub frame; subframe; suspension; wishbone; lower arm; arm; control arm; chassis; frame; spring;
    strut; steering; rack; engine; sump; tank; body; underbody; under body; cross member; crossmember; shock; knuckle
    """
)
_GREASE_WAYS = phrases(
    """
    on; over; inside; all over; round; around; by; near; under; at; up inside; in; all over inside; up in; down; up;
    from; against; behind; beside; below; throughout; all up; all along; along; into; on to
    """
)
STRAY_GREASE = tuple(f"greased {way} {place}" for way in _GREASE_WAYS for place in _GREASE_PLACES)
"""Grease seen where it does not belong is noticed as a noise is."""
