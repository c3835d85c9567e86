"""Shop T: a desert road and pipeline contractor's workshop, left-hand drive, kilometres; foremen from many countries.

A job card has the defect reported, often blank, and the job done, in the English of men who learnt it at work. The
records come as one workbook with real dates; a good two fifths of the single lines carry numeric codes.
"""

import re
from dataclasses import dataclass, replace

from clauses import Phrasebook, numbered_cells
from export_files import CLEAN, Mess
from exporting import Shares, Shop
from phrases import Voice, pick
from plain_files import write_book
from shop_t_phrases import (
    COLLATERAL,
    COMEBACK,
    DAMAGE,
    FAILED,
    HABITS,
    IDLE,
    OTHER,
    PLANNED,
    REMARKS,
    SPLIT,
    SYMPTOMS,
    UNSAID,
    WORN,
)


@dataclass(frozen=True)
class ForemanVoice(Voice):
    """Nouns with the place of a shaft before or behind them, of and at."""

    def placed(self, rng, name, place):
        """A name and a place; only a shaft or an axle can have a part "of" it."""
        if not place:
            return name
        joins = ["{p} {n}", "{p} {n}", "{n} {p}", "{n} ({p})", "{n} - {p}"]
        if "shaft" in place or "axle" in place:
            joins = ["{p} {n}", "{n} of {p}", "{n} at {p}", "{n}, {p}", "{n} ({p})"]
        return pick(rng, joins).format(p=place, n=name)


