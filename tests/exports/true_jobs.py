"""What a simulated shop truly did, before anybody words it: renewals, looks, greasing, later work, other work.

The truth comes from an invented fleet; what a line will leave unsaid is decided here too, so that no wording can
decide it. A shop's wording has to say what the job asks it to say and nothing else.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from wearmodel.driveline.layouts import positions_of

HALF_SHAFT = "half_shaft"
JOINT_PAIR = "joint_pair"
BOTH = "both"

#: Kinds of lines that renew nothing.
IDLE_KINDS = ("look", "grease", "adjust", "later")
_IDLE_SHARES = (0.32, 0.24, 0.16, 0.28)


@dataclass(frozen=True)
class Part:
    """One part renewed, or spoken of."""

    component: str
    position: str
    reason: str = ""


@dataclass(frozen=True)
class Job:
    """One line of an order.

    `kind`: `renewal`, one of `IDLE_KINDS`, or `other` (work that is no part of the driveline). `place`: `full`,
    `part` (the shaft without the joint), `order` (only another line of the order tells; without `component` that
    line tells the end as well) or `none`. `reason`: whether the line says why. `component`: whether it says which
    component. `also`: a further clause of the line, `other` or `look`. `second`: a further renewal in the same line
    with a reason of its own.
    """

    kind: str
    order: str
    unit: str
    date: pd.Timestamp
    odometer: float
    layout: Mapping[str, str]
    parts: tuple[Part, ...] = ()
    assembly: str = ""
    place: str = "full"
    reason: bool = True
    component: bool = True
    also: str = ""
    refers: Part | None = None
    second: "Job | None" = None
    part_number: str = ""
    quantity: int = 1
    hours: float = 1.0
    cost: float = 0.0
    coded: bool = False
    numbered: bool = False

    @property
    def lead(self) -> Part:
        """The part the line is about."""
        return self.parts[0]

    def candidates(self, component: str) -> tuple[str, ...]:
        """Positions of that component on the vehicle."""
        return tuple(p for p, c in self.layout.items() if c == component)


@dataclass(frozen=True)
class TruePart:
    """What is true of one part of a line, and what the line says of it.

    `allowed_reasons`: what a careful reader may conclude; for parts renewed beside another whose reason has no
    words of its own that is collateral or the reason of the line.
    """

    component: str
    position: str
    reason: str
    allowed_reasons: frozenset[str]
    candidates: tuple[str, ...]
    component_said: bool
    place: str
    reason_said: bool
    lead: bool


@dataclass(frozen=True)
class Shares:
    """How often lines leave something out, and how many lines there are beside the renewals."""

    reason: float = 0.90
    place_full: float = 0.83
    place_part: float = 0.07
    component: float = 0.97
    coded: float = 0.12
    numbered: float = 0.25
    merge_beside: float = 0.6
    merge_leads: float = 0.15
    merge_both: float = 0.5
    idle: float = 0.40
    other: float = 0.35
    also: float = 0.07


DEFAULT_SHARES = Shares()


def true_parts(job: Job) -> tuple[TruePart, ...]:
    """The truth of one line; empty where it renews nothing."""
    if job.kind != "renewal":
        return ()
    parts = []
    for place, part in enumerate(job.parts):
        lead = place == 0 or job.assembly == BOTH
        allowed = {part.reason} if lead and job.assembly != HALF_SHAFT else {job.lead.reason, "collateral"}
        if job.assembly == JOINT_PAIR:
            allowed = {job.lead.reason, "collateral"}
        parts.append(
            TruePart(
                component=part.component,
                position=part.position,
                reason=part.reason,
                allowed_reasons=frozenset(allowed),
                candidates=job.candidates(part.component),
                component_said=job.component,
                place=job.place,
                reason_said=job.reason,
                lead=lead,
            )
        )
    return tuple(parts) + (() if job.second is None else true_parts(job.second))


@dataclass
class _Builder:
    """Collects the jobs of one fleet."""

    rng: np.random.Generator
    shares: Shares
    layouts: Mapping[str, Mapping[str, str]]
    jobs: list[Job] = field(default_factory=list)

    def chance(self, share: float) -> bool:
        return bool(self.rng.random() < share)

    def said(self, job: Job) -> Job:
        """Decides what the line leaves unsaid."""
        parts = {part.component for part in job.parts}
        draw = self.rng.random()
        place = "full" if draw < self.shares.place_full else "none"
        if self.shares.place_full <= draw < self.shares.place_full + self.shares.place_part:
            place = "part" if parts == {"u_joint"} and not job.lead.position.startswith("axle") else "none"
        if job.assembly in (BOTH, JOINT_PAIR):
            place = "full"
        single = len(job.parts) == 1
        vague = single and job.lead.component.startswith("cv_") and not self.chance(self.shares.component)
        return replace(
            job,
            place=place,
            reason=self.chance(self.shares.reason),
            component=not vague,
            coded=single and self.chance(self.shares.coded),
            numbered=(single or bool(job.assembly)) and self.chance(self.shares.numbered),
            also=("other" if self.chance(0.6) else "look") if self.chance(self.shares.also) else "",
        )

    def add_order(self, order: str, rows: list[Mapping[str, str]]) -> None:
        """The lines of one order of the clean record."""
        first = rows[0]
        base = Job(
            kind="renewal",
            order=order,
            unit=first["unit"],
            date=pd.Timestamp(first["date"]),
            odometer=float(first["odometer"]),
            layout=self.layouts[first["unit"]],
        )
        leads = [row for row in rows if row["reason"] != "collateral"] or rows[:1]
        besides = [row for row in rows if row not in leads]
        lines: list[Job] = []
        for row in leads:
            mine = [other for other in besides if _belongs(other, row)]
            besides = [other for other in besides if other not in mine]
            lines += self.lead_lines(base, row, mine)
        lines += [self.said(_single(base, row)) for row in besides]
        self.jobs += self.merged(lines)

    def lead_lines(self, base: Job, row: Mapping[str, str], besides: list[Mapping[str, str]]) -> list[Job]:
        """The line of a part and of what was renewed beside it: one line or several."""
        job = _with_assembly(_single(base, row))
        if besides and not job.assembly and self.chance(self.shares.merge_beside):
            parts = job.parts + tuple(_part(other) for other in besides)
            return [self.said(replace(job, parts=parts))]
        job = self.said(job)
        lines = [job]
        for other in besides:
            beside = replace(self.said(_single(base, other)), refers=job.lead, coded=False)
            cv = beside.lead.component.startswith("cv_") and beside.lead.position.split(".")[0] == _side(job)
            if cv and job.place == "full" and job.component and self.chance(0.4):
                beside = replace(beside, place="order", component=self.chance(0.6))
            lines.append(beside)
        return lines

    def merged(self, lines: list[Job]) -> list[Job]:
        """Lines of one order, some of them written as one."""
        kept: list[Job] = []
        for job in lines:
            mate = next((i for i, other in enumerate(kept) if self.pairs(other, job)), None)
            if mate is not None and self.chance(self.shares.merge_both):
                kept[mate] = self.said(
                    replace(kept[mate], parts=kept[mate].parts + job.parts, assembly=BOTH, quantity=2)
                )
            elif self.may_follow(kept, job) and self.chance(self.shares.merge_leads):
                plain = replace(job, also="", coded=False, numbered=False)
                kept[-1] = replace(kept[-1], second=plain, coded=False, numbered=False, also="")
            else:
                kept.append(job)
        return kept

    @staticmethod
    def pairs(one: Job, other: Job) -> bool:
        """Whether two lines renew the same component on both sides for one reason."""
        if one.assembly or other.assembly or len(one.parts) > 1 or len(other.parts) > 1 or one.second is not None:
            return False
        same = (one.lead.component, one.lead.reason) == (other.lead.component, other.lead.reason)
        sides = {one.lead.position.split(".")[0], other.lead.position.split(".")[0]}
        return same and sides == {"left", "right"}

    @staticmethod
    def may_follow(kept: list[Job], job: Job) -> bool:
        """Whether a line can be written into the one before it."""
        if not kept or kept[-1].second is not None or kept[-1].assembly == BOTH:
            return False
        whole = all(line.place == "full" and line.reason and line.component for line in (kept[-1], job))
        return whole and job.refers is None and job.assembly == ""

    def add_idle(self, count: int, readings: pd.DataFrame) -> None:
        """Lines about the driveline that renew nothing, and lines about other systems."""
        renewals = [job for job in self.jobs if job.kind == "renewal"]
        others = round(count * self.shares.other)
        kinds = list(self.rng.choice(IDLE_KINDS, size=round(count * self.shares.idle), p=_IDLE_SHARES))
        for number, kind in enumerate(kinds + ["other"] * others):
            if renewals and self.chance(0.4):
                near = renewals[int(self.rng.integers(len(renewals)))]
                order, unit, date, odometer = near.order, near.unit, near.date, near.odometer
            else:
                row = readings.iloc[int(self.rng.integers(len(readings)))]
                order, unit = f"x{number:06d}", str(row["unit"])
                date, odometer = pd.Timestamp(row["date"]), float(row["odometer"])
            layout = self.layouts[unit]
            fits = [p for p, c in layout.items() if kind != "grease" or ("boot" not in c and "bearing" not in c)]
            position = fits[int(self.rng.integers(len(fits)))]
            self.jobs.append(
                Job(
                    kind=str(kind),
                    order=order,
                    unit=unit,
                    date=date,
                    odometer=odometer,
                    layout=layout,
                    parts=(Part(layout[position], position),),
                    place="full" if self.chance(0.6) else "none",
                    component=True,
                    hours=round(float(self.rng.uniform(0.2, 2.0)), 1),
                    cost=round(float(self.rng.uniform(4, 180)), 2) if kind == "other" else 0.0,
                )
            )


def build_jobs(
    rng: np.random.Generator, tables: Mapping[str, pd.DataFrame], *, shares: Shares = DEFAULT_SHARES
) -> list[Job]:
    """Jobs of an invented fleet's clean record, in order of date; orders are numbered anew from 1."""
    vehicles = tables["vehicles"]
    layouts = {u: positions_of(d) for u, d in zip(vehicles["unit"], vehicles["driveline"], strict=True)}
    builder = _Builder(rng, shares, layouts)
    for order, rows in tables["repairs"].groupby("order", sort=False):
        builder.add_order(str(order), rows.to_dict("records"))
    builder.add_idle(len(builder.jobs), tables["readings"])
    jobs = sorted(builder.jobs, key=lambda job: (job.date, job.unit, job.order, job.kind != "renewal"))
    numbers: dict[str, str] = {}
    for job in jobs:
        numbers.setdefault(job.order, str(len(numbers) + 1))
    return [_renumbered(job, numbers) for job in jobs]


