"""The parts a line names, with their places and what was done to each, as its clauses tell together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wearmodel.intake.deed_reading import bind_deeds
from wearmodel.intake.line_clauses import Clause, clauses
from wearmodel.intake.mentions import Mention, mentions
from wearmodel.intake.place_words import DIMENSIONS
from wearmodel.intake.repair_lexicon import Lexicon

__all__ = ["LineParts", "line_parts"]

_CV_HEADS = ("boot", "joint")


@dataclass(frozen=True)
class LineParts:
    """A line taken apart.

    Parameters
    ----------
    clauses : list of Clause
        In their order.
    named : list of list of Mention
        The parts each of them names.
    is_doubtful : bool
        It cannot be told which part some deed was done to.
    """

    clauses: list[Clause]
    named: list[list[Mention]]
    is_doubtful: bool

    def every(self) -> list[Mention]:
        """All mentions in their order."""
        return [mention for parts in self.named for mention in parts]


def line_parts(words: Sequence[str], *, lexicon: Lexicon) -> LineParts:
    """Take a line apart.

    Parameters
    ----------
    words : sequence of str
        In their one form, separators among them.
    lexicon : Lexicon
        Of phrases.

    Returns
    -------
    LineParts
        Every mention with its places, numbers and deed.
    """
    found = clauses(words, lexicon=lexicon)
    named = [mentions(clause, number=number) for number, clause in enumerate(found)]
    _name_again(found, named)
    is_doubtful = bind_deeds(found, named)
    every = [mention for parts in named for mention in parts]
    _settle_accessories(every)
    _settle_beside_others(found, named)
    _share_heads([m for m in every if m.is_driveline], found)
    _settle_shafts(every)
    _settle_blamed(every)
    _give_loose_words(found, named)
    _give_lines(every)
    _give_sides(found, named)
    return LineParts(found, named, is_doubtful)


def _name_again(found: Sequence[Clause], named: list[list[Mention]]) -> None:
    """`rear worn, greased front`: a place with work or wear and no part is of the part named before."""
    last: Mention | None = None
    for number, clause in enumerate(found):
        places = clause.of("place")
        told = [d for d in clause.of("deed") if d.meaning != "opened"]
        told = told or [h for h in clause.of("hint") if h.meaning in ("failed", "worn")]
        if last is not None and not named[number] and places and told and not clause.has_mark("blame", "at", "beside"):
            again = Mention("part" if last.kind == "part" else "bare", last.options, last.head, clause=number)
            again.start, again.end = places[0].start, places[-1].end
            again.runs.append([place.meaning for place in places])
            named[number] = [again]
        ours = [m for m in named[number] if m.kind in ("part", "bare")]
        last = ours[-1] if ours else last


def _settle_accessories(every: Sequence[Mention]) -> None:
    """New clips are no new boot."""
    for mention in every:
        if not mention.is_accessory:
            continue
        is_named_too = any(m.head == mention.head and not m.is_accessory and m.is_driveline for m in every)
        if mention.deed in ("renewed", "mended") or (not mention.deed and not is_named_too):
            mention.kind = "foreign"


def _settle_beside_others(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`shock absorber and boot`: a boot of nobody knows what goes with what is named before it."""
    for number, (before, parts) in enumerate(pairwise(named), start=1):
        if before and parts and before[-1].kind == "foreign" and parts[0].kind == "bare":
            parts[0].kind = "foreign" if found[number].before == "and" else "bare"


