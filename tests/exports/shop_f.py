"""Shop F (held out): a bus and goods operator's depot database in SQLite; work, part and remark lines of a job."""

import sqlite3
from contextlib import closing

from export_files import toml_map
from exporting import Shop, settings_head
from phrases import Voice, pick, spin, tidy

VOICE = Voice(
    names={
        "u_joint": ["UJ cross", "cross assembly", "universal joint cross", "propeller shaft cross", "U.J. cross assy",
            "propeller shaft UJ", "universal cross"],
        "cv_joint_outboard": ["outer CV joint", "wheel side CV joint", "CV joint outer", "outer joint of axle shaft",
            "outer constant velocity joint", "CVJ outer side"],
        "cv_joint_inboard": ["inner CV joint", "gearbox side CV joint", "CV joint inner", "inner joint of axle shaft",
            "inner constant velocity joint", "tripod joint inner side"],
        "cv_boot_outboard": ["outer axle boot", "outer CV boot", "wheel side axle boot", "axle bellow outer",
            "outer CV rubber boot", "drive shaft boot outer side"],
        "cv_boot_inboard": ["inner axle boot", "inner CV boot", "gearbox side axle boot", "axle bellow inner",
            "inner CV rubber boot", "drive shaft boot inner side"],
        "support_bearing": ["centre bearing", "center joint bearing", "propeller shaft centre bearing",
            "hanger bearing", "propeller shaft support bearing", "centre bearing with rubber"],
        "slip_spline": ["slip joint of propeller shaft", "propeller shaft sliding yoke", "sleeve yoke splines",
            "propeller shaft slip spline", "propeller shaft slip yoke"],
        "steering_joint": ["steering UJ", "steering shaft cross", "steering column universal joint",
            "steering joint coupling", "universal joint of steering"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "axle joint"], "cv_joint_inboard": ["CV joint", "axle joint"],
        "cv_boot_outboard": ["axle boot", "CV rubber boot"], "cv_boot_inboard": ["axle boot", "CV rubber boot"],
    },
    sides={
        "left": ["LHS", "left side", "co-driver side", "LH side", "LH"],
        "right": ["RHS", "right side", "driver side", "RH side", "RH"],
        "both": ["LHS and RHS", "both sides", "LH & RH side"],
    },
    places={
        "rear.joint_front": ["rear propeller shaft gearbox side", "rear propeller shaft front side",
            "rear shaft front end", "rear P.shaft gear box side"],
        "rear.joint_front|alone": ["gearbox side", "front side", "gear box end"],
        "rear.joint_centre": ["rear propeller shaft centre", "rear propeller shaft middle side",
            "rear shaft centre bearing side", "rear P.shaft middle"],
        "rear.joint_centre|alone": ["centre side", "middle", "centre bearing side"],
        "rear.joint_rear": ["rear propeller shaft differential side", "rear propeller shaft rear side",
            "rear shaft axle side", "rear P.shaft diff side"],
        "rear.joint_rear|alone": ["differential side", "rear side", "housing side", "diff side"],
        "front.joint_front": ["front propeller shaft differential side", "front propeller shaft front side",
            "front shaft front axle side",
            "front P.shaft diff side"],
        "front.joint_rear": ["front propeller shaft transfer case side", "front propeller shaft rear side",
            "front shaft transfer case side",
            "front P.shaft transfer case end"],
        "steering.joint_upper": ["upper", "upper side", "top side", "top"],
        "steering.joint_lower": ["lower", "lower side", "bottom side", "bottom"],
    },
    shafts={"rear": ["rear propeller shaft", "rear P.shaft"], "front": ["front propeller shaft", "front P.shaft"]},
    axles=["front axle {p}", "{p} front axle shaft", "front live axle {p}"],
    joins=["{n} {p}", "{n} ({p})", "{p} {n}", "{n}-{p}"],
    half_shafts=["axle shaft assembly complete", "CV axle complete assy", "drive axle assembly"],
    pairs=["both UJ cross of rear propeller shaft", "UJ cross 2 nos rear propeller shaft"],
    with_boot=["with boot", "along with boot", "& boot kit", "with rubber boot"],
    both_boots=["inner and outer axle boots", "axle boots both inner & outer"],
    same_side=["same side", "of same side"],
    same=["{n} of above joint", "{n} for the same", "respective {n}"],
    ands=(" and ", " & ", ", "),
)
SOUND = {
    "u_joint": ["sound from propeller shaft", "jerk while gear shifting", "vibration in vehicle",
        "knocking sound on pickup", "tik tik sound at slow speed", "propeller shaft noise"],
    "cv_joint_outboard": ["kat kat sound while turning", "sound in turning", "noise at full steering turn",
        "clicking sound in turning"],
    "cv_joint_inboard": ["vibration on pickup", "shivering while accelerating", "jerking in front axle on load"],
    "cv_boot_outboard": ["grease leakage at wheel side", "grease throwing on wheel drum",
        "grease coming out wheel side"],
    "cv_boot_inboard": ["grease leakage near gearbox", "grease coming out gearbox side"],
    "support_bearing": ["humming sound below floor", "vibration at starting", "propeller shaft hanging",
        "heavy noise from centre"],
    "slip_spline": ["jerk at the time of stopping", "thud sound while halting"],
    "steering_joint": ["steering hard", "steering play", "steering sound"],
}
#: (work line, remark line).
FAILED = [
    ("{p} replaced", "Complaint of {s}"), ("Changed {p}", "Driver complaint: {s}"),
    ("j:{p} replaced at breakdown site", "On-road breakdown"), ("{p} renewed", "{s}, found defective"),
    ("{p} replaced with new", "Vehicle complained for {s}"), ("Attended {s}", "{p} found failed and replaced"),
    ("j:{p} fitted new", "{p} broken en route"), ("{p} changed", "Trip cancelled due to {s}"),
    ("{p} replacement done", "Reported by crew: {s}"), ("New {p} provided", "As {s} observed by driver"),
    ("j:{p} replaced", "Vehicle towed to depot"), ("{p} replaced", "Sudden failure on route"),
    ("Replaced defective {p}", "{s} attended"),
    ("j:{p} changed", "Jammed while running"),
]
WORN = [
    ("{p} replaced", "Found worn during docking"), ("Changed {p}", "Worn out, noticed in periodic inspection"),
    ("{p} renewed", "Excess wear found in schedule check"), ("{p} replaced", "Rejected in fitness inspection"),
    ("{p} changed", "Play noticed at maintenance check up"),
    ("During docking {p} replaced", "Condition not good, worn"), ("{p} replaced with new",
    "Inspection remark: worn out"), ("b:{p} changed", "Found torn at weekly inspection"), ("{p} renewed",
    "Wear beyond limit, checked in service"), ("{p} changed at service", "Found worn"),
    ("Worn {p} replaced", "Observed in monthly inspection"), ("{p} replaced", "As per inspection report, worn out"),
    ("{p} replaced on inspection finding", ""),
]
PLANNED = [
    ("{p} replaced", "As per schedule"), ("{p} changed", "Preventive replacement"), ("Scheduled replacement of {p}",
    ""), ("{p} renewed", "On completion of prescribed km"), ("{p} replaced", "Planned maintenance"),
    ("{p} changed in major schedule", "No defect"), ("Periodical replacement {p}", ""),
    ("{p} replaced", "Life completed as per norm, condition OK"), ("{p} changed", "Under preventive maintenance"),
    ("{p} replaced as routine", "Planned"), ("{p} changed", "Km based change"), ("{p} renewed",
    "As per replacement programme"),
]
COLLATERAL = [
    ("{p} also replaced", "Shaft was dismantled"), ("{p} replaced", "Along with above work"),
    ("{p} changed simultaneously", ""), ("{p} replaced", "As already opened"), ("{p} also changed",
    "Could not be reused after opening"), ("In same dismantling {p} replaced", ""), ("{p} replaced with main repair",
    ""),
    ("Additionally {p} renewed", "Same job"), ("{p} changed", "Damaged while removing"), ("{p} replaced together",
    ""), ("{p} changed", "Done together with main work as shaft was down"), ("{p} replaced while shaft down", ""),
]
DAMAGE = [
    ("{p} replaced", "Accident repair"), ("{p} changed", "Damaged by stone hit"), ("{p} renewed", "Accident case"),
    ("{p} replaced", "Hit on road divider"), ("{p} replaced", "Damaged due to foreign material"), ("b:{p} changed",
    "Cut by iron wire"), ("{p} renewed", "Insurance claim"), ("{p} replaced", "Collision with other vehicle"),
    ("Accidental {p} replaced", ""), ("{p} changed", "Bent in pit fall accident"), ("{p} replaced",
    "Miscreants damaged"), ("{p} replaced", "Dashed against kerb stone"),
]
COMEBACK = [
    ("{p} replaced again", "Repeat complaint"), ("{p} re-replaced", "Earlier fitted one defective"),
    ("Rework: {p} replaced", ""), ("{p} changed", "Wrong fitment earlier"), ("{p} replaced",
    "Warranty claim, new item failed within days"), ("{p} changed again", "Lock not fitted properly last time"),
    ("{p} replaced", "Repeat job, poor workmanship"), ("{p} replaced under warranty", "Item defective from new"),
    ("{p} refitted with new", "Improper fitting previously"), ("{p} replaced",
    "Second time, spurious part fitted earlier"), ("{p} changed", "Redone, previous work unsatisfactory"),
    ("{p} replaced free of cost", "Vendor supplied faulty item"),
]
UNSAID = [("{p} replaced", ""), ("{p} changed", ""), ("{p} renewed", ""), ("Replaced {p}", ""), ("New {p} fitted",
    ""), ("{p} replacement done", "Work completed"), ("Changing of {p}", "OK")]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip
