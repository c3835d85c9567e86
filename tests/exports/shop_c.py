"""Shop C: a contractor's yard, left-hand drive, miles, capitals; UTF-16 with tabs, two exports that overlap."""

from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited
from exporting import Shop, settings_head
from phrases import Voice, pick, spin, template, tidy

VOICE = Voice(
    names={
        "u_joint": ["u-joint", "u joint", "ujoint", "universal joint", "u-jt", "d/shaft u-joint",
            "driveshaft u joint"],
        "cv_joint_outboard": ["outer cv joint", "outer cv", "outboard cv joint", "otr cv jt", "wheel end cv joint",
            "outside cv joint"],
        "cv_joint_inboard": ["inner cv joint", "inner cv", "inboard cv joint", "inr cv jt", "trans side cv joint",
            "inside cv joint", "inner tripod joint"],
        "cv_boot_outboard": ["outer cv boot", "outboard cv boot", "otr cv boot", "outer axle boot",
            "wheel end cv boot", "outside cv boot"],
        "cv_boot_inboard": ["inner cv boot", "inboard cv boot", "inr cv boot", "inner axle boot",
            "trans side cv boot", "inside cv boot"],
        "support_bearing": ["carrier bearing", "carrier brg", "center support bearing", "ctr support brg",
            "driveshaft hanger bearing", "center carrier bearing", "ctr brg on driveshaft"],
        "slip_spline": ["slip yoke", "driveshaft slip joint", "slip spline", "d/shaft slip yoke & spline",
            "slip shaft splines"],
        "steering_joint": ["steering shaft u-joint", "strg shaft joint", "steering column u joint",
            "intermediate steering shaft joint", "strg u-jt"],
    },
    vague={
        "cv_joint_outboard": ["cv joint", "cv jt", "cv"], "cv_joint_inboard": ["cv joint", "cv jt", "cv"],
        "cv_boot_outboard": ["cv boot", "axle boot", "cv boot kit"], "cv_boot_inboard": ["cv boot", "axle boot",
            "cv boot kit"],
    },
    sides={
        "left": ["lf", "left front", "driver side", "drvr side", "l/f", "ds", "street side", "lh"],
        "right": ["rf", "right front", "passenger side", "pass side", "r/f", "ps", "curb side", "rh"],
        "both": ["lf & rf", "both front", "l & r", "driver and pass side"],
    },
    places={
        "rear.joint_front": ["rear driveshaft front", "rear d/shaft @ trans", "front of rear driveshaft",
            "rr driveshaft trans end", "rear dshaft fwd"],
        "rear.joint_front|alone": ["front", "at trans", "trans end", "fwd", "@ trans output"],
        "rear.joint_centre": ["rear driveshaft center", "rear d/shaft ctr", "rear driveshaft at carrier brg",
            "middle of rear driveshaft"],
        "rear.joint_centre|alone": ["center", "middle", "ctr", "@ carrier brg"],
        "rear.joint_rear": ["rear driveshaft rear", "rear d/shaft @ diff", "rear driveshaft axle end",
            "rr driveshaft pinion end", "rear end of rear driveshaft"],
        "rear.joint_rear|alone": ["at diff", "rear", "pinion end", "@ rear axle"],
        "front.joint_front": ["front driveshaft front", "front d/shaft @ front diff", "front driveshaft axle end",
            "frt driveshaft @ frt axle"],
        "front.joint_rear": ["front driveshaft rear", "front d/shaft @ t/case", "front driveshaft transfer case end",
            "frt driveshaft @ xfer case"],
        "steering.joint_upper": ["upper", "top", "uppr", "upper end"],
        "steering.joint_lower": ["lower", "bottom", "lwr", "@ gear box end"],
    },
    shafts={"rear": ["rear driveshaft", "rear d/shaft", "rr driveshaft"], "front": ["front driveshaft",
        "front d/shaft", "frt driveshaft"]},
    axles=["{p} axle shaft", "{p} front axle", "frt axle {p}", "{p} knuckle"],
    joins=["{p} {n}", "{p} {n}", "{n} {p}", "{n} - {p}"],
    half_shafts=["cv axle assy", "complete cv axle", "cv half shaft", "cv shaft assembly", "reman cv axle"],
    pairs=["both u-joints in rear driveshaft", "u-joints (2) rear driveshaft", "rear d/shaft u-joints both ends"],
    with_boot=["and boot", "w/ boot", "+ boot kit", "& boot", "with new boot"],
    both_boots=["inner and outer cv boots", "both cv boots on axle", "in & out cv boots"],
    same_side=["same side", "that side", "s/s as above"],
    same=["{n} same shaft end", "{n} on that axle", "{n} for above"],
    ands=(" and ", " & ", " + ", ", "),
)
SYMPTOMS = {
    "u_joint": [
        "clunk going into gear", "clunk from park to drive", "squeak taking off", "vib at 55 mph",
        "driveline vibration", "bang on throttle tip in", "chirp chirp at low speed",
    ],
    "cv_joint_outboard": ["clicking in turns", "popping on turns", "pops turning left", "clicks making u-turn",
        "clacking in parking lot"],
    "cv_joint_inboard": ["shudder on accel", "shakes pulling hill", "vib on hard accel", "wobble under throttle"],
    "cv_boot_outboard": ["grease slinging on wheel", "grease all over wheel well", "boot torn slinging grease"],
    "cv_boot_inboard": ["grease on exhaust smoking", "grease by trans", "boot ripped grease leaking"],
    "support_bearing": ["shudder on takeoff", "growl under truck", "thumping under cab", "driveshaft flopping",
        "whine mid truck"],
    "slip_spline": ["bump after stop", "thud at stop", "clunk on stop"],
    "steering_joint": ["binding steering", "loose steering", "pop in steering", "stiff steering one spot"],
}
FAILED = [
    "[cust states|c/s|op states] {s}. r&r {p}", "{s} - repl {p}", "r&r {p} due to {s}",
    "j:road call - {p} broke. r/r", "j:towed in {p} [failed|came apart], replaced",
    "{p} [bad|shot|junk] - {s}. installed new", "operator reports {s}, found bad {p}, replaced", "repl {p}, {s}",
    "j:{p} broke on hwy. repl", "write up: {s}. repl {p}",
    "j:no move, {p} snapped. installed {p}", "diag {s}. {p} bad. r&r", "{p} noisy, replaced",
    "j:truck down - {p} seized up. r&r", "b:driver noticed {s}, repl {p}",
]
WORN = [
    "pm: {p} worn, repl", "found {p} [loose|worn] during pm. replaced", "dot insp - {p} worn. r&r",
    "annual insp: replaced worn {p}", "pm svc found {p} bad, r&r",
    "{p} failed insp, repl", "{p} worn at b service, installed new", "noted on pm {p} [at limit|past limit] repl",
    "oil chg - noticed {p} worn. replaced",
    "state inspection reject {p}. repl", "pm finding: {p}. r&r", "100 hr insp write up {p} worn - repl",
    "b:pm: {p} cracked, replaced",
]
PLANNED = [
    "sched repl {p}", "pm replace {p} per schedule", "scheduled c/o {p}", "{p} replaced at interval, no issues",
    "preventive repl {p}", "planned r&r {p}", "{p} due by miles. replaced",
    "per maint plan install {p}", "changeout {p} - scheduled", "pm kit {p} installed on schedule",
    "proactive repl of {p}", "life cycle replacement {p}",
]
COLLATERAL = [
    "repl {p} while shaft out", "also repl {p} since apart", "r&r {p} at same time", "{p} replaced w/ above job",
    "{p} done with above, already apart", "new {p} while in there",
    "{p} also due to disassembly", "install {p} along with above", "{p} could not be reused, replaced",
    "{p} repl due to access", "add {p} to same job, shaft down",
    "{p} replaced as courtesy with above",
]
DAMAGE = [
    "accident repair - {p}", "hit curb, {p} damaged. r&r", "wreck damage repl {p}",
    "{p} bent from hitting rock. replaced", "ran over debris tore {p}. repl", "vandalism - {p} repl",
    "struck stump, {p} broke. r&r", "ins claim repl {p}", "backed over [post|bollard], repl {p}",
    "b:wire cut {p}, replaced", "collision: replace {p}", "operator abuse, jumped ditch, {p} busted. repl",
    "body damage ticket: {p} repl",
]
COMEBACK = [
    "comeback - {p} r&r again", "rework {p} installed wrong", "warranty {p}, new part bad", "redo {p} from last RO",
    "{p} repl prev visit failed, replaced no chg", "recheck: {p} bad out of box. repl",
    "repeat repair {p}", "{p} not seated from last job. repl", "wrong {p} installed before, put right one in",
    "parts warranty {p} r&r", "bring back, {p} noisy again after install. replaced",
    "tech error - snap ring out on {p}. repl",
]
UNSAID = ["repl {p}", "r&r {p}", "replaced {p}", "installed {p}", "new {p}", "r/r {p}", "remove & replace {p}",
    "put in {p}"]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip
