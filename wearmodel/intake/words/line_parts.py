"""The parts a line names, with their places and what was done to each, as its clauses tell together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wearmodel.intake.words.deed_reading import bind_deeds
from wearmodel.intake.words.joint_boots import taken_boots, with_boots
from wearmodel.intake.words.line_clauses import Clause, clauses
from wearmodel.intake.words.mentions import HALF_SHAFT, Mention, mentions
from wearmodel.intake.words.part_words import PART_FAMILIES
from wearmodel.intake.words.place_clauses import with_places_joined
from wearmodel.intake.words.place_words import DIMENSIONS
from wearmodel.intake.words.repair_lexicon import Lexicon
from wearmodel.intake.words.word_tokens import SEPARATORS

__all__ = ["LineParts", "line_parts"]

_CV_HEADS = ("boot", "joint")
_WHOLE = frozenset({"complete", "assembly", "whole", "entire"})
_WORKED = frozenset({"renewed", "mended"})
_LOOKED = frozenset({"ok", "looked", "tended", "later"})
_SETTLED = frozenset({"ok", "tended", "later", "needed"})
_OF_STEERING = frozenset({"upper", "lower"})


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
    found = with_places_joined(clauses(words, lexicon=lexicon))
    boots = taken_boots(found)
    named = [mentions(clause, number=number) for number, clause in enumerate(found)]
    _name_ends(found, named)
    _name_again(found, named)
    _settle_boots(found, named)
    is_doubtful = bind_deeds(found, named)
    every = [mention for parts in named for mention in parts]
    _set_asides_apart(found, named)
    _count_twins(found, named)
    _count_same(found, named)
    _settle_accessories(every)
    _settle_beside_others(found, named)
    _settle_steering(found, every)
    _share_heads([m for m in every if m.is_driveline and not m.is_aside], found)
    _note_whole(every, words)
    _settle_shafts(every)
    _settle_blamed(every)
    _give_loose_words(found, named)
    _give_lines(every)
    _give_sides(found, named)
    with_boots(named, boots)
    _count_ends(every)
    return LineParts(found, named, is_doubtful)


def _name_ends(found: Sequence[Clause], named: list[list[Mention]]) -> None:
    """`left outer clicking, changed`: an end of a half shaft named for what sits there, as nothing else is named."""
    if any(m.kind not in ("unknown", "accessory") for parts in named for m in parts):
        return
    is_alone = not any(named)
    symptoms = {item.meaning for clause in found for item in clause.of("symptom")}
    families = [(symptoms & {"click", "clunk"}, "joint"), (symptoms & {"boot_open"}, "boot")]
    heads = [head for seen, head in families if seen]
    codes = [code for head in heads or _CV_HEADS for code in PART_FAMILIES[f"cv_{head}"]]
    for number, clause in enumerate(found):
        places = clause.of("place")
        kinds = {DIMENSIONS.get(place.meaning) for place in places}
        told = [i for i in clause.items if i.kind == "hint" or (i.kind, i.meaning) == ("deed", "renewed")]
        if {"side", "end"} <= kinds and told:
            is_sure = len(heads) == 1 and not clause.of("unknown") and is_alone
            end = Mention("part" if is_sure else "bare", frozenset(codes), heads[0] if heads else "joint")
            end.start, end.end, end.clause = places[0].start, places[-1].end, number
            end.runs.append([place.meaning for place in places])
            named[number] = [end]


def _settle_boots(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`boot chewed by a rat, left outer, new one`: no boot but that of a half shaft has an inner or outer end."""
    ours = [m for parts in named for m in parts if m.kind in ("part", "bare")]
    ends = [
        item
        for clause, parts in zip(found, named, strict=True)
        for item in clause.of("place")
        if DIMENSIONS.get(item.meaning) == "end" and not any(m.kind == "foreign" for m in parts)
    ]
    if ends and all(m.head == "boot" for m in ours):
        for mention in ours:
            mention.kind = "part"


def _name_again(found: Sequence[Clause], named: list[list[Mention]]) -> None:
    """`rear worn, greased front`: a place with work or wear and no part is of the part named before."""
    last: Mention | None = None
    for number, clause in enumerate(found):
        places = clause.of("place")
        told = [d for d in clause.of("deed") if d.meaning != "opened"]
        told = told or [h for h in clause.of("hint") if h.meaning in ("failed", "worn")]
        is_bare = not named[number] and not clause.of("unknown") and not clause.has_mark("blame", "at", "beside")
        if last is not None and is_bare and places and told:
            again = Mention("part" if last.kind == "part" else "bare", last.options, last.head, clause=number)
            again.start, again.end = places[0].start, places[-1].end
            again.runs.append([place.meaning for place in places])
            named[number] = [again]
        ours = [m for m in named[number] if m.kind in ("part", "bare")]
        last = ours[-1] if ours else last


