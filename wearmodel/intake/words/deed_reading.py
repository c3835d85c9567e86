"""What was done to each part a line names: deeds bound to parts clause by clause."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from wearmodel.intake.words.line_clauses import Clause, Item
from wearmodel.intake.words.mentions import Mention, complete_bare

__all__ = ["bind_deeds"]

# Of several deeds beside each other the first of these counts.
_RANK = ("later", "needed", "renewed", "purpose", "mended", "tended", "ok", "looked", "opened")
_WEAK = frozenset({"", "looked", "opened"})
_JOINS = frozenset({"and", "/"})
_LISTS = frozenset({"and", "/", ","})
_FORWARD = frozenset({":", "-", ",", "and", "/"})


def bind_deeds(clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> bool:
    """Say of every part what was done to it; `deed` of the mentions is set.

    Parameters
    ----------
    clauses : sequence of Clause
        Of a line.
    named : sequence of list of Mention
        The parts each of them names.

    Returns
    -------
    bool
        True when a part stands so that it cannot be told what was done to it.
    """
    _join_bare(clauses, named)
    _set_scenes_aside(clauses, named)
    doubt = is_other_side = False
    for number, (clause, parts) in enumerate(zip(clauses, named, strict=True)):
        # `boot replaced. Checked opposite side, ok`: what is said there is not of the part before.
        is_bare = not parts and _strongest(d.meaning for d in clause.of("deed")) in ("looked", "ok", "")
        is_other_side = is_bare and (clause.has_mark("other_side") or (is_other_side and clause.before != "."))
        if is_other_side:
            continue
        if parts:
            doubt |= _within(clause, parts)
        if any(part.deed for part in parts) or clause.of("deed"):
            # `renewed while the joint was off`: the joint is only the occasion.
            if not any(part.deed for part in parts) and all(part.beside or part.with_other for part in parts):
                doubt |= _claim(number, clauses, named)
                _give_to_boots(number, named)
        elif parts and number:
            _carry(number, clauses, named)
    for number in range(len(clauses) - 2, -1, -1):
        _carry_back(number, clauses, named)
    _purposes(clauses, named)
    return doubt


def _join_bare(clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`boot, CV, outer` of a parts list: the words after the comma tell whose boot it is."""
    for number in range(1, len(clauses)):
        clause, before = clauses[number], named[number - 1]
        words = [item for item in clause.items if item.kind not in ("place", "modifier", "part", "symptom")]
        if before and before[-1].kind == "bare" and clause.before in (",", "-") and not words and clause.of("modifier"):
            ends = {item.meaning for item in clause.of("place")} & {"outboard", "inboard"}
            complete_bare(before[-1], {item.meaning for item in clause.of("modifier")}, ends)
            before[-1].runs.append([item.meaning for item in clause.of("place")])
            named[number].clear()


