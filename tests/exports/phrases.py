"""Small tools to word jobs: alternatives in brackets, noun phrases of parts, slips of the pen."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from true_jobs import BOTH, HALF_SHAFT, JOINT_PAIR, Job, Part

_INNERMOST = re.compile(r"\[([^\[\]]*)\]")
_WORD = re.compile(r"[A-Za-z]{5,}")


def pick(rng: np.random.Generator, options: Sequence[str]) -> str:
    """One of the options."""
    return options[int(rng.integers(len(options)))]


def spin(rng: np.random.Generator, text: str) -> str:
    """The text with one alternative of each bracket `[a|b|]`, innermost first."""
    while match := _INNERMOST.search(text):
        chosen = pick(rng, match.group(1).split("|"))
        text = text[: match.start()] + chosen + text[match.end() :]
    return text


def template(rng: np.random.Generator, options: Sequence[str], component: str) -> str:
    """A template that suits a component: `b:` begins those for boots only, `j:` those for the rest."""
    other = "j:" if "boot" in component else "b:"
    fits = [option for option in options if not option.startswith(other)]
    return pick(rng, fits).removeprefix("b:").removeprefix("j:")


def tidy(text: str) -> str:
    """Single spaces, none before a comma or full stop."""
    text = re.sub(r"\s+", " ", text)
    return re.sub(r"\s+([,.;:)])", r"\1", text).strip(" ,;-")


def misspelt(rng: np.random.Generator, text: str, *, share: float) -> str:
    """The text with slips of the pen: a letter left out, doubled, or two swapped, in words of five letters on."""
    words = list(_WORD.finditer(text))
    if not words or rng.random() >= share:
        return text
    for match in [words[int(rng.integers(len(words)))] for _ in range(2 if rng.random() < 0.2 else 1)]:
        word = match.group()
        place = int(rng.integers(1, len(word) - 1))
        kind = int(rng.integers(3))
        slipped = (
            word[:place] + word[place + 1 :],
            word[: place + 1] + word[place:],
            word[:place] + word[place + 1] + word[place] + word[place + 2 :],
        )[kind]
        text = text.replace(word, slipped, 1)
    return text


@dataclass(frozen=True)
class Voice:
    """The nouns of one shop.

    `names`: component -> names, the end of the shaft included. `vague`: names without the end. `sides`: `left`,
    `right` and `both` -> ways to say it. `places`: position -> ways to say where the joint is, for vehicles with one
    shaft only under `position|alone`. `shafts`: `rear`, `front` -> names of the shaft alone. `joins`: how a place
    and a name stand together. `half_shafts`: names of a complete half shaft. `pairs`: both joints of a rear shaft.
    `with_boot`: what follows a CV joint renewed with its boot. `both_boots`: both boots of one shaft. `same`: name
    of a boot or joint whose end and side another line of the order tells, `{n}` being `boot` or `joint`. `same_side`:
    the side another line tells.
    """

    names: Mapping[str, Sequence[str]]
    vague: Mapping[str, Sequence[str]]
    sides: Mapping[str, Sequence[str]]
    places: Mapping[str, Sequence[str]]
    shafts: Mapping[str, Sequence[str]]
    joins: Sequence[str]
    half_shafts: Sequence[str]
    pairs: Sequence[str]
    with_boot: Sequence[str]
    both_boots: Sequence[str]
    same: Sequence[str]
    same_side: Sequence[str] = ("same side",)
    ands: Sequence[str] = (" and ", " & ", " + ", ", ")
    shaft_joins: Sequence[str] = ("{n} {p}", "{p} {n}")
    axles: Sequence[str] = field(default_factory=tuple)

    def noun(self, rng: np.random.Generator, job: Job) -> str:
        """The part or parts of a job as this shop names them, saying no more of the place than the job allows."""
        return tidy(spin(rng, self._noun(rng, job)))

    def part(self, rng: np.random.Generator, part: Part, job: Job) -> str:
        """One part with its place, as far as the job says it."""
        if job.place == "order" and not job.component:
            return pick(rng, self.same).replace("{n}", "boot" if "boot" in part.component else "joint")
        name = pick(rng, (self.names if job.component else self.vague)[part.component])
        if job.place == "order":
            return self.placed(rng, name, pick(rng, self.same_side))
        return self.placed(rng, name, self.place(rng, part, job))

    def placed(self, rng: np.random.Generator, name: str, place: str) -> str:
        """A name and a place, joined in one of this shop's ways."""
        return pick(rng, self.joins).format(p=place, n=name) if place else name

    def place(self, rng: np.random.Generator, part: Part, job: Job) -> str:
        """Where a part is, as far as the job says it; empty where it does not."""
        prefix = part.position.split(".")[0]
        if job.place == "part":
            return pick(rng, self.shafts[prefix]) if prefix in self.shafts else ""
        if job.place != "full":
            return ""
        if prefix in ("left", "right"):
            return pick(rng, self.sides[prefix])
        if prefix.startswith("axle_"):
            side = pick(rng, self.sides[prefix.removeprefix("axle_")])
            return pick(rng, self.axles).format(p=side)
        alone = f"{part.position}|alone"
        one_shaft = not any(p.startswith("front.") for p in job.layout)
        if one_shaft and alone in self.places and rng.random() < 0.5:
            return pick(rng, self.places[alone])
        return pick(rng, self.places[part.position]) if part.position in self.places else ""

    def _noun(self, rng: np.random.Generator, job: Job) -> str:
        if job.assembly == HALF_SHAFT:
            return self.placed(rng, pick(rng, self.half_shafts), self.place(rng, job.lead, job))
        if job.assembly == JOINT_PAIR:
            return pick(rng, self.pairs)
        if job.assembly == BOTH:
            name = pick(rng, self.names[job.lead.component])
            return self.placed(rng, name, pick(rng, self.sides["both"]))
        if len(job.parts) == 2:
            return self._two(rng, job)
        nouns = [self.part(rng, part, job) for part in job.parts]
        return nouns[0] if len(nouns) == 1 else ", ".join(nouns[:-1]) + pick(rng, self.ands) + nouns[-1]

    def _two(self, rng: np.random.Generator, job: Job) -> str:
        first, second = job.parts
        joint_with_boot = first.component.replace("joint", "boot") == second.component != first.component
        if joint_with_boot and rng.random() < 0.8:
            return self.part(rng, first, job) + " " + pick(rng, self.with_boot)
        boots = {first.component, second.component} == {"cv_boot_outboard", "cv_boot_inboard"}
        if boots and rng.random() < 0.6:
            return self.placed(rng, pick(rng, self.both_boots), self.place(rng, first, job))
        return self.part(rng, first, job) + pick(rng, self.ands) + self.part(rng, second, job)
