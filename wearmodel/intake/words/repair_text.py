"""What the wording of a repair line says: which parts, where, why, and what was done to each.

Nothing here decides what the words leave open: `wearmodel.intake.repairs.repair_lines` puts their meanings beside
the part number and the vehicle's layout.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from wearmodel.intake.words.clause_items import Item
from wearmodel.intake.words.hint_sharing import LineHints
from wearmodel.intake.words.line_clauses import Clause
from wearmodel.intake.words.line_parts import line_parts
from wearmodel.intake.words.mentions import HALF_SHAFT, Mention
from wearmodel.intake.words.numbered_jobs import as_one_line, numbered_jobs
from wearmodel.intake.words.part_places import can_be_one, named_position, place_sets
from wearmodel.intake.words.place_words import DIMENSIONS
from wearmodel.intake.words.reason_reading import hinted_reasons, reason_of
from wearmodel.intake.words.repair_lexicon import Lexicon, build_lexicon
from wearmodel.intake.words.rewritten_text import rewritten
from wearmodel.intake.words.symptom_words import SYMPTOM_EVIDENCE
from wearmodel.intake.words.word_tokens import SEPARATORS, UNKNOWN
from wearmodel.intake.words.wordings import NamedPart, Wording

__all__ = ["Lexicon", "NamedPart", "Wording", "build_lexicon", "named_position", "wording"]

_LOOKED_AT = 2_000
_SHORT = 2
_MOST_KEPT = 200_000
_LONG_NUMBER = re.compile(r"[0-9]{5,}")
_OF_ITS_OWN = frozenset({"collateral", "planned", "damage", "comeback"})
_OCCASIONS = frozenset({"look", "service", "in_use", "perhaps"})
_UNCONDEMNED = _OCCASIONS | {"noticed"}
_BESIDES = frozenset({"also", "collateral"})
_BAD = frozenset({"noticed", "failed", "worn"})
_AFTER_PLACES = frozenset({"head", "part", "modifier", "place", "hint", "deed"})
_OF_PARTS = frozenset({"place", "half_place", "part", "head", "modifier"})
_ENDS = frozenset({"outboard", "inboard"})
_GREASED = frozenset({"greased", "lubricated"})
_LUBRICANTS = frozenset({"greased", "lubricated", "nipple", "nipples", "zerk", "greasable"})
_DONE = {
    "renewed": "renewed", "tended": "tended", "ok": "tended", "looked": "looked", "later": "tended", "needed": "tended",
    "mended": "unclear", "purpose": "unclear", "opened": "", "": "",
}  # fmt: skip


def wording(text: str, *, lexicon: Lexicon) -> Wording:
    """What the words of a repair line mean.

    Parameters
    ----------
    text : str
        As written; the first 2,000 characters are looked at.
    lexicon : Lexicon
        As built by `build_lexicon`.

    Returns
    -------
    Wording
        Every meaning, decided nowhere but where the words leave no choice.

    Examples
    --------
    >>> from wearmodel.driveline.layouts import COMPONENTS
    >>> found = wording("Replaced L/H outer CV boot, split", lexicon=build_lexicon(COMPONENTS))
    >>> sorted(found.parts[0]), sorted(found.places), found.reason, found.deed
    (['cv_boot_outboard'], ['left', 'outboard'], 'worn', 'renewed')
    """
    # A job number or an odometer's figure makes every line another text; none of its digits is ever looked at.
    text = _LONG_NUMBER.sub(lambda number: "0" * len(number[0]), text[:_LOOKED_AT])
    found = lexicon.texts.get(text)
    if found is None:
        jobs = numbered_jobs(text)
        found = (as_one_line([_read(job, lexicon) for job in jobs]) if jobs else None) or _read(text, lexicon)
        if len(lexicon.texts) < _MOST_KEPT:
            lexicon.texts[text] = found
    return found


def _read(text: str, lexicon: Lexicon) -> Wording:
    """A text seen for the first time: many others may come to the same words."""
    words = lexicon.words.words(rewritten(text))
    doubled = f"{UNKNOWN} {UNKNOWN}"
    while doubled in words:
        words = words.replace(doubled, UNKNOWN)
    found = lexicon.readings.get(words)
    if found is None:
        found = _Reading(words.split(), lexicon).wording()
        lexicon.readings[words] = found
    return found


class _Reading:
    """One line read: its clauses, the parts they name and what was done to them."""

    def __init__(self, words: Sequence[str], lexicon: Lexicon) -> None:
        line = line_parts(words, lexicon=lexicon)
        self.lexicon, self.words = lexicon, words
        self.clauses, self.named, self.is_doubtful = line.clauses, line.named, line.is_doubtful
        self.every = line.every()
        self.greased = {
            number
            for number, clause in enumerate(self.clauses)
            if any(i.meaning == "tended" and _GREASED.intersection(words[i.start : i.end]) for i in clause.of("deed"))
        }
        # `front joint. Greased`: what names no part is of all that were tended.
        self.is_all_greased = any(not line.named[number] for number in self.greased)
        # `greased centre joint and rear joint`: the deed is said once.
        self.carried = {n for n, clause in enumerate(self.clauses) if not clause.of("deed")} if self.greased else set()
        self.hints = LineHints(self.clauses, self.named)

    def wording(self) -> Wording:
        """Everything the words mean."""
        groups = self._groups()
        named = _with_joints_first(tuple(self._part(group, groups) for group in groups), self._is_heard())
        runs = [[item.meaning for item in clause.of("place")] for clause in self.clauses]
        sets = place_sets(runs, steering_side=self.lexicon.steering_side)
        every = self.every
        hints = self.hints.of_line()
        reasons = hinted_reasons(hints)
        return Wording(
            named=tuple(sorted(named, key=lambda part: part.deed != "renewed")),
            places=frozenset(place for one in sets for place in one),
            place_sets=sets,
            reason=reason_of(hints, is_found=self.hints.is_found),
            reasons=reasons,
            deed=self._deed_of_line(every, named, bool(reasons)),
            is_whole_shaft=self._is_whole_shaft(every, named),
            shaft=self._shaft(groups),
            is_doubtful=self.is_doubtful or self._lacks_occasion(groups, named) or self._forgets_one(groups, named)
            or self._lists_unknown()
            or any(m.is_either and m.is_driveline for m in every),
            names_shaft=any(m.kind == "shaft" for m in every),
            names_other=any(m.kind == "foreign" for m in every),
            evidence=self._evidence(),
            is_greasing=bool(self.greased),
        )

    def _is_heard(self) -> bool:
        """Whether a noise is told and nothing of an open boot."""
        is_open = any(item.meaning == "boot_open" for clause in self.clauses for item in clause.of("symptom"))
        return not is_open and any(hint.meaning == "noticed" for hint in self.hints.every)

    def _lacks_occasion(self, groups: list[list[Mention]], named: Sequence[NamedPart]) -> bool:
        """`joint clicking, boot changed at same time`: whether the part that made the work necessary has no deed."""
        own = [{hint.meaning for hint in self.hints.of(group, groups)[0]} for group in groups]
        told = list(zip(own, named, strict=True))
        renewed = [hints for hints, part in told if part.deed == "renewed"]
        is_besides = bool(renewed) and all(hints & _BESIDES and not hints & _BAD for hints in renewed)
        return is_besides and any(hints & _BAD and not part.deed and part.is_sure for hints, part in told)

    def _forgets_one(self, groups: list[list[Mention]], named: Sequence[NamedPart]) -> bool:
        """`bearing, prop: joint broken, renewed`: whether a part listed with one renewed has no deed and no story."""
        renewed = {m.clause for group in groups for m in group if m.deed == "renewed"}
        for group, part in zip(groups, named, strict=True):
            if part.deed or not part.is_sure or len(group) > 1:
                continue
            mention, clause = group[0], self.clauses[group[0].clause]
            is_bare = not clause.of("hint", "deed", "mark", "unknown")
            is_bare &= not mention.is_aside and not mention.is_blamed
            if is_bare and mention.clause + 1 in renewed and self.clauses[mention.clause + 1].before != ".":
                return True
        return False

    def _lists_unknown(self) -> bool:
        """`left ? and outer boot renewed`, `left and ? boot`: whether a word nobody knows stands in a list of parts."""
        renewed = {m.clause for m in self.every if m.is_driveline and m.deed == "renewed"}
        for number, (one, two) in enumerate(pairwise(self.clauses)):
            last, first = one.items[-1], two.items[0]
            if two.before != "and" or first.start != last.end + 1 or not renewed & {number, number + 1}:
                continue
            ahead = [item for item in one.items if item.end == last.start]
            stands_for_part = len(one.items) == 1 or any(map(_leads_to_part, ahead))
            follows_part = first.kind == "place" and any(item.kind in ("head", "part") for item in ahead)
            if last.kind == "unknown" and first.kind in _OF_PARTS and (stands_for_part or follows_part):
                return True
            following = [item for item in two.items if item.start == first.end]
            is_listed = len(two.items) == 1 or any(item.kind in _AFTER_PLACES for item in following)
            ends_with_place = any(item.kind == "place" and item.end == last.end for item in one.items)
            if first.kind == "unknown" and ends_with_place and is_listed:
                return True
        return False

    def _shaft(self, groups: list[list[Mention]]) -> NamedPart | None:
        """The whole shaft that was renewed, where its joints and boots come with it."""
        every = [m for m in self.every if m.kind == "shaft"]
        shafts = [m for m in every if m.options]
        if not shafts or not any(m.deed == "renewed" for m in every):
            return None
        part = self._part(shafts, groups)
        is_half = any(HALF_SHAFT in m.options for m in shafts)
        return replace(part, options=part.options - {HALF_SHAFT}, is_sure=is_half)

    @staticmethod
    def _is_whole_shaft(every: list[Mention], named: tuple[NamedPart, ...]) -> bool:
        """Whether a whole shaft was worked on, and none of its parts was renewed for itself."""
        shafts = [m for m in every if m.kind == "shaft"]
        is_renewed = any(m.deed == "renewed" for m in shafts)
        return bool(shafts) and (not named or (is_renewed and not any(part.deed == "renewed" for part in named)))

    def _groups(self) -> list[list[Mention]]:
        """Mentions of a driveline's parts, those of one part together; deeds that clash make the line doubtful."""
        groups: list[list[Mention]] = []
        for one, two in pairwise(self.every):
            # `spider, universal joint front`: one part named twice.
            if one.options == two.options and one.deed == two.deed and two.clause - one.clause == 1 and not one.runs:
                one.runs = [list(run) for run in two.runs]
        for mention in self.every:
            if mention.kind not in ("part", "bare"):
                continue
            for group in groups:
                if self._same(group, mention):
                    group.append(mention)
                    break
            else:
                groups.append([mention])
        return groups

    def _same(self, group: list[Mention], mention: Mention) -> bool:
        """Whether a mention is of the part a group is of."""
        first = group[0]
        if first.head != mention.head or not frozenset.intersection(mention.options, *(m.options for m in group)):
            return False
        if any(self._apart(m, mention) for m in group):
            return False
        if mention.is_aside and not group[0].is_aside and mention.runs:
            return False
        deeds = {_DONE[m.deed] for m in group} - {"", "looked"}
        deed = _DONE[mention.deed]
        if deed == "tended" and "renewed" in deeds:
            told = {place for m in group for run in m.runs for place in run}
            if not {place for run in mention.runs for place in run} <= told:
                return False  # `joint renewed, greased joint at diff`: another one
            self.is_doubtful |= mention.deed in ("later", "needed")
        return True

    def _apart(self, one: Mention, other: Mention) -> bool:
        """Whether two mentions name different places."""
        for kind in ("side", "end", "along", "line"):
            a, b = one.places(kind), other.places(kind)
            if a and b and not a & b:
                return True
        sets, others = (place_sets(m.runs, steering_side=self.lexicon.steering_side) for m in (one, other))
        return bool(sets and others) and not any(can_be_one(a, b) for a in sets for b in others)

    def _part(self, group: list[Mention], groups: list[list[Mention]]) -> NamedPart:
        """A group of mentions as one part."""
        deeds = [_DONE[m.deed] for m in group]
        deed = next((d for d in ("renewed", "tended", "unclear", "looked") if d in deeds), "")
        best = [m for m in group if _DONE[m.deed] == deed]
        rest = [m for m in group if m not in best]
        told = {DIMENSIONS.get(p) for m in best for run in m.runs for p in run}
        runs = [run for m in best for run in m.runs]
        runs += [[p for p in run if DIMENSIONS.get(p) not in told] for m in rest for run in m.runs]
        sets = place_sets(runs, steering_side=self.lexicon.steering_side)
        options = frozenset.intersection(*(m.options for m in group))
        own, hints = self.hints.of(group, groups)
        reason = reason_of(own, is_found=self.hints.is_found)
        tells = any(hint.meaning not in _OCCASIONS for hint in own)
        if reason not in _OF_ITS_OWN or not tells or len(groups) == 1:
            reason = reason_of(hints, is_found=self.hints.is_found)
        if deed == "unclear" and (reason in ("collateral", "planned") or (reason and self._is_only_done())):
            deed = "renewed"  # `boot done while the shaft was out`, `joint clunking, done`
        return NamedPart(
            options=_narrowed(options, sets),
            is_sure=any(m.kind == "part" for m in group),
            places=sets,
            quantity=_quantity(
                [n for m in best for n in m.numbers] or [n for m in rest if not m.deed for n in m.numbers]
            ),
            deed=deed,
            reason=reason,
            hints=hinted_reasons(hints),
            is_condemned=any(hint.meaning not in _UNCONDEMNED for hint in own or hints),
            is_greased=self._is_greased(group, deed),
        )

    def _is_only_done(self) -> bool:
        """Whether the work is called done, and no word tells of lubricating, looking or other repair."""
        if not _LUBRICANTS.isdisjoint(self.words):
            return False
        deeds = [(item, clause) for clause in self.clauses for item in clause.of("deed") if item.meaning != "renewed"]
        return bool(deeds) and all(self._is_done(item, clause) for item, clause in deeds)

    def _is_done(self, deed: Item, clause: Clause) -> bool:
        """Whether a deed is `done` as a sentence of its own or right after a part: none wants it done."""
        words = self.words
        if words[deed.start : deed.end] != ["done"] or (deed.end < len(words) and words[deed.end] not in SEPARATORS):
            return False
        is_first = not deed.start or words[deed.start - 1] in SEPARATORS
        return is_first or any(i.end == deed.start and i.kind in _AFTER_PLACES for i in clause.items)

    def _is_greased(self, group: list[Mention], deed: str) -> bool:
        """Whether a part was greased: tended so, or named where that is said and nothing else was done to it."""
        told = {m.clause for m in group}
        if deed == "tended":
            return self.is_all_greased or bool(told & (self.greased | self.carried))
        return deed == "" and bool(told & self.greased)

    def _deed_of_line(self, every: list[Mention], named: tuple[NamedPart, ...], has_reason: bool) -> str:
        """What was done, on the whole, as its parts tell where the words alone do not."""
        deed = self._deed(every, has_reason)
        if not deed and any(HALF_SHAFT in m.options and m.places("side") for m in every if m.kind == "shaft"):
            return "unclear"  # `left half shaft complete`: a line of a parts list
        return "renewed" if deed == "unclear" and any(part.deed == "renewed" for part in named) else deed

    def _deed(self, every: list[Mention], has_reason: bool) -> str:
        """What was done, on the whole."""
        ours = [m for m in every if m.is_driveline]
        if self._leaves_open(ours):
            return "unclear"
        if ours and all(m.deed == "opened" for m in ours):
            others = {m.clause for m in every if m.kind in ("foreign", "accessory")} - {m.clause for m in ours}
            is_bad = any(h.meaning in ("worn", "failed") and h.clause not in others for h in self.hints.every)
            return "unclear" if is_bad or _is_unknown_renewed(every) else "tended"
        told = {_DONE[m.deed] for m in ours} if ours else set()
        own_clauses = [clause for clause in self.clauses if not clause.has_mark("rest", "other_side")]
        every_deed = {_DONE[item.meaning] for clause in own_clauses for item in clause.of("deed")}
        if not ours or not told - {""}:
            elsewhere = bool(ours) and "renewed" in every_deed
            if elsewhere:
                is_open = has_reason or self._has_loose_renewal(every) or _is_unknown_renewed(every)
                return "unclear" if is_open else "tended"
            told = every_deed
        if "renewed" in told:
            return "renewed"
        if "unclear" in told:
            return "unclear"
        if "tended" in told:
            return "unclear" if self._has_loose_renewal(every) or _is_unknown_renewed(every) else "tended"
        if "looked" in told:
            return "unclear" if has_reason else "tended"
        is_open = any(h.meaning in ("worn", "failed", "bad") for h in self.hints.every)
        apart = [{item.meaning for item in self.clauses[m.clause].items} for m in ours]
        if any({"opened", "collateral"} <= told for told in apart):
            return "unclear" if is_open else "tended"  # `joint removed and refitted for access`
        # A word nobody knows may tell that it was left for later.
        return "unclear" if is_open and self._has_rest(ours) else ""

    def _has_rest(self, ours: Sequence[Mention]) -> bool:
        """`worn, owner informed`, `worn, no parts`: whether a line without a deed says more than how a part was."""
        items = [item for clause in self.clauses for item in clause.items]
        if any(item.kind == "unknown" for item in items):
            return True
        if not ours or any(item.meaning in ("silent", "not", "planned") for item in items):
            return bool(ours)
        told = {n for item in items for n in range(item.start, item.end)}
        for clause in self.clauses:
            if any(hint.meaning in _OCCASIONS for hint in clause.of("hint")):
                # `recovered to depot`: where and when it was found.
                ends = (n for n, word in enumerate(self.words) if n >= clause.items[-1].end and word in SEPARATORS)
                told |= set(range(clause.items[0].start, next(ends, len(self.words))))
        return any(n not in told and len(word) > _SHORT and word.isalpha() for n, word in enumerate(self.words))

    def _has_loose_renewal(self, every: list[Mention]) -> bool:
        """Whether something was renewed that no part of the line can have been."""
        if any(m.deed == "renewed" for m in every):
            return False
        told = [{item.meaning for item in clause.of("deed")} for clause in self.clauses]
        return any("renewed" in deeds and not deeds & {"later", "needed"} for deeds in told)

    def _leaves_open(self, ours: list[Mention]) -> bool:
        """Whether one part is found bad without a word on what came of it, and the work was on others."""
        bad = [
            m
            for m in ours
            if m.kind == "part" and not m.deed and not m.is_blamed
            and any(h.clause == m.clause and h.meaning in ("worn", "failed", "planned") for h in self.hints.every)
        ]  # fmt: skip
        deeds = {_DONE[m.deed] for m in ours}
        return bool(bad) and "renewed" not in deeds and deeds & {"tended", "unclear"} != set()

    def _evidence(self) -> frozenset[str]:
        """Components the symptoms of the line point to."""
        seen = {item.meaning for clause in self.clauses for item in clause.of("symptom")}
        return frozenset(code for symptom, moment, code in SYMPTOM_EVIDENCE if {symptom, moment} <= seen)


