"""Clauses of a shop: a phrase with the part, a short name for it and a symptom that gives away no more than is said."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from phrases import Voice, pick, spin, tidy
from true_jobs import BOTH, HALF_SHAFT, JOINT_PAIR, Job, Part

CV_JOINTS = frozenset({"cv_joint_outboard", "cv_joint_inboard"})
BOOTS = frozenset({"cv_boot_outboard", "cv_boot_inboard"})
#: Mark before a phrase -> components it suits: boots, all but boots, joints that carry drive, joints with play to
#: measure, universal joints, parts of a propshaft.
_MARKS: Mapping[str, frozenset[str]] = {
    "b:": BOOTS,
    "j:": CV_JOINTS | {"u_joint", "support_bearing", "slip_spline", "steering_joint"},
    "d:": CV_JOINTS | {"u_joint"},
    "p:": frozenset({"u_joint", "slip_spline", "steering_joint"}),
    "u:": frozenset({"u_joint"}),
    "c:": frozenset({"u_joint", "support_bearing", "slip_spline"}),
}


@dataclass(frozen=True)
class Phrasebook:
    """What a shop writes: `{p}` stands for the part with its place, `{n}` for a short name, `{s}` for a symptom.

    `symptoms`: by component; `axle_joint` for joints of a front axle; `vague_joint` and `vague_boot` where the line
    does not say the end. `reasons`: reason -> phrases. `unsaid`: phrases without a reason. `idle`: kind -> phrases.
    `other`: work that is no part of the driveline. `short`: component -> names used when a part is named again.
    """

    voice: Voice
    symptoms: Mapping[str, Sequence[str]]
    reasons: Mapping[str, Sequence[str]]
    unsaid: Sequence[str]
    idle: Mapping[str, Sequence[str]]
    other: Sequence[str]
    short: Mapping[str, Sequence[str]] = field(default_factory=dict)

    def clause(self, rng: np.random.Generator, job: Job) -> str:
        """One phrase for a job, without its further work."""
        if job.kind == "other":
            return self.foreign(rng)
        options = self.idle[job.kind] if job.kind != "renewal" else self.unsaid
        if job.kind == "renewal" and job.reason:
            options = self.reasons[job.lead.reason]
        return self.filled(rng, pick(rng, [o for o in options if _suits(o, job)]), job)

    def filled(self, rng: np.random.Generator, phrase: str, job: Job) -> str:
        """A phrase with the parts of a job put in."""
        text = phrase[2:] if phrase[:2] in _MARKS else phrase
        text = spin(rng, text)
        text = text.replace("{p}", self.voice.noun(rng, job)).replace("{n}", self._short(rng, job))
        return tidy(text.replace("{s}", pick(rng, self.symptoms[_symptom_key(job)])))

    def foreign(self, rng: np.random.Generator) -> str:
        """Work that is no part of the driveline."""
        return tidy(spin(rng, pick(rng, self.other)))

    def aside(self, rng: np.random.Generator, job: Job, kind: str) -> str:
        """A remark about a part of the vehicle that was not renewed; empty where there is none to speak of."""
        renewed = {part.position for part in (*job.parts, *(job.second.parts if job.second else ()))}
        rest = [p for p, c in job.layout.items() if p not in renewed and (kind != "grease" or c == "u_joint")]
        if not rest:
            return ""
        position = pick(rng, rest)
        part = Part(job.layout[position], position)
        plain = replace(job, kind=kind, parts=(part,), place="full", component=True, assembly="", second=None)
        options = [o for o in self.idle[kind] if _suits(o, plain) and "{s}" not in o]
        return self.filled(rng, pick(rng, options), plain)

    def _short(self, rng: np.random.Generator, job: Job) -> str:
        if job.assembly == HALF_SHAFT:
            return pick(rng, self.short.get("half_shaft", ("shaft",)))
        if len(job.parts) > 1 or job.assembly in (BOTH, JOINT_PAIR):
            return pick(rng, self.short.get("several", ("all",)))
        if not job.component:
            return "boot" if job.lead.component in BOOTS else "joint"
        return pick(rng, self.short.get(job.lead.component, ("same",)))


def _suits(phrase: str, job: Job) -> bool:
    """Whether a phrase suits the part; complete half shafts take phrases that suit any part."""
    mark = phrase[:2]
    return mark not in _MARKS or (job.assembly != HALF_SHAFT and job.lead.component in _MARKS[mark])


def _symptom_key(job: Job) -> str:
    if not job.component:
        return "vague_boot" if job.lead.component in BOOTS else "vague_joint"
    if job.lead.position.startswith("axle_"):
        return "axle_joint" if job.place == "full" else "vague_joint"
    return job.lead.component


def numbered_cells(
    mark: str, one: Sequence[str], other: Sequence[str], *, numbers: Sequence[object] = (1, 2)
) -> list[str]:
    """Two jobs of one line, cell by cell, each numbered by `mark` where it says something."""
    return [
        " ".join(mark.format(number) + cell for number, cell in zip(numbers, pair, strict=True) if cell)
        for pair in zip(one, other, strict=True)
    ]
