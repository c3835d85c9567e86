"""Jobs that a line numbers itself, in one text or in each column of complaint, cause and correction.

Each is a line of its own: `1) noise 2) leak / 1) joint worn 2) hose / 1) replaced 2) replaced`.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from wearmodel.intake.words.wordings import NamedPart, Wording

__all__ = ["as_one_line", "numbered_jobs"]

_FIRST = re.compile(r"\s*(?:(#)\s?[1-9](?=\s)|[1-9]\s?([.):\-])(?=\s)|(\()[1-9]\)(?=\s))")
_MARKS = {
    "#": re.compile(r"(?:(?<=\s)|^)#\s?([1-9])(?=\s)"),
    "(": re.compile(r"(?:(?<=\s)|^)\(([1-9])\)(?=\s)"),
    **{mark: re.compile(rf"(?:(?<=\s)|^)([1-9])\s?{re.escape(mark)}(?=\s)") for mark in ".):-"},
}
#: `1) joint renewed 2) boot renewed. All worn`: told of every job.
_OF_ALL = re.compile(r"[.;,] (?:all|both|everything)\b(?! (?:ok|good|fine|well|clear|other|set)\b)", re.IGNORECASE)
_FEWEST = 2
_OPEN_DEEDS = frozenset({"renewed", "unclear"})


def numbered_jobs(text: str) -> tuple[str, ...]:
    """The jobs a text numbers, each with what its columns say of it.

    Parameters
    ----------
    text : str
        As written.

    Returns
    -------
    tuple of str
        In the order of their numbers; empty where fewer than two are numbered, or a column cannot be told apart.

    Examples
    --------
    >>> numbered_jobs("#1 noise #2 leak / #1 joint worn / #1 renewed #2 hose changed")
    ('noise / joint worn / renewed', 'leak / hose changed')
    >>> numbered_jobs("1) joint renewed 2) boot renewed. Both worn")
    ()
    >>> numbered_jobs("joint renewed, 2 off")
    ()
    """
    first = _FIRST.match(text)
    if first is None:
        return ()
    if _OF_ALL.search(text):
        return ()
    marks = list(_MARKS[next(filter(None, first.groups()))].finditer(text))
    jobs: dict[int, list[str]] = {}
    ends = [mark.start() for mark in marks[1:]] + [len(text)]
    for mark, end in zip(marks, ends, strict=True):
        # The columns of a row are joined by dots.
        jobs.setdefault(int(mark[1]), []).append(text[mark.end() : end].strip(" ;,/|.\t\n"))
    if len(jobs) < _FEWEST or min(jobs) > 1 or max(jobs) > len(marks):
        return ()
    return tuple(" / ".join(filter(None, jobs[number])) for number in sorted(jobs))


def as_one_line(jobs: Sequence[Wording]) -> Wording | None:
    """What the jobs of a line mean together.

    Parameters
    ----------
    jobs : sequence of Wording
        Each read by itself.

    Returns
    -------
    Wording or None
        None where a job that renews something names nothing: it may be of what another one names.
    """
    ours = [job for job in jobs if job.named or job.shaft is not None or job.is_whole_shaft]
    if not ours or any(_is_loose(job) for job in jobs):
        return None
    done = [job for job in ours if job.deed in _OPEN_DEEDS or not job.deed] or ours
    lead = done[0]
    # A shaft renewed whole beside another part of a driveline: a person tells which is which.
    is_mixed = len(done) > 1 and any(job.is_whole_shaft or job.shaft is not None for job in done)
    named = [part for job in ours for part in job.named]
    deeds = {job.deed for job in done}
    return replace(
        lead,
        named=tuple(sorted(named, key=_is_not_renewed)),
        places=frozenset().union(*(job.places for job in done)),
        place_sets=tuple(dict.fromkeys(one for job in done for one in job.place_sets)),
        reason=lead.reason if len({job.reason for job in done}) == 1 else "",
        reasons=tuple(sorted({reason for job in done for reason in job.reasons})),
        deed="renewed" if "renewed" in deeds else lead.deed,
        is_doubtful=is_mixed or any(job.is_doubtful for job in done) or len(deeds) > 1,
        names_shaft=any(job.names_shaft for job in done),
        names_other=any(job.names_other for job in jobs),
        evidence=frozenset().union(*(job.evidence for job in done)),
        is_greasing=any(job.is_greasing for job in jobs),
    )


def _is_not_renewed(part: NamedPart) -> bool:
    return part.deed != "renewed"


def _is_loose(job: Wording) -> bool:
    return job.deed == "renewed" and not (job.named or job.names_other or job.names_shaft or job.is_whole_shaft)
