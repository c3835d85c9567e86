"""Shop R: an outback station and mine-support workshop, right-hand drive; spoken sentences and curt notes."""

import re
from dataclasses import dataclass
from datetime import date

from clauses import Phrasebook
from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited, write_workbook
from exporting import Shares, Shop, settings_head
from phrases import Voice, pick
from shop_r_phrases import (
    COLLATERAL,
    COMEBACK,
    DAMAGE,
    FAILED,
    IDLE,
    OTHER,
    PLANNED,
    SHORT_COLLATERAL,
    SHORT_COMEBACK,
    SHORT_DAMAGE,
    SHORT_FAILED,
    SHORT_IDLE,
    SHORT_PLANNED,
    SHORT_UNSAID,
    SHORT_WORN,
    SYMPTOMS,
    UNSAID,
    WORN,
)

_AFTER = ("at ", "in ", "on ", "of ", "behind ")


@dataclass(frozen=True)
class SpokenVoice(Voice):
    """Nouns as people say them: with an article, places before or after the name."""

    def placed(self, rng, name, place):
        if not place:
            return f"the {name}"
        if place.startswith(_AFTER):
            return f"the {name} {place}"
        if (place.endswith(("side", "left", "right"))) and rng.random() < 0.45:
            return f"the {name} on the {place}" + ("" if place.endswith("side") else "-hand side")
        return f"the {place} {name}"


