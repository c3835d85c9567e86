"""A simulated fleet written as a shop's own export, with the truth of every row."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pandas as pd
from export_files import Sheet
from odometer_faults import MI, spoil_odometers
from phrases import misspelt
from true_jobs import DEFAULT_SHARES, Job, Shares, TruePart, build_jobs, true_parts

from wearmodel.simulate.fleet import simulate_fleet

WORD_COLUMNS = ("text", "complaint", "cause", "correction")


@dataclass(frozen=True)
class TrueRow:
    """What is true of one exported repair row.

    Parameters
    ----------
    file, row : str, int
        Where it stands, as the intake names it.
    kind : str
        As of the job.
    parts : tuple of TruePart
        What was renewed.
    coded : bool
        Whether component and reason are given as codes.
    numbered : bool
        Whether the catalogue number of the part is given.
    repeats : bool
        Whether an earlier row is the same line.
    unit, date, order, words : str
        As in the fleet, as written.
    """

    file: str
    row: int
    kind: str
    parts: tuple[TruePart, ...]
    coded: bool
    numbered: bool
    repeats: bool
    unit: str
    date: str
    order: str
    words: str


@dataclass(frozen=True)
class Export:
    """An export and its truth.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    rows : tuple of TrueRow
        Every repair row.
    odometers : pandas.DataFrame
        Every odometer written: `table, line, unit, date, true, written, fault`, in the shop's distance unit.
    """

    folder: Path
    rows: tuple[TrueRow, ...]
    odometers: pd.DataFrame


Writer = Callable[["Shop", Mapping[str, Sheet], Path, bool], list[list[tuple[str, int]]]]


@dataclass(frozen=True)
class Shop:
    """A shop: how it words its work, names its vehicles and writes its files.

    Parameters
    ----------
    name : str
        One letter or two.
    words : callable
        (rng, job) -> text by column of `WORD_COLUMNS`.
    repair_columns : mapping of str to str
        Heading -> what stands under it: `order, date, unit, odometer, part_number, quantity, hours, cost,
        component, reason` or a word column.
    models : mapping
        (vehicle class, driveline) -> name of the model in the vehicles table.
    unit_names : mapping of str to callable
        `vehicles` and `events` -> (rng, unit) -> name as that table writes it.
    write : callable
        Writes all sheets and `fleet.toml`; returns the places of every repair row, several for a row that stands
        in two exports.
    codes : mapping
        `component` and `reason` -> {canonical: code}.
    distance_unit : str
        `km` or `mi`.
    day, number : callable
        How a date and a number are written; None = as a real date or number.
    typos : float
        Share of texts with a slip of the pen.
    case : callable
        Applied to every text.
    shares : Shares
        How often lines leave something out.
    part_name : callable
        How a part number is written.
    steering : str
        Side the driver sits on, `left` or `right`.
    """

    name: str
    words: Callable[[np.random.Generator, Job], Mapping[str, str]]
    repair_columns: Mapping[str, str]
    models: Mapping[tuple[str, str], str]
    unit_names: Mapping[str, Callable[[np.random.Generator, str], str]]
    write: Writer
    order_name: Callable[[Job], str]
    codes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    distance_unit: str = "km"
    day: Callable[[pd.Timestamp], object] = lambda day: day.strftime("%Y-%m-%d")
    number: Callable[[float, int], object] = lambda value, places: f"{value:.{places}f}"
    typos: float = 0.12
    case: Callable[[str], str] = str
    shares: Shares = DEFAULT_SHARES
    part_name: Callable[[str], str] = str
    steering: str = "left"


def export_fleet(
    shop: Shop,
    folder: Path,
    *,
    seed: int,
    vehicles: int = 80,
    years: int = 6,
    messy: bool = False,
    odometer_faults: bool = False,
) -> Export:
    """Simulate a fleet, let a shop write its record down, and keep what is true of every row."""
    rng = np.random.default_rng([seed, *shop.name.encode()])
    fleet = simulate_fleet(rng, vehicles=vehicles, years=years, dirt=False)
    jobs = build_jobs(rng, fleet.tables, shares=shop.shares)
    odometers = _odometers(rng, jobs, fleet.tables, shop=shop, faults=odometer_faults)
    texts = [_texts(rng, shop, job) for job in jobs]
    sheets = {
        "vehicles": _vehicles(rng, shop, fleet.tables["vehicles"]),
        "readings": _readings(rng, shop, fleet.tables["readings"], odometers),
        "repairs": _repairs(rng, shop, jobs, texts, odometers),
        "inspections": _inspections(rng, shop, fleet.tables["inspections"], odometers),
        "ride_height": _ride_heights(rng, shop, fleet.tables["ride_height"]),
        "parts": _parts(shop, fleet.tables["parts"]),
    }
    folder.mkdir(parents=True, exist_ok=True)
    places = shop.write(shop, sheets, folder, messy)
    columns = set(shop.repair_columns.values())
    rows = [
        row
        for job, words, where in zip(jobs, texts, places, strict=True)
        for row in _true_rows(job, words, where, columns=columns)
    ]
    return Export(folder, tuple(rows), odometers)


def settings_head(shop: Shop) -> str:
    """First lines of `fleet.toml`: unit, last day of the record, side the driver sits on."""
    return f'distance_unit = "{shop.distance_unit}"\nas_of = 2026-06-30\nsteering_side = "{shop.steering}"\n'


def _texts(rng: np.random.Generator, shop: Shop, job: Job) -> dict[str, str]:
    words = dict(shop.words(rng, job))
    typos = shop.typos / max(1, sum(bool(text) for text in words.values()))
    return {name: shop.case(misspelt(rng, text, share=typos)) for name, text in words.items()}


def _true_rows(
    job: Job, words: Mapping[str, str], where: Sequence[tuple[str, int]], *, columns: set[str]
) -> list[TrueRow]:
    row = TrueRow(
        file="",
        row=0,
        kind=job.kind,
        parts=true_parts(job),
        coded=job.coded and job.kind == "renewal" and "component" in columns,
        numbered=job.numbered and job.kind == "renewal" and "part_number" in columns,
        repeats=False,
        unit=job.unit,
        date=str(job.date.date()),
        order=job.order,
        words=" / ".join(text for text in words.values() if text),
    )
    return [replace(row, file=file, row=number, repeats=i > 0) for i, (file, number) in enumerate(where)]


def _odometers(
    rng: np.random.Generator, jobs: Sequence[Job], tables: Mapping[str, pd.DataFrame], *, shop: Shop, faults: bool
) -> pd.DataFrame:
    """All odometers that will be written, true and as written."""
    lines = [("repairs", i, job.unit, job.date, job.odometer) for i, job in enumerate(jobs)]
    for name in ("readings", "inspections"):
        frame = tables[name]
        lines += [
            (name, i, str(unit), pd.Timestamp(day), float(odometer))
            for i, (unit, day, odometer) in enumerate(
                zip(frame["unit"], frame["date"], frame["odometer"], strict=True)
            )
        ]
    frame = pd.DataFrame(lines, columns=["table", "line", "unit", "date", "odometer"])
    factor = 1.0 if shop.distance_unit == "km" else 1.0 / MI
    frame["odometer"] = np.rint(frame["odometer"] * factor)
    frame["written"], frame["fault"] = frame["odometer"], ""
    if faults:
        spoilt = spoil_odometers(rng, frame, unit_of=shop.distance_unit)
        frame["written"], frame["fault"] = spoilt.written, spoilt.fault
    return frame.rename(columns={"odometer": "true"})


def _written(odometers: pd.DataFrame, table: str) -> list[float]:
    return odometers.loc[odometers["table"] == table, "written"].tolist()


def _vehicles(rng: np.random.Generator, shop: Shop, frame: pd.DataFrame) -> Sheet:
    factor = 1.0 if shop.distance_unit == "km" else 1.0 / MI
    rows = [
        [
            shop.unit_names["vehicles"](rng, v["unit"]),
            shop.models[v["vehicle_class"], v["driveline"]],
            v["vehicle_class"],
            v["duty"],
            v["depot"].replace("_", " ").title(),
            shop.day(pd.Timestamp(v["in_service_date"])),
            shop.number(float(v["in_service_odometer"]) * factor, 0),
            shop.day(pd.Timestamp(v["records_from"])) if v["records_from"] else None,
            shop.day(pd.Timestamp(v["out_of_service_date"])) if v["out_of_service_date"] else None,
        ]
        for v in frame.to_dict("records")
    ]
    headings = (
        "unit", "driveline", "vehicle_class", "duty", "depot", "in_service_date", "in_service_odometer",
        "records_from", "out_of_service_date",
    )  # fmt: skip
    return Sheet(headings, rows)


def _readings(rng: np.random.Generator, shop: Shop, frame: pd.DataFrame, odometers: pd.DataFrame) -> Sheet:
    name = shop.unit_names["events"]
    rows = [
        [name(rng, unit), shop.day(pd.Timestamp(day)), shop.number(odometer, 0)]
        for unit, day, odometer in zip(frame["unit"], frame["date"], _written(odometers, "readings"), strict=True)
    ]
    return Sheet(("unit", "date", "odometer"), rows)


def _inspections(rng: np.random.Generator, shop: Shop, frame: pd.DataFrame, odometers: pd.DataFrame) -> Sheet:
    name = shop.unit_names["events"]
    written = _written(odometers, "inspections")
    rows = [
        [name(rng, r["unit"]), shop.day(pd.Timestamp(r["date"])), shop.number(odometer, 0), r["position"], r["finding"]]
        for r, odometer in zip(frame.to_dict("records"), written, strict=True)
    ]
    return Sheet(("unit", "date", "odometer", "position", "finding"), rows)


def _ride_heights(rng: np.random.Generator, shop: Shop, frame: pd.DataFrame) -> Sheet:
    name = shop.unit_names["events"]
    rows = [
        [name(rng, r["unit"]), shop.day(pd.Timestamp(r["date"])), shop.number(float(r["lift"]), 0), r["note"]]
        for r in frame.to_dict("records")
    ]
    return Sheet(("unit", "date", "lift", "note"), rows)


def _parts(shop: Shop, frame: pd.DataFrame) -> Sheet:
    rows = [
        [
            shop.part_name(p["part_number"]), p["component"], p["vehicle_class"], p["renews"],
            shop.number(float(p["unit_price"]), 2), shop.number(float(p["lead_time_days"]), 0),
            shop.part_name(p["superseded_by"]) if p["superseded_by"] else "",
        ]
        for p in frame.to_dict("records")
    ]  # fmt: skip
    headings = (
        "part_number", "component", "vehicle_class", "renews", "unit_price", "lead_time_days", "superseded_by",
    )  # fmt: skip
    return Sheet(headings, rows)


def _repairs(
    rng: np.random.Generator,
    shop: Shop,
    jobs: Sequence[Job],
    texts: Sequence[Mapping[str, str]],
    odometers: pd.DataFrame,
) -> Sheet:
    rows = []
    for job, words, odometer in zip(jobs, texts, _written(odometers, "repairs"), strict=True):
        renewal = job.kind == "renewal"
        coded = job.coded and renewal
        cells = {
            "order": shop.order_name(job),
            "date": shop.day(job.date),
            "unit": shop.unit_names["events"](rng, job.unit),
            "odometer": shop.number(odometer, 0),
            "part_number": shop.part_name(job.part_number) if job.numbered and renewal else "",
            "quantity": shop.number(job.quantity, 0) if renewal else "",
            "hours": shop.number(job.hours, 1),
            "cost": shop.number(job.cost, 2),
            "component": shop.codes.get("component", {}).get(job.lead.component, "") if coded else "",
            "reason": shop.codes.get("reason", {}).get(job.lead.reason, "") if coded else "",
            **words,
        }
        rows.append([cells.get(key) for key in shop.repair_columns.values()])
    return Sheet(tuple(shop.repair_columns), rows)
