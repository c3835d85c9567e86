"""Shop X: an Australian mine and farm fleet, right-hand drive, kilometres; a line has the fault and the work done.

Tab-delimited text, dates with the month's name, an odometer with "km" behind it now and then.
"""

import shop_x_phrases as said
from clauses import numbered_cells
from export_files import CLEAN, Mess
from exporting import Shares, Shop
from phrases import pick, spin, tidy
from plain_files import write_texts
from vehicle_books import PlacingVoice, VehicleBooks, by_habit

VOICE = PlacingVoice(
    names={
        "u_joint": ["uni", "uni joint", "uni", "universal", "uni jnt", "universal joint", "UJ"],
        "cv_joint_outboard": ["outer CV", "outer c/v", "outer CV joint", "outer c/v joint", "CV outer", "wheel end CV",
            "outer cv jnt"],
        "cv_joint_inboard": ["inner CV", "inner c/v", "inner CV joint", "inner c/v joint", "CV inner",
            "diff end CV joint",
            "inner tripod joint", "inner cv jnt"],
        "cv_boot_outboard": ["outer CV boot", "outer c/v boot", "CV boot outer", "outer boot kit", "wheel end CV boot",
            "outer cv boot kit", "outer driveshaft boot", "outer boot"],
        "cv_boot_inboard": ["inner CV boot", "inner c/v boot", "CV boot inner", "inner boot kit", "diff end CV boot",
            "inner cv boot kit", "inner driveshaft boot", "inner boot"],
        "support_bearing": ["centre bearing", "tailshaft centre bearing", "centre brg", "tailshaft c/bearing",
            "tailshaft "
            "support bearing", "centre bearing assy", "tailshaft carrier bearing", "hanger bearing",
            "tailshaft centre brg"],
        "slip_spline": ["slip yoke", "tailshaft slip joint", "sliding spline", "tailshaft slip yoke", "slip joint",
            "tailshaft spline", "sliding joint on tailshaft", "tailshaft slip spline"],
        "steering_joint": ["steering uni", "steering shaft uni", "steering column uni", "steering uni joint",
            "steering shaft "
            "UJ", "steering column uni joint"],
    },
    vague={
        "cv_joint_outboard": ["CV", "c/v", "CV joint", "c/v joint", "driveshaft CV"],
        "cv_joint_inboard": ["CV", "c/v", "CV joint", "c/v joint", "driveshaft CV"],
        "cv_boot_outboard": ["CV boot", "c/v boot", "CV boot kit", "driveshaft boot"],
        "cv_boot_inboard": ["CV boot", "c/v boot", "CV boot kit", "driveshaft boot"],
    },
    sides={
        "left": ["LH {n}", "L/H {n}", "LHF {n}", "left {n}", "{n} LHS", "passenger side {n}", "LHS {n}",
            "{n} left side",
            "{n} L/H", "LH front {n}", "pass side {n}"],
        "right": ["RH {n}", "R/H {n}", "RHF {n}", "right {n}", "{n} RHS", "driver side {n}", "RHS {n}",
            "{n} right side",
            "{n} R/H", "RH front {n}", "drivers side {n}"],
        "both": ["{n} both sides", "LH & RH {n}", "left and right {n}", "{n} LHS and RHS", "L&R {n}"],
    },
    places={
        "rear.joint_front": ["rear tailshaft front {n}", "rear tailshaft {n} transfer end",
            "front {n} on rear tailshaft",
            "{n} rear t/shaft, t/case end"],
        "rear.joint_centre": ["rear tailshaft centre {n}", "centre {n} on rear tailshaft", "rear tailshaft middle {n}",
            "{n} rear t/shaft, centre"],
        "rear.joint_rear": ["rear tailshaft rear {n}", "rear tailshaft {n} diff end", "rear {n} on rear tailshaft",
            "{n} rear t/shaft, pinion end", "back {n} of rear tailshaft"],
        "front.joint_front": ["front tailshaft front {n}", "front tailshaft {n} diff end",
            "front {n} on front tailshaft",
            "{n} front t/shaft, pinion end"],
        "front.joint_rear": ["front tailshaft rear {n}", "front tailshaft {n} transfer end",
            "rear {n} on front tailshaft",
            "{n} front t/shaft, t/case end"],
        "steering.joint_upper": ["top {n}", "upper {n}", "{n} (top)", "{n} upper"],
        "steering.joint_lower": ["bottom {n}", "lower {n}", "{n} (bottom)", "{n} lower", "{n} at steering box"],
    },
    shafts={"rear": ["rear tailshaft {n}", "{n} on rear tailshaft", "rear t/shaft {n}"],
        "front": ["front tailshaft {n}", "{n} on front tailshaft", "front t/shaft {n}"]},
    axles=["front axle {p}", "{p} in front axle", "{p} front diff axle", "front axle shaft {p}", "{p} front axle"],
    joins=(),
    half_shafts=["driveshaft assy", "complete CV shaft", "CV shaft assy", "reco CV shaft", "driveshaft complete",
        "CV shaft "
        "complete", "exchange CV shaft", "half shaft complete with CVs"],
    pairs=["both rear tailshaft unis", "rear tailshaft unis front and rear", "2 x uni rear tailshaft, both ends"],
    with_boot=["and boot", "& boot", "+ boot kit", "with boot", "c/w boot"],
    both_boots=["inner and outer CV boots", "CV boots inner & outer", "both boots on CV shaft (inner + outer)"],
    same=["CV {n} same end", "{n} for same CV", "{n} on that CV"],
    other_end=["CV {n} other end of same shaft", "{n} at other end of that CV shaft"],
    several=("{c} x {n}", "{n} x {c}", "{c} off {n}"),
    same_side=("{n} same side", "same side {n}"),
    ands=(" and ", " & ", " + ", ", "),
)  # fmt: skip
SHORT = {
    "u_joint": ["uni"], "cv_joint_outboard": ["CV", "c/v"], "cv_joint_inboard": ["CV", "c/v"],
        "cv_boot_outboard": ["boot"],
    "cv_boot_inboard": ["boot"], "support_bearing": ["bearing", "brg"], "slip_spline": ["yoke"],
        "steering_joint": ["uni"],
    "half_shaft": ["shaft"], "several": ["parts", "bits"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["front {n}", "tailshaft front {n}", "gearbox end {n}", "tailshaft {n} gearbox end",
            "front {n} on tailshaft"],
        "rear.joint_centre": ["centre {n}", "tailshaft centre {n}", "middle {n}", "centre {n} on tailshaft",
            "tailshaft {n}, centre"],
        "rear.joint_rear": ["rear {n}", "tailshaft rear {n}", "diff end {n}", "tailshaft {n} diff end",
            "rear {n} on tailshaft", "pinion end {n}"],
    },
    shafts=["tailshaft {n}", "{n} on tailshaft", "t/shaft {n}", "tail shaft {n}"],
    pairs=["both tailshaft unis", "front and rear unis", "2 x uni, tailshaft both ends", "tailshaft unis, pair"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
TEXTS = ("complaint", "correction")
JOINS = ("{a}. {b}", "{a}. Also {b}", "{a} / {b}", "{a}, {b}", "{a} & {b}")
CLOSES = ("Test drive ok", "All good", "Back to work", "Tested ok", "Released to site", "Tag off", "Cleaned up")


def _cells(text):
    """Fault and work done of a phrase."""
    cells = [tidy(cell) for cell in text.split("||")]
    return cells + [""] * (len(TEXTS) - len(cells))


def clause(rng, job):
    """One job, without its further work, fault and work done divided by bars."""
    return BOOKS.clause(rng, job)


def _numbered(rng, one, other):
    """Two jobs of one line, numbered through both cells."""
    mark = pick(rng, ["{}) ", "{}. ", "{}/ "])
    return numbered_cells(mark, one, other)


def _cased(rng, cells):
    """Most fitters begin with a capital, some type none, some keep the key locked."""
    draw = rng.random()
    if draw < 0.14:
        return [cell.upper() for cell in cells]
    if draw < 0.45:
        return [cell.lower() for cell in cells]
    return [cell[:1].upper() + cell[1:] for cell in cells]


def words(rng, job):
    """Fault and work done of one line of a work order."""
    cells = _cells(clause(rng, job))
    if job.second is not None:
        cells = _numbered(rng, cells, _cells(clause(rng, job.second)))
    if job.also == "other":
        pair = [cells, _cells(spin(rng, pick(rng, said.OTHER)))]
        cells = _numbered(rng, *(pair if rng.random() < 0.65 else pair[::-1]))
    elif job.also == "look":
        cells[1] += pick(rng, [". Rest of underbody ok", ". Oils topped up", ". Checked over, rest good"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.5 else ""
        cells[1] += ". " + (remark or pick(rng, CLOSES))
    spelt = [by_habit(rng, cell, said.HABITS, share=0.1).strip(" .") for cell in cells]
    return dict(zip(TEXTS, _cased(rng, spelt), strict=True))


COLUMNS = {
    "WO": "order", "Date done": "date", "Plant": "unit", "Odo": "odometer", "Fault / request": "complaint",
    "Work done": "correction", "Stock code": "part_number", "Qty": "quantity", "Fitter hrs": "hours", "Parts $": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("Plant", "Description", "Class", "Work", "Site", "Commissioned", "Odo new", "Records from",
    "Sold off"),
    "readings": ("Plant", "Date", "Odo"),
    "inspections": ("Plant", "Date", "Odo", "Point", "Finding"),
    "ride_height": ("Plant", "Date", "Lift (mm)", "Note"),
    "parts": ("Stock code", "Component", "Class", "Covers", "Price", "Lead time (days)", "Superseded to"),
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew cab tray truck", ("service_van", "all_wheel"): "People mover AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Cabover service truck", ("field_pickup",
    "four_wheel_independent"):
    "Dual cab ute 4x4", ("utility_4x4", "four_wheel_solid"): "Single cab ute 4x4 live axle", ("yard_truck",
    "rear_one_piece"): "Farm truck", ("yard_truck", "rear_one_piece+slip_spline"): "Farm tipper", ("town_car",
    "front_half_shafts"): "Office runabout FWD",
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """Tab-delimited text, one file a table; messy: titles, pages and blank rows around the work orders."""
    mess = Mess(titles=("WORK ORDER HISTORY", "All sites", ""), page=64, blanks=2) if messy else CLEAN
    return write_texts(
        shop, sheets, folder, HEADINGS, lines="wo_history.txt", others={name: f"{name}.txt" for name in HEADINGS},
        mess=mess, date_order="dmy", delimiter="\t", encoding="utf-8-sig",
    )  # fmt: skip


SHOP = Shop(
    name="X",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "LV"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["LV", "LV", "lv", "LV-", "LV "])),
    },
    write=write,
    order_name=lambda job: f"WO-{int(job.order):06d}",
    day=lambda day: day.strftime("%d-%b-%y"),
    number=lambda value, places: f"{value:.0f}km" if places == 0 and value >= 1000 else f"{value:.{places}f}",
    typos=0.09,
    shares=Shares(reason=0.85, place_full=0.79, place_part=0.09, component=0.94, numbered=0.22, merge_leads=0.2,
    also=0.12),
    steering="right",
)