def _is_unknown_renewed(every: Iterable[Mention]) -> bool:
    """`boot cut off, new givven`: whether a word nobody knows stands where the renewed part would."""
    return any(m.kind == "unknown" and m.deed == "renewed" for m in every)


def _leads_to_part(item: Item) -> bool:
    """Whether the name of a part may come right after an item."""
    return item.kind in ("place", "number", "modifier") or (item.kind, item.meaning) == ("deed", "renewed")


def _with_joints_first(named: tuple[NamedPart, ...], is_heard: bool) -> tuple[NamedPart, ...]:
    """`joint clicking, joint and boot renewed`: the noise is the joint's, its boot came with it."""
    joints = [p for p in named if p.deed == "renewed" and any("cv_joint" in code for code in p.options)]
    told = {p.places for p in joints if p.reason == "failed"}
    return tuple(
        replace(p, reason="collateral") if is_heard and _is_boot_at(p, told) and p.reason == "failed" else p
        for p in named
    )


def _is_boot_at(part: NamedPart, places: Iterable[tuple[frozenset[str], ...]]) -> bool:
    """Whether a part is a renewed boot at one of some places."""
    return part.deed == "renewed" and part.places in places and all("boot" in code for code in part.options)


def _narrowed(options: frozenset[str], sets: Iterable[frozenset[str]]) -> frozenset[str]:
    """Components left where every place named is the same end of the shaft."""
    ends = {end for places in sets for end in places & _ENDS}
    if len(options) > 1 and len(ends) == 1:
        return frozenset(code for code in options if code.endswith(next(iter(ends)))) or options
    return options


def _quantity(numbers: Iterable[str]) -> float:
    """How many: a number counts more than `all`."""
    found = list(dict.fromkeys(numbers))
    counts = [float(number) for number in found if number != "all"]
    if counts:
        return max(counts)
    return float("inf") if found else float("nan")
