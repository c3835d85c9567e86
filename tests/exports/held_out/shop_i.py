"""Shop I: a council depot for sweepers, refuse and tipper trucks and pickups, right-hand drive, miles.

The storeman types one work text a line as the fitters call it out, mostly in capitals. Tab-delimited text in a code
page; no codes.
"""

import re

from export_files import CLEAN, Mess
from exporting import Shares, Shop
from held_out import shop_i_phrases as said
from phrases import pick, tidy
from plain_files import write_texts
from vehicle_books import PlacingVoice, VehicleBooks, by_habit

VOICE = PlacingVoice(
    names={
        "u_joint": ["UJ", "U/J", "UJ", "uni joint", "uni jt", "universal jt", "UJ spider", "U.J."],
        "cv_joint_outboard": ["outer CV", "outer CV jt", "wheel end CV jt", "CV jt outer", "outer d/shaft joint",
            "hub end CV", "outer CV joint"],
        "cv_joint_inboard": ["inner CV", "inner CV jt", "inner pot joint", "CV jt inner", "inner d/shaft joint",
            "inner tripod jt", "inner CV joint"],
        "cv_boot_outboard": ["outer CV gaiter", "outer d/shaft gaiter", "wheel end CV gaiter", "CV gaiter outer",
            "outer CV boot", "outer driveshaft bellows", "outer gaiter on d/shaft"],
        "cv_boot_inboard": ["inner CV gaiter", "inner d/shaft gaiter", "g/box end CV gaiter", "CV gaiter inner",
            "inner CV boot", "inner driveshaft bellows", "inner gaiter on d/shaft"],
        "support_bearing": ["prop centre brg", "prop centre bearing", "centre brg", "prop carrier brg",
            "prop steady brg", "prop centre brg & rubber", "prop hanger brg", "propshaft centre brg"],
        "slip_spline": ["prop slider", "prop slip joint", "prop sliding yoke", "slip yoke", "prop slip yoke",
            "prop sliding spline", "sliding joint of prop"],
        "steering_joint": ["strg col UJ", "steering UJ", "strg shaft UJ", "steering col UJ", "strg UJ",
            "strg shaft joint", "steering shaft UJ", "column UJ"],
    },
    vague={
        "cv_joint_outboard": ["CV", "CV jt", "CV joint", "d/shaft CV"],
        "cv_joint_inboard": ["CV", "CV jt", "CV joint", "d/shaft CV"],
        "cv_boot_outboard": ["CV gaiter", "d/shaft gaiter", "driveshaft gaiter", "CV boot", "d/shaft bellows"],
        "cv_boot_inboard": ["CV gaiter", "d/shaft gaiter", "driveshaft gaiter", "CV boot", "d/shaft bellows"],
    },
    sides={
        "left": ["N/S {n}", "N/S {n}", "{n} N/S", "nearside {n}", "N/S/F {n}", "NSF {n}", "passenger side {n}",
            "kerb side {n}", "{n} (N/S)", "N/Side {n}", "L/H {n}", "n/side frt {n}"],
        "right": ["O/S {n}", "O/S {n}", "{n} O/S", "offside {n}", "O/S/F {n}", "OSF {n}", "drivers side {n}",
            "driver side {n}", "{n} (O/S)", "O/Side {n}", "R/H {n}", "o/side frt {n}"],
        "both": ["{n} both sides", "N/S & O/S {n}", "{n} N/S + O/S", "L/H + R/H {n}", "2 off {n}, N/S & O/S"],
    },
    places={
        "rear.joint_front": ["rear prop frt {n}", "rear prop {n} t/box end", "frt {n} on rear prop",
            "{n} rear prop, transfer box end"],
        "rear.joint_centre": ["rear prop centre {n}", "middle {n} on rear prop", "{n} rear prop, middle"],
        "rear.joint_rear": ["rear prop rear {n}", "rear prop {n} diff end", "back {n} on rear prop",
            "{n} rear prop, axle end"],
        "front.joint_front": ["frt prop frt {n}", "front prop {n} diff end", "frt {n} on front prop",
            "{n} front prop, axle end"],
        "front.joint_rear": ["frt prop rear {n}", "front prop {n} t/box end", "back {n} on front prop",
            "{n} front prop, transfer box end"],
        "steering.joint_upper": ["top {n}", "upper {n}", "{n} top", "{n} (top)"],
        "steering.joint_lower": ["bottom {n}", "lower {n}", "{n} bottom", "{n} at strg box"],
    },
    shafts={"rear": ["rear prop {n}", "{n} on rear prop"], "front": ["front prop {n}", "{n} on frt prop"]},
    axles=["frt axle {p}", "front axle {p}", "{p} in front axle", "{p}, front axle hub end", "front axle shaft {p}"],
    joins=(),
    half_shafts=["complete d/shaft", "driveshaft assy", "d/shaft assy", "whole d/shaft", "d/shaft c/w both CVs",
        "d/shaft complete", "driveshaft complete w/ joints"],
    pairs=["rear prop UJs both ends", "2 off UJ rear prop, frt & rear", "UJ pair, rear prop front + rear"],
    with_boot=["& gaiter", "c/w gaiter", "+ gaiter", "and gaiter kit"],
    both_boots=["inner & outer CV gaiters", "d/shaft gaiters inner + outer", "CV gaiters both ends of d/shaft"],
    same=["CV {n} same end", "{n} on same CV", "{n} for CV above, same end"],
    other_end=["CV {n} other end of same d/shaft", "{n} at other end of that d/shaft"],
    several=("{c} off {n}", "{c} x {n}", "{n} x {c}"),
    same_side=("{n} same side", "same side {n}"),
    ands=(" & ", " + ", ", ", " and "),
)  # fmt: skip
SHORT = {
    "u_joint": ["UJ"], "cv_joint_outboard": ["CV"], "cv_joint_inboard": ["CV"], "cv_boot_outboard": ["gaiter"],
    "cv_boot_inboard": ["gaiter"], "support_bearing": ["brg"], "slip_spline": ["yoke"], "steering_joint": ["UJ"],
    "half_shaft": ["shaft"], "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["prop frt {n}", "prop {n} g/box end", "front {n} on prop", "{n} prop frt, g/box end",
            "{n} at g/box", "prop {n} front"],
        "rear.joint_centre": ["prop centre {n}", "middle {n} on prop", "centre {n}", "prop {n}, middle",
            "prop {n} by centre brg"],
        "rear.joint_rear": ["prop rear {n}", "prop {n} diff end", "back {n} on prop", "rear {n}", "prop {n} axle end",
            "{n} at diff"],
    },
    shafts=["prop {n}", "{n} on prop", "propshaft {n}"],
    pairs=["prop UJs both ends", "2 off UJ prop frt & rear", "UJ pair, prop front + rear", "front & rear prop UJs"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
CLOSES = ("r/tested ok", "back on road", "card signed", "ok to go", "veh released", "bay 2", "job closed")
#: What only a shaft with flanges has; the joints within a front axle have none.
OF_A_PROP = re.compile(r"\bprop\b|\bbolts\b")


def clause(rng, job):
    """One job, without its further work."""
    text = BOOKS.clause(rng, job)
    while job.kind != "other" and job.lead.position.startswith("axle_") and OF_A_PROP.search(text):
        text = BOOKS.clause(rng, job)
    return text


def _cased(rng, text):
    """The capitals key is locked most days."""
    draw = rng.random()
    if draw < 0.76:
        return text.upper()
    return text.lower() if draw < 0.88 else text[:1].upper() + text[1:]


def words(rng, job):
    """The work text of one line."""
    text = clause(rng, job)
    if job.second is not None:
        text += pick(rng, [". also ", ". ", " / ", ". 2nd job: "]) + clause(rng, job.second)
    if job.also == "other":
        pair = [text, BOOKS.one_shaft.foreign(rng)]
        text = pick(rng, [". ", " / ", ". also "]).join(pair if rng.random() < 0.65 else pair[::-1])
    elif job.also == "look":
        text += pick(rng, [". rest of u/side ok", ". levels chkd", ". chkd over, rest ok"])
    elif job.kind == "renewal" and rng.random() < 0.18:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.5 else ""
        text += ". " + (remark or pick(rng, CLOSES))
    return {"text": _cased(rng, tidy(by_habit(rng, text, said.HABITS, share=0.16)).strip(" ."))}


COLUMNS = {
    "Job card": "order", "Date in": "date", "Fleet no": "unit", "Mileage": "odometer", "Work done": "text",
    "Stores ref": "part_number", "Qty": "quantity", "Fitter hrs": "hours", "Parts £": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("Fleet no", "Type", "Group", "Use", "Depot", "On fleet", "Mileage new", "Cards from", "Disposed"),
    "readings": ("Fleet no", "Fuel date", "Mileage"),
    "inspections": ("Fleet no", "Insp date", "Mileage", "Position", "Finding"),
    "ride_height": ("Fleet no", "Date", "Raised mm", "Remarks"),
    "parts": ("Stores ref", "Item", "Group", "Covers", "Price", "Lead days", "Now use"),
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "Caged tipper crew cab", ("service_van", "all_wheel"): "Welfare van AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Refuse truck tilt cab",
    ("field_pickup", "four_wheel_independent"): "Parks pickup 4x4", ("town_car", "front_half_shafts"): "Pool car",
    ("utility_4x4", "four_wheel_solid"): "Gritter pickup 4x4 beam axle",
    ("yard_truck", "rear_one_piece"): "Sweeper", ("yard_truck", "rear_one_piece+slip_spline"): "Sweeper long w/base",
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """Tab-delimited text, one file a table; messy: titles, pages and blank rows around the job cards."""
    mess = Mess(titles=("TRANSPORT STORES - JOB CARD LISTING", ""), page=58, blanks=3) if messy else CLEAN
    return write_texts(
        shop, sheets, folder, HEADINGS, lines="JOBCARDS.TXT", others={name: f"{name.upper()}.TXT" for name in HEADINGS},
        mess=mess, date_order="dmy", delimiter="\t", encoding="cp1252",
    )  # fmt: skip


SHOP = Shop(
    name="I",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "FL"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["FL", "FL", "FL", "FL ", "fl", "FL-"])),
    },
    write=write,
    order_name=lambda job: f"JC{int(job.order):06d}",
    distance_unit="mi",
    day=lambda day: day.strftime("%d/%m/%Y"),
    typos=0.08,
    shares=Shares(reason=0.84, place_full=0.80, place_part=0.08, component=0.95, numbered=0.3, merge_leads=0.2),
    steering="right",
)