IDLE = {
    "look": [("{p} checked", "Found OK"), ("Checked for {s}", "{p} in order"), ("{p} inspected", "No defect noticed"),
        ("Inspection of {p}", "Condition good")],
    "grease": [("{p} greased", ""), ("Greasing of {p} done", ""), ("Lubrication {p}", "In schedule"), ("{p} greasing",
        "Sound attended")],
    "adjust": [("j:{p} bolts tightened", ""), ("{p} removed and refitted", "For gearbox work"),
        ("j:Tightening of {p} bolts", "Loose found"), ("b:{p} clip tightened", ""), ("{p} reset and fitted same",
        "")],
    "later": [("{p} to be replaced", "Spare not available"), ("Indent raised for {p}", ""), ("{p} slightly worn",
        "To be observed"), ("Estimate prepared for {p}", ""), ("{p} replacement pending", "Awaiting spare"),
        ("{p} due for change", "In next docking")],
}  # fmt: skip
OTHER = [
    ("Brake liner changed rear LHS", ""), ("King pin bush replaced", "Play"), ("Ball joint replaced RHS", "Worn"),
    ("Hub bearing changed front LHS", "Sound"), ("Steering rack rubber boot replaced", "Torn"),
    ("Tie rod end replaced", "Play"), ("Silencer flexible joint replaced", "Leak"), ("Spring U bolt changed rear",
    "Broken"),
    ("Dickey lid lock changed", ""), ("Engine oil and filters changed", "Docking"),
    ("Clutch plate and release bearing replaced", "Slipping"), ("Crown wheel pinion bearing changed",
    "Sound in differential"), ("Tyre changed 2 nos", ""), ("Gear lever boot replaced", "Torn"), ("Fan belt replaced",
    ""), ("Alternator bearing changed", "Sound"),
    ("Wiper linkage joint attended", ""), ("Radiator hose joint leak attended", ""), ("Shock absorber changed front",
    "Leak"), ("Drag link end replaced", ""), ("Pinion oil seal replaced", "Oil leakage"), ("Self motor replaced",
    "Not starting"), ("Door rubber beading changed", ""), ("Torque rod bush replaced", "Sound"),
]  # fmt: skip


