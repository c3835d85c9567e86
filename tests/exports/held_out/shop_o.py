"""Shop O: rental pickups and crew trucks for logging roads, left-hand drive, kilometres; dealer-trained technicians.

A repair order's line has complaint, cause and correction. One workbook with a title over every sheet and real dates;
nearly a third of the single lines carry labour operation and reason codes.
"""

import re

from clauses import numbered_cells
from export_files import Mess
from exporting import Shares, Shop
from held_out import shop_o_phrases as said
from phrases import pick, tidy
from plain_files import write_book
from vehicle_books import PlacingVoice, VehicleBooks

VOICE = PlacingVoice(
    names={
        "u_joint": ["u-joint", "U-joint", "u-joint", "universal joint", "U joint", "u-jt"],
        "cv_joint_outboard": ["outer CV joint", "outboard CV joint", "outer CV", "CV axle outer joint",
            "outer CV jt", "axle outer CV joint"],
        "cv_joint_inboard": ["inner CV joint", "inboard CV joint", "inner CV", "CV axle inner joint",
            "inner tripod joint", "axle inner CV joint"],
        "cv_boot_outboard": ["outer CV boot", "outboard CV boot", "outer axle boot", "CV axle outer boot",
            "outer CV joint boot", "CV boot, outer"],
        "cv_boot_inboard": ["inner CV boot", "inboard CV boot", "inner axle boot", "CV axle inner boot",
            "inner CV joint boot", "CV boot, inner"],
        "support_bearing": ["carrier bearing", "driveshaft center support bearing", "driveshaft carrier bearing",
            "center support bearing", "center bearing", "driveline carrier brg", "two-piece shaft carrier bearing"],
        "slip_spline": ["slip yoke", "driveshaft slip yoke", "driveshaft slip joint", "slip spline of driveshaft",
            "driveline slip yoke", "slip yoke and spline"],
        "steering_joint": ["steering shaft u-joint", "intermediate steering shaft joint", "steering shaft joint",
            "intermediate shaft u-joint, steering", "I-shaft u-joint", "steering coupler joint"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV axle joint", "CV jt", "axle CV joint"],
        "cv_joint_inboard": ["CV joint", "CV axle joint", "CV jt", "axle CV joint"],
        "cv_boot_outboard": ["CV boot", "axle boot", "CV axle boot", "CV shaft boot"],
        "cv_boot_inboard": ["CV boot", "axle boot", "CV axle boot", "CV shaft boot"],
    },
    sides={
        "left": ["LF {n}", "LF {n}", "left front {n}", "left {n}", "driver side {n}", "L/F {n}", "LH {n}",
            "{n}, LF", "{n} (driver side)", "drivers side {n}", "D/S {n}"],
        "right": ["RF {n}", "RF {n}", "right front {n}", "right {n}", "passenger side {n}", "R/F {n}", "RH {n}",
            "{n}, RF", "{n} (passenger side)", "pass. side {n}", "P/S {n}"],
        "both": ["LF and RF {n}", "{n} both sides", "left and right {n}", "LF & RF {n}", "{n}, L&R"],
    },
    places={
        "rear.joint_front": ["rear driveshaft front {n}", "rear driveshaft {n} at transfer case",
            "front {n} of rear driveshaft", "{n}, rear driveshaft, T-case end"],
        "rear.joint_centre": ["rear driveshaft center {n}", "center {n} of rear driveshaft",
            "rear driveshaft middle {n}"],
        "rear.joint_rear": ["rear driveshaft rear {n}", "rear driveshaft {n} at rear axle",
            "rear {n} of rear driveshaft", "{n}, rear driveshaft, pinion end"],
        "front.joint_front": ["front driveshaft front {n}", "front driveshaft {n} at front diff",
            "front {n} of front driveshaft", "{n}, front driveshaft, pinion end"],
        "front.joint_rear": ["front driveshaft rear {n}", "front driveshaft {n} at transfer case",
            "rear {n} of front driveshaft", "{n}, front driveshaft, T-case end"],
        "steering.joint_upper": ["upper {n}", "{n}, upper", "{n} (upper)", "{n} at column"],
        "steering.joint_lower": ["lower {n}", "{n}, lower", "{n} (lower)", "{n} at gear box"],
    },
    shafts={"rear": ["rear driveshaft {n}", "{n} of rear driveshaft", "rear drive line {n}"],
        "front": ["front driveshaft {n}", "{n} of front driveshaft", "front drive line {n}"]},
    axles=["front axle {p}", "{p}, front axle", "front axle shaft {p}", "{p} at front axle knuckle"],
    joins=(),
    half_shafts=["CV axle assembly", "CV axle", "half shaft assembly", "complete CV axle", "CV axle shaft assy",
        "CV axle with joints", "CV axle complete"],
    pairs=["rear driveshaft u-joints front and rear", "2 u-joints, rear driveshaft, both ends",
        "rear driveshaft front & rear u-joints"],
    with_boot=["and boot", "with boot", "with boot kit", "& boot"],
    both_boots=["inner and outer CV boots", "both CV boots (inner and outer)", "CV axle boots, inner & outer"],
    same=["CV {n}, same end", "{n} for same CV", "CV {n} at same end of axle"],
    other_end=["CV {n} at other end of same axle", "other CV {n} of that axle"],
    several=("({c}) {n}", "{c} {n}s", "{n} x {c}"),
    same_side=("{n}, same side", "same side {n}"),
    ands=(" and ", " & ", ", "),
)  # fmt: skip
SHORT = {
    "u_joint": ["u-joint", "joint"], "cv_joint_outboard": ["CV joint", "joint"], "cv_joint_inboard": ["CV joint",
        "joint"],
    "cv_boot_outboard": ["boot"], "cv_boot_inboard": ["boot"], "support_bearing": ["bearing"], "slip_spline": ["yoke"],
    "steering_joint": ["joint"], "half_shaft": ["axle"], "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["driveshaft {n} at trans yoke",
            "front {n} of driveshaft", "driveshaft front {n}", "{n} at trans end of driveshaft"],
        "rear.joint_centre": ["center {n}", "driveshaft center {n}", "center {n} of driveshaft",
            "driveshaft {n} behind carrier bearing"],
        "rear.joint_rear": ["rear {n} of driveshaft", "driveshaft rear {n}", "{n} at pinion yoke",
            "driveshaft {n} at rear diff", "rear {n}"],
    },
    shafts=["driveshaft {n}", "{n} of driveshaft", "driveline {n}"],
    pairs=["driveshaft u-joints front and rear", "2 u-joints, both ends of driveshaft", "front & rear u-joints"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
TEXTS = ("complaint", "cause", "correction")
CLOSES = ("Road test OK", "No other concerns", "Unit ready", "Test drove, OK", "Returned to ready line",
    "Washed and parked")
#: Sides alone, for a cell that does not hold the name.
SIDES = {
    "left": ("LF", "left front", "driver side", "LH", "left"),
    "right": ("RF", "right front", "passenger side", "RH", "right"),
}
#: What only a shaft with flanges or yokes has; the joints within a front axle have none.
OF_A_SHAFT = re.compile(r"\bbolts\b|\bfasteners\b|\bmounting\b|\b[Dd]riveshaft\b")


def _cells(text):
    """Complaint, cause and correction of a phrase."""
    cells = [tidy(cell) for cell in text.split("||")]
    return cells + [""] * (len(TEXTS) - len(cells))


def _split(rng, job):
    """A phrase with the side in another cell than the name; empty where the job does not lend itself to that."""
    whole = job.kind == "renewal" and job.place == "full" and job.component and job.reason
    side = job.lead.position.split(".")[0]
    if not whole or job.assembly or len(job.parts) > 1 or side not in SIDES:
        return ""
    phrases = said.SPLIT.get(job.lead.reason)
    if not phrases:
        return ""
    phrase = pick(rng, phrases).replace("{c}", pick(rng, VOICE.names[job.lead.component]))
    return BOOKS.book(job).filled(rng, phrase.replace("{l}", pick(rng, SIDES[side])), job)


def clause(rng, job):
    """One job, without its further work, complaint, cause and correction divided by bars."""
    text = _split(rng, job) if rng.random() < 0.25 else ""
    text = text or BOOKS.clause(rng, job)
    while job.kind != "other" and job.lead.position.startswith("axle_") and OF_A_SHAFT.search(text):
        text = BOOKS.clause(rng, job)
    return text


def _numbered(rng, one, other):
    """Two jobs of one line, lettered through the cells."""
    mark = pick(rng, ["{}) ", "{}: ", "({}) "])
    return numbered_cells(mark, one, other, numbers="AB")


def _cased(rng, cells):
    """Most technicians begin with a capital; some type all in capitals, a few in none."""
    draw = rng.random()
    if draw < 0.3:
        return [cell.upper() for cell in cells]
    if draw < 0.38:
        return [cell.lower() for cell in cells]
    return [cell[:1].upper() + cell[1:] for cell in cells]


def words(rng, job):
    """Complaint, cause and correction of one line of a repair order."""
    cells = _cells(clause(rng, job))
    if job.second is not None:
        cells = _numbered(rng, cells, _cells(clause(rng, job.second)))
    if job.also == "other":
        pair = [cells, _cells(BOOKS.one_shaft.foreign(rng))]
        cells = _numbered(rng, *(pair if rng.random() < 0.7 else pair[::-1]))
    elif job.also == "look":
        cells[2] += pick(rng, [". Rest of undercarriage OK", ". Fluids topped off", ". MPI completed, all green"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.5 else ""
        cells[2] += ". " + (remark or pick(rng, CLOSES))
    return dict(zip(TEXTS, _cased(rng, [tidy(cell).strip(" .") for cell in cells]), strict=True))


COLUMNS = {
    "RO": "order", "RO date": "date", "Unit": "unit", "Km": "odometer", "Complaint": "complaint", "Cause": "cause",
    "Correction": "correction", "Op code": "component", "Reason": "reason", "Part no": "part_number",
    "Qty": "quantity", "Labor hrs": "hours", "Parts cost": "cost",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "DL10", "cv_joint_outboard": "DL21", "cv_joint_inboard": "DL22",
        "cv_boot_outboard": "DL26", "cv_boot_inboard": "DL27", "support_bearing": "DL14", "slip_spline": "DL16",
        "steering_joint": "ST05"},
    "reason": {"failed": "F", "worn": "I", "planned": "P", "collateral": "A", "damage": "D", "comeback": "C"},
}  # fmt: skip
#: Sheets of the workbook: table -> title and headings.
SHEETS = {
    "vehicles": ("Units", ("Unit", "Build", "Class", "Service", "Branch", "In fleet", "Km in", "History since",
        "Sold")),
    "readings": ("Km readings", ("Unit", "Read on", "Km")),
    "repairs": ("RO lines", tuple(COLUMNS)),
    "inspections": ("Inspections", ("Unit", "Inspected", "Km", "Position", "Result")),
    "ride_height": ("Lift records", ("Unit", "Date", "Lift mm", "Comment")),
    "parts": ("Parts list", ("Part no", "Component", "Class", "Includes", "Price", "Lead days", "Replaced by")),
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew truck 2WD dually",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Crew truck 2WD forward cab",
    ("service_van", "all_wheel"): "Crew van AWD", ("field_pickup", "four_wheel_independent"): "Half ton crew cab 4x4",
    ("utility_4x4", "four_wheel_solid"): "One ton 4x4 solid front axle", ("yard_truck",
        "rear_one_piece"): "Shop truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "Shop truck slip yoke", ("town_car",
        "front_half_shafts"): "Sedan FWD",
}  # fmt: skip
FILE = "RO history.xlsx"
TITLE = "Branch fleet service"


def write(shop, sheets, folder, messy):
    """One workbook with all tables, titles over the order lines; messy: pages, totals and blank rows too."""
    titles = (TITLE, "Repair order lines, all branches")
    columns = tuple(COLUMNS.values())
    sums = (columns.index("hours"), columns.index("cost"))
    mess = Mess(titles=titles, page=45, totals=sums, blanks=3) if messy else Mess(titles=titles)
    return write_book(shop, sheets, folder, FILE, SHEETS, mess=mess, date_format="yyyy-mm-dd")


SHOP = Shop(
    name="O",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "R"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["R", "R", "R", "R-", "r"])),
    },
    write=write,
    order_name=lambda job: f"RO{int(job.order):06d}",
    codes=CODES,
    day=lambda day: day,
    number=lambda value, places: round(float(value), places),
    typos=0.07,
    shares=Shares(reason=0.88, place_full=0.82, place_part=0.08, component=0.95, coded=0.3, numbered=0.25,
        merge_leads=0.2, also=0.1),
)  # fmt: skip