IDLE = {
    "look": ["ck {p} - ok", "checked {p}, good", "c/s {s}. ck {p} no problem found", "insp {p} ok", "{p} tight, ok",
        "road test, {p} good, ntf"],
    "grease": ["greased {p}", "lube {p}", "pm lube, {p} greased", "grease {p} all zerks", "shot grease in {p}"],
    "adjust": ["j:tighten {p} bolts", "retorque {p} strap bolts", "r&i driveshaft for trans work, {p} ok",
        "removed & reinstalled {p} for access", "b:new clamp on {p}", "j:shimmed {p}"],
    "later": ["{p} getting loose, watch", "needs {p}", "est for {p}", "recommend {p} next pm", "{p} on order",
        "cust declined {p}", "{p} worn - defer", "will need {p} soon", "{p} bad, parts on backorder"],
}
OTHER = [
    "repl frt brake pads & rotors", "r&r lower ball joint lf", "repl wheel bearing rf hub assy",
    "rack & pinion boot torn repl", "tie rod end outer lf repl", "exhaust flex joint leak weld",
    "trunk lid struts repl", "oil chg & filters", "repl sway bar link", "r&r starter", "repl alternator brg noisy",
    "clutch & throwout bearing r&r", "king pins r&r", "spring u-bolts repl",
    "pinion seal leak r&r seal", "diff carrier bearings and ring gear r&r", "ball joint boot torn, repl ball joint",
    "shift boot torn repl", "repl a/c compressor", "mount 4 tires",
    "repl 5th wheel jaw kit", "pitman arm & drag link r&r", "water pump repl", "center console latch repl",
    "distributor boot & wires", "trailer hitch ball joint welded", "repl trans mount, clunk",
]  # fmt: skip