# One set of places for vehicles with a front shaft, one for the rest, whose shaft needs no name of its own.
PLACES_TWO_SHAFTS = {
    "rear.joint_front": ["rear propeller shaft front side", "rear propeller shaft transfer case side",
        "rear prop. shaft front end", "rear P/shaft transfer case end", "front end of rear propeller shaft"],
    "rear.joint_centre": ["rear propeller shaft middle", "rear propeller shaft center",
        "rear prop. shaft near center bearing", "rear P/shaft center", "middle of rear propeller shaft"],
    "rear.joint_rear": ["rear propeller shaft rear side", "rear propeller shaft diff side",
        "rear prop. shaft differential side", "rear P/shaft rear end", "rear propeller shaft back side"],
    "front.joint_front": ["front propeller shaft diff side", "front propeller shaft front side",
        "front prop. shaft front axle side", "front P/shaft diff end", "front prop. shaft differential side"],
    "front.joint_rear": ["front propeller shaft transfer case side", "front propeller shaft rear side",
        "front prop. shaft transfer case end", "front P/shaft rear end", "front propeller shaft back side"],
}  # fmt: skip
STEERING = {
    "steering.joint_upper": ["upper", "top side", "column side", "upper side", "steering wheel side"],
    "steering.joint_lower": ["lower", "bottom side", "steering box side", "lower side", "down side"],
}  # fmt: skip
PLACES_ONE_SHAFT = {
    "rear.joint_front": ["front", "gear box side", "front side", "propeller shaft front side", "P/shaft gear box end",
        "propeller shaft gear box side", "prop. shaft front"],
    "rear.joint_centre": ["center", "middle", "propeller shaft middle", "P/shaft center", "propeller shaft center",
        "prop. shaft near center bearing"],
    "rear.joint_rear": ["rear", "diff side", "propeller shaft rear side", "rear axle side", "P/shaft diff end",
        "propeller shaft differential side", "prop. shaft back side"],
}  # fmt: skip
VOICE = ForemanVoice(
    names={
        "u_joint": ["UJ cross", "cross joint", "universal cross", "cross bearing", "universal joint", "UJ",
            "U.J. cross", "cross kit", "U/J cross assy", "cross & bearing kit", "joint cross"],
        "cv_joint_outboard": ["outer CV joint", "CV joint outer", "wheel side CV joint", "CV joint (wheel side)",
            "outer C.V. joint", "drive shaft outer joint", "outer axle joint", "CV outer", "axle outer CV"],
        "cv_joint_inboard": ["inner CV joint", "CV joint inner", "diff side CV joint", "CV joint (inside)",
            "inner C.V. joint", "drive shaft inner joint", "inner axle joint", "CV inner", "axle inner tripod joint"],
        "cv_boot_outboard": ["outer axle boot", "outer CV boot", "CV boot outer", "wheel side axle boot",
            "outer CV rubber boot", "axle rubber boot outer", "drive shaft bellow outer", "outer CV dust cover",
            "wheel side CV bellow", "axle boot (outer)"],
        "cv_boot_inboard": ["inner axle boot", "inner CV boot", "CV boot inner", "diff side axle boot",
            "inner CV rubber boot", "axle rubber boot inner", "drive shaft bellow inner", "inner CV dust cover",
            "diff side CV bellow", "axle boot (inner)"],
        "support_bearing": ["center bearing", "propeller shaft center bearing", "center bearing with rubber",
            "center support bearing", "propeller shaft hanger bearing", "middle bearing of propeller shaft",
            "center bearing assy", "prop. shaft carrier bearing", "P/shaft center bearing",
            "propeller shaft bearing with bracket"],
        "slip_spline": ["slip yoke", "sliding yoke", "propeller shaft sliding joint", "propeller shaft slip joint",
            "propeller shaft spline yoke", "sleeve yoke", "sliding spline yoke", "slip yoke of propeller shaft",
            "P/shaft sliding spline"],
        "steering_joint": ["steering cross", "steering shaft cross joint", "steering column UJ", "steering UJ cross",
            "steering shaft universal joint", "steering column cross", "steering shaft UJ", "steering joint cross",
            "steering intermediate shaft cross"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "C.V. joint", "axle CV joint", "drive shaft CV joint"],
        "cv_joint_inboard": ["CV joint", "C.V. joint", "axle CV joint", "drive shaft CV joint"],
        "cv_boot_outboard": ["CV boot", "axle boot", "axle rubber boot", "CV dust cover", "drive shaft bellow"],
        "cv_boot_inboard": ["CV boot", "axle boot", "axle rubber boot", "CV dust cover", "drive shaft bellow"],
    },
    sides={
        "left": ["LH", "L/H side", "left side", "driver side", "LHS", "left hand", "left", "LH side"],
        "right": ["RH", "R/H side", "right side", "passenger side", "RHS", "co-driver side", "right", "RH side"],
        "both": ["both side", "LH & RH", "both sides", "L/H and R/H", "left and right", "LH+RH"],
    },
    places=PLACES_TWO_SHAFTS | STEERING,
    shafts={"rear": ["rear propeller shaft", "rear prop. shaft", "rear P/shaft"],
        "front": ["front propeller shaft", "front prop. shaft", "front P/shaft"]},
    axles=["front axle {p}", "{p} front axle", "front axle shaft {p}", "{p} of front axle", "front axle hub end, {p}"],
    joins=["{p} {n}"],
    half_shafts=["complete CV axle", "CV axle assy", "drive axle complete with CV joints", "drive shaft assy complete",
        "axle shaft with both CV", "CV axle complete", "drive shaft complete with joints and boots"],
    pairs=["UJ cross 2 nos of rear propeller shaft, front & rear", "rear propeller shaft UJ cross both ends",
        "2 nos cross joint, rear prop. shaft both ends", "rear P/shaft cross front and rear (2 nos)"],
    with_boot=["with boot", "along with boot", "& boot", "with rubber boot", "+ boot"],
    both_boots=["inner & outer axle boot", "CV boots inner and outer", "axle boot 2 nos (inner + outer)"],
    same=["CV {n} of same end", "{n} for same CV as above line", "same end CV {n}"],
    same_side=("same side", "same side as above"),
    ands=(" and ", " & ", " + ", ", "),
)  # fmt: skip
VOICE_ONE_SHAFT = replace(
    VOICE,
    places=PLACES_ONE_SHAFT | STEERING,
    shafts={"rear": ["propeller shaft", "prop. shaft", "P/shaft"]},
    pairs=["UJ cross 2 nos of propeller shaft, front & rear", "propeller shaft UJ cross both ends",
        "2 nos cross joint, prop. shaft front and rear", "P/shaft cross both ends (2 nos)"],
)  # fmt: skip
SHORT = {
    "u_joint": ["cross", "joint"], "cv_joint_outboard": ["joint", "CV"], "cv_joint_inboard": ["joint", "CV"],
    "cv_boot_outboard": ["boot"], "cv_boot_inboard": ["boot"], "support_bearing": ["bearing"],
    "slip_spline": ["yoke"], "steering_joint": ["cross", "joint"], "half_shaft": ["axle"],
    "several": ["parts", "items"],
}  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER, short=SHORT,
)  # fmt: skip
BOOK_ONE_SHAFT = replace(BOOK, voice=VOICE_ONE_SHAFT)
TEXTS = ("complaint", "correction")
FILE = "plant_history.xlsx"