def _set_asides_apart(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`boot renewed. Checked left outer joint, ok`: where the other part is tells nothing of the one renewed."""
    has_renewed = is_bad = False
    sentence: list[Mention] = []
    for clause, parts in zip([*found, Clause(".")], [*named, []], strict=True):
        if clause.before == ".":
            ours = [m for m in sentence if m.is_driveline]
            is_aside = has_renewed and not any(m.deed == "renewed" for m in sentence)
            for mention in ours:
                mention.is_aside = is_aside and (mention.deed in _SETTLED or (mention.deed == "looked" and not is_bad))
            has_renewed |= any(m.deed == "renewed" for m in ours)
            sentence, is_bad = [], False
        sentence += parts
        is_bad |= any(hint.meaning in ("worn", "failed", "bad") for hint in clause.of("hint"))


def _count_twins(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`u-joint and u-joint renewed` are two."""
    for number, (before, parts) in enumerate(pairwise(named), start=1):
        if not before or not parts or found[number].before != "and":
            continue
        one, other = before[-1], parts[0]
        if one.kind == other.kind == "part" and len(parts) == 1:
            # `front joint and rear joint both worn`: one of each.
            both = {i.start for i in found[number].items if i.meaning == "all_parts" and i.start >= other.end}
            taken = [i.meaning for i in found[number].of("number") if i.start in both and i.meaning in other.numbers]
            for meaning in taken if one.runs and other.runs else ():
                other.numbers.remove(meaning)
        told = [i for i in (*found[number - 1].items, *found[number].items) if i.kind in ("deed", "hint")]
        told = [i for i in told if i.meaning != "also"]
        is_twin = one.kind == "part" and (one.head, one.options, one.deed) == (other.head, other.options, other.deed)
        if is_twin and one.runs == other.runs and not any(one.start < item.start < other.start for item in told):
            one.numbers.append("2")


def _count_same(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`replaced universal joint with u-joint`: a list that names one kind twice means two."""
    for clause, parts in zip(found, named, strict=True):
        marks = [mark.start for mark in clause.of("mark") if mark.meaning == "with"]
        for one, other in pairwise(parts):
            is_alike = one.kind == other.kind == "part" and (one.head, one.options) == (other.head, other.options)
            is_listed = any(one.end <= start < other.start for start in marks) and one.deed == other.deed == "renewed"
            if is_alike and is_listed and one.runs == other.runs and not (one.numbers or other.numbers):
                one.numbers.append("2")


def _count_ends(every: Sequence[Mention]) -> None:
    """Both ends of a propeller shaft are two joints of one kind."""
    for mention in every:
        if mention.options == {"u_joint"} and any("both_ends" in run for run in mention.runs):
            mention.runs = [[place for place in run if place != "both_ends"] for run in mention.runs]
            mention.numbers.append("2")


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
            is_of_other = found[number].before == "and" or (before[-1].deed and not found[number].of("deed"))
            parts[0].kind = "foreign" if is_of_other else "bare"


def _settle_steering(found: Sequence[Clause], every: Sequence[Mention]) -> None:
    """`steering: joint worn`, `lower universal joint`: it may be one of the steering shaft."""
    shafts = {item.meaning for clause in found for item in clause.of("modifier")}
    is_named = "steer" in shafts or any(m.options == {"steering_joint"} for m in every)
    is_steering = is_named and shafts.isdisjoint({"prop", "half"})
    for mention in every:
        may_be = mention.head == "joint" and "u_joint" in mention.options and mention.is_driveline
        if may_be and (is_steering or _OF_STEERING & mention.places("along")):
            mention.options |= {"steering_joint"}
            mention.kind = "part" if is_steering else mention.kind


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
                mention.runs = mention.runs or [_shared(told[0][0], mention)]
        _share_end(of_cv)
    steering = frozenset({"steering_joint"})
    joints = [m for m in ours if m.head == "joint" and not (m.kind == "bare" and not m.runs)]
    if any(m.options == steering for m in joints) and all(m.options == steering or not m.runs for m in joints):
        for mention in ours:
            if mention.head == "joint" and not mention.runs and not mention.options.isdisjoint({"u_joint"}):
                mention.kind, mention.options = "part", steering
    for one, other in pairwise(ours):
        if {one.head, other.head} == set(_CV_HEADS) and found[other.clause].before in ("and", "/"):
            if one.runs and not other.runs:
                other.runs = [_shared(run, other) for run in one.runs]
            elif other.runs and not one.runs and one.clause != other.clause:
                one.runs = [_shared(run, one) for run in other.runs]
            elif _is_side_of_both(one, other, found[other.clause]):
                one.runs[0] += sorted(other.places("side"))


def _is_side_of_both(one: Mention, other: Mention, clause: Clause) -> bool:
    """`outer joint and boot left`: whether a side told after the second of two parts is that of the first too."""
    if one.clause == other.clause or not one.runs or one.places("side") or len(other.places("side")) != 1:
        return False
    places = [item for item in clause.of("place") if DIMENSIONS.get(item.meaning) == "side"]
    ends = one.places("end"), other.places("end")
    return all(item.start >= other.end for item in places) and (not all(ends) or ends[0] == ends[1])


def _share_end(of_cv: Sequence[Mention]) -> None:
    """`tripod joint renewed, boot split`: the only end named is that of the joint or boot beside it."""
    ends = {end for m in of_cv for end in m.places("end")}
    ends |= {code.rpartition("_")[2] for m in of_cv if len(m.options) == 1 for code in m.options}
    sides = {side for m in of_cv for side in m.places("side")}
    if len(ends) == 1 and len(sides) <= 1:
        for mention in of_cv:
            if len(mention.options) > 1 and not mention.places("end") and not mention.places("beside"):
                mention.runs.append(list(ends))


def _note_whole(every: Sequence[Mention], words: Sequence[str]) -> None:
    """`drive shaft complete`: everything on the shaft comes with it."""
    for mention in every:
        if mention.kind != "shaft" or not _is_whole(words, mention):
            continue
        if mention.head == "prop":
            mention.options = frozenset({"u_joint", "support_bearing", "slip_spline"})
        elif mention.places("side") and (mention.options or mention.deed == "renewed"):
            # `felt it in the left complete shaft, replaced that`
            mention.options |= {HALF_SHAFT, *PART_FAMILIES["cv_joint"], *PART_FAMILIES["cv_boot"]}


def _is_whole(words: Sequence[str], mention: Mention) -> bool:
    """Whether a shaft is called complete by a word beside it."""
    before = [word for word in words[max(mention.start - 3, 0) : mention.start] if word in _WHOLE or word in SEPARATORS]
    if mention.start and words[mention.start - 1] == "exchanged":
        return True  # `exchange shaft fitted`
    after = words[mention.start : mention.end + 4]
    if before and before[-1] in _WHOLE:
        return True
    return any(word in _WHOLE and not SEPARATORS & set(after[:n]) for n, word in enumerate(after))


def _shared(run: Sequence[str], mention: Mention) -> list[str]:
    """The words of place that also hold for another part: `outer joint and both boots` are boots of both ends."""
    several = not {"2", "4", "all"}.isdisjoint(mention.numbers)
    return [place for place in run if not (several and DIMENSIONS.get(place) == "end")]


def _settle_shafts(every: Sequence[Mention]) -> None:
    """A shaft renewed for a joint or boot that failed: that part made it necessary."""
    shafts = [m for m in every if m.kind == "shaft"]
    ours = [m for m in every if m.kind == "part"]
    if halves := [m for m in shafts if m.options & {HALF_SHAFT, "u_joint"}]:
        # Its joints and boots come with it; `left outer joint seized, half shaft renewed` is the left one.
        named = {side for m in every if m.is_driveline and not m.is_aside for side in m.places("side")}
        for shaft in halves if len(named) == 1 else ():
            shaft.runs.append(sorted(named))
        return
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
    if any(m.deed in ("renewed", "tended", "mended", "later", "needed") for m in every):
        return
    blamed = [m for m in every if m.fallback and m.is_blamed and m.kind != "neighbour"]
    if len(blamed) == 1:
        blamed[0].deed = blamed[0].fallback


def _give_loose_words(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """Numbers and words of place that stand apart go to the part before them."""
    is_only = sum(m.kind in ("part", "bare") for parts in named for m in parts) == 1
    for number, clause in enumerate(found):
        if named[number] or number == 0 or not named[number - 1]:
            continue
        before = [m for parts in named[:number] for m in parts if m.is_driveline]
        counts = all(item.kind in ("number", "place") or item.meaning == "all_parts" for item in clause.items)
        if is_only and counts and len(named[number - 1]) == 1:
            named[number - 1][0].numbers += [item.meaning for item in clause.of("number") if item.meaning != "1"]
        places = [item.meaning for item in clause.of("place")]
        if places and before and not clause.of("hint") and named[number - 1][-1].is_driveline:
            # `joint and boot renewed, outer` holds for both.
            for mention in before:
                is_alike = mention.head in _CV_HEADS and not mention.runs and mention.deed == before[-1].deed
                if mention is before[-1] or is_alike:
                    mention.runs.append(list(places))


def _give_lines(every: Sequence[Mention]) -> None:
    """`rear shaft, front joint`: the only shaft line named is that of every joint and bearing without one."""
    told = (m for m in every if m.is_driveline and not m.is_aside and not m.places("side"))
    lines = {line for m in told for line in m.places("line")}
    for mention in every:
        is_of_prop = mention.head in ("joint", "bearing") and not (mention.places("side") or mention.places("axle"))
        if len(lines) == 1 and is_of_prop and not mention.places("line"):
            mention.runs.insert(0, list(lines))


def _give_sides(found: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """A side or end named apart, or of a shaft or wheel taken off, is that of every part without one."""
    every = [m for parts in named for m in parts if not m.is_aside]
    loose = [
        item.meaning
        for number, clause in enumerate(found)
        if not named[number] and not (number and named[number - 1] and not clause.of("hint"))
        for item in clause.of("place")
        if not _is_in_order(found, number)
    ]
    # `left wheel bearing renewed, shaft out anyway so boot renewed`
    is_occasion = any(hint.meaning == "collateral" for clause in found for hint in clause.of("hint"))
    first = next((m.clause for m in every if m.kind in ("part", "bare")), 0)
    for kind in ("side", "end"):
        beside = [m for m in every if _tells_place(m, kind) or (is_occasion and kind == "side" and m.clause < first)]
        told = _of_kind(kind, loose).union(*(m.places(kind) for m in beside))
        if len(told) == 1:
            for mention in every:
                # Both ends come with a whole shaft.
                if not mention.places(kind) and not mention.places("line") and (kind, mention.kind) != ("end", "shaft"):
                    mention.runs.append(list(told))
    _give_ends(every, loose)


def _is_in_order(found: Sequence[Clause], number: int) -> bool:
    """`right side checked, good`: whether the work a place begins is nothing but looking."""
    ends = (n for n in range(number + 1, len(found)) if found[n].before == ".")
    deeds = {item.meaning for clause in found[number : next(ends, len(found))] for item in clause.of("deed")}
    return bool(deeds) and deeds <= _LOOKED


def _tells_place(mention: Mention, kind: str) -> bool:
    """Whether where something is may be where the parts of a line are: a shaft, or what was taken off or looked at."""
    if mention.kind == "foreign":
        return mention.deed == "opened" or (kind == "side" and mention.deed not in _WORKED)
    return mention.kind in ("shaft", "neighbour", "accessory")


def _give_ends(every: Sequence[Mention], loose: Iterable[str]) -> None:
    """`prop came off at rear, joint renewed`: an end told of the shaft, or apart, is that of the only joint."""
    joints = [m for m in every if m.kind in ("part", "bare") and m.head == "joint" and "u_joint" in m.options]
    worked = [m for m in every if m.kind == "foreign" and m.deed in _WORKED]
    if any(m.places("along") or m.places("beside") for m in joints) or worked:
        return
    shafts = [m for m in every if m.kind == "shaft" and m.deed != "renewed"]
    kinds = ("along", "beside", "axle")
    told = {frozenset(place for kind in kinds for place in m.places(kind)) for m in shafts}
    told.add(frozenset(place for kind in kinds for place in _of_kind(kind, loose)))
    told.discard(frozenset())
    is_plural = any(m.numbers for m in joints)
    if len(told) == 1 and not is_plural and len({m.options for m in joints}) == 1:
        for mention in joints:
            mention.runs.append(sorted(next(iter(told))))


def _of_kind(kind: str, places: Iterable[str]) -> set[str]:
    return {place for place in places if DIMENSIONS.get(place) == kind}
