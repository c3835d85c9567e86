"""Shop Y: a well-kept municipal fleet on the continent, left-hand drive, kilometres; terse foreign English.

Part numbers on every other line, codes for component and reason on a good third of the single ones, whose text is
often short. Semicolon text with a title, decimal commas, dots in thousands.
"""

from dataclasses import replace

import shop_y_phrases as said
from export_files import Mess
from exporting import Shares, Shop
from phrases import pick, spin
from plain_files import write_texts
from vehicle_books import PlacingVoice, VehicleBooks, by_habit

VOICE = PlacingVoice(
    names={
        "u_joint": ["cross joint", "universal joint", "joint cross", "cross piece", "universal joint", "cross set",
            "cross"],
        "cv_joint_outboard": ["outer CV joint", "homokinetic joint wheel side", "outer homokinetic joint",
            "CV joint outside",
            "joint wheel side of drive shaft", "drive shaft outer joint", "outer joint of drive shaft"],
        "cv_joint_inboard": ["inner CV joint", "homokinetic joint gearbox side", "inner homokinetic joint",
            "CV joint inside",
            "joint gearbox side of drive shaft", "drive shaft inner joint", "inner joint of drive shaft",
            "tripod joint inside"],
        "cv_boot_outboard": ["outer CV boot", "bellows wheel side of drive shaft", "outer drive shaft bellows",
            "outer dust "
            "sleeve of drive shaft", "drive shaft boot wheel side", "CV sleeve outside", "rubber boot outer CV joint"],
        "cv_boot_inboard": ["inner CV boot", "bellows gearbox side of drive shaft", "inner drive shaft bellows",
            "inner dust "
            "sleeve of drive shaft", "drive shaft boot gearbox side", "CV sleeve inside", "rubber boot inner CV joint"],
        "support_bearing": ["middle bearing of cardan", "cardan intermediate bearing", "cardan shaft center bearing",
            "intermediate bearing of cardan shaft", "cardan support bearing", "middle bearing cardan shaft", "cardan "
            "suspension bearing", "center bearing with rubber of cardan"],
        "slip_spline": ["sliding piece of cardan", "cardan sliding piece", "sliding fork of cardan shaft",
            "cardan shaft spline",
            "sliding sleeve of cardan shaft", "sliding joint of cardan", "cardan length compensation (splines)"],
        "steering_joint": ["steering shaft joint", "cross joint of steering column", "steering column joint",
            "cardan joint "
            "of steering", "steering spindle joint", "joint of steering shaft", "steering universal joint"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "homokinetic joint", "drive shaft joint", "joint of drive shaft"],
        "cv_joint_inboard": ["CV joint", "homokinetic joint", "drive shaft joint", "joint of drive shaft"],
        "cv_boot_outboard": ["CV boot", "drive shaft bellows", "drive shaft boot", "dust sleeve of drive shaft"],
        "cv_boot_inboard": ["CV boot", "drive shaft bellows", "drive shaft boot", "dust sleeve of drive shaft"],
    },
    sides={
        "left": ["{n} left", "left {n}", "{n} left side", "{n} driver side", "{n} front left", "{n} (left)",
            "left side {n}",
            "{n} le."],
        "right": ["{n} right", "right {n}", "{n} right side", "{n} passenger side", "{n} front right", "{n} (right)",
            "right side {n}", "{n} ri.", "{n} co-driver side"],
        "both": ["{n} left and right", "{n} both sides", "{n} left + right", "both sides {n}", "{n} le. + ri."],
    },
    places={
        "rear.joint_front": ["{n} cardan rear, transfer box side", "rear cardan shaft {n} in front",
            "{n} front of rear cardan "
            "shaft", "rear cardan {n} transfer box side"],
        "rear.joint_centre": ["{n} cardan rear, middle", "rear cardan shaft {n} in the middle",
            "middle {n} of rear cardan shaft"],
        "rear.joint_rear": ["{n} cardan rear, differential side", "rear cardan shaft {n} behind",
            "{n} rear end of rear cardan "
            "shaft", "rear cardan {n} diff. side"],
        "front.joint_front": ["{n} cardan front, differential side", "front cardan shaft {n} in front",
            "{n} front end of front "
            "cardan shaft", "front cardan {n} diff. side"],
        "front.joint_rear": ["{n} cardan front, transfer box side", "front cardan shaft {n} behind",
            "{n} rear end of front "
            "cardan shaft", "front cardan {n} transfer box side"],
        "steering.joint_upper": ["{n} upper", "upper {n}", "{n} above", "{n} (upper)"],
        "steering.joint_lower": ["{n} lower", "lower {n}", "{n} below", "{n} (lower)", "{n} steering gear side"],
    },
    shafts={"rear": ["{n} of rear cardan shaft", "rear cardan {n}", "{n} cardan rear"],
        "front": ["{n} of front cardan shaft", "front cardan {n}", "{n} cardan front"]},
    axles=["{p} in front axle", "front axle {p}", "{p} of front axle shaft", "{p}, front axle"],
    joins=(),
    half_shafts=["drive shaft complete", "complete drive shaft with joints", "half shaft complete",
        "drive shaft assembly",
        "semi-axle complete with joints", "half axle complete"],
    pairs=["both cross joints of rear cardan shaft", "2 pcs universal joint rear cardan, front and rear end",
        "cross joints "
        "rear cardan both ends"],
    with_boot=["with boot", "and bellows", "+ sleeve", "with bellows", "incl. boot"],
    both_boots=["bellows inside and outside of drive shaft", "inner and outer CV boot",
        "drive shaft sleeves wheel side and "
        "gearbox side"],
    same=["CV {n} same end", "{n} of same CV", "{n} to the same CV joint"],
    other_end=["CV {n} other end of same drive shaft", "{n} at the other end of this drive shaft"],
    several=("{c} pcs {n}", "{n} {c} pcs", "{c} x {n}"),
    same_side=("{n} same side", "{n} of same side"),
    ands=(" and ", " + ", ", ", " with "),
)  # fmt: skip
SHORT = {
    "u_joint": ["cross", "joint"], "cv_joint_outboard": ["joint"], "cv_joint_inboard": ["joint"],
        "cv_boot_outboard": ["boot",
        "bellows"], "cv_boot_inboard": ["boot", "bellows"], "support_bearing": ["bearing"],
        "slip_spline": ["sliding piece"],
    "steering_joint": ["joint"], "half_shaft": ["shaft"], "several": ["parts"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["{n} cardan in front", "front {n}", "{n} cardan gearbox side", "cardan shaft {n} front",
            "{n} gearbox side"],
        "rear.joint_centre": ["{n} cardan middle", "middle {n}", "cardan shaft {n} in the middle",
            "center {n} of cardan"],
        "rear.joint_rear": ["{n} cardan behind", "rear {n}", "{n} cardan axle side", "cardan shaft {n} rear",
            "{n} cardan differential side"],
    },
    shafts=["{n} of cardan shaft", "cardan shaft {n}", "{n} cardan"],
    pairs=["both cross joints of cardan shaft", "2 pcs universal joint cardan, front and rear",
        "cardan cross joints both ends"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
JOINS = ("{a}. {b}", "{a}; {b}", "{a}. Also: {b}", "1. {a} 2. {b}", "- {a} - {b}")
CLOSES = ("Test drive in order", "Vehicle ready", "Proved", "o.k.", "Finished", "Given back to department")


def clause(rng, job):
    """One job, without its further work; with a code for the reason the text is often short."""
    if job.coded and rng.random() < 0.5:
        job = replace(job, reason=False)
    return BOOKS.clause(rng, job)


def words(rng, job):
    """One line of an order: one or two jobs, now and then with a remark or the usual close."""
    text = clause(rng, job)
    if job.second is not None:
        text = pick(rng, JOINS).format(a=text, b=clause(rng, job.second))
    if job.also == "other":
        pair = [text, spin(rng, pick(rng, said.OTHER))]
        text = pick(rng, JOINS).format(**dict(zip("ab", pair if rng.random() < 0.65 else pair[::-1], strict=True)))
    elif job.also == "look":
        text += pick(rng, [". Rest controlled, good", ". Levels controlled", ". Other side in order"])
    elif job.kind == "renewal" and rng.random() < 0.18:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.5 else ""
        text += ". " + (remark or pick(rng, CLOSES))
    text = by_habit(rng, text, said.HABITS, share=0.16)
    return {"text": text.upper() if rng.random() < 0.1 else text[:1].upper() + text[1:]}


COLUMNS = {
    "Order": "order", "Closed": "date", "Inv. no.": "unit", "Km": "odometer", "Comp. code": "component",
    "Cause code": "reason", "Description of work": "text", "Article": "part_number", "Pcs": "quantity",
    "Hours": "hours",
    "Material EUR": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("Inv. no.", "Type", "Category", "Use", "Depot", "First use", "Km first", "Orders since", "Taken out"),
    "readings": ("Inv. no.", "Day", "Km"),
    "inspections": ("Inv. no.", "Day", "Km", "Point", "Finding"),
    "ride_height": ("Inv. no.", "Day", "Raised mm", "Remark"),
    "parts": ("Article", "Component", "Category", "Contains", "Price EUR", "Delivery days", "Replaced by"),
}  # fmt: skip
CODES = {
    "component": {"u_joint": "K10", "cv_joint_outboard": "A21", "cv_joint_inboard": "A22", "cv_boot_outboard": "A31",
        "cv_boot_inboard": "A32", "support_bearing": "K20", "slip_spline": "K30", "steering_joint": "L14"},
    "reason": {"failed": "01", "worn": "02", "planned": "03", "collateral": "04", "damage": "05", "comeback": "06"},
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "Truck double cabin", ("service_van", "all_wheel"): "Van all wheel",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Truck front cabin", ("field_pickup", "four_wheel_independent"):
    "Pickup 4x4", ("utility_4x4", "four_wheel_solid"): "Forest 4x4 rigid axle", ("yard_truck", "rear_one_piece"):
    "Small tipper", ("yard_truck", "rear_one_piece+slip_spline"): "Small tipper long", ("town_car",
    "front_half_shafts"):
    "Car inspection service",
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """Semicolon text with a title above the orders; messy: pages, totals and blank rows as well."""
    titles = ("Municipal vehicle park - workshop orders", "")
    mess = Mess(titles=titles, page=75, totals=(10,), blanks=2) if messy else Mess(titles=titles)
    return write_texts(
        shop, sheets, folder, HEADINGS, lines="orders.csv", others={name: f"park_{name}.csv" for name in HEADINGS},
        mess=mess, date_order="dmy", delimiter=";", encoding="cp1252",
    )  # fmt: skip


def _number(value, places):
    """A figure with a decimal comma and dots in thousands."""
    return f"{value:,.{places}f}".translate(str.maketrans(",.", ".,"))


SHOP = Shop(
    name="Y",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "M-"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["M-", "M-", "M-", "M"])),
    },
    write=write,
    order_name=lambda job: f"26-{int(job.order):05d}",
    codes=CODES,
    day=lambda day: day.strftime("%d.%m.%Y"),
    number=_number,
    typos=0.06,
    part_name=lambda number: "P" + number.replace("-", "."),
    shares=Shares(reason=0.84, place_full=0.84, component=0.96, coded=0.36, numbered=0.5, merge_leads=0.16, also=0.08),
)