def _lines(rng, job):
    if job.kind == "other":
        return OTHER[int(rng.integers(len(OTHER)))]
    options = IDLE[job.kind] if job.kind != "renewal" else REASONS[job.lead.reason] if job.reason else UNSAID
    other = "j:" if "boot" in job.lead.component else "b:"
    fits = [pair for pair in options if not pair[0].startswith(other)]
    noun, sound = VOICE.noun(rng, job), pick(rng, SOUND[job.lead.component])
    pair = fits[int(rng.integers(len(fits)))]
    return tuple(spin(rng, t.removeprefix("j:").removeprefix("b:").replace("{p}", noun).replace("{s}",
        sound)) for t in pair)


def words(rng, job):
    """Work lines and remark lines of one job: the first of them under `correction`, the remark under `cause`."""
    work, remark = _lines(rng, job)
    if job.second is not None:
        more = _lines(rng, job.second)
        work, remark = f"{work} ({remark})" if remark else work, ""
        work += "; " + (f"{more[0]} ({more[1]})" if more[1] else more[0])
    if job.also == "other":
        more = OTHER[int(rng.integers(len(OTHER)))]
        work = (f"{work} ({remark})" if remark else work) + "; " + more[0]
        remark = ""
    elif job.also == "look":
        remark = tidy(remark + pick(rng, [". Other side checked OK", ". Remaining checked and found OK"]))
    return {"correction": tidy(work), "cause": tidy(remark)}