def words(rng, job):
    """One text."""
    if job.kind == "other":
        return {"text": tidy(pick(rng, OTHER))}
    text = _clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "{a} / {b}", "1) {a} 2) {b}", "{a}; {b}"]).format(a=text, b=_clause(rng,
            job.second))
    if job.also == "other":
        text = pick(rng, ["{a}. {b}", "{b}. {a}", "{a} + {b}"]).format(a=text, b=pick(rng, OTHER))
    elif job.also == "look":
        text += pick(rng, [". ck other side ok", ", ck brakes ok", ". rest of driveline ok"])
    return {"text": tidy(text)}


def _clause(rng, job):
    noun = VOICE.noun(rng, job)
    options = IDLE[job.kind] if job.kind != "renewal" else REASONS[job.lead.reason] if job.reason else UNSAID
    line = template(rng, options, job.lead.component)
    return spin(rng, line.replace("{p}", noun).replace("{s}", pick(rng, SYMPTOMS[job.lead.component])))


MODELS = {
    ("crew_truck", "rear_two_piece"): "CREW 450",
    ("crew_truck", "rear_two_piece+steering_shaft"): "CREW 450 COE",
    ("service_van", "all_wheel"): "VAN 250 AWD",
    ("field_pickup", "four_wheel_independent"): "PU 150 4X4 IFS",
    ("utility_4x4", "four_wheel_solid"): "UTIL 4X4 SA",
    ("yard_truck", "rear_one_piece"): "YARD 2",
    ("yard_truck", "rear_one_piece+slip_spline"): "YARD 2 SLIP",
    ("town_car", "front_half_shafts"): "SEDAN",
}
COLUMNS = {
    "RO #": "order", "RO DATE": "date", "EQUIP": "unit", "MILES": "odometer", "WORK DESC": "text", "QTY": "quantity",
    "LABOR HRS": "hours", "PARTS AMT": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": (
        "EQUIP", "MODEL", "CLASS", "DUTY", "YARD", "IN SERVICE", "START MILEAGE", "HISTORY FROM", "RETIRED",
    ),
    "readings": ("EQUIP", "READING DATE", "MILES"),
    "inspections": ("EQUIP", "DATE", "MILES", "POSITION", "FINDING"),
    "ride_height": ("EQUIP", "DATE", "LIFT (MM)", "NOTE"),
}  # fmt: skip
FILES = {"vehicles": "equip.txt", "readings": "meter.txt", "inspections": "insp.txt", "ride_height": "lift.txt"}
#: Shares of the lines where the second export begins and the first one ends.
OVERLAP = (0.55, 0.60)


