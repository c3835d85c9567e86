"""Shop AB: a small North American contractor's shop, left-hand drive, miles; one mechanic's shorthand in one column.

Several jobs in a line, few full stops, slips of the keyboard. Two workbooks that the office keeps by hand: the shop's
log under a title, and one with the trucks, fuel readings and shelf stock. Real dates and numbers.
"""

import re

from export_files import Mess, Sheet, write_workbook
from exporting import Shares, Shop
from held_out import shop_ab_phrases as said
from phrases import pick, spin, tidy
from vehicle_books import PlacingVoice, VehicleBooks, by_habit, settings_text

VOICE = PlacingVoice(
    names={
        "u_joint": ["ujt", "u jt", "u-jt", "u joint", "u/j", "cross & caps", "univ jt", "ujnt"],
        "cv_joint_outboard": ["outr cv", "outer cv jt", "outside cv", "whl end cv", "cv jt whl end", "o/b cv jt"],
        "cv_joint_inboard": ["innr cv", "inner cv jt", "inside cv", "tranny side cv", "plunge cv", "i/b cv jt",
            "inr tripod "
            "jt"],
        "cv_boot_outboard": ["outr cv boot", "outer boot on axle", "outside cv boot", "whl end cv boot", "o/b cv boot",
            "outr cv bt"],
        "cv_boot_inboard": ["innr cv boot", "inner boot on axle", "inside cv boot", "tranny side cv boot",
            "i/b cv boot",
            "innr cv bt"],
        "support_bearing": ["hngr brg", "carrier brg on shaft", "d-line hanger brg", "cntr supt brg", "drvshft mid brg",
            "center brg w/ rubber", "hanger bearing"],
        "slip_spline": ["slip yoke", "slip yk", "drvshft slip jt", "slip splines", "d-line slip", "slip stub yoke"],
        "steering_joint": ["strng shft jt", "steerin shaft ujt", "strng col ujt", "steer shaft u jt",
            "strng shft knuckle jt"],
    },
    vague={
        "cv_joint_outboard": ["cv", "cv jt", "axle cv", "cv joint"],
        "cv_joint_inboard": ["cv", "cv jt", "axle cv", "cv joint"],
        "cv_boot_outboard": ["cv boot", "cv bt", "axle boot", "boot on cv"],
        "cv_boot_inboard": ["cv boot", "cv bt", "axle boot", "boot on cv"],
    },
    sides={
        "left": ["lf {n}", "l frt {n}", "drv side {n}", "{n} drv side", "{n} lf", "left {n}", "lft {n}", "{n} on left",
            "drv frt {n}", "{n} lh"],
        "right": ["rf {n}", "r frt {n}", "pass side {n}", "{n} pass side", "{n} rf", "right {n}", "rgt {n}",
            "{n} on right",
            "ditch side {n}", "{n} rh"],
        "both": ["l+r {n}", "{n} both frt whls", "lf & rf {n}", "{n} ea side", "{n} l/r", "{n} x2 l+r"],
    },
    places={
        "rear.joint_front": ["bk shaft {n} xfer end", "{n} on bk shaft @ t-case", "rr d-line frt {n}",
            "frt {n}, bk shaft"],
        "rear.joint_centre": ["bk shaft mid {n}", "{n} @ hngr, bk shaft", "rr d-line cntr {n}", "mid {n} on bk shaft"],
        "rear.joint_rear": ["bk shaft {n} pumpkin end", "{n} on bk shaft @ rr diff", "rr d-line rear {n}",
            "{n} rr pinion"],
        "front.joint_front": ["frt shaft {n} pumpkin end", "{n} on frt shaft @ frt diff", "frt d-line frt {n}",
            "{n} frt pinion"],
        "front.joint_rear": ["frt shaft {n} xfer end", "{n} on frt shaft @ t-case", "frt d-line rear {n}",
            "bk {n} of frt shaft"],
        "steering.joint_upper": ["upr {n}", "top {n}", "{n} up top", "{n} @ column"],
        "steering.joint_lower": ["lwr {n}", "bottom {n}", "{n} down low", "{n} @ gearbox"],
    },
    shafts={"rear": ["bk shaft {n}", "{n} on bk shaft", "rr d-line {n}"],
        "front": ["frt shaft {n}", "{n} on frt shaft", "frt d-line {n}"]},
    axles=["frt axle {p}", "{p} @ knuckle frt axle", "{p} in frt axle", "steer axle {p}"],
    joins=(),
    half_shafts=["cv axle", "hole cv axle", "cv axle assy", "complt cv shaft", "axle shaft w/ both cvs",
    "reman cv axle"],
    pairs=["both end ujts bk shaft", "frt & rr ujts bk shaft", "2 ujts bk shaft, xfer end + pumpkin end"],
    with_boot=["& boot", "w/ boot", "+ boot", "+ bt kit"],
    both_boots=["innr + outr cv boots", "cv boots in & out", "2 cv boots (innr/outr)"],
    same=["cv {n} same end", "{n} on that same cv", "{n} for cv abv"],
    other_end=["cv {n} othr end same axle", "{n} on othr end of that cv axle"],
    several=("{c} {n}", "{c}x {n}", "{n} x{c}"),
    same_side=("{n} same side", "same side {n}"),
    ands=(" & ", " + ", ", ", " and "),
)  # fmt: skip
SHORT = {
    "u_joint": ["ujt", "jt"], "cv_joint_outboard": ["cv", "jt"], "cv_joint_inboard": ["cv", "jt"],
    "cv_boot_outboard": ["boot"], "cv_boot_inboard": ["boot"], "support_bearing": ["brg"], "slip_spline": ["yoke"],
    "steering_joint": ["jt"], "half_shaft": ["axle", "shaft"], "several": ["parts", "stuff"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["frt {n}", "{n} tranny end", "shaft {n} @ trans", "d-line {n} frt", "frt {n} on drvshft"],
        "rear.joint_centre": ["mid {n}", "cntr {n}", "{n} @ hngr", "d-line {n} middle"],
        "rear.joint_rear": ["rr {n}", "{n} pumpkin end", "shaft {n} @ diff", "d-line {n} rear", "{n} @ pinion"],
    },
    shafts=["drvshft {n}", "{n} on d-line", "shaft {n}"],
    pairs=["frt & rr ujts d-line", "both end ujts on drvshft", "2 ujts, tranny end + pumpkin end"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
CLOSES = ("greasd all", "drove it, good", "ok", "out the door", "torqd", "done")


def clause(rng, job):
    """One job, without its further work."""
    return BOOKS.clause(rng, job)


def _strung(rng, one, other):
    """Two jobs of one line, one behind the other."""
    ways = ["1) {} 2) {}", "1. {} 2. {}", "{} // {}", "{}; {}", "-{} -{}", "{}. also {}", "{} --- {}", "{}. then {}"]
    return pick(rng, ways).format(one, other)


def _told(rng, job):
    """One job as it is typed that day: stops left out or made commas."""
    text = clause(rng, job)
    if rng.random() < 0.3:
        text = re.sub(r"(?<=[a-z&)])\. (?=[a-z])", pick(rng, [", ", " - ", " "]), text)
    return text


def _cased(rng, text):
    """The text with the capitals locked, with one to begin with, or as it is."""
    draw = rng.random()
    if draw < 0.07:
        return text.upper()
    return text[:1].upper() + text[1:] if draw < 0.16 else text


def words(rng, job):
    """The one column of a line of the log."""
    text = _told(rng, job)
    if job.second is not None:
        text = _strung(rng, text, _told(rng, job.second))
    if job.also == "other":
        pair = [text, tidy(spin(rng, pick(rng, said.OTHER)))]
        text = _strung(rng, *(pair if rng.random() < 0.6 else pair[::-1]))
    elif job.also == "look":
        text += pick(rng, [". ckd rest ok", ", othr jts ok", ". lookd over rest of drive train, good"])
    elif job.kind == "renewal" and rng.random() < 0.28:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.5 else ""
        text += pick(rng, [". ", " / ", " -- "]) + (remark or pick(rng, CLOSES))
    return {"text": by_habit(rng, _cased(rng, text), said.HABITS, share=0.1)}


COLUMNS = {
    "Date": "date", "Truck": "unit", "WO": "order", "Miles": "odometer", "What was done": "text", "Hrs": "hours",
    "Part #": "part_number", "Parts $": "cost",
}  # fmt: skip
SHEETS = {
    "vehicles": ("Trucks", ("Truck", "What it is", "Kind", "Job", "Yard", "Got it", "Miles when got", "Log starts",
        "Gone")),
    "readings": ("Fuel card", ("Truck", "Date", "Miles")),
    "inspections": ("Walkarounds", ("Truck", "Date", "Miles", "Point", "Cond")),
    "ride_height": ("Lift kits", ("Truck", "Date", "Lift mm", "Note")),
    "parts": ("Shelf", ("Part #", "Part", "Fits", "Set incl", "Our cost", "Days to get", "Now use")),
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "2 ton flatbed", ("service_van", "all_wheel"): "awd van",
    ("crew_truck", "rear_two_piece+steering_shaft"): "2 ton cabover", ("field_pickup", "four_wheel_independent"):
    "1/2 ton 4x4", ("utility_4x4", "four_wheel_solid"): "1 ton 4x4 plow", ("yard_truck",
    "rear_one_piece"): "sgl axle dump",
    ("yard_truck", "rear_one_piece+slip_spline"): "water truck", ("town_car", "front_half_shafts"): "office car",
}  # fmt: skip
LOG, TRUCKS = "shop log.xlsx", "trucks and shelf.xlsx"


def write(shop, sheets, folder, messy):
    """Two workbooks, the log always under its title; messy: the headings again and blank rows as well."""
    titles = ("Shop log - all trucks", "printed 6/30/26")
    mess = Mess(titles=titles, page=50, blanks=3) if messy else Mess(titles=titles[:1])
    places = write_workbook(folder / LOG, {"Log": sheets["repairs"]}, messes={"Log": mess}, date_format="m/d/yy")["Log"]
    named = {title: Sheet(headings, sheets[name].rows) for name, (title, headings) in SHEETS.items()}
    write_workbook(folder / TRUCKS, named, date_format="m/d/yy")
    files = {"repairs": f'file = "{LOG}"'}
    files |= {name: f'file = "{TRUCKS}"\nsheet = "{title}"' for name, (title, _) in SHEETS.items()}
    text = settings_text(shop, sheets, {name: own for name, (_, own) in SHEETS.items()}, files=files)
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="AB",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "#"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["#", "#", "", "# "])),
    },
    write=write,
    order_name=lambda job: f"W{int(job.order)}",
    distance_unit="mi",
    day=lambda day: day,
    number=lambda value, places: round(float(value), places),
    typos=0.16,
    shares=Shares(reason=0.84, place_full=0.8, component=0.94, numbered=0.2, merge_leads=0.45, also=0.3),
)