def _book_of(job):
    """The phrases whose places suit the vehicle."""
    two_shafts = any(position.startswith("front.") for position in job.layout)
    return BOOK if two_shafts else BOOK_ONE_SHAFT


def _cells_of(text):
    """Reported defect and job done of a phrase."""
    return [cell.strip() for cell in text.split("||")]


def _split(rng, job):
    """A phrase with the place in the other cell than the name; empty where the job does not lend itself to that."""
    whole = job.kind == "renewal" and job.place == "full" and job.component and job.reason
    if not whole or job.assembly or len(job.parts) > 1 or job.lead.component == "steering_joint":
        return ""
    book = _book_of(job)
    place = book.voice.place(rng, job.lead, job)
    # Apart from the joint's name "rear" might mean the rear of the vehicle, so the shaft or axle has to be named.
    if not place or (job.lead.component == "u_joint" and "shaft" not in place and "axle " not in f"{place} "):
        return ""
    phrase = pick(rng, SPLIT[job.lead.reason]).replace("{c}", pick(rng, book.voice.names[job.lead.component]))
    return book.filled(rng, phrase.replace("{l}", place), job)


def _told(rng, job):
    """Reported defect and job done of a job, without its further work."""
    ends = {part.component.split("_")[-1] for part in (job.lead, job.refers) if part is not None}
    if job.place == "order" and not job.component and len(ends) > 1:
        # "Same end" would be untrue of the other end of the axle, so the name is given.
        job = replace(job, component=True)
    text = _split(rng, job) if rng.random() < 0.2 else ""
    return _cells_of(text or _book_of(job).clause(rng, job))


def _numbered(rng, one, other):
    """Two jobs of one card, numbered through both cells."""
    mark = pick(rng, ["{}) ", "{}. ", "{}- "])
    return numbered_cells(mark, one, other)


def _closed(rng, job, done):
    """The job done with a remark on another part, or with the usual close."""
    kind = pick(rng, ["later", "look", "grease"])
    remark = replace(_book_of(job), idle=REMARKS).aside(rng, job, kind)
    close = pick(rng, ["Test drive OK", "vehicle released", "handed over to driver", "job closed", "road test OK"])
    return f"{done}. {remark if remark and rng.random() < 0.4 else close}"


def _spelt(rng, text):
    """The text with one or two of the usual wrong spellings, in some of the lines."""
    for _ in range(2 if rng.random() < 0.2 else 1):
        held = [word for word in HABITS if re.search(rf"\b{word}\b", text)]
        if held and rng.random() < 0.12:
            word = pick(rng, held)
            text = re.sub(rf"\b{word}\b", pick(rng, HABITS[word]), text, count=1)
    return text


