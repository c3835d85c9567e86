"""Which hints of a line concern which of its parts."""

from collections.abc import Sequence

from wearmodel.intake.words.line_clauses import Clause
from wearmodel.intake.words.mentions import Mention
from wearmodel.intake.words.reason_reading import Hint

__all__ = ["LineHints"]

_NOTICED = frozenset({"noticed", "in_use", "look", "service", "comeback", "damage"})
_WORKED = frozenset({"renewed", "mended"})
_SETTLED = frozenset({"renewed", "mended", "tended", "later", "needed", "ok"})
_IN_ORDER = frozenset({"tended", "later", "needed", "ok"})
_BY_THE_WAY = frozenset({"neighbour", "shaft", "accessory"})
_OTHERS = frozenset({"foreign", "unknown", "neighbour", "accessory"})
_LISTS = frozenset({"and", "/", ","})
_TELLING = frozenset({"failed", "noticed", "worn", "bad", "planned", "collateral", "damage", "comeback", "undone"})
_OPENING = frozenset({"look", "service", "in_use", "planned", "damage", "comeback"})
_TRAILING = frozenset({",", "-", ":"})
_LEADING = frozenset({"look", "service", "in_use", "noticed", "comeback", "planned"})
_OF_ONE = frozenset({"also", "collateral", "undone"})