MODELS = {
    ("crew_truck", "rear_two_piece"): "LCV-709",
    ("crew_truck", "rear_two_piece+steering_shaft"): "LCV-709-FC",
    ("service_van", "all_wheel"): "VAN-AWD",
    ("field_pickup", "four_wheel_independent"): "PUP-4X4",
    ("utility_4x4", "four_wheel_solid"): "JP-4X4",
    ("yard_truck", "rear_one_piece"): "YT-1",
    ("yard_truck", "rear_one_piece+slip_spline"): "YT-1S",
    ("town_car", "front_half_shafts"): "CAR-1",
}
COLUMNS = {
    "job_no": "order", "job_date": "date", "veh_no": "unit", "km": "odometer", "work": "correction",
    "remark": "cause",
    "qty": "quantity", "hrs": "hours", "amount": "cost",
}  # fmt: skip
#: Lines of a job lie below each other by type; the query brings them together again.
QUERY = """
select h.job_no as "order", h.job_date as "date", h.veh_no as "unit", h.km as "odometer",
  (select group_concat(l.descr,
  '. ') from (select descr from job_line where job_id = h.job_id order by seq) l) as "text",
  h.hrs as "labour_hours", h.amount as "parts_cost"
from job_head h order by h.job_id
"""
OTHERS = {"vehicles": "vehicle_master", "readings": "km_reading", "inspections": "inspection",
    "ride_height": "ride_height"}


def write(shop, sheets, folder, messy):
    """A database: jobs, their lines by type, and the other tables."""
    path = folder / "depot.db"
    path.unlink(missing_ok=True)
    with closing(sqlite3.connect(path)) as base:
        base.execute("create table job_head (job_id integer, job_no, job_date, veh_no, km, qty, hrs, amount)")
        base.execute("create table job_line (job_id integer, seq integer, line_type text, descr text)")
        for number, row in enumerate(sheets["repairs"].rows, 1):
            cell = dict(zip(COLUMNS.values(), row, strict=True))
            head = [cell[key] for key in ("order", "date", "unit", "odometer", "quantity", "hours", "cost")]
            base.execute("insert into job_head values (?, ?, ?, ?, ?, ?, ?, ?)", (number, *head))
            for seq, (kind, key) in enumerate((("W", "correction"), ("R", "cause")), 1):
                if cell[key]:
                    base.execute("insert into job_line values (?, ?, ?, ?)", (number, seq, kind, cell[key]))
        for name, table in OTHERS.items():
            sheet = sheets[name]
            base.execute(f"create table {table} ({', '.join(sheet.headings)})")
            marks = ", ".join("?" * len(sheet.headings))
            base.executemany(f"insert into {table} values ({marks})", [tuple(row) for row in sheet.rows])
        base.commit()
    text = settings_head(shop) + f'\n[databases]\ndepot = "sqlite:///{path.name}"\n'
    text += f'\n[tables.repairs]\ndatabase = "depot"\nquery = """{QUERY}"""\n'
    for name, table in OTHERS.items():
        text += f'\n[tables.{name}]\ndatabase = "depot"\nquery = "select * from {table}"\n'
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[("*", number)] for number in range(2, len(sheets["repairs"].rows) + 2)]


SHOP = Shop(
    name="F",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "BR 04 "),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["BR 04 ", "BR04 ", "BR-04-", "br04"])),
    },
    write=write,
    order_name=lambda job: f"JC/{int(job.order):05d}",
    steering="right",
    typos=0.15,
)
