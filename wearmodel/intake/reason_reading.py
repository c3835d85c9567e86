"""Why a part was renewed, from what the words hint at.

Failed: it stopped working, or somebody noticed it on the road. Worn: it was condemned at a look. Noise at a service
is a look; noise a driver reports before it is not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from wearmodel.intake.schema import REASONS

__all__ = ["Hint", "hinted_reasons", "reason_of"]

_AS_REASON = {"noticed": "failed", "in_use": "failed"}
_LOOKS = frozenset({"look", "service"})
_WEAR = frozenset({"failed", "noticed", "in_use", "worn"})


@dataclass(frozen=True)
class Hint:
    """One hint and the clause it stands in."""

    meaning: str
    clause: int


def reason_of(hints: Sequence[Hint], *, is_found: bool) -> str:
    """The reason some hints leave.

    Parameters
    ----------
    hints : sequence of Hint
        All hints that concern one part.
    is_found : bool
        The words say that something was found.

    Returns
    -------
    str
        One of the six reasons; empty where there is no hint, or two that do not go together.

    Notes
    -----
    Precedence by common practice, no source. A comeback stands whatever else is said, damage beside any failure or
    wear. What was noticed on the road is a failure though it was found worn afterwards. Wear found at a service is
    no planned replacement. Wear or failure beside work done for convenience contradict each other.
    """
    kinds = {hint.meaning for hint in hints}
    if "comeback" in kinds:
        return "comeback"
    if "damage" in kinds:
        return "" if kinds & {"planned", "collateral"} else "damage"
    if "collateral" in kinds:
        return "" if kinds & _WEAR else "collateral"
    if "in_use" in kinds:
        return "" if "planned" in kinds else "failed"
    if kinds & _LOOKS:
        return _at_a_look(hints, kinds, is_found)
    if kinds & {"failed", "noticed"}:
        return "" if "planned" in kinds else "failed"
    return next((reason for reason in ("worn", "planned") if reason in kinds), "")


def _at_a_look(hints: Sequence[Hint], kinds: set[str], is_found: bool) -> str:
    """The reason of a part renewed at or after an inspection or a service."""
    if "failed" in kinds:
        # Seized when looked at: it may have been noticed before or not.
        return ""
    if "noticed" in kinds:
        first = min(hint.clause for hint in hints if hint.meaning == "noticed")
        look = min(hint.clause for hint in hints if hint.meaning in _LOOKS)
        return "failed" if first < look else "worn"
    if "worn" in kinds or is_found:
        return "worn"
    # Renewed at a service, nothing found: that is what the service was for.
    return "planned" if kinds & {"planned", "service"} else ""


def hinted_reasons(hints: Sequence[Hint]) -> tuple[str, ...]:
    """Every reason some hints point to, in alphabetical order.

    Parameters
    ----------
    hints : sequence of Hint
        Any.
    """
    reasons = {_AS_REASON.get(hint.meaning, hint.meaning) for hint in hints}
    return tuple(sorted(reasons & set(REASONS)))