def _renumbered(job: Job, numbers: Mapping[str, str]) -> Job:
    second = None if job.second is None else _renumbered(job.second, numbers)
    return replace(job, order=numbers[job.order], second=second)


def _part(row: Mapping[str, str]) -> Part:
    return Part(row["component"], row["position"], row["reason"])


def _single(base: Job, row: Mapping[str, str]) -> Job:
    return replace(
        base,
        parts=(_part(row),),
        part_number=row["part_number"],
        hours=float(row["labour_hours"]),
        cost=float(row["parts_cost"]),
    )


def _with_assembly(job: Job) -> Job:
    """The job with all that its kit renews."""
    if job.part_number.endswith("HSA"):
        side = _side(job)
        along = [p for p in job.layout if p.startswith(f"{side}.") and p != job.lead.position]
        parts = job.parts + tuple(Part(job.layout[p], p, "collateral") for p in along)
        return replace(job, parts=parts, assembly=HALF_SHAFT)
    if job.part_number.endswith("UJ2"):
        mate = "rear.joint_rear" if job.lead.position == "rear.joint_front" else "rear.joint_front"
        return replace(job, parts=(*job.parts, Part("u_joint", mate, "collateral")), assembly=JOINT_PAIR, quantity=2)
    return job


def _side(job: Job) -> str:
    return job.lead.position.split(".")[0]


def _belongs(beside: Mapping[str, str], lead: Mapping[str, str]) -> bool:
    """Whether a part was renewed beside that one: same side or same shaft."""
    return beside["position"].split(".")[0] == lead["position"].split(".")[0]
