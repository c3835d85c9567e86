"""Shop V: a Midlands workshop for coaches and vans, right-hand drive, miles; job sheets typed up in the office.

One text a line, in British words. A workbook with real dates; the mileage is typed with commas and an "m" now and then.
"""

import re

import shop_v_phrases as said
from export_files import CLEAN, Mess
from exporting import Shares, Shop
from phrases import pick, spin
from plain_files import write_book
from vehicle_books import PlacingVoice, VehicleBooks, by_habit

VOICE = PlacingVoice(
    names={
        "u_joint": ["UJ", "UJ", "U/J", "universal joint", "u.j.", "uj", "univ joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "outer C/V joint", "wheel end CV joint", "outer cv jt",
            "o/er CV joint", "hub end CV"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "inner C/V joint", "inner pot joint", "inner tripod joint",
            "inboard CV joint", "inner cv jt"],
        "cv_boot_outboard": ["outer CV gaiter", "outer driveshaft gaiter", "outer d/shaft gaiter", "outer gaiter",
            "wheel end CV gaiter", "outer CV boot", "outer CV boot kit", "outer c.v. gaiter", "CV gaiter outer"],
        "cv_boot_inboard": ["inner CV gaiter", "inner driveshaft gaiter", "inner d/shaft gaiter", "inner gaiter",
            "inner CV boot", "inner CV boot kit", "inboard CV gaiter", "CV gaiter inner", "inner pot joint gaiter"],
        "support_bearing": ["centre bearing", "prop centre bearing", "propshaft centre bearing", "centre brg",
            "propshaft support bearing", "prop centre brg", "centre bearing on propshaft", "centre support bearing",
            "prop hanger bearing", "propshaft centre mounting bearing"],
        "slip_spline": ["prop slider", "sliding joint", "propshaft sliding joint", "prop sliding spline",
            "sliding yoke", "propshaft slider", "sliding joint on prop", "slip joint on propshaft"],
        "steering_joint": ["steering column UJ", "steering UJ", "steering shaft UJ", "column U/J", "steering UJ",
            "steering column universal joint", "steering col UJ", "steering joint on column"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV", "C/V joint", "driveshaft joint", "driveshaft CV"],
        "cv_joint_inboard": ["CV joint", "CV", "C/V joint", "driveshaft joint", "driveshaft CV"],
        "cv_boot_outboard": ["CV gaiter", "driveshaft gaiter", "CV boot", "d/shaft gaiter", "C/V boot kit"],
        "cv_boot_inboard": ["CV gaiter", "driveshaft gaiter", "CV boot", "d/shaft gaiter", "C/V boot kit"],
    },
    sides={
        "left": ["n/s {n}", "n/s/f {n}", "N/S/F {n}", "nearside {n}", "{n} n/s", "NSF {n}", "N/S {n}", "{n} nearside",
            "{n} n/s/f", "passenger side {n}"],
        "right": ["o/s {n}", "o/s/f {n}", "O/S/F {n}", "offside {n}", "{n} o/s", "OSF {n}", "O/S {n}", "{n} offside",
            "{n} o/s/f", "driver's side {n}"],
        "both": ["{n} both sides", "n/s & o/s {n}", "n/s + o/s {n}", "{n} n/s and o/s", "{n} x 2 both sides"],
    },
    places={
        "rear.joint_front": ["rear prop front {n}", "rear prop {n} transfer box end", "{n} at front of rear prop",
            "rear propshaft {n} t/box end", "front {n} on rear propshaft"],
        "rear.joint_centre": ["rear prop centre {n}", "centre {n} on rear prop", "rear propshaft middle {n}",
            "middle {n} of rear prop", "{n} in centre of rear prop"],
        "rear.joint_rear": ["rear prop rear {n}", "rear prop {n} axle end", "{n} at diff end of rear prop",
            "rear {n} of rear propshaft", "back {n} on rear prop"],
        "front.joint_front": ["front prop front {n}", "front prop {n} axle end", "{n} at diff end of front prop",
            "front {n} on front propshaft", "front propshaft {n} front axle end"],
        "front.joint_rear": ["front prop rear {n}", "front prop {n} transfer box end", "{n} at t/box end of front prop",
            "rear {n} on front propshaft", "back {n} of front prop"],
        "steering.joint_upper": ["upper {n}", "top {n}", "{n} (upper)", "{n}, top one", "upper {n}"],
        "steering.joint_lower": ["lower {n}", "bottom {n}", "{n} (lower)", "{n}, bottom one",
            "{n} at steering box end"],
    },
    shafts={"rear": ["rear prop {n}", "{n} on rear prop", "rear propshaft {n}", "rear p/shaft {n}"],
        "front": ["front prop {n}", "{n} on front prop", "front propshaft {n}", "front p/shaft {n}"]},
    axles=["front axle {p}", "{p} in front axle", "front axle halfshaft {p}", "{p} (front axle)",
        "{p} front axle shaft"],
    joins=(),
    half_shafts=["driveshaft complete", "driveshaft assembly", "complete driveshaft", "d/shaft assy", "driveshaft assy",
        "recon driveshaft", "driveshaft c/w joints", "exchange driveshaft"],
    pairs=["both UJs on rear prop", "rear prop UJs front and rear", "pair of UJs, rear prop",
        "2 off UJ, rear prop both "
        "ends"],
    with_boot=["and gaiter", "c/w gaiter", "+ gaiter", "with boot kit", "& gaiter", "inc gaiter"],
    both_boots=["inner and outer CV gaiters", "CV gaiters inner & outer", "both gaiters on driveshaft (inner/outer)"],
    same=["CV {n} same end", "{n} for same CV", "{n} to suit above CV"],
    other_end=["CV {n} other end of same shaft", "{n} at other end of that driveshaft"],
    several=("{c} x {n}", "{c} off {n}", "{c} no. {n}"),
    same_side=("{n} same side", "{n} same side as above"),
    ands=(" and ", " & ", " + ", ", "),
)  # fmt: skip
SHORT = {
    "u_joint": ["UJ", "joint"], "cv_joint_outboard": ["CV", "joint"], "cv_joint_inboard": ["CV", "joint"],
    "cv_boot_outboard": ["gaiter", "boot"], "cv_boot_inboard": ["gaiter", "boot"], "support_bearing": ["bearing",
        "brg"],
    "slip_spline": ["slider"], "steering_joint": ["UJ", "joint"], "half_shaft": ["shaft"], "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["front {n}", "prop front {n}", "{n} gearbox end of prop", "propshaft front {n}",
            "front {n} on prop", "prop {n} g/box end"],
        "rear.joint_centre": ["centre {n}", "prop centre {n}", "propshaft centre {n}", "middle {n} on prop",
            "prop middle {n}"],
        "rear.joint_rear": ["rear {n}", "prop rear {n}", "{n} diff end of prop", "propshaft rear {n}",
            "rear {n} on prop", "prop {n} axle end"],
    },
    shafts=["prop {n}", "propshaft {n}", "{n} on prop", "p/shaft {n}"],
    pairs=["both prop UJs", "front and rear UJs on prop", "pair of UJs on propshaft", "propshaft UJs both ends"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
JOINS = ("{a}. {b}", "{a}. Also {b}", "1) {a} 2) {b}", "{a} / {b}", "{a}; {b}", "{a}.\n{b}")
CLOSES = ("Road tested ok", "R/T ok", "All ok", "Wheel nuts torqued", "Released", "Back to traffic")


def clause(rng, job):
    """One job, without its further work."""
    return BOOKS.clause(rng, job)


def _cased(rng, text):
    """The office types as the fitter wrote: capitals, none, or one at the beginning of each sentence."""
    draw = rng.random()
    if draw < 0.2:
        return text.upper()
    if draw < 0.45:
        return text.lower()
    return re.sub(r"(^|\. |\n)([a-z])", lambda found: found.group(1) + found.group(2).upper(), text)


def words(rng, job):
    """One line of a job sheet: one or two jobs, now and then with a remark or the usual close."""
    text = clause(rng, job)
    if job.second is not None:
        text = pick(rng, JOINS).format(a=text, b=clause(rng, job.second))
    if job.also == "other":
        pair = [text, spin(rng, pick(rng, said.OTHER))]
        text = pick(rng, JOINS).format(**dict(zip("ab", pair if rng.random() < 0.65 else pair[::-1], strict=True)))
    elif job.also == "look":
        text += pick(rng, [". Rest of running gear checked ok", ". Other side checked ok", ". Lights and levels ok"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.5 else ""
        text += ". " + (remark or pick(rng, CLOSES))
    return {"text": _cased(rng, by_habit(rng, text, said.HABITS, share=0.12))}


FILE = "workshop jobs.xlsx"
COLUMNS = {
    "Job sheet": "order", "Date in": "date", "Fleet no": "unit", "Mileage": "odometer", "Work carried out": "text",
    "Part no": "part_number", "Qty": "quantity", "Hrs": "hours", "Parts (net)": "cost",
}  # fmt: skip
#: Sheets of the workbook.
SHEETS = {
    "vehicles": "Fleet list", "readings": "Mileages", "repairs": "Job lines", "inspections": "PMI items",
    "ride_height": "Lifts fitted", "parts": "Stock items",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("Fleet no", "Type", "Group", "Work", "Base", "Into fleet", "Mileage in", "Sheets from", "Sold"),
    "readings": ("Fleet no", "Date", "Mileage"),
    "inspections": ("Fleet no", "Date", "Mileage", "Item", "Result"),
    "ride_height": ("Fleet no", "Date", "Lift mm", "Notes"),
    "parts": ("Part no", "Component", "Group", "Includes", "Price", "Lead days", "Replaced by"),
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "33 seat midi coach", ("service_van", "all_wheel"): "17 seat minibus AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "35 seat midi coach fwd control",
    ("field_pickup", "four_wheel_independent"): "Double cab 4x4", ("utility_4x4", "four_wheel_solid"): "Recovery 4x4",
    ("yard_truck", "rear_one_piece"): "Parcel van RWD", ("yard_truck", "rear_one_piece+slip_spline"): "Luton van RWD",
    ("town_car", "front_half_shafts"): "Taxi / MPV FWD",
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """One workbook; messy: titles, totals and blank rows around the job lines."""
    mess = Mess(titles=("WORKSHOP JOB LINES", "Printed 30/06/26"), page=55, totals=(7, 8), blanks=3) if messy else CLEAN
    titles = {key: (sheet, HEADINGS.get(key, tuple(COLUMNS))) for key, sheet in SHEETS.items()}
    return write_book(shop, sheets, folder, FILE, titles, mess=mess)


def _number(value, places):
    """Mileages as text with a comma, other figures as numbers."""
    return f"{value:,.0f}" if places == 0 and value >= 1000 else round(float(value), places)


SHOP = Shop(
    name="V",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "MC"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["MC", "MC", "MC ", "mc", "MC-"])),
    },
    write=write,
    order_name=lambda job: f"J{int(job.order):05d}",
    distance_unit="mi",
    day=lambda day: day,
    number=_number,
    typos=0.08,
    shares=Shares(reason=0.86, place_full=0.8, place_part=0.08, component=0.95, numbered=0.2, merge_leads=0.22,
        also=0.12),
    steering="right",
)  # fmt: skip
