"""Shop Z: the contractor who keeps a parcel and utility fleet's vans and 4x4s, left-hand drive, miles; North America.

An advisor writes in sentences what was reported, a technician in a few words what was done; the place is sometimes
in the one and the name in the other. No codes. Tab delimited text of a code page, with the month first in dates.
"""


from export_files import CLEAN, Mess
from exporting import Shares, Shop
from held_out import shop_z_phrases as said
from phrases import pick
from plain_files import write_texts
from vehicle_books import PlacingVoice, VehicleBooks, by_habit

VOICE = PlacingVoice(
    names={
        "u_joint": ["u-joint", "U-joint", "u joint", "ujoint", "universal joint", "u-jt", "U-jnt"],
        "cv_joint_outboard": ["outer CV joint", "outer CV", "outboard CV joint", "wheel side CV joint",
            "CV joint (outer)",
            "outer CV jt", "CV axle outer joint"],
        "cv_joint_inboard": ["inner CV joint", "inner CV", "inboard CV joint", "inner tripod joint", "CV joint (inner)",
            "inner plunge joint", "CV axle inner joint", "inner CV jt"],
        "cv_boot_outboard": ["outer CV boot", "outer axle boot", "CV boot (outer)", "outboard CV boot",
            "CV axle outer boot", "wheel side CV boot", "outer boot, CV axle", "CV outer boot"],
        "cv_boot_inboard": ["inner CV boot", "inner axle boot", "CV boot (inner)", "inboard CV boot",
            "CV axle inner boot", "inner boot, CV axle", "CV inner boot"],
        "support_bearing": ["carrier bearing", "driveshaft carrier bearing", "center support bearing",
            "driveshaft center bearing", "hanger bearing", "driveshaft hanger bearing", "driveshaft support bearing",
            "carrier brg"],
        "slip_spline": ["slip yoke", "driveshaft slip yoke", "driveshaft slip joint", "slip yoke/spline",
            "driveshaft slip spline", "splined slip yoke"],
        "steering_joint": ["steering shaft u-joint", "steering shaft joint", "intermediate steering shaft joint",
            "int. steering shaft u-joint", "steering column shaft u-joint", "steering u-joint"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV axle joint", "CV jt", "joint on CV axle"],
        "cv_joint_inboard": ["CV joint", "CV axle joint", "CV jt", "joint on CV axle"],
        "cv_boot_outboard": ["CV boot", "axle boot", "CV axle boot", "boot on CV axle"],
        "cv_boot_inboard": ["CV boot", "axle boot", "CV axle boot", "boot on CV axle"],
    },
    sides={
        "left": ["LF {n}", "left front {n}", "driver side {n}", "driver's side {n}", "{n} LF", "{n}, left front",
            "L/F {n}", "LH {n}", "{n} driver side", "front left {n}", "left {n}"],
        "right": ["RF {n}", "right front {n}", "passenger side {n}", "pass side {n}", "{n} RF", "{n}, right front",
            "R/F {n}", "RH {n}", "{n} passenger side", "front right {n}", "right {n}"],
        "both": ["LF & RF {n}", "left and right {n}", "{n} both sides", "LF/RF {n}", "L&R {n}"],
    },
    places={
        "rear.joint_front": ["rear driveshaft {n} at t-case", "rear driveshaft front {n}",
            "transfer case end {n}, rear driveshaft", "front {n} on rear driveshaft"],
        "rear.joint_centre": ["rear driveshaft center {n}", "center {n} on rear driveshaft",
            "rear driveshaft {n} at carrier bearing"],
        "rear.joint_rear": ["rear driveshaft {n} at pinion", "rear driveshaft rear {n}",
            "rear axle end {n}, rear driveshaft", "rear {n} on rear driveshaft"],
        "front.joint_front": ["front driveshaft {n} at front diff", "front driveshaft front {n}",
            "diff end {n}, front driveshaft", "front {n} on front driveshaft"],
        "front.joint_rear": ["front driveshaft {n} at t-case", "front driveshaft rear {n}",
            "transfer case end {n}, front driveshaft", "rear {n} on front driveshaft"],
        "steering.joint_upper": ["upper {n}", "{n}, upper", "{n} (upper)", "top {n}"],
        "steering.joint_lower": ["lower {n}", "{n}, lower", "{n} (lower)", "{n} at steering gear"],
    },
    shafts={"rear": ["rear driveshaft {n}", "{n} on rear driveshaft"],
        "front": ["front driveshaft {n}", "{n} on front driveshaft"]},
    axles=["{p}, front axle", "front axle {p}", "{p} in front axle", "{p} (front axle shaft)"],
    joins=(),
    half_shafts=["CV axle", "CV axle assembly", "CV axle assy", "CV axle w/ joints", "complete CV axle",
        "CV half shaft assy",
        "CV axle shaft"],
    pairs=["front and rear u-joints on rear driveshaft", "rear driveshaft u-joints, both ends",
        "2 u-joints, rear driveshaft front & rear"],
    with_boot=["w/ boot", "& boot", "and boot kit", "with boot"],
    both_boots=["inner & outer CV boots", "CV axle boots inner and outer", "inner/outer axle boots"],
    same=["CV {n}, same end", "{n} for same CV", "matching CV {n}"],
    other_end=["CV {n} at other end of same axle", "other end CV {n}, same axle"],
    several=("({c}) {n}", "{n} x{c}", "{n}, qty {c}"),
    same_side=("same side {n}", "{n}, same side"),
    ands=(" & ", " and ", ", ", " + "),
)  # fmt: skip
SHORT = {
    "u_joint": ["u-joint", "joint"], "cv_joint_outboard": ["joint"], "cv_joint_inboard": ["joint"],
    "cv_boot_outboard": ["boot"], "cv_boot_inboard": ["boot"], "support_bearing": ["bearing"], "slip_spline": ["yoke"],
    "steering_joint": ["joint"], "half_shaft": ["axle"], "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["front {n}", "driveshaft front {n}", "driveshaft {n} at trans", "trans end {n}"],
        "rear.joint_centre": ["center {n}", "driveshaft center {n}", "{n} at carrier brg", "middle {n} on driveshaft"],
        "rear.joint_rear": ["rear {n}", "driveshaft rear {n}", "driveshaft {n} at pinion", "rear axle end {n}"],
    },
    shafts=["driveshaft {n}", "{n} on driveshaft"],
    pairs=["front and rear u-joints on driveshaft", "driveshaft u-joints, both ends", "2 u-joints, front & rear"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
#: Where a driver says the trouble is, by side.
CORNERS = {"left": ("left front", "driver side", "LF"), "right": ("right front", "passenger side", "RF")}
TEXTS = ("complaint", "correction")
CLOSES = ("road test OK", "test drive good", "unit ready", "cleared, unit back on route", "no other issues")
LOOKS = (". Fluids topped", ". Rest of PM items OK", ". Other items OK", ". Checked tires & brakes, OK")
FILE = "ro_lines.txt"


def _split(rng, job):
    """A phrase with the corner in the advisor's cell and the name in the other; empty where the job does not suit."""
    side = job.lead.position.split(".")[0]
    whole = job.kind == "renewal" and job.place == "full" and job.component and job.reason
    if not whole or job.assembly or len(job.parts) > 1 or side not in CORNERS or job.lead.reason not in said.SPLIT:
        return ""
    book = BOOKS.book(job)
    other = "b:" if "joint" in job.lead.component else "j:"
    phrase = pick(rng, [text for text in said.SPLIT[job.lead.reason] if not text.startswith(other)])
    phrase = phrase.replace("{c}", pick(rng, book.voice.names[job.lead.component]))
    return book.filled(rng, phrase.replace("{l}", pick(rng, CORNERS[side])), job)


def clause(rng, job):
    """What was reported and what was done of one job, without its further work."""
    text = _split(rng, job) if rng.random() < 0.25 else ""
    return text or BOOKS.clause(rng, job)


def _cells_of(text):
    """What was reported and what was done."""
    cells = [cell.strip() for cell in text.split("||")]
    return cells[0], cells[1]


def _joined(rng, one, other):
    """Two jobs of one line, numbered through the cells or one behind the other."""
    mark = pick(rng, ["{}) ", "{}. ", ""])
    pairs = zip(one, other, strict=True)
    if mark:
        return tuple(
            " ".join(mark.format(i) + cell for i, cell in enumerate(pair, 1) if cell) for pair in pairs
        )
    return tuple(". ".join(cell.rstrip(".") for cell in pair if cell) for pair in pairs)


def _cased(rng, reported, done):
    """The advisor writes sentences; technicians type capitals, or none, or begin with one."""
    reported = reported[:1].upper() + reported[1:]
    draw = rng.random()
    if draw < 0.36:
        return reported, done.upper()
    if draw < 0.6:
        return reported, done[:1].upper() + done[1:]
    return reported, done


def words(rng, job):
    """Reported and work done of one line of a repair order."""
    cells = _cells_of(clause(rng, job))
    if job.second is not None:
        cells = _joined(rng, cells, _cells_of(clause(rng, job.second)))
    if job.also == "other":
        pair = [cells, _cells_of(BOOKS.book(job).foreign(rng))]
        cells = _joined(rng, *(pair if rng.random() < 0.7 else pair[::-1]))
    reported, done = cells
    if job.also == "look":
        done += pick(rng, LOOKS)
    elif job.kind == "renewal" and not job.also and rng.random() < 0.14:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.45 else ""
        done += ". " + (remark or pick(rng, CLOSES))
    reported = reported or pick(rng, ["", "", "", "-", "See tech notes.", "Per fleet office."])
    done = by_habit(rng, done, said.HABITS, share=0.18)
    return dict(zip(TEXTS, _cased(rng, reported, done), strict=True))


MODELS = {
    ("crew_truck", "rear_two_piece"): "Walk-in parcel truck", ("service_van", "all_wheel"): "AWD cargo van",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Cabover parcel truck",
    ("field_pickup", "four_wheel_independent"): "4x4 crew pickup IFS",
    ("utility_4x4", "four_wheel_solid"): "4x4 utility body, solid front axle",
    ("yard_truck", "rear_one_piece"): "Shuttle truck", ("yard_truck",
    "rear_one_piece+slip_spline"): "Shuttle truck, slip shaft",
    ("town_car", "front_half_shafts"): "Compact van FWD",
}  # fmt: skip
COLUMNS = {
    "RO #": "order", "RO date": "date", "Unit #": "unit", "Miles": "odometer", "Reported": "complaint",
    "Work done": "correction", "Part #": "part_number", "Qty": "quantity", "Labor hrs": "hours", "Parts $": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("Unit #", "Body", "Group", "Service", "Terminal", "In service", "Miles in", "RO history from", "Sold"),
    "readings": ("Unit #", "Date", "Miles"),
    "inspections": ("Unit #", "Date", "Miles", "Location", "Result"),
    "ride_height": ("Unit #", "Date", "Lift mm", "Comment"),
    "parts": ("Part #", "Component", "Group", "Includes", "Unit $", "Lead days", "Superseded by"),
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """Tab delimited text, one file a table; messy: titles, pages, totals and blank rows around the lines."""
    mess = Mess(titles=("Repair order lines", "All terminals"), page=65, totals=(9,), blanks=1) if messy else CLEAN
    return write_texts(
        shop, sheets, folder, HEADINGS, lines=FILE, others={name: f"fleet_{name}.txt" for name in HEADINGS},
        mess=mess, date_order="mdy", delimiter="\t", encoding="cp1252",
    )  # fmt: skip


SHOP = Shop(
    name="Z",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "TK-"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["TK-", "TK-", "TK", "TK ", "tk-"])),
    },
    write=write,
    order_name=lambda job: f"RO-{int(job.order):06d}",
    distance_unit="mi",
    day=lambda day: day.strftime("%m/%d/%Y"),
    typos=0.1,
    shares=Shares(reason=0.84, place_full=0.82, component=0.95, numbered=0.3, merge_leads=0.15, also=0.1),
)