def _share_heads(ours: Sequence[Mention], found: Sequence[Clause]) -> None:
    """A boot named beside a CV joint is a boot of it, at the same place unless another is named."""
    if any(code.startswith("cv_") for m in ours if m.kind == "part" for code in m.options):
        has_universal = any(m.kind == "part" and "u_joint" in m.options for m in ours)
        for mention in ours:
            if mention.head == "boot":
                mention.kind = "part"
            elif mention.head == "joint" and mention.kind == "bare" and not has_universal:
                mention.kind, mention.options = "part", mention.options - {"u_joint"}
        of_cv = [m for m in ours if m.head in _CV_HEADS]
        told = [m.runs for m in of_cv if m.runs]
        if told and all(runs == told[0] for runs in told) and len(told[0]) == 1:
            for mention in of_cv:
                mention.runs = mention.runs or [list(told[0][0])]
    steering = frozenset({"steering_joint"})
    if any(m.options == steering for m in ours):
        for mention in ours:
            if mention.options == {"u_joint"} and not mention.runs:
                mention.options = steering
    for one, other in pairwise(ours):
        if {one.head, other.head} == set(_CV_HEADS) and found[other.clause].before in ("and", "/"):
            if one.runs and not other.runs:
                other.runs = [list(run) for run in one.runs]
            elif other.runs and not one.runs and one.clause != other.clause:
                one.runs = [list(run) for run in other.runs]


def _settle_shafts(every: Sequence[Mention]) -> None:
    """A shaft renewed for a joint or boot that failed: that part made it necessary."""
    shafts = [m for m in every if m.kind == "shaft"]
    ours = [m for m in every if m.kind == "part"]
    if not any(m.deed == "renewed" for m in shafts) or any(m.deed for m in ours):
        return
    if len({(m.head, m.options) for m in ours}) == 1:
        sides = sorted({side for m in shafts for side in m.places("side")})
        for mention in ours:
            mention.deed, mention.is_blamed = "renewed", False
            if sides and not mention.places("side"):
                mention.runs.insert(0, sides[:1])


def _settle_blamed(every: Sequence[Mention]) -> None:
    """A part that is only blamed was worked on where no other part was."""
    if any(m.deed in ("renewed", "tended", "mended", "later") for m in every):
        return
    blamed = [m for m in every if m.fallback and m.is_blamed and m.kind != "neighbour"]
    if len(blamed) == 1:
        blamed[0].deed = blamed[0].fallback


def _give_loose_words(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """Numbers and words of place that stand apart go to the part before them."""
    is_only = sum(m.is_driveline for parts in named for m in parts) == 1
    for number, clause in enumerate(found):
        if named[number] or number == 0 or not named[number - 1]:
            continue
        before = [m for parts in named[:number] for m in parts if m.is_driveline]
        if is_only and not clause.of("deed") and len(named[number - 1]) == 1:
            named[number - 1][0].numbers += [item.meaning for item in clause.of("number") if item.meaning != "1"]
        places = [item.meaning for item in clause.of("place")]
        if places and before and not clause.of("hint"):
            # `joint and boot renewed, outer` holds for both.
            for mention in before:
                is_alike = mention.head in _CV_HEADS and not mention.runs and mention.deed == before[-1].deed
                if mention is before[-1] or is_alike:
                    mention.runs.append(list(places))


def _give_lines(every: Sequence[Mention]) -> None:
    """`rear shaft, front joint`: the only shaft line named is that of every joint and bearing without one."""
    lines = {line for m in every if m.kind == "shaft" for line in m.places("line")}
    for mention in every:
        if len(lines) == 1 and mention.head in ("joint", "bearing") and not mention.places("line"):
            mention.runs.insert(0, list(lines))


def _give_sides(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """A side or end named apart, or of a shaft or wheel taken off, is that of every part without one."""
    every = [m for parts in named for m in parts]
    loose = [
        item.meaning
        for number, clause in enumerate(found)
        if not named[number] and not (number and named[number - 1] and not clause.of("hint"))
        for item in clause.of("place")
    ]
    beside = [m for m in every if m.kind == "shaft" or (m.kind == "foreign" and m.deed == "opened")]
    for kind in ("side", "end"):
        told = _of_kind(kind, loose).union(*(m.places(kind) for m in beside))
        if len(told) == 1:
            for mention in every:
                if not mention.places(kind):
                    mention.runs.append(list(told))


def _of_kind(kind: str, places: Iterable[str]) -> set[str]:
    return {place for place in places if DIMENSIONS.get(place) == kind}
