"""Boots named with their joint and not by themselves: `outer CV joint and boot`, `joint with new boot`.

Whatever was done to the joint was done to such a boot, at the same place.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wearmodel.intake.words.clause_items import Item
from wearmodel.intake.words.line_clauses import Clause
from wearmodel.intake.words.mentions import Mention
from wearmodel.intake.words.part_words import PART_FAMILIES
from wearmodel.intake.words.place_clauses import ends_with_part

__all__ = ["JointBoot", "taken_boots", "with_boots"]

_OF_CV = frozenset({"cv", "half", "axle", "drive"})


@dataclass(frozen=True)
class JointBoot:
    """A boot that goes with a joint.

    Parameters
    ----------
    clause : int
        Number of the clause.
    start : int
        Its word.
    """

    clause: int
    start: int


def taken_boots(clauses: list[Clause]) -> list[JointBoot]:
    """The boots that go with their joints; they are taken out of the clauses, which are joined.

    Parameters
    ----------
    clauses : list of Clause
        Of a line; changed in place.
    """
    taken: list[JointBoot] = []
    number = 1
    while number < len(clauses):
        clause, last = clauses[number], clauses[number - 1]
        boot = _own_boot(clause)
        if boot is not None and clause.before == "and" and ends_with_part(last) and _names_cv_joint(last):
            clause.items = [item for item in clause.items if item.start != boot.start]
            last.items += clause.items
            del clauses[number]
            taken.append(JointBoot(number - 1, boot.start))
        else:
            number += 1
    return taken


def _own_boot(clause: Clause) -> Item | None:
    """The boot a clause begins with, without a word of its own on whose or where it is."""
    items = clause.items
    if items and items[0].kind == "modifier" and items[0].meaning == "cv":
        items = items[1:]
    if not items or (items[0].kind, items[0].meaning) != ("head", "boot"):
        return None
    boot = items[0]
    beside = [item for item in items[1:] if item.start == boot.end]
    if any(item.kind in ("accessory", "foreign", "place", "unknown") for item in beside):
        return None
    return boot


def _names_cv_joint(clause: Clause) -> bool:
    """Whether the last part of a clause is a CV joint."""
    for item in reversed(clause.items):
        if item.kind == "part":
            return item.meaning.startswith("cv_joint")
        if item.kind == "head":
            told = {other.meaning for other in clause.items if other.kind in ("modifier", "place")}
            return item.meaning == "joint" and bool(told & {*_OF_CV, "outboard", "inboard"})
        if item.kind == "modifier" and item.meaning == "cv":
            return True
    return False


def with_boots(named: Sequence[list[Mention]], boots: Iterable[JointBoot]) -> None:
    """Name the boots taken out, each beside its joint and like it.

    Parameters
    ----------
    named : sequence of list of Mention
        The parts of each clause; changed in place.
    boots : iterable of JointBoot
        As taken.
    """
    for boot in boots:
        joints = [m for m in named[boot.clause] if m.head == "joint" and m.is_driveline and m.start < boot.start]
        if joints:
            joint = joints[-1]
            # `installed all new` is both of them, not every such part of the vehicle.
            joint.numbers = [number for number in joint.numbers if number != "all"]
            family = frozenset(PART_FAMILIES["cv_boot"])
            if len(joint.options) == 1 and not (joint.places("end") or joint.places("beside")):
                # A tripod joint is the inboard one, and so is its boot.
                family &= {code.replace("joint", "boot") for code in joint.options}
            alike = replace(
                joint, kind="part", options=family, head="boot", start=boot.start, end=boot.start + 1,
                runs=[list(run) for run in joint.runs], numbers=list(joint.numbers),
            )  # fmt: skip
            named[boot.clause].append(alike)