def write(shop, sheets, folder, messy):
    """UTF-16 text with tabs; two exports of orders that overlap: two files if messy, else one below the other."""
    options = {"delimiter": "\t", "encoding": "utf-16"}
    for name, file in FILES.items():
        write_delimited(folder / file, Sheet(HEADINGS[name], sheets[name].rows), **options)
    repairs = sheets["repairs"]
    first, last = (round(share * len(repairs.rows)) for share in OVERLAP)
    places = [[] for _ in repairs.rows]
    old, new = range(last), range(first, len(repairs.rows))
    if messy:
        mess = Mess(titles=("RO DETAIL REPORT",), page=80, blanks=1)
        exports = [("ro_2021_2024.txt", old, mess), ("ro_2024_2026.txt", new, CLEAN)]
    else:
        exports = [("ro_detail.txt", [*old, *new], CLEAN)]
    for file, lines, mess in exports:
        sheet = Sheet(repairs.headings, [repairs.rows[i] for i in lines])
        for i, place in zip(lines, write_delimited(folder / file, sheet, mess=mess, **options), strict=True):
            places[i].append(place)
    (folder / "fleet.toml").write_text(_settings(shop, [file for file, _, _ in exports]), encoding="utf-8")
    return places


def _settings(shop, files):
    columns = {key: heading for heading, key in COLUMNS.items() if key not in ("hours", "cost")}
    columns |= {"labour_hours": "LABOR HRS", "parts_cost": "PARTS AMT"}
    models = {model: line for (_, line), model in MODELS.items()}
    named = f'"{files[0]}"' if len(files) == 1 else "[" + ", ".join(f'"{file}"' for file in files) + "]"
    text = settings_head(shop)
    text += f'\n[tables.repairs]\nfile = {named}\ndate_order = "mdy"\nunit = "mi"\ncolumns = {toml_map(columns)}\n'
    for name, file in FILES.items():
        text += f'\n[tables.{name}]\nfile = "{file}"\ndate_order = "mdy"\n'
        text += f'columns = {toml_map({"unit": "EQUIP"} | ({"driveline": "MODEL"} if name == "vehicles" else {}))}\n'
        text += f"values.driveline = {toml_map(models)}\n" if name == "vehicles" else ""
    return text


SHOP = Shop(
    name="C",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "0"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["0", "", "00"])),
    },
    write=write,
    order_name=lambda job: str(300_000 + int(job.order)),
    distance_unit="mi",
    day=lambda day: f"{day.month}/{day.day}/{day.year}",
    case=str.upper,
    typos=0.15,
)