def _set_scenes_aside(clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`joint broken on the track, renewed`, `clunk on throttle`: what stands after `on` was not worked on."""
    has_ours = waits = False
    has_part = any(part.kind in ("part", "bare") for parts in named for part in parts)
    for clause, parts in zip(clauses, named, strict=True):
        is_scene = not clause.of("deed") and (has_ours or bool(clause.of("hint")))
        for part in parts if is_scene else ():
            marks = [m for m in clause.of("mark") if m.meaning in ("at", "beside") and m.start < part.start]
            heard = [hint for hint in clause.of("hint") if hint.meaning == "noticed" and hint.start < part.start]
            begun = marks[-1:] or (heard[:1] if has_ours else [])
            if part.kind == "foreign" and begun and not _is_named_between(begun[0].start, part, parts):
                part.kind = "neighbour"
            # `squeaking from the prop`: where it was heard.
            part.beside |= part.kind == "shaft" and has_part and _is_symptom_only(clause, parts)
            # `joint - broken ball cage - replaced`: what the fault is told of is a piece of the part.
            is_piece = waits and clause.before == "-" and _has_hint_before(part, clause)
            if is_piece and part.kind == "foreign":
                part.kind = "neighbour"
        _set_company_aside(clause, parts, has_ours=has_ours)
        has_ours |= any(part.is_driveline for part in parts)
        waits = not clause.of("deed") and (waits or any(part.is_driveline for part in parts))


def _set_company_aside(clause: Clause, parts: Sequence[Mention], *, has_ours: bool) -> None:
    """`boot (left) renewed along with joint`: in a clause of its own too, what it was renewed with is an aside."""
    if not has_ours or clause.items[0].kind != "deed":
        return
    for mark in clause.of("mark"):
        if mark.meaning == "with" and not any(part.start < mark.start for part in parts):
            for part in parts:
                part.with_other = True


def _has_hint_before(part: Mention, clause: Clause) -> bool:
    return any(item.start < part.start for item in clause.of("hint"))


def _is_symptom_only(clause: Clause, parts: Sequence[Mention]) -> bool:
    is_heard = any(item.meaning in ("noticed", "in_use") for item in clause.of("hint"))
    # `heavy play at the shaft` tells of whatever joins it.
    is_felt = bool(clause.of("hint")) and any(m.meaning == "at" and m.end == parts[0].start for m in clause.of("mark"))
    return (is_heard or is_felt) and all(part.kind in ("shaft", "neighbour", "unknown") for part in parts)


def _is_named_between(start: int, part: Mention, parts: Sequence[Mention]) -> bool:
    return any(start < other.start < part.start for other in parts if other.kind != "unknown")


def _strongest(deeds: Iterable[str]) -> str:
    found = set(deeds)
    return next((deed for deed in _RANK if deed in found), "")


def _within(clause: Clause, parts: list[Mention]) -> bool:
    """Bind the deeds of a clause to its own parts; True where that is not clear."""
    every, parts = parts, [part for part in parts if not _is_aside(part)] or parts
    # `joint diff renewed`: what a joint lies beside only tells where.
    ends = {part.end for part in every if part.is_driveline}
    aside = {p.end for p in every if p not in parts and not (p.kind == "neighbour" and p.start in ends)}
    excepting = [mark.start for mark in clause.of("mark") if mark.meaning == "except" and mark.start < parts[-1].start]
    but = max(excepting, default=-1)
    deeds = [deed for deed in clause.of("deed") if deed.start not in aside and deed.start > but]
    if _is_manner(parts, deeds):
        parts = parts[1:]
    gaps = [[d.meaning for d in deeds if d.start < parts[0].start]]
    gaps += [[d.meaning for d in deeds if p.start < d.start < q.start] for p, q in pairwise(parts)]
    gaps += [[d.meaning for d in deeds if d.start > parts[-1].start]]
    between = [_strongest(gap) for gap in gaps]
    if not any(between):
        return False
    doubt = False
    forward = bool(between[0])
    for i, part in enumerate(parts):
        before, after, is_last = between[i], between[i + 1], i == len(parts) - 1
        if forward:
            deed = _joined(before or (parts[i - 1].deed if i else ""), after if is_last else "")
        elif before == "renewed" and i and _is_named_again(parts[i - 1], part, clause):
            deed = before
        elif is_last:
            deed = _joined(before, after)
        else:
            # `uj worn replaced boot`: the deed goes to the one or to the other.
            next_own = between[i + 2]
            deed = after if after and (next_own or i + 2 < len(parts)) else ""
            if after and not deed and not clause.of("hint") and not part.is_blamed and part.is_driveline:
                if _is_named_again(part, parts[i + 1], clause):
                    deed = after
                else:
                    doubt |= after == "renewed" and parts[i + 1].kind != "unknown"
        part.deed = deed
    doubt |= _is_between(parts, clause, between)
    _list_without_deed(parts, clause, forward)
    if forward and not all(part.with_other for part in every):
        # `replaced uj together with bearing` is a list, `boot renewed together with joint` tells why.
        for part in every:
            if part.with_other:
                part.deed, part.with_other = parts[0].deed, False
    _step_back(every)
    return doubt


def _is_manner(parts: Sequence[Mention], deeds: Sequence[Item]) -> bool:
    """`emergency replacement inner boot`: whether a word nobody knows, before a deed, tells how and names no part."""
    if len(parts) < 2 or parts[0].kind != "unknown" or not parts[1].is_driveline:
        return False
    between = [deed for deed in deeds if parts[0].end <= deed.start < parts[1].start]
    return between == list(deeds) and bool(between) and between[0].start == parts[0].end


def _is_between(parts: Sequence[Mention], clause: Clause, between: Sequence[str]) -> bool:
    """`bearing battered by flailing shaft renewed`: whether a deed may be of a part or of the shaft after it."""
    if len(parts) < 2 or any(between[:-1]) or parts[-1].kind != "shaft" or parts[-2].kind != "part":
        return False
    told = clause.of("hint", "unknown")
    return between[-1] == "renewed" and any(parts[-2].end <= i.start < parts[-1].start for i in told)


def _is_named_again(before: Mention, part: Mention, clause: Clause) -> bool:
    """`boot torn replaced boot`: the same part without a place of its own."""
    is_alike = part.head == before.head and bool(part.options & before.options)
    return is_alike and not any(before.end <= item.start < part.start for item in clause.of("place"))


def _is_aside(part: Mention) -> bool:
    """Whether a part is named beside what was worked on."""
    return part.kind == "neighbour" or part.is_blamed or part.beside or part.with_other


def _joined(before: str, after: str) -> str:
    """The deed of a part with one before and one after it."""
    for unfinished in ("later", "needed"):
        if unfinished in (before, after):
            return unfinished
    if before in _WEAK or before == "ok":
        return after or before
    return "renewed" if after == "renewed" and before != "purpose" else before


def _list_without_deed(parts: list[Mention], clause: Clause, forward: bool) -> None:
    """`uj boot replaced` without a mark between: what has none takes the next one's."""
    if forward or clause.of("hint"):
        return
    for part, following in zip(reversed(parts[:-1]), reversed(parts[1:]), strict=True):
        if not part.deed and not part.is_blamed and following.is_driveline and part.is_driveline:
            part.deed = following.deed


def _step_back(parts: Iterable[Mention]) -> None:
    """A part that is blamed or named beside another gives up its deed, and keeps it for want of a better."""
    for part in parts:
        if _is_aside(part):
            part.fallback, part.deed = part.deed, ""


def _claim(number: int, clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> bool:
    """Bind a deed without a part to the parts named before it, or else after; True where that is not clear."""
    clause = clauses[number]
    deed = _strongest(d.meaning for d in clause.of("deed"))
    takes_all = clause.has_mark("all_parts")
    # `joint and boot: cage cracked. Both new.`
    is_of_line = takes_all and clause.before == "." and deed == "renewed"
    claimed: list[Mention] = []
    doubt = False
    for earlier in range(number - 1, -1, -1):
        parts = [p for p in named[earlier] if p.kind != "neighbour" and not (p.kind == "shaft" and p.beside)]
        if not parts:
            continue
        if not claimed and earlier and all(p.is_blamed and p.kind == "accessory" for p in parts):
            continue  # `bearing - rubber torn from bracket, replaced`
        joined = clauses[_next_with_parts(earlier, named)].before
        # `because of wear in the joint and the boot, replaced`
        takes_blamed = not claimed or (
            joined == "and" and parts[-1].is_blamed and not clauses[claimed[-1].clause].of("hint")
        )
        free = [p for p in parts if _is_free(p, deed, claims_blamed=takes_blamed) or _is_undone(p, clause, clauses)]
        if claimed:
            is_all = is_of_line and len({(p.head, p.options) for p in claimed}) == 1
            is_list = joined in _LISTS and (takes_all or _is_list(earlier, clauses, named))
            is_listed = is_all or is_list or joined in _JOINS
            if not is_listed:
                bad = [p for p in free if _is_condemned(p, clauses)] if deed == "renewed" and joined in _LISTS else []
                doubt = bool(bad) and not _pass_on(claimed, bad, deed)
                break
        if not free:
            break
        for part in free:
            is_due = part.deed == "needed" and deed == "mended"
            part.deed = "renewed" if is_due and _is_renewal(clauses[earlier]) else deed
        claimed += free
        if any(mark.meaning == "found" and mark.start < parts[0].start for mark in clauses[earlier].of("mark")):
            break  # `joint, boot found torn, replaced` is a list
    numbers = [item.meaning for item in clause.of("number")]
    if len(claimed) == 1:
        claimed[0].numbers += [n for n in numbers if n != "1"]
    if not claimed and deed != "looked":
        _claim_ahead(number, clauses, named, deed)
    return doubt


def _give_to_boots(number: int, named: Sequence[list[Mention]]) -> None:
    """`outer joint worn, renewed with boot`: a new joint brings a new boot."""
    joints = [p for parts in named[:number] for p in parts if p.head == "joint" and p.is_driveline]
    for part in named[number]:
        if part.head == "boot" and joints and joints[-1].deed == "renewed" and "u_joint" not in joints[-1].options:
            part.deed = "renewed"


def _pass_on(claimed: Sequence[Mention], bad: Sequence[Mention], deed: str) -> bool:
    """`bearing gone, shaft flogging round, new one in`: the part is new, the shaft only shows how it was."""
    if not all(part.kind == "shaft" for part in claimed) or not all(part.kind == "part" for part in bad):
        return False
    for part in claimed:
        part.deed = ""
    for part in bad:
        part.deed = deed
    return True


def _is_list(number: int, clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> bool:
    """Whether a clause only names parts, after what was found with them: `found bad joint, boot, replaced`."""
    first = named[number][0]
    after = [i for i in clauses[number].items if i.start >= first.end and i.kind in ("deed", "hint", "mark")]
    is_looked_at = any(part.is_blamed or part.beside or part.deed for part in named[number])
    return number + 1 < len(named) and bool(named[number + 1]) and first.is_driveline and not after and not is_looked_at


def _next_with_parts(number: int, named: Sequence[list[Mention]]) -> int:
    """The clause after this one that names parts; the clause after it where none does."""
    return next((n for n in range(number + 1, len(named)) if named[n]), min(number + 1, len(named) - 1))


def _is_free(part: Mention, deed: str, *, claims_blamed: bool) -> bool:
    """Whether a later deed may be meant for a part."""
    if part.beside or part.with_other or (part.is_blamed and not claims_blamed):
        return False
    if part.deed in ("mended", "needed"):
        # `needs new joint. Fitted`, `due for change of joint, done`
        return deed == "renewed" or (part.deed == "needed" and deed == "mended")
    return part.deed in _WEAK


def _is_renewal(clause: Clause) -> bool:
    return any(item.meaning == "renewed" for item in clause.of("deed"))


def _is_undone(part: Mention, clause: Clause, clauses: Sequence[Clause]) -> bool:
    """`joint, no fault, changed on time`, `boot starting to split, replaced`: a renewal in spite of what was said."""
    if not _is_renewal(clause):
        return False
    if part.deed == "tended":
        # `boot torn, cleaned up and fitted new`
        return _is_condemned(part, clauses) and not clauses[part.clause].of("deed")
    if part.deed == "ok" and _is_condemned(part, clauses):
        # `boot cracked, not leaking yet. Replaced`
        return True
    if clause.before not in (",", "-"):
        return False
    if part.deed == "ok":
        return any(hint.meaning in ("planned", "collateral") for hint in clause.of("hint"))
    told = clauses[part.clause].items
    later = next((item.end for item in told if item.meaning == "later"), None)
    return part.deed == "later" and any(i.kind == "hint" and i.meaning == "worn" and i.start == later for i in told)


def _is_condemned(part: Mention, clauses: Sequence[Clause]) -> bool:
    hints = {item.meaning for item in clauses[part.clause].of("hint")}
    return part.is_driveline and not part.is_blamed and bool(hints & {"worn", "failed"})


def _claim_ahead(number: int, clauses: Sequence[Clause], named: Sequence[list[Mention]], deed: str) -> None:
    """`Replaced: left outer boot`."""
    following = number + 1
    if deed == "mended" and any(_is_renewal(clause) for clause in clauses[following + 1 :]):
        return  # `breakdown attended, joint seized, new one fitted`
    if following < len(clauses) and clauses[following].before in _FORWARD and not clauses[following].of("deed"):
        listed = clauses[following].before == ":"
        while following < len(clauses):
            for part in named[following]:
                if not part.deed and not part.is_blamed:
                    part.deed = deed
            following += 1
            ends = following == len(clauses) or clauses[following].before == "." or clauses[following].of("deed")
            if ends or not listed:
                break


def _carry(number: int, clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`replaced uj and boot`: the deed holds for what is joined to it."""
    clause, before = clauses[number], named[number - 1]
    if not before or clause.before not in _LISTS or any(part.deed for part in named[number]):
        return
    if _is_own_boot(clause, before[-1], named[number]):
        named[number][0].deed = before[-1].deed  # `outer joint changed with boot`
        return
    deeds = [item for item in clauses[number - 1].of("deed") if item.start < before[0].start]
    was_carried = not clauses[number - 1].of("deed")
    deed = before[-1].deed or before[-1].fallback
    blamed = [m for m in clause.of("mark") if m.meaning in ("blame", "found") and m.start < named[number][0].start]
    if not deed or not (deeds or was_carried) or blamed or _has_own_deed_next(number, clauses, named):
        return
    if clause.before == "," and clause.of("hint") and deed != "opened":
        return
    for part in named[number]:
        if not part.beside and not part.with_other:
            part.deed = deed


def _is_own_boot(clause: Clause, before: Mention, parts: Sequence[Mention]) -> bool:
    """Whether a clause is nothing but the boot of the CV joint renewed before it."""
    is_joint = before.head == "joint" and before.deed == "renewed" and "u_joint" not in before.options
    return is_joint and clause.before == "and" and len(clause.items) == 1 and parts[0].head == "boot"


def _has_own_deed_next(number: int, clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> bool:
    """`renewed joint and rear joint dry; lubricated`: what is found wrong is told what was done to it next."""
    following = number + 1
    has_hint = bool(clauses[number].of("hint"))
    while following < len(clauses) and not named[following] and not clauses[following].of("deed"):
        has_hint |= bool(clauses[following].of("hint"))  # `outer joint, slight play - monitor`
        following += 1
    if following == len(clauses) or named[following] or not has_hint:
        return False
    after = following + 1
    if after < len(clauses) and named[after] and clauses[after].before == "and":
        return False  # `renewed bearing and joint at interval, cleaned and lubricated hinges`
    return _strongest(d.meaning for d in clauses[following].of("deed")) in ("tended", "later", "ok")


def _carry_back(number: int, clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`uj and boot replaced`: the deed holds for what is joined before it."""
    parts, following, joined = named[number], named[number + 1], clauses[number + 1].before
    if not parts or not following or clauses[number].of("deed") or joined not in _LISTS:
        return
    if any(part.deed or part.is_blamed for part in parts):
        return
    deed = following[0].deed
    first_deed = next((item.start for item in clauses[number + 1].of("deed")), None)
    leads = first_deed is not None and first_deed < following[0].start
    # `wrong joint, boot fitted last time`
    told_after = [h for h in clauses[number].of("hint") if h.start >= parts[0].start or not parts[0].is_driveline]
    if not deed or leads or (joined == "," and told_after):
        return
    if not following[0].is_driveline and joined == ",":
        return
    for part in parts:
        part.deed = deed


def _purposes(clauses: Sequence[Clause], named: Sequence[list[Mention]]) -> None:
    """`removed shaft to replace uj` is a replacement; `to replace uj` alone may be a plan."""
    opened_in = [n for n, clause in enumerate(clauses) if any(d.meaning == "opened" for d in clause.of("deed"))]
    for number, parts in enumerate(named):
        for part in parts:
            if part.deed == "purpose":
                part.deed = "renewed" if opened_in and opened_in[0] <= number else "mended"