class LineHints:
    """The hints of a line, and whose they are.

    Parameters
    ----------
    clauses : sequence of Clause
        Of the line.
    named : sequence of list of Mention
        The parts each of them names, with their deeds.
    """

    def __init__(self, clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
        self.clauses = clauses
        self.named = named
        starts = [min((m.start for m in parts), default=0) for parts in named]
        self.every = [
            Hint(item.meaning, n, leads=item.start < starts[n])
            for n, clause in enumerate(clauses)
            for item in clause.of("hint")
        ]
        self._elsewhere = self._of_other_work()
        self._jobs = self._job_numbers()
        self.is_found = any(
            clause.has_mark("found") and n not in self._elsewhere and not (named[n] and all(map(_is_other, named[n])))
            for n, clause in enumerate(clauses)
        )

    def of_line(self) -> list[Hint]:
        """The hints that are not of other work."""
        return [hint for hint in self.every if hint.clause not in self._elsewhere]

    def of(self, group: Sequence[Mention], groups: Sequence[Sequence[Mention]]) -> tuple[list[Hint], list[Hint]]:
        """Hints of a part's own clauses, and all that may concern it.

        Parameters
        ----------
        group : sequence of Mention
            Of one part.
        groups : sequence of sequence of Mention
            Of every part of the line.
        """
        own_clauses = self._with_trails({m.clause for m in group})
        others = {m.clause for other in groups if other is not group for m in other if m.deed not in ("", "looked")}
        own = [hint for hint in self.every if hint.clause in own_clauses]
        apart = own_clauses | others | self._elsewhere
        jobs = {self._jobs[m.clause] for m in group}
        shared = [
            hint
            for hint in self.every
            if hint.clause not in apart and self._jobs[hint.clause] in jobs and self._is_shared(hint)
        ]
        shared += [h for h in self.every if h.clause in others - own_clauses and self._leads_to(h, own_clauses)]
        if any(hint.meaning in _TELLING for hint in own):
            # `bearing (collapsed), joint (worn)`: each has its own.
            asides = {n for n in self._with_trails(others) - others if self.clauses[n].before == "-"}
            shared = [hint for hint in shared if hint.clause not in asides]
        else:
            again = {m.clause for one in groups for m in one if m.clause > min(other.clause for other in one)}
            listed = self._with_trails(self._listed(max(m.clause for m in group), again))
            told = (listed - apart) | (listed & others)
            shared += [h for h in self.every if h.clause in told and h.meaning not in _OF_ONE]
        if not own and not shared:
            # `worn uj and boot replaced`: what is joined shares the reason.
            near = {n for c in own_clauses for n in (c - 1, c + 1) if self._is_joined(c, n)}
            near = {n for n in near & others if not self._is_in_order(n)}
            shared = [hint for hint in self.every if hint.clause in near and hint.meaning != "also"]
        return own, sorted([*own, *shared], key=lambda hint: hint.clause)

    def _job_numbers(self) -> list[int]:
        """Number of the job each clause is of: `noise, joint renewed. Monthly check: boot split, renewed` is two."""
        numbers: list[int] = []
        job, is_done = 0, False
        for number, clause in enumerate(self.clauses):
            begins = is_done and self._begins_job(number)
            job += begins
            numbers.append(job)
            has_deed = any(item.meaning == "renewed" for item in clause.of("deed"))
            is_done = (is_done and not begins) or (has_deed and self._jobs_part(number, numbers, job))
        return numbers

    def _begins_job(self, number: int) -> bool:
        clause = self.clauses[number]
        hints = {item.meaning for item in clause.of("hint")}
        if self._begins_record(number):
            return True
        if self.named[number] or clause.of("deed") or not hints & _OPENING or clause.before == "-":
            return False
        following = self.clauses[number + 1].before if number + 1 < len(self.clauses) else ""
        if clause.before == "," and following != ":":
            return False
        return any(m.is_driveline and m.deed == "renewed" for parts in self.named[number + 1 :] for m in parts)

    def _begins_record(self, number: int) -> bool:
        """`bearing - failed - replaced / joint - same job - replaced`: the choices of a form, one record a part."""
        around = self.clauses[number - 1 : number + 2]
        is_chosen = len(around) == 3 and around[0].before == around[2].before == "-" and bool(around[0].of("deed"))
        is_ours = any(m.is_driveline for m in self.named[number])
        return is_chosen and is_ours and around[1].before in (".", ",", "/", "and")

    def _jobs_part(self, number: int, numbers: Sequence[int], job: int) -> bool:
        """Whether a part of a driveline is named in this job up to here."""
        return any(m.is_driveline for n in range(number + 1) if numbers[n] == job for m in self.named[n])

    def _with_trails(self, numbers: set[int]) -> set[int]:
        """Clauses with those that only tell how their part was: `joint (left), worn, renewed`."""
        found = set(numbers)
        for number in numbers:
            trail = number + 1
            while trail < len(self.clauses) and self._is_trail(trail):
                found.add(trail)
                trail += 1
        return found

    def _is_trail(self, number: int) -> bool:
        clause = self.clauses[number]
        hints = {item.meaning for item in clause.of("hint")}
        is_bare = not self.named[number] and not clause.of("deed") and clause.before in _TRAILING
        return is_bare and bool(hints) and (hints <= _TELLING or "planned" in hints) and number not in self._elsewhere

    def _leads_to(self, hint: Hint, own_clauses: set[int]) -> bool:
        """`service: found bearing and joint bad`: what stands before a list is of all of it."""
        if not hint.leads or hint.meaning not in _LEADING or min(own_clauses) < hint.clause:
            return False
        between = self.clauses[hint.clause + 1 : min(own_clauses) + 1]
        return all(clause.before in _LISTS for clause in between)

    def _listed(self, number: int, again: set[int]) -> set[int]:
        """`bearing, joint worn, replaced`: what follows in a list tells of all of it."""
        found: set[int] = set()
        has_deed = bool(self.clauses[number].of("deed"))
        for later in range(number + 1, len(self.clauses)):
            clause, parts = self.clauses[later], self.named[later]
            is_with = bool(parts) and parts[0].with_other
            is_listed = bool(parts) and later not in again and (clause.before in _LISTS or is_with)
            if not is_listed or (has_deed and clause.of("deed")):
                break
            if any(not m.is_driveline or m.deed in _IN_ORDER for m in parts):
                break
            found.add(later)
            if clause.of("hint") or clause.of("deed"):
                break
        return found

    def _is_in_order(self, number: int) -> bool:
        return any(m.deed in _IN_ORDER for m in self.named[number])

    def _is_joined(self, one: int, other: int) -> bool:
        later = max(one, other)
        return later < len(self.clauses) and self.clauses[later].before in ("and", "/")

    def _is_shared(self, hint: Hint) -> bool:
        """Whether a hint of another clause may concern a part that was renewed."""
        parts = self.named[hint.clause]
        if hint.meaning == "comeback" and any(m.kind == "neighbour" and m.fallback == "renewed" for m in parts):
            return False  # `gearbox changed under warranty; joint renewed with it`
        if all(m.kind in _BY_THE_WAY and m.deed in ("", "looked", "opened", "renewed") for m in parts):
            return True
        if any(m.deed not in ("", "looked", "opened") for m in parts):
            return False
        # `bearing renewed, shaft out for the joint`
        return hint.meaning in _NOTICED or (hint.meaning == "collateral" and not any(m.deed for m in parts))

    # --- other work in the same line

    def _of_other_work(self) -> set[int]:
        """Clauses without a part that tell of other work: `new windscreen, rock` says nothing of a boot before it."""
        sentences = self._sentences()
        about = [_about([m for n in sentence for m in self.named[n]]) for sentence in sentences]
        if "ours" not in about and "both" not in about:
            return set()
        found: set[int] = set()
        for place, sentence in enumerate(sentences):
            bare = [n for n in sentence if not self.named[n]]
            if about[place] == "other":
                is_after_ours = bool(place) and about[place - 1] == "ours" and not self._tells(sentences[place - 1])
                found.update(
                    n for n in bare
                    if not self._begins_anew(n, sentence) and not (is_after_ours and self._is_before_check(n, sentence))
                )  # fmt: skip
            elif about[place] == "nothing" and self._is_only_for_later(sentence):
                found.update(bare)
            elif about[place] == "both":
                found.update(n for n in bare if self._trails_other(n, sentence))
            elif about[place] == "nothing":
                before = [a for a in about[:place] if a != "nothing"][-1:]
                near = [a for a in about[place + 1 :] if a != "nothing"][:1] or before
                is_ours = place and about[place - 1] == "ours" and self._tells_of_last(sentences, place)
                if near == ["other"] and not is_ours and self._is_worked(sentences, about, place):
                    found.update(bare)
        return found

    def _sentences(self) -> list[list[int]]:
        sentences: list[list[int]] = []
        for number, clause in enumerate(self.clauses):
            if clause.before == "." or not sentences:
                sentences.append([])
            sentences[-1].append(number)
        return sentences

    def _begins_anew(self, number: int, sentence: Sequence[int]) -> bool:
        """`cable adjusted; driver reports noise`: a complaint after other work is of what comes next."""
        is_complaint = any(item.meaning == "in_use" for item in self.clauses[number].of("hint"))
        later = [n for n in range(sentence[-1] + 1, len(self.named)) if self.named[n]]
        is_last = not any(n > number and self.named[n] for n in sentence)
        return is_complaint and is_last and bool(later) and any(m.is_driveline for m in self.named[later[0]])

    def _tells(self, sentence: Sequence[int]) -> bool:
        return any(item.meaning in _TELLING | _NOTICED for n in sentence for item in self.clauses[n].of("hint"))

    def _is_before_check(self, number: int, sentence: Sequence[int]) -> bool:
        """`joint renewed. Breakdown; other side checked ok`: what stands before the check is of the part renewed."""
        named = [n for n in sentence if self.named[n]]
        return number < named[0] and all(m.is_driveline for n in named for m in self.named[n])

    def _is_only_for_later(self, sentence: Sequence[int]) -> bool:
        deeds = {item.meaning for n in sentence for item in self.clauses[n].of("deed")}
        return bool(deeds) and deeds <= {"later", "needed", "tended"}

    def _trails_other(self, number: int, sentence: Sequence[int]) -> bool:
        """Whether the part before is another's, and none of a driveline follows."""
        before = [n for n in sentence if n < number and self.named[n]]
        if not before or self.clauses[number].of("deed") or not all(_is_other(m) for m in self.named[before[-1]]):
            return False
        if self.clauses[before[-1]].before in ("and", "/") and not self._has_own_deeds(before):
            return False
        # `mount broken, vibration, new one fitted, joint renewed`: its work comes next.
        following = next((n for n in sentence if n > number and (self.named[n] or self.clauses[n].of("deed"))), None)
        if following is None or not self.named[following]:
            return True
        return number == before[-1] + 1 and any(h.leads for h in self.every if h.clause == following)

    def _tells_of_last(self, sentences: Sequence[Sequence[int]], place: int) -> bool:
        """`joint replaced. Part failed. Battery replaced`: a fault told of no part is of the one before it."""
        hints = {item.meaning for n in sentences[place] for item in self.clauses[n].of("hint")}
        is_silent = not any(self.clauses[n].of("hint") for n in sentences[place - 1])
        is_done = any(item.meaning == "renewed" for n in sentences[place - 1] for item in self.clauses[n].of("deed"))
        return is_silent and is_done and bool(hints & {"failed", "worn", "collateral"})

    def _has_own_deeds(self, before: Sequence[int]) -> bool:
        """Whether the parts of a driveline among some clauses do not wait for the deed of the last."""
        ours = [n for n in before if any(m.is_driveline for m in self.named[n])]
        return not ours or any(self.clauses[n].of("deed") for n in range(ours[0], before[-1]))

    def _is_worked(self, sentences: Sequence[Sequence[int]], about: Sequence[str], place: int) -> bool:
        """Whether the other part next to a sentence was worked on, not only looked at."""
        later = [n for n in range(place + 1, len(about)) if about[n] != "nothing"]
        near = later[:1] or [n for n in range(place) if about[n] != "nothing"][-1:]
        return any(not m.is_driveline and m.deed in _WORKED for n in near for i in sentences[n] for m in self.named[i])


def _is_other(mention: Mention) -> bool:
    """Whether it is no part of a driveline and something was done to it, or one that nothing came of."""
    if mention.is_driveline:
        return mention.deed in _IN_ORDER
    return mention.kind in _OTHERS and mention.deed in _SETTLED


def _about(mentions: Sequence[Mention]) -> str:
    """Whether a sentence is about parts of a driveline, about other work, about `both` or about `nothing`."""
    has_other = any(_is_other(m) for m in mentions)
    is_axle_oil = has_other and not any(m.kind in ("part", "bare") for m in mentions)
    has_ours = not is_axle_oil and any(m.is_driveline and m.deed not in _IN_ORDER for m in mentions)
    return ("both" if has_other else "ours") if has_ours else ("other" if has_other else "nothing")
