"""Phrases of a shop for vehicles with two propshafts and for the rest, and the settings that name its columns."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import ModuleType

import numpy as np
from clauses import Phrasebook
from export_files import Sheet, toml_map
from exporting import WORD_COLUMNS, Shop, settings_head
from phrases import Voice, pick
from true_jobs import Job, Part

from wearmodel.intake.tables.schema import REASONS


@dataclass(frozen=True)
class PlacingVoice(Voice):
    """Nouns whose sides, places and shafts say where the name `{n}` stands in them.

    `other_end`: name of a boot or joint at the other end of the half shaft that another line of the order tells.
    `several`: parts of one kind in places that are not said, `{c}` being how many.
    """

    other_end: Sequence[str] = ()
    several: Sequence[str] = ("{c} x {n}",)

    def placed(self, rng: np.random.Generator, name: str, place: str) -> str:
        """The name within its place."""
        return place.replace("{n}", name) if place else name

    def part(self, rng: np.random.Generator, part: Part, job: Job) -> str:
        """One part with its place; "same end" is said of the same end only."""
        if job.place == "order" and not job.component and job.refers is not None:
            ends = {one.component.split("_")[-1] for one in (part, job.refers)}
            if len(ends) > 1:
                return pick(rng, self.other_end).replace("{n}", "boot" if "boot" in part.component else "joint")
        return super().part(rng, part, job)

    def noun(self, rng: np.random.Generator, job: Job) -> str:
        """The part or parts of a job; parts of one kind without a place are counted, not named one by one."""
        kinds = {part.component for part in job.parts}
        if len(job.parts) > 1 and len(kinds) == 1 and not job.assembly and job.place != "full":
            name = self.part(rng, job.lead, job)
            return pick(rng, self.several).format(c=len(job.parts), n=name)
        return super().noun(rng, job)


@dataclass(frozen=True)
class VehicleBooks:
    """The phrases of one hand: `two_shafts` for vehicles with a front propshaft, `one_shaft` for the rest."""

    two_shafts: Phrasebook
    one_shaft: Phrasebook

    @classmethod
    def of(
        cls,
        voice: PlacingVoice,
        said: ModuleType,
        *,
        short: Mapping[str, Sequence[str]],
        places: Mapping[str, Sequence[str]],
        shafts: Sequence[str],
        pairs: Sequence[str],
    ) -> "VehicleBooks":
        """Both books; the places, names and pairs of joints given are those of a vehicle with one shaft.

        `said`: the shop's module of phrases; the fields of `Phrasebook` and each reason are lists of it.
        """
        book = Phrasebook(
            voice=voice,
            symptoms=said.SYMPTOMS,
            reasons={reason: getattr(said, reason.upper()) for reason in REASONS},
            unsaid=said.UNSAID,
            idle=said.IDLE,
            other=said.OTHER,
            short=short,
        )
        steering = {key: ways for key, ways in voice.places.items() if key.startswith("steering")}
        plainer = replace(voice, places={**steering, **places}, shafts={"rear": shafts}, pairs=pairs)
        return cls(book, replace(book, voice=plainer))

    def book(self, job: Job) -> Phrasebook:
        """The phrases whose places suit the vehicle."""
        return self.two_shafts if any(position.startswith("front.") for position in job.layout) else self.one_shaft

    def clause(self, rng: np.random.Generator, job: Job) -> str:
        """One phrase for a job, without its further work."""
        return self.book(job).clause(rng, job)

    def aside(
        self, rng: np.random.Generator, job: Job, kinds: Sequence[str], remarks: Mapping[str, Sequence[str]]
    ) -> str:
        """A remark on another part of the vehicle, which was not renewed; empty where there is none."""
        return replace(self.book(job), idle=remarks).aside(rng, job, pick(rng, kinds))


def by_habit(
    rng: np.random.Generator, text: str, habits: Mapping[str, Sequence[str]], *, share: float
) -> str:
    """The text with one word spelt as its writer always spells it, in that share of the texts that have such words."""
    held = [word for word in habits if re.search(rf"\b{word}\b", text)]
    if held and rng.random() < share:
        word = pick(rng, held)
        text = re.sub(rf"\b{word}\b", pick(rng, habits[word]), text, count=1)
    return text


def settings_text(
    shop: Shop,
    sheets: Mapping[str, Sheet],
    headings: Mapping[str, Sequence[str]],
    *,
    files: Mapping[str, str],
    date_order: str = "",
) -> str:
    """`fleet.toml`: files and sheets of the tables, their headings, the repair columns and the codes of the shop.

    `headings`: of the tables other than the repairs; `files`: table -> lines that name its file and sheet.
    """
    renamed = {"hours": "labour_hours", "cost": "parts_cost"}
    text = settings_head(shop)
    for name, lines in files.items():
        text += f"\n[tables.{name}]\n{lines}\n"
        text += f'date_order = "{date_order}"\n' if date_order and name != "parts" else ""
        if name == "repairs":
            columns = shop.repair_columns.items()
            own = {renamed.get(key, key): head for head, key in columns if key not in WORD_COLUMNS}
            words = ", ".join(f'"{head}"' for head, key in columns if key in WORD_COLUMNS)
            text += f'columns = {toml_map(own)[:-2]}, "text" = [{words}] }}\n'
            for column, codes in shop.codes.items():
                text += f"values.{column} = {toml_map({code: meaning for meaning, code in codes.items()})}\n"
        else:
            text += f"columns = {toml_map(dict(zip(sheets[name].headings, headings[name], strict=True)))}\n"
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in shop.models.items()})}\n"
    return text