SPOKEN = SpokenVoice(
    names={
        "u_joint": ["uni", "uni joint", "universal", "universal joint", "uni cross", "unijoint", "u-joint",
            "uni joint and caps", "spider joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "outside CV", "wheel end CV", "hub end CV joint",
            "outboard CV", "wheel side CV joint", "outer drive shaft joint", "outer constant velocity joint"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "inside CV", "diff end CV", "diff side CV joint",
            "inboard CV", "inner plunge joint", "inner drive shaft joint", "inner constant velocity joint"],
        "cv_boot_outboard": ["outer CV boot", "outer boot", "outside CV boot", "wheel end CV boot", "hub end boot",
            "outboard CV boot", "rubber boot for the outer CV", "outer drive shaft boot", "outer CV rubber",
            "wheel side CV gaiter"],
        "cv_boot_inboard": ["inner CV boot", "inner boot", "inside CV boot", "diff end CV boot", "diff side boot",
            "inboard CV boot", "rubber boot for the inner CV", "inner drive shaft boot", "inner CV rubber",
            "diff side CV gaiter"],
        "support_bearing": ["centre bearing", "tailshaft centre bearing", "tailshaft hanger bearing",
            "centre support bearing", "tailshaft carrier bearing", "tailshaft steady bearing", "hanger bearing",
            "centre bearing and its rubber", "middle bearing for the tailshaft"],
        "slip_spline": ["slip yoke", "tailshaft slip joint", "sliding spline", "splined slip yoke",
            "tailshaft slip yoke", "sliding yoke", "slip joint on the tailshaft", "tailshaft slip spline",
            "sliding joint in the tailshaft"],
        "steering_joint": ["steering shaft uni", "steering column uni", "steering uni joint", "steering shaft joint",
            "universal in the steering shaft", "column uni joint", "steering column universal", "steering universal",
            "uni joint in the steering column"],
    },
    vague={
        "cv_joint_outboard": ["CV", "CV joint", "drive shaft CV", "constant velocity joint"],
        "cv_joint_inboard": ["CV", "CV joint", "drive shaft CV", "constant velocity joint"],
        "cv_boot_outboard": ["CV boot", "drive shaft boot", "CV rubber", "rubber boot on the CV shaft", "CV gaiter"],
        "cv_boot_inboard": ["CV boot", "drive shaft boot", "CV rubber", "rubber boot on the CV shaft", "CV gaiter"],
    },
    sides={
        "left": ["left", "left", "passenger side", "left side", "passenger's side", "near side", "LH"],
        "right": ["right", "right", "driver's side", "right side", "driver side", "off side", "RH"],
        "both": ["left and right", "on both sides", "driver's and passenger's side", "on the left and the right"],
    },
    places={
        "rear.joint_front": ["at the front of the rear tailshaft", "at the gearbox end of the rear tailshaft",
            "at the front end of the back tailshaft", "on the front of the back shaft"],
        "rear.joint_front|alone": ["at the gearbox end of the tailshaft", "at the front of the tailshaft", "front",
            "at the gearbox end", "behind the gearbox"],
        "rear.joint_centre": ["in the middle of the rear tailshaft", "behind the centre bearing on the rear tailshaft",
            "at the centre of the back tailshaft"],
        "rear.joint_centre|alone": ["in the middle of the tailshaft", "centre", "middle", "behind the centre bearing",
            "at the centre of the tailshaft"],
        "rear.joint_rear": ["at the diff end of the rear tailshaft", "at the back of the rear tailshaft",
            "at the rear diff", "on the back end of the rear tailshaft", "at the rear diff end of the back shaft"],
        "rear.joint_rear|alone": ["at the diff end of the tailshaft", "at the back of the tailshaft", "rear",
            "at the diff", "diff end", "on the diff end of the shaft"],
        "front.joint_front": ["at the diff end of the front prop shaft", "at the front of the front shaft",
            "at the front diff", "on the front diff end of the front tailshaft"],
        "front.joint_rear": ["at the transfer case end of the front prop shaft", "at the back of the front shaft",
            "on the transfer end of the front tailshaft", "at the rear end of the front prop shaft"],
        "steering.joint_upper": ["upper", "top", "on the column end", "at the top end"],
        "steering.joint_lower": ["lower", "bottom", "at the steering box end", "at the bottom end"],
    },
    shafts={"rear": ["in the rear tailshaft", "on the back tailshaft", "in the rear shaft"],
        "front": ["in the front prop shaft", "on the front tailshaft", "front prop shaft"]},
    axles=["in the {p} front axle", "{p} front axle", "at the {p} front knuckle", "in the {p} front swivel hub",
        "{p} front axle shaft"],
    joins=["{n} {p}"],
    half_shafts=["complete CV shaft", "whole CV shaft with both joints", "complete drive shaft with both CVs",
        "complete CV axle", "front drive shaft assembly with the CVs", "changeover CV shaft assembly",
        "full CV shaft assembly", "whole front drive shaft with CVs and boots"],
    pairs=["both unis in the rear tailshaft", "the front and rear unis on the tailshaft",
        "the two uni joints in the rear tailshaft", "both universal joints on the rear tailshaft",
        "the pair of unis in the rear tailshaft"],
    with_boot=["and its boot", "and the boot on it", "boot and all", "along with its boot", "complete with boot"],
    both_boots=["inner and outer CV boots", "inner and outer boots", "two CV boots, inner and outer,",
        "inner and outer drive shaft boots"],
    same=["the {n} that goes with it", "the {n} at the same end", "the {n} on that same one"],
    same_side=("on that side", "on the same side"),
    ands=(" and ", " and also ", " plus ", " and "),
)  # fmt: skip
CURT = Voice(
    names={
        "u_joint": ["uni", "uni joint", "u/joint", "u/j", "uni jt", "universal", "unijoint", "univ joint",
            "uni cross"],
        "cv_joint_outboard": ["outer cv", "outer cv jt", "o/b cv", "wheel end cv", "hub end cv", "cv joint outer",
            "cv outer", "outer c.v. joint", "outside cv"],
        "cv_joint_inboard": ["inner cv", "inner cv jt", "i/b cv", "diff end cv", "diff side cv", "cv joint inner",
            "cv inner", "inner c.v. joint", "inside cv"],
        "cv_boot_outboard": ["outer cv boot", "outer boot", "o/b cv boot", "wheel end boot", "hub end cv boot",
            "cv boot outer", "outer cv rubber", "outside cv boot", "boot, outer cv"],
        "cv_boot_inboard": ["inner cv boot", "inner boot", "i/b cv boot", "diff end boot", "diff side cv boot",
            "cv boot inner", "inner cv rubber", "inside cv boot", "boot, inner cv"],
        "support_bearing": ["centre brg", "centre bearing", "t/shaft centre brg", "hanger brg", "tailshaft hanger",
            "ctr bearing", "tailshaft carrier brg", "centre support brg", "tailshaft steady brg"],
        "slip_spline": ["slip yoke", "slip joint", "t/shaft slip yoke", "sliding spline", "slip spline",
            "sliding yoke", "tailshaft slip jt", "splined yoke t/shaft"],
        "steering_joint": ["steering uni", "strg shaft uni", "steering col uni", "strg col u/j", "steering shaft jt",
            "steering uni jt", "strg column universal", "steering u/joint"],
    },
    vague={
        "cv_joint_outboard": ["cv", "cv joint", "cv jt", "drive shaft cv"],
        "cv_joint_inboard": ["cv", "cv joint", "cv jt", "drive shaft cv"],
        "cv_boot_outboard": ["cv boot", "cv rubber", "d/shaft boot", "cv gaiter"],
        "cv_boot_inboard": ["cv boot", "cv rubber", "d/shaft boot", "cv gaiter"],
    },
    sides={
        "left": ["LH", "l/h", "left", "lhs", "pass side", "passenger side", "l/hand", "n/s"],
        "right": ["RH", "r/h", "right", "rhs", "driver side", "drivers side", "r/hand", "o/s"],
        "both": ["both sides", "L+R", "lh & rh", "l/h and r/h", "left + right"],
    },
    places={
        "rear.joint_front": ["rear tailshaft front", "rear t/shaft gbox end", "rear tailshaft, front end",
            "rear shaft g/box end"],
        "rear.joint_front|alone": ["tailshaft front", "gbox end", "t/shaft g/box end", "front of t/shaft"],
        "rear.joint_centre": ["rear tailshaft centre", "rear t/shaft middle", "rear t/shaft ctr"],
        "rear.joint_centre|alone": ["tailshaft centre", "t/shaft middle", "centre", "middle of t/shaft"],
        "rear.joint_rear": ["rear tailshaft diff end", "rear t/shaft rear", "rear tailshaft, back end",
            "rear diff end", "rear shaft diff end"],
        "rear.joint_rear|alone": ["tailshaft diff end", "diff end", "t/shaft rear", "rear of tailshaft"],
        "front.joint_front": ["front shaft diff end", "front prop diff end", "front t/shaft front", "front diff end"],
        "front.joint_rear": ["front shaft transfer end", "front prop t/case end", "front t/shaft rear",
            "front prop shaft, tfr end"],
        "steering.joint_upper": ["upper", "top", "top end"],
        "steering.joint_lower": ["lower", "bottom", "strg box end", "lwr"],
    },
    shafts={"rear": ["rear tailshaft", "rear t/shaft", "rear shaft"],
        "front": ["front prop", "front t/shaft", "front prop shaft"]},
    axles=["{p} front axle", "front axle {p}", "{p} front knuckle", "{p} frt axle", "{p} front swivel hub"],
    joins=["{n} {p}", "{p} {n}", "{n} - {p}", "{n} ({p})", "{p} {n}"],
    half_shafts=["cv shaft complete", "cv shaft assy", "complete cv shaft", "complete cv axle",
        "front drive shaft assy c/w cvs", "c/o cv shaft complete", "drive shaft complete with cvs", "cv axle assy"],
    pairs=["both unis rear tailshaft", "unis x2 rear t/shaft", "uni joints x 2, rear tailshaft",
        "front + rear unis, rear t/shaft", "pr unis rear tailshaft"],
    with_boot=["+ boot", "c/w boot", "and boot", "& boot", "inc boot"],
    both_boots=["inner + outer cv boots", "cv boots inner & outer", "inner/outer boots", "both cv boots (in + out)"],
    same=["{n} same end", "{n} to suit above", "matching {n}"],
    same_side=("same side", "same side"),
    ands=(" + ", " & ", ", ", " and "),
)  # fmt: skip
SHORT = {
    "u_joint": ["uni", "joint"], "cv_joint_outboard": ["cv", "joint"], "cv_joint_inboard": ["cv", "joint"],
    "cv_boot_outboard": ["boot"], "cv_boot_inboard": ["boot"], "support_bearing": ["bearing"],
    "slip_spline": ["yoke"], "steering_joint": ["uni", "joint"], "half_shaft": ["shaft"],
    "several": ["parts", "bits"],
}  # fmt: skip
LONG_BOOK = Phrasebook(
    voice=SPOKEN, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER, short=SHORT,
)  # fmt: skip
SHORT_BOOK = Phrasebook(
    voice=CURT, symptoms={key: [s.removeprefix("a ") for s in texts] for key, texts in SYMPTOMS.items()},
    reasons={"failed": SHORT_FAILED, "worn": SHORT_WORN, "planned": SHORT_PLANNED, "collateral": SHORT_COLLATERAL,
        "damage": SHORT_DAMAGE, "comeback": SHORT_COMEBACK},
    unsaid=SHORT_UNSAID, idle=SHORT_IDLE, other=OTHER, short=SHORT,
)  # fmt: skip
HABITS = {
    "bearing": ["bering", "baring"], "universal": ["univeral", "universel"], "grease": ["greese", "greas"],
    "replaced": ["replased", "repalced"], "steering": ["stering"], "noise": ["nosie"], "noticed": ["notised"],
    "centre": ["center", "cenrte"], "driver": ["drivver"], "inspection": ["inspecton"], "tailshaft": ["tail shaft"],
    "passenger": ["passanger"], "schedule": ["shedule"], "warranty": ["warrenty"],
    "fitted": ["fited"], "vibration": ["vibraton"],
}  # fmt: skip


