"""Why a part was renewed, from what the words hint at.

Failed: it stopped working, or somebody noticed it on the road. Worn: it was condemned at a look. Noise at a service
is a look; noise a driver reports before it is not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from wearmodel.intake.tables.schema import REASONS

__all__ = ["Hint", "hinted_reasons", "reason_of"]

_AS_REASON = {"noticed": "failed", "in_use": "failed"}
_LOOKS = frozenset({"look", "service"})
_RUNNING = frozenset({"failed", "noticed", "in_use"})
_WEAR = _RUNNING | {"worn", "bad"}
_WEAK = frozenset({"in_use", "perhaps", "also", "seen"})
_OTHER_STORIES = {
    "comeback": frozenset({"failed", "noticed", "in_use", "look", "worn", "planned"}),
    "damage": frozenset({"noticed", "in_use", "look", "service", "worn", "planned"}),
}
_ELSEWISE = frozenset({"look", "service", "planned", "damage", "collateral"})


@dataclass(frozen=True)
class Hint:
    """One hint and the clause it stands in; `leads`: before the first part that clause names."""

    meaning: str
    clause: int
    leads: bool = False


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
    no planned replacement, and what was found broken at a look was condemned there. Failure beside work done for
    convenience contradicts it; wear found by the way was found at a look.
    """
    kinds = {hint.meaning for hint in hints}
    is_weak = "perhaps" in kinds and _is_weak(hints)
    if _is_lone(hints, kinds):
        return ""
    if "comeback" in kinds and not (is_weak and "damage" in kinds):
        return "" if is_weak and kinds & _ELSEWISE else "comeback"
    if "undone" in kinds and not is_found:
        return "collateral"
    if "damage" in kinds:
        return "" if kinds & {"planned", "collateral"} else "damage"
    if "collateral" in kinds:
        return _by_the_way(kinds)
    if "in_use" in kinds:
        return "" if "planned" in kinds or (is_weak and kinds <= _WEAK) else "failed"
    if kinds & _LOOKS:
        return _at_a_look(hints, kinds, is_found)
    if kinds & {"failed", "noticed"}:
        return "" if "planned" in kinds else "failed"
    if "bad" in kinds and "worn" not in kinds:
        return ""
    known = (("worn", "worn"), ("planned", "planned"), ("also", "collateral"))
    return next((reason for hint, reason in known if hint in kinds), "")


def _is_weak(hints: Sequence[Hint]) -> bool:
    """Whether every hint of a comeback, or of use, is one that may as well tell something else."""
    told = [hint.meaning for hint in hints]
    return told.count("perhaps") >= told.count("comeback") + told.count("in_use")


def _by_the_way(kinds: set[str]) -> str:
    """The reason of a part renewed beside other work."""
    if not kinds & _WEAR:
        return "collateral"
    return "worn" if "worn" in kinds and not kinds & _RUNNING else ""


def _is_lone(hints: Sequence[Hint], kinds: set[str]) -> bool:
    """Whether one phrase alone tells of a comeback or damage, and two things tell another story.

    Such a phrase may have been meant otherwise: `call out, rattle, found broken, brought back and renewed`.
    """
    told = [hint.meaning for hint in hints]
    return any(told.count(rare) == 1 and len(kinds & others) > 1 for rare, others in _OTHER_STORIES.items())


def _at_a_look(hints: Sequence[Hint], kinds: set[str], is_found: bool) -> str:
    """The reason of a part renewed at or after an inspection or a service."""
    if "noticed" in kinds and "seen" not in kinds:
        first = min(hint.clause for hint in hints if hint.meaning == "noticed")
        look = min(hint.clause for hint in hints if hint.meaning in _LOOKS)
        return "failed" if first < look else "worn"
    if kinds & {"failed", "worn", "bad", "noticed"}:
        return "worn"
    if "planned" in kinds:
        return "planned"
    if is_found:
        return "worn"
    # Renewed at a service, nothing found: that is what the service was for. An inspection is for finding.
    return "worn" if "look" in kinds else "planned"


def hinted_reasons(hints: Sequence[Hint]) -> tuple[str, ...]:
    """Every reason some hints point to, in alphabetical order.

    Parameters
    ----------
    hints : sequence of Hint
        Any.
    """
    reasons = {_AS_REASON.get(hint.meaning, hint.meaning) for hint in hints}
    return tuple(sorted(reasons & set(REASONS)))
