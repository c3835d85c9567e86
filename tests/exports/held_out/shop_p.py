"""Shop P: the light vehicle workshop of a mine far from town, right-hand drive, kilometres; southern English.

One description field, mostly quick notes in capitals and now and then a longer one from whoever had time. Three in
ten single lines carry component and activity codes. One workbook with real dates.
"""

from dataclasses import replace

from export_files import CLEAN, Mess
from exporting import Shares, Shop
from held_out import shop_p_phrases as said
from phrases import pick, spin
from plain_files import write_book
from vehicle_books import PlacingVoice, VehicleBooks, by_habit

VOICE = PlacingVoice(
    names={
        "u_joint": ["uni", "uni", "uni joint", "uni jnt", "universal", "uni-joint", "universal joint", "u/joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "CV outer", "outer CV jnt", "wheel end CV", "hub end CV",
            "drive shaft outer CV", "outboard CV"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "CV inner", "inner CV jnt", "diff end CV", "inner tripod CV",
            "drive shaft inner CV", "inboard CV"],
        "cv_boot_outboard": ["outer CV boot", "CV boot outer", "outer boot on CV", "outer drive shaft boot",
            "wheel end CV boot", "hub end CV boot", "outboard CV boot", "CV outer boot"],
        "cv_boot_inboard": ["inner CV boot", "CV boot inner", "inner boot on CV", "inner drive shaft boot",
            "diff end CV boot", "inboard CV boot", "CV inner boot"],
        "support_bearing": ["centre bearing", "tailshaft centre bearing", "centre brg", "t/shaft centre brg",
            "tailshaft hanger bearing", "centre bearing & rubber", "tailshaft support brg", "tailshaft c/brg"],
        "slip_spline": ["slip yoke", "tailshaft slip joint", "tailshaft slip yoke", "t/shaft slip yoke",
            "tailshaft sliding spline", "slip yoke on tailshaft", "tailshaft spline"],
        "steering_joint": ["steering uni", "steering shaft uni", "steering column uni", "steering uni joint",
            "strg shaft uni", "steering shaft joint", "steering column uni joint"],
    },
    vague={
        "cv_joint_outboard": ["CV", "CV joint", "drive shaft CV", "CV jnt"],
        "cv_joint_inboard": ["CV", "CV joint", "drive shaft CV", "CV jnt"],
        "cv_boot_outboard": ["CV boot", "drive shaft boot", "boot on CV"],
        "cv_boot_inboard": ["CV boot", "drive shaft boot", "boot on CV"],
    },
    sides={
        "left": ["LH {n}", "{n} LH", "LHF {n}", "{n} LHF", "LHS {n}", "passenger side {n}", "{n} pass side", "N/S {n}",
            "left {n}", "LH/F {n}", "{n} LHS", "L/H {n}"],
        "right": ["RH {n}", "{n} RH", "RHF {n}", "{n} RHF", "RHS {n}", "drivers side {n}", "{n} drivers side",
            "O/S {n}", "right {n}", "RH/F {n}", "{n} RHS", "R/H {n}"],
        "both": ["{n} LH & RH", "LH+RH {n}", "{n} both sides", "L & R {n}", "{n} x2 LH/RH", "LHF & RHF {n}"],
    },
    places={
        "rear.joint_front": ["rear tailshaft front {n}", "rear t/shaft {n} t/case end",
            "{n} rear tailshaft, t/case end",
            "front {n} on rear tailshaft", "rear shaft {n} transfer end"],
        "rear.joint_centre": ["rear tailshaft centre {n}", "centre {n} on rear tailshaft", "rear t/shaft mid {n}",
            "rear tailshaft {n} in the middle"],
        "rear.joint_rear": ["rear tailshaft rear {n}", "rear t/shaft {n} diff end", "{n} rear tailshaft, diff end",
            "rear {n} on rear tailshaft", "rear shaft {n} diff end"],
        "front.joint_front": ["front tailshaft front {n}", "front t/shaft {n} diff end",
            "{n} front tailshaft, diff end",
            "front {n} on front tailshaft", "front shaft {n} diff end"],
        "front.joint_rear": ["front tailshaft rear {n}", "front t/shaft {n} t/case end",
            "{n} front tailshaft, t/case end",
            "rear {n} on front tailshaft", "front shaft {n} transfer end"],
        "steering.joint_upper": ["upper {n}", "top {n}", "{n} upper", "{n} column end"],
        "steering.joint_lower": ["lower {n}", "bottom {n}", "{n} lower", "{n} box end"],
    },
    shafts={"rear": ["rear tailshaft {n}", "{n} on rear tailshaft", "rear t/shaft {n}"],
        "front": ["front tailshaft {n}", "{n} on front tailshaft", "front t/shaft {n}"]},
    axles=["front axle {p}", "{p} front axle", "{p}, front axle shaft", "{p} in front axle"],
    joins=(),
    half_shafts=["CV shaft complete", "drive shaft complete", "complete CV shaft", "exchange drive shaft",
        "CV shaft assy",
        "recon CV shaft", "drive shaft assy complete w/ CVs"],
    pairs=["rear tailshaft unis front & rear", "2 x unis rear tailshaft, both ends", "unis each end of rear tailshaft"],
    with_boot=["c/w boot", "& boot", "with boot kit", "+ boot", "incl boot"],
    both_boots=["inner & outer CV boots", "CV boots inner + outer", "drive shaft boots inner and outer"],
    same=["CV {n} same end", "CV {n} to suit above CV", "{n} for that CV"],
    other_end=["CV {n} other end of that shaft", "{n} other end of same drive shaft"],
    several=("{c} x {n}", "{n} x{c}", "{c} off {n}"),
    same_side=("{n} same side", "{n} same side as above"),
    ands=(" & ", " + ", ", ", " and "),
)  # fmt: skip
SHORT = {
    "u_joint": ["uni"], "cv_joint_outboard": ["CV"], "cv_joint_inboard": ["CV"], "cv_boot_outboard": ["boot",
    "boot kit"],
    "cv_boot_inboard": ["boot", "boot kit"], "support_bearing": ["bearing", "brg"], "slip_spline": ["yoke"],
    "steering_joint": ["joint", "uni"], "half_shaft": ["shaft"], "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["front {n}", "tailshaft front {n}", "{n} g/box end", "front {n} on tailshaft",
            "tailshaft {n} gearbox end"],
        "rear.joint_centre": ["centre {n}", "tailshaft centre {n}", "mid {n} on tailshaft", "tailshaft {n} middle"],
        "rear.joint_rear": ["rear {n}", "tailshaft rear {n}", "{n} diff end", "rear {n} on tailshaft",
            "tailshaft {n} diff end"],
    },
    shafts=["tailshaft {n}", "{n} on tailshaft", "t/shaft {n}"],
    pairs=["tailshaft unis front & rear", "2 x unis tailshaft, both ends", "unis each end of tailshaft"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
JOINS = ("{a}. {b}", "{a} / {b}", "{a}. also {b}", "1. {a} 2. {b}", "{a}; {b}")
CLOSES = ("test drove ok", "RTS", "back to go-line", "tested & washed", "tag removed", "ok to use")
LOOKS = (". all else ok", ". rest of u/carriage checked ok", ". other items ok", ". levels checked")
#: Notes longer than this are written by somebody who sat down for it.
QUICK = 75
FILE = "LV work history.xlsx"


def clause(rng, job):
    """One job, without its further work; with an activity code the note is often the bare work."""
    if job.coded and rng.random() < 0.4:
        job = replace(job, reason=False)
    return BOOKS.clause(rng, job)


def _cased(rng, text):
    """Quick notes mostly in capitals, longer ones mostly as sentences."""
    if rng.random() < (0.72 if len(text) < QUICK else 0.15):
        return text.upper()
    return text if rng.random() < 0.25 else text[:1].upper() + text[1:]


def words(rng, job):
    """One line of a work order: one or two jobs, now and then with a remark or the usual close."""
    text = clause(rng, job)
    if job.second is not None:
        text = pick(rng, JOINS).format(a=text, b=clause(rng, job.second))
    if job.also == "other":
        pair = [text, spin(rng, pick(rng, said.OTHER))]
        text = pick(rng, JOINS).format(**dict(zip("ab", pair if rng.random() < 0.7 else pair[::-1], strict=True)))
    elif job.also == "look":
        text += pick(rng, LOOKS)
    elif job.kind == "renewal" and rng.random() < 0.16:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.45 else ""
        text += ". " + (remark or pick(rng, CLOSES))
    return {"text": _cased(rng, by_habit(rng, text.replace("..", "."), said.HABITS, share=0.18))}


MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew cab service truck", ("service_van", "all_wheel"): "AWD van",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Cab over crew truck",
    ("field_pickup", "four_wheel_independent"): "Dual cab ute 4x4 IFS",
    ("utility_4x4", "four_wheel_solid"): "Single cab tray 4x4 solid axle", ("yard_truck",
    "rear_one_piece"): "Store truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "Store truck LWB", ("town_car",
    "front_half_shafts"): "Town sedan FWD",
}  # fmt: skip
COLUMNS = {
    "WO": "order", "Completed": "date", "Unit": "unit", "SMU km": "odometer", "Work description": "text",
    "Comp code": "component", "Activity": "reason", "Stock code": "part_number", "Qty": "quantity", "Hrs": "hours",
    "Mat cost": "cost",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "DLUJ", "cv_joint_outboard": "DLCO", "cv_joint_inboard": "DLCI",
        "cv_boot_outboard": "DLBO", "cv_boot_inboard": "DLBI", "support_bearing": "DLCB", "slip_spline": "DLSY",
        "steering_joint": "STUJ"},
    "reason": {"failed": "BD", "worn": "IN", "planned": "PM", "collateral": "OP", "damage": "AD", "comeback": "RW"},
}  # fmt: skip
#: Sheets of the workbook: table -> title and headings.
SHEETS = {
    "repairs": ("WO history", tuple(COLUMNS)),
    "vehicles": ("LV list", ("Unit", "Model", "Group", "Work", "Area", "On site", "Km on site", "History from",
        "Off site")),
    "readings": ("Fuel bowser km", ("Unit", "Date", "Km")),
    "inspections": ("Service insp", ("Unit", "Date", "Km", "Where", "Result")),
    "ride_height": ("Lift kits", ("Unit", "Date", "Lift mm", "Note")),
    "parts": ("Catalogue", ("Stock code", "Component", "Group", "Renews", "Unit price", "Lead days", "Replaced by")),
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """One workbook; messy: titles, pages and blank rows around the work orders."""
    mess = Mess(titles=("LV WORKSHOP", "WO history - all areas"), page=80, blanks=3) if messy else CLEAN
    return write_book(shop, sheets, folder, FILE, SHEETS, mess=mess)


SHOP = Shop(
    name="P",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "LV"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["LV", "LV", "LV", "LV ", "LV-", "lv"])),
    },
    write=write,
    order_name=lambda job: f"W{int(job.order):07d}",
    codes=CODES,
    day=lambda day: day,
    number=lambda value, places: round(float(value), places),
    typos=0.1,
    shares=Shares(reason=0.82, place_full=0.8, component=0.94, coded=0.30, numbered=0.3, merge_leads=0.2, also=0.11),
    steering="right",
)