def _spelt(rng, text):
    """The text with one of the usual wrong spellings, in some of the lines."""
    held = [word for word in HABITS if re.search(rf"\b{word}\b", text)]
    if held and rng.random() < 0.14:
        word = pick(rng, held)
        text = re.sub(rf"\b{word}\b", pick(rng, HABITS[word]), text, count=1)
    return text


def _cased(rng, text):
    """Mixed case: most lines begin with a capital, some are all small or all capitals."""
    text = text.replace("side-hand side", "side").replace("front front", "front")
    if rng.random() < 0.08:
        return text.upper()
    if rng.random() < 0.3:
        return text.lower()
    return re.sub(r"(^|(?<!c\.v)\. )([a-z])", lambda m: m.group(1) + m.group(2).upper(), text)


def words(rng, job):
    """One remark: a spoken sentence or a curt note, some with further work or a close."""
    book, spoken = (LONG_BOOK, True) if rng.random() < 0.55 else (SHORT_BOOK, False)
    text = book.clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "1) {a} 2) {b}", "{a}. Other job, {b}", "{a} / {b}"]).format(
            a=text, b=book.clause(rng, job.second))  # fmt: skip
    if job.also == "other":
        text = pick(rng, ["{a}. {b}", "{b}. {a}", "{a}. Separate job, {b}"]).format(a=text, b=book.foreign(rng))
    elif job.also == "look":
        text += pick(rng, [". Rest of the driveline checked, no problems", ". Had a look at the other side, good"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = book.aside(rng, job, "later" if rng.random() < 0.5 else "look")
        close = [". took it for a run, all good", ". road tested ok", ". done", ". ready to go", ". good as gold"]
        text += f". {remark}" if spoken and remark and rng.random() < 0.4 else pick(rng, close)
    return {"text": _cased(rng, _spelt(rng, text))}


MODELS = {
    ("crew_truck", "rear_two_piece"): "Light truck tray, crew cab",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Light truck tray, cab over",
    ("service_van", "all_wheel"): "Service van AWD", ("field_pickup", "four_wheel_independent"): "Ute 4WD IFS",
    ("utility_4x4", "four_wheel_solid"): "Wagon 4WD live axle", ("yard_truck", "rear_one_piece"): "Yard truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard truck, long slip joint",
    ("town_car", "front_half_shafts"): "Town sedan FWD",
}  # fmt: skip
COLUMNS = {
    "Job": "order", "Day in": "date", "Plant": "unit", "Speedo": "odometer", "Fitter's remarks": "text",
    "Bin no": "part_number", "How many": "quantity", "Time on job": "hours", "Parts $": "cost",
    "Area": "component", "Cause": "reason",
}  # fmt: skip
CODES = {
    "component": {
        "u_joint": "UNI", "cv_joint_outboard": "CVO", "cv_joint_inboard": "CVI", "cv_boot_outboard": "BTO",
        "cv_boot_inboard": "BTI", "support_bearing": "CBR", "slip_spline": "SLP", "steering_joint": "STR"},
    "reason": {"failed": "BRK", "worn": "INS", "planned": "PLN", "collateral": "ALS", "damage": "DMG",
        "comeback": "AGN"},
}  # fmt: skip
#: Headings of the sheets of the register, in the order in which the tables are given, and the sheet names.
REGISTER = {
    "vehicles": ("Plant list", ("Plant", "What it is", "Class", "Use", "Shed", "On strength", "Speedo then",
        "Book from", "Sold")),
    "readings": ("Speedo book", ("Plant", "Read on", "Speedo")),
    "inspections": ("Walk round", ("Plant", "Looked at", "Speedo", "Where", "Result")),
    "ride_height": ("Lifts", ("Plant", "Fitted on", "Lift mm", "Remark")),
    "parts": ("Store bins", ("Bin no", "Item", "For class", "Renews", "Price $", "Days to get", "Now use")),
}  # fmt: skip


def _as_text(cell):
    """A cell of the job book: dates with the day first, numbers plain."""
    if isinstance(cell, date):
        return cell.strftime("%d/%m/%Y")
    return cell if cell is None or isinstance(cell, str) else f"{cell:.10g}"


def write(shop, sheets, folder, messy):
    """A tabbed job book for the repairs and a workbook, the plant register, for all else."""
    book, register = "job_book.txt", "plant_register.xlsx"
    mess = Mess(titles=("WORKSHOP JOB BOOK", "all sheds"), page=80, blanks=1) if messy else CLEAN
    repairs = sheets["repairs"]
    lines = Sheet(repairs.headings, [[_as_text(cell) for cell in row] for row in repairs.rows])
    places = write_delimited(folder / book, lines, delimiter="\t", mess=mess)
    named = {name: Sheet(headings, sheets[name].rows) for name, (_, headings) in REGISTER.items()}
    write_workbook(folder / register, {REGISTER[name][0]: sheet for name, sheet in named.items()})
    renamed = {"hours": "labour_hours", "cost": "parts_cost"}
    columns = {renamed.get(key, key): heading for heading, key in shop.repair_columns.items()}
    text = settings_head(shop) + f'\n[tables.repairs]\nfile = "{book}"\ndate_order = "dmy"\n'
    text += f"columns = {toml_map(columns)}\n"
    for column, codes in shop.codes.items():
        text += f"values.{column} = {toml_map({code: meaning for meaning, code in codes.items()})}\n"
    for name, (title, headings) in REGISTER.items():
        text += f'\n[tables.{name}]\nfile = "{register}"\nsheet = "{title}"\n'
        text += f"columns = {toml_map(dict(zip(sheets[name].headings, headings, strict=True)))}\n"
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="R",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "P"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["P", "P", "P ", "p", "P-"])),
    },
    write=write,
    order_name=lambda job: f"J{int(job.order):05d}",
    codes=CODES,
    day=lambda day: day,
    number=lambda value, places: round(float(value), places),
    typos=0.2,
    shares=Shares(reason=0.88),
    steering="right",
)