def _cased(rng, cells):
    """Some clerks type capitals, some none, most begin with one."""
    draw = rng.random()
    if draw < 0.33:
        return [cell.upper() for cell in cells]
    if draw < 0.48:
        return [cell.lower() for cell in cells]
    return [cell[:1].upper() + cell[1:] for cell in cells]


def words(rng, job):
    """Reported defect and job done of one line of a job card."""
    cells = _told(rng, job)
    if job.second is not None:
        cells = _numbered(rng, cells, _told(rng, job.second))
    if job.also == "other":
        pair = [cells, _cells_of(BOOK.foreign(rng))]
        cells = _numbered(rng, *(pair if rng.random() < 0.7 else pair[::-1]))
    elif job.also == "look":
        cells[1] += pick(rng, [". Under body all checked, OK", ". Brake and oil levels checked", ". Other side OK"])
    elif job.kind == "renewal" and rng.random() < 0.22:
        cells[1] = _closed(rng, job, cells[1])
    cells[0] = cells[0] or pick(rng, ["", "", "-", "nil", "as per JC"])
    spelt = [_spelt(rng, cell) for cell in cells]
    return dict(zip(TEXTS, _cased(rng, spelt), strict=True))


MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew cabin truck 4x2", ("service_van", "all_wheel"): "Panel van AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Crew cabin truck 4x2 cab over",
    ("field_pickup", "four_wheel_independent"): "D/C pickup 4x4 indep. front",
    ("utility_4x4", "four_wheel_solid"): "S/C utility 4x4 rigid axle", ("yard_truck", "rear_one_piece"): "Yard truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard truck w/ sliding shaft",
    ("town_car", "front_half_shafts"): "Sedan saloon FWD",
}  # fmt: skip
COLUMNS = {
    "JC No": "order", "JC Date": "date", "Plant No": "unit", "KM": "odometer", "Defect reported": "complaint",
    "Job done": "correction", "Sys code": "component", "Job type": "reason", "Item code": "part_number",
    "Nos": "quantity", "Man hrs": "hours", "Spares cost": "cost",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "4101", "cv_joint_outboard": "4211", "cv_joint_inboard": "4212",
        "cv_boot_outboard": "4221", "cv_boot_inboard": "4222", "support_bearing": "4105", "slip_spline": "4107",
        "steering_joint": "4503"},
    "reason": {"failed": "B/D", "worn": "INSP", "planned": "PPM", "collateral": "CONSQ", "damage": "ACC",
        "comeback": "RPT"},
}  # fmt: skip
#: Sheets of the workbook: table -> title and headings.
SHEETS = {
    "vehicles": ("Plant master", ("Plant No", "Model", "Category", "Duty", "Location", "Commissioned", "KM at start",
        "History from", "Off hire")),
    "readings": ("KM log", ("Plant No", "Dated", "KM")),
    "repairs": ("Job cards", tuple(COLUMNS)),
    "inspections": ("PM check", ("Plant No", "Checked on", "KM", "Position", "Finding")),
    "ride_height": ("Suspension raise", ("Plant No", "Done on", "Raise mm", "Details")),
    "parts": ("Item list", ("Item code", "Component", "Category", "Renews", "Unit price", "Lead days", "New code")),
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """One workbook with all tables; messy: titles, pages and blank rows around the job cards."""
    mess = Mess(titles=("PLANT & TRANSPORT WORKSHOP", "Job card register", ""), page=50, blanks=2)
    return write_book(shop, sheets, folder, FILE, SHEETS, mess=mess if messy else CLEAN, date_format="dd-mmm-yyyy")


SHOP = Shop(
    name="T",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "PT-"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["PT-", "PT-", "PT", "PT ", "pt-"])),
    },
    write=write,
    order_name=lambda job: f"JC-{int(job.order):05d}",
    codes=CODES,
    day=lambda day: day,
    number=lambda value, places: round(float(value), places),
    typos=0.08,
    shares=Shares(reason=0.87, coded=0.42, numbered=0.2, merge_leads=0.2, also=0.1),
)
