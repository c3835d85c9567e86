"""Shop AA: a South African depot of municipal and hire vehicles, right-hand drive, kilometres.

Complaint, cause and correction, mostly in a service writer's sentences. Semicolon text, one file of job lines for the
municipality and one for the hire side, dates with the year first, decimal comma, blanks in thousands.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from clauses import numbered_cells
from export_files import CLEAN, Mess, Sheet, write_delimited
from exporting import Shares, Shop
from held_out import shop_aa_phrases as said
from phrases import pick, spin, tidy
from true_jobs import BOTH, HALF_SHAFT
from vehicle_books import PlacingVoice, VehicleBooks, by_habit, settings_text


def plural(name):
    """The name for several: its head word, which stands before what says where it belongs, takes the ending."""
    head, *rest = re.split(r"(?= (?:on|of|at|for|in) )", name, maxsplit=1)
    return head + ("es" if head.endswith("s") else "s") + "".join(rest)


def several(job):
    """Whether the noun of a job stands for several parts; a complete half shaft is one."""
    return len(job.parts) > 1 and job.assembly != HALF_SHAFT


@dataclass(frozen=True)
class SentenceVoice(PlacingVoice):
    """Nouns that follow "the" in a sentence: parts of one kind are named once, in the plural."""

    def noun(self, rng, job):
        name = pick(rng, self.names[job.lead.component])
        if job.assembly == BOTH:
            return self.placed(rng, plural(name), pick(rng, self.sides["both"]))
        kinds = {part.component for part in job.parts}
        if len(job.parts) > 1 and len(kinds) == 1 and not job.assembly and job.place != "full":
            count = {2: "two", 3: "three", 4: "four"}[len(job.parts)]
            return f"{count} {self.placed(rng, plural(name), self.place(rng, job.lead, job))}"
        return super().noun(rng, job)


VOICE = SentenceVoice(
    names={
        "u_joint": ["universal joint", "universal", "UJ", "universal joint cross", "uni joint", "cross-and-cup joint",
            "universal joint spider"],
        "cv_joint_outboard": ["outer CV joint", "outer CV", "wheel-side CV joint", "outboard CV joint",
            "outer constant "
            "velocity joint", "CV joint at the wheel end"],
        "cv_joint_inboard": ["inner CV joint", "inner CV", "inboard CV joint", "gearbox-side CV joint", "inner tripod "
            "joint", "inner constant velocity joint"],
        "cv_boot_outboard": ["outer CV boot", "outer CV gaiter", "wheel-side CV boot", "outer side shaft boot",
            "outboard CV boot", "outer CV rubber", "CV boot at the wheel end"],
        "cv_boot_inboard": ["inner CV boot", "inner CV gaiter", "gearbox-side CV boot", "inner side shaft boot",
            "inboard CV boot", "inner CV rubber", "CV boot at the gearbox end"],
        "support_bearing": ["propshaft centre bearing", "centre bearing", "propshaft support bearing", "centre bearing "
            "of the propshaft", "propshaft hanger bearing", "propshaft carrier bearing",
            "rubber-mounted centre bearing"],
        "slip_spline": ["sliding spline of the propshaft", "slip yoke", "propshaft slip yoke",
            "propshaft sliding joint",
            "splined slip joint", "sliding yoke on the propshaft"],
        "steering_joint": ["steering shaft joint", "steering universal joint", "steering column UJ", "steering shaft "
            "universal", "universal joint of the steering shaft", "steering column joint"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "constant velocity joint", "CV", "side shaft joint"],
        "cv_joint_inboard": ["CV joint", "constant velocity joint", "CV", "side shaft joint"],
        "cv_boot_outboard": ["CV boot", "CV gaiter", "side shaft boot", "CV rubber"],
        "cv_boot_inboard": ["CV boot", "CV gaiter", "side shaft boot", "CV rubber"],
    },
    sides={
        "left": ["left-hand {n}", "left {n}", "left front {n}", "LH {n}", "{n} on the left-hand side",
            "{n} on the left",
            "{n} on the passenger side", "passenger-side {n}", "kerb-side {n}", "LHF {n}"],
        "right": ["right-hand {n}", "right {n}", "right front {n}", "RH {n}", "{n} on the right-hand side",
            "{n} on the right", "{n} on the driver's side", "driver's-side {n}", "RHF {n}"],
        "both": ["left and right {n}", "{n} on both sides", "{n} left and right", "LH and RH {n}"],
    },
    places={
        "rear.joint_front": ["{n} at the transfer box end of the rear propshaft", "front {n} of the rear propshaft",
            "rear propshaft's front {n}", "{n} behind the transfer box on the rear propshaft"],
        "rear.joint_centre": ["centre {n} of the rear propshaft", "middle {n} in the rear propshaft",
            "{n} beside the centre bearing of the rear propshaft"],
        "rear.joint_rear": ["{n} at the diff end of the rear propshaft", "rear {n} of the rear propshaft",
            "rear propshaft's rear {n}", "{n} on the rear diff pinion flange"],
        "front.joint_front": ["{n} at the front diff end of the front propshaft", "front {n} of the front propshaft",
            "{n} on the front diff pinion flange"],
        "front.joint_rear": ["{n} at the transfer box end of the front propshaft", "rear {n} of the front propshaft",
            "{n} where the front propshaft meets the transfer box"],
        "steering.joint_upper": ["upper {n}", "top {n}"],
        "steering.joint_lower": ["lower {n}", "bottom {n}"],
    },
    shafts={"rear": ["{n} on the rear propshaft", "rear propshaft {n}", "{n} of the rear propshaft"],
        "front": ["{n} on the front propshaft", "front propshaft {n}", "{n} of the front propshaft"]},
    axles=["{p} of the front axle", "{p} of the steered axle", "{p} inside the solid front axle"],
    joins=(),
    half_shafts=["complete side shaft", "side shaft assembly", "complete CV side shaft",
    "drive shaft complete with both "
        "CV joints", "side shaft unit with inner and outer CV", "reconditioned side shaft assembly"],
    pairs=["front and rear universal joints of the rear propshaft", "front and rear universals of the rear "
        "propshaft", "universal joints at both ends of the rear propshaft"],
    with_boot=["and its boot", "and boot", "together with its boot", "and rubber boot"],
    both_boots=["inner and outer CV boots", "CV boots inner and outer", "both CV gaiters (inner and outer)"],
    same=["CV {n} at the same end of that side shaft", "{n} of that same CV", "CV {n} belonging to the end just "
        "mentioned"],
    other_end=["CV {n} at the opposite end of that side shaft", "CV {n} at the other end of the same shaft"],
    several=(),
    same_side=("{n} on the same side", "{n} of the same side shaft"),
    ands=(" and ", " as well as ", " plus "),
)  # fmt: skip
SHORT = {
    "u_joint": ["joint", "universal"], "cv_joint_outboard": ["joint", "CV"], "cv_joint_inboard": ["joint", "CV"],
    "cv_boot_outboard": ["boot", "rubber"], "cv_boot_inboard": ["boot", "rubber"], "support_bearing": ["bearing"],
    "slip_spline": ["yoke", "part"], "steering_joint": ["joint"], "half_shaft": ["shaft", "assembly"],
    "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["front {n} of the propshaft", "{n} at the gearbox end of the propshaft", "propshaft's "
            "front {n}", "{n} at the gearbox flange"],
        "rear.joint_centre": ["centre {n} of the propshaft", "middle {n} of the propshaft", "{n} beside the centre "
            "bearing"],
        "rear.joint_rear": ["rear {n} of the propshaft", "{n} at the diff end of the propshaft", "{n} at the pinion "
            "flange", "propshaft's rear {n}"],
    },
    shafts=["{n} on the propshaft", "propshaft {n}", "{n} of the propshaft"],
    pairs=["front and rear universal joints of the propshaft", "universals at both ends of the propshaft",
        "gearbox-end and diff-end universal joints of the propshaft"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
TEXTS = ("complaint", "cause", "correction")
LOOKS = (
    "Remaining driveline checked and in order.", "All other joints inspected, no wear.",
    "Rest of the underbody inspected as well, no fault.",
)  # fmt: skip
CLOSES = ("Road tested.", "Vehicle returned to service.", "Vehicle cleaned and handed over.", "No further faults.")


def _sentences(text):
    """A cell with capitals at the beginning of its sentences and of what it numbers."""
    capitals = re.sub(r"(^|[.!?] |\d\) )([a-z])", lambda found: found[1] + found[2].upper(), tidy(text))
    return re.sub(r"\.\.+", ".", capitals)


def _agreeing(text, job):
    """The words for one part or for several, as the job has them."""
    return re.sub(r"<([^<>/]*)/([^<>]*)>", r"\2" if several(job) else r"\1", text)


def _cells(text):
    cells = [_sentences(cell) for cell in text.split("||")]
    return cells + [""] * (len(TEXTS) - len(cells))


def clause(rng, job):
    """One job, without its further work, its cells divided by bars."""
    return _agreeing(BOOKS.clause(rng, job), job)


def _listed(rng, one, other):
    """Two jobs of one line, numbered through the cells."""
    mark = pick(rng, ["{}) ", "({}) ", "Item {}: "])
    return numbered_cells(mark, one, other)


def words(rng, job):
    """Complaint, cause and correction of one job line."""
    cells = _cells(clause(rng, job))
    if job.second is not None:
        cells = _listed(rng, cells, _cells(clause(rng, job.second)))
    if job.also == "other":
        pair = [cells, _cells(spin(rng, pick(rng, said.OTHER)))]
        cells = _listed(rng, *(pair if rng.random() < 0.6 else pair[::-1]))
    elif job.also == "look":
        cells[2] += " " + pick(rng, LOOKS)
    elif job.kind == "renewal" and rng.random() < 0.3:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.45 else ""
        cells[2] += " " + (_sentences(remark) + "." if remark else pick(rng, CLOSES))
    cells = [tidy(cell) for cell in cells]
    return dict(zip(TEXTS, (by_habit(rng, cell, said.HABITS, share=0.06) for cell in cells), strict=True))


COLUMNS = {
    "Fleet No": "unit", "Job Card": "order", "Closed": "date", "Odo (km)": "odometer",
    "Customer Complaint": "complaint",
    "Cause Found": "cause", "Work Done": "correction", "Labour (h)": "hours", "Stock Code": "part_number", "Qty Issued":
    "quantity", "Parts excl VAT": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("Fleet No", "Vehicle Type", "Category", "Use", "Depot", "Date Commissioned", "Odo Commissioned",
        "Job Cards Since", "Date Disposed"),
    "readings": ("Fleet No", "Reading Date", "Odo (km)"),
    "inspections": ("Fleet No", "Date Inspected", "Odo (km)", "Checklist Item", "Outcome"),
    "ride_height": ("Fleet No", "Date Fitted", "Suspension Lift (mm)", "Notes"),
    "parts": ("Stock Code", "Stock Item", "Category", "Includes", "Price excl VAT", "Lead Days", "Replaced By"),
}  # fmt: skip
FILES = {
    "vehicles": "vehicle_register.csv", "readings": "fuel_log_odo.csv", "inspections": "inspections.csv",
    "ride_height": "suspension_lifts.csv", "parts": "stock_items.csv",
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "Tipper 8 t", ("service_van", "all_wheel"): "Panel van AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Refuse compactor forward control",
    ("field_pickup", "four_wheel_independent"): "Double cab bakkie 4x4", ("utility_4x4", "four_wheel_solid"):
    "Single cab bakkie 4x4 solid axle", ("yard_truck", "rear_one_piece"): "Dropside truck short",
    ("yard_truck", "rear_one_piece+slip_spline"): "Dropside truck long", ("town_car", "front_half_shafts"):
    "Hatchback hire",
}  # fmt: skip
HIRE_CLASSES = ("town_car", "field_pickup", "service_van")
SETTINGS: Mapping[str, str] = {"delimiter": ";", "encoding": "cp1252"}


def _blanked(value, places):
    """A number with blanks between thousands and a decimal comma."""
    return f"{value:,.{places}f}".replace(",", " ").replace(".", ",")


def _digits(unit):
    return re.sub(r"\D", "", unit)


def write(shop, sheets, folder, messy):
    """Semicolon text, the job lines of the hire side apart; messy: titles and pages around the lines."""
    repairs = sheets["repairs"]
    hire = {_digits(row[0]) for row in sheets["vehicles"].rows if row[2] in HIRE_CLASSES}
    unit = repairs.headings.index("Fleet No")
    places = [None] * len(repairs.rows)
    files = {"jobs_municipal.csv": "MUNICIPAL FLEET", "jobs_hire.csv": "HIRE FLEET"}
    for file, title in files.items():
        mine = [i for i, row in enumerate(repairs.rows) if (_digits(row[unit]) in hire) == (title == "HIRE FLEET")]
        titles = (f"{title} - JOB CARD HISTORY", "Period: 2020/07/01 to 2026/06/30", "")
        mess = Mess(titles=titles, page=70, blanks=2) if messy else CLEAN
        sheet = Sheet(repairs.headings, [repairs.rows[i] for i in mine])
        for i, place in zip(mine, write_delimited(folder / file, sheet, mess=mess, **SETTINGS), strict=True):
            places[i] = [place]
    for name, file in FILES.items():
        write_delimited(folder / file, Sheet(HEADINGS[name], sheets[name].rows), **SETTINGS)
    listed = ", ".join(f'"{file}"' for file in files)
    named = {"repairs": f"file = [{listed}]"} | {name: f'file = "{file}"' for name, file in FILES.items()}
    text = settings_text(shop, sheets, HEADINGS, files=named, date_order="ymd")
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return places


SHOP = Shop(
    name="AA",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "FL"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["FL", "FL", "FL ", "fl"])),
    },
    write=write,
    order_name=lambda job: f"JC{int(job.order):06d}",
    day=lambda day: day.strftime("%Y/%m/%d"),
    number=_blanked,
    typos=0.07,
    shares=Shares(reason=0.88, place_full=0.8, component=0.94, numbered=0.28, merge_leads=0.2, also=0.1),
    steering="right",
)
