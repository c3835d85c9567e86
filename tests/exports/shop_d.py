"""Shop D (held out): a stores clerk; capitals, part first, strokes and dashes, codes on a third of the lines."""

from export_files import CLEAN, Mess, toml_map, write_delimited
from exporting import Shop, settings_head
from phrases import Voice, pick, spin, template, tidy
from true_jobs import Shares

VOICE = Voice(
    names={
        "u_joint": ["UJT", "U/JT", "UNI JNT", "UNIVERSAL JNT", "UJ KIT", "SPIDER KIT", "UNIV JOINT",
            "CROSS & BRG KIT"],
        "cv_joint_outboard": ["CVJ OUTER", "OUTER CVJ", "CV JNT OUTER", "CV JOINT O/B", "OUTER C.V. JNT",
            "CV JNT WHEEL END"],
        "cv_joint_inboard": ["CVJ INNER", "INNER CVJ", "CV JNT INNER", "CV JOINT I/B", "INNER C.V. JNT",
            "POT JNT INNER"],
        "cv_boot_outboard": ["BOOT KIT OUTER CV", "CV BELLOWS OUTER", "RUBBER BOOT D/SHAFT OUTER",
            "GAITER KIT OUTER CVJ", "CVJ BOOT OUTER", "O/B CV BOOT KIT"],
        "cv_boot_inboard": ["BOOT KIT INNER CV", "CV BELLOWS INNER", "RUBBER BOOT D/SHAFT INNER",
            "GAITER KIT INNER CVJ", "CVJ BOOT INNER", "I/B CV BOOT KIT"],
        "support_bearing": ["CTR BRG PROP", "CENTRE BRG ASSY PROP", "PROP SUPPORT BRG", "BRG CENTRE PROPSHAFT",
            "STEADY BRG PROPSHAFT", "PROP CTR BEARING"],
        "slip_spline": ["SLIDING YOKE PROP", "SPLINE YOKE PROPSHAFT", "SLIP JNT PROP", "PROP SLIP YOKE",
            "SLIDING SPLINE P/SHAFT"],
        "steering_joint": ["STRG COL UJT", "UJT STRG SHAFT", "STRG SHAFT JNT", "STEERING COL UNI JNT", "STRG UJ"],
    },
    vague={
        "cv_joint_outboard": ["CVJ", "CV JNT", "CV JOINT"], "cv_joint_inboard": ["CVJ", "CV JNT", "CV JOINT"],
        "cv_boot_outboard": ["CV BOOT KIT", "BOOT D/SHAFT", "CV BELLOWS"], "cv_boot_inboard": ["CV BOOT KIT",
            "BOOT D/SHAFT", "CV BELLOWS"],
    },
    sides={
        "left": ["L/H", "LH", "LEFT", "L/HAND", "LHS"],
        "right": ["R/H", "RH", "RIGHT", "R/HAND", "RHS"],
        "both": ["L/H & R/H", "LH+RH", "BOTH SIDES", "L&R"],
    },
    places={
        "rear.joint_front": ["RR PROP FRT", "RR PROP G/BOX END", "REAR PROPSHAFT FRONT END", "RR P/SHAFT FRONT",
            "REAR PROP GBOX END"],
        "rear.joint_front|alone": ["FRT", "G/BOX END", "PROP FRONT END"],
        "rear.joint_centre": ["RR PROP CTR", "REAR PROPSHAFT CENTRE", "RR P/SHAFT MID", "REAR PROP CENTRE"],
        "rear.joint_centre|alone": ["CTR", "PROP CENTRE", "MID"],
        "rear.joint_rear": ["RR PROP DIFF END", "RR PROP RR", "REAR PROPSHAFT REAR END", "RR P/SHAFT DIFF",
            "REAR PROP AXLE END"],
        "rear.joint_rear|alone": ["DIFF END", "AXLE END", "PROP REAR END"],
        "front.joint_front": ["FRT PROP FRT", "FRT PROP DIFF END", "FRONT PROPSHAFT AXLE END", "FRT P/SHAFT FRONT"],
        "front.joint_rear": ["FRT PROP RR", "FRT PROP T/CASE END", "FRONT PROPSHAFT T/BOX END", "FRT P/SHAFT REAR"],
        "steering.joint_upper": ["UPPER", "UPR", "TOP", "UPPER END"],
        "steering.joint_lower": ["LOWER", "LWR", "BTM", "LOWER END"],
    },
    shafts={"rear": ["RR PROP", "REAR PROPSHAFT", "RR P/SHAFT"], "front": ["FRT PROP", "FRONT PROPSHAFT",
        "FRT P/SHAFT"]},
    axles=["FRT AXLE {p}", "{p} FRT AXLE SHAFT", "FRT H/SHAFT {p}", "STUB AXLE {p}"],
    joins=["{n} - {p}", "{n} / {p}", "{n} {p}", "{n}, {p}"],
    half_shafts=["D/SHAFT ASSY COMPL", "DRIVESHAFT COMPL EXCH", "CV SHAFT COMPLETE", "D/SHAFT ASSY EXCH UNIT"],
    pairs=["UJT X2 REAR PROP BOTH ENDS", "UJ KITS (2) RR PROP", "UNI JNTS BOTH REAR PROPSHAFT"],
    with_boot=["C/W BOOT", "+ BOOT", "INCL BOOT KIT", "& BELLOWS"],
    both_boots=["CV BELLOWS INNER + OUTER", "BOOT KITS INNER & OUTER CV", "CVJ BOOTS OUTER/INNER"],
    same_side=["SAME SIDE", "SIDE AS ABOVE"],
    same=["{n} FOR ABOVE CVJ", "{n} T/SUIT ABOVE", "{n} SAME SHAFT END"],
    ands=(" + ", " & ", ", ", " AND "),
)
WHY = {
    "u_joint": ["KNOCKING", "VIBRATION REPORTED", "CLUNK ON TAKE UP", "SQUEALING", "NOISE FROM PROP",
        "SEIZED ON ROAD"],
    "cv_joint_outboard": ["CLICKING ON TURNS", "CLACKING FULL LOCK", "NOISY ON LOCK", "GRINDING WHEN TURNING"],
    "cv_joint_inboard": ["SHUDDER UNDER LOAD", "VIBRATION ON ACCEL", "KNOCK ON TAKE OFF"],
    "cv_boot_outboard": ["GREASE ON WHEEL REPORTED", "DRIVER RPT GREASE LEAK", "BURST ON ROAD"],
    "cv_boot_inboard": ["GREASE LEAK REPORTED BY DRIVER", "BURST ON ROAD", "DRIVER RPT GREASE UNDER VEH"],
    "support_bearing": ["RUMBLE REPORTED", "PROP DROPPED", "DRONE UNDER CAB", "NOISY", "JUDDER ON TAKE OFF"],
    "slip_spline": ["CLUNK WHEN STOPPING", "JERK ON STOP", "SLIDING PART STUCK"],
    "steering_joint": ["STRG STIFF", "PLAY IN STRG", "STRG KNOCK"],
}
FAILED = [
    "{s}", "{s} - [FAULTY|U/S]", "j:B/DOWN", "BREAKDOWN CALL OUT", "FAILED IN SERVICE", "j:BROKE ON ROAD",
    "DRIVER DEFECT RPT {s}", "V.O.R. {s}", "j:COLLAPSED, VEH TOWED",
    "j:SHEARED", "RPT {s}", "DEFECT BOOK: {s}", "j:ROADSIDE REPAIR", "FAILURE - {s}", "UNSCHED {s}",
]
WORN = [
    "WORN - FOUND ON SVC", "FOUND WORN AT INSP", "WEAR LIMIT AT INSP", "INSP REJECT", "j:PLAY FOUND ON SVC",
    "SVC CHECK SHEET DEFECT", "WORN, A-SVC", "CONDEMNED ON INSP", "ROADWORTHY FAIL, WORN",
    "b:PERISHED - FOUND ON SVC", "b:CRACKED - INSP ITEM", "WORN BEYOND LIMIT (INSP)", "INSP REPORT ITEM - WORN",
    "COF INSP REJECTED",
]
PLANNED = [
    "SCHED CHG", "PLANNED", "P/MAINT", "PREVENTIVE", "ROUTINE CHG AT KM", "INTERVAL DUE", "LIFE EXPIRED - SCHED",
    "PROG CHANGE", "KM DUE", "PLANNED MAINT ITEM", "SVC SCHEDULE ITEM, NO FAULT", "TIME CHANGE", "PREV MAINT",
]
COLLATERAL = [
    "DONE WITH ABOVE", "SAME TIME AS ABOVE", "DISTURBED ON STRIP", "CHG WHILE APART", "SHAFT OUT ANYWAY",
    "WITH MAIN JOB", "EXTRA WITH JOB ABOVE", "DMGD ON REMOVAL", "WHILST STRIPPED", "GOES WITH ABOVE REPAIR",
    "CANNOT RE-USE AFTER STRIP", "ADDED AS APART",
]
DAMAGE = [
    "ACC DMG", "ACCIDENT", "IMPACT DMG", "HIT ROCK", "HIT KERB", "b:CUT BY WIRE", "VANDAL DMG", "DMG BY DEBRIS",
    "DRIVER DMG - CHARGE", "INS CLAIM", "COLLISION", "DITCH RECOVERY DMG", "STUMP STRIKE",
]
COMEBACK = [
    "RE-DO", "REWORK", "WTY RETURN - NEW PART FAULTY", "REPEAT JOB", "PREV FITMENT INCORRECT",
    "WRONG PART FITTED PREV", "2ND TIME, BAD FIT", "WARRANTY ON OWN REPAIR", "RETURN JOB", "REFIT - CIRCLIP NOT IN",
    "DEFECTIVE FROM SUPPLIER, RE-FITTED",
    "FAULTY WORKMANSHIP REDONE", "COME-BACK",
]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip
DONE = ["FTD", "FITTED", "REN", "RENEWED", "RPLD", "REPLACED", "CHGD", "NEW FTD", "EXCH"]
FORMS = ["{p} {d} - {w}", "{p} / {d} / {w}", "{p} {d}. {w}", "{w} - {p} {d}", "{d} {p} ({w})", "{p}, {w}, {d}"]
IDLE = {
    "look": ["INSP {p} - OK", "CHK {p} - SERVICEABLE", "{p} CHECKED OK", "{p} - NFF", "EXAM {p}, WITHIN LIMITS"],
    "grease": ["GRS {p}", "{p} - GREASED", "LUBE {p}", "{p} LUBRICATED AT SVC"],
    "adjust": ["j:{p} BOLTS RE-TORQUED", "j:{p} BOLTS TIGHTENED", "{p} REMOVED & REFITTED FOR ACCESS",
        "b:{p} CLIP REFITTED", "{p} CLEANED & REFITTED"],
    "later": [
        "{p} ON ORDER", "{p} REQD NEXT SVC", "QUOTE {p}", "{p} B/ORDER - NOT FTD", "{p} RTN TO STOCK NOT USED",
        "RSVD {p} NEXT VISIT", "{p} SLIGHT WEAR - MONITOR", "{p} DEFERRED",
    ],
}  # fmt: skip
OTHER = [
    "BRAKE SHOES RR AXLE SET FTD", "DISC PADS FRT FTD", "BALL JNT LWR L/H FTD - WORN",
    "WHEEL BRG KIT R/H FRT RENEWED", "RACK BOOT L/H FTD", "EXH FLEX JNT FTD", "BOOT LID STRUT FTD",
    "TIE ROD END R/H RPLD",
    "FILTER OIL X1, OIL 9L", "FAN BELT FTD", "U BOLTS RR SPRING FTD", "SHOCK ABS FRT PR",
    "CLUTCH KIT + THRUST BRG FTD", "GEAR LEVER BOOT FTD", "DUST BOOT TIE ROD END RPLD", "PINION OIL SEAL FTD - LEAK",
    "BULB H4 X2",
    "ALT BRG KIT FTD - NOISY", "KING PIN KIT L/H", "TYRE 225/75 X2", "WIPER BLADES PR", "SAFETY BOOTS ISSUED SIZE 9",
    "AIR LINE JNT RPLD", "CAB MOUNT RUBBER FTD", "PROP ROD BONNET FTD", "HOSE JOINER 32MM",
]  # fmt: skip


def words(rng, job):
    """One narrative."""
    if job.kind == "other":
        return {"text": pick(rng, OTHER)}
    text = _clause(rng, job)
    if job.second is not None:
        text += pick(rng, [" // ", "; ", " ** "]) + _clause(rng, job.second)
    if job.also == "other":
        text += pick(rng, [" // ", "; "]) + pick(rng, OTHER)
    elif job.also == "look":
        text += pick(rng, ["; O/SIDE CHK OK", " // REST OF D/LINE CHK OK"])
    return {"text": tidy(text)}


def _clause(rng, job):
    noun = VOICE.noun(rng, job)
    if job.kind != "renewal":
        return template(rng, IDLE[job.kind], job.lead.component).replace("{p}", noun)
    if not job.reason:
        return pick(rng, ["{d} {p}", "{p} {d}", "{p} - {d}", "{p} / {d}"]).format(p=noun, d=pick(rng, DONE))
    why = template(rng, REASONS[job.lead.reason], job.lead.component).replace("{s}", pick(rng,
        WHY[job.lead.component]))
    return spin(rng, pick(rng, FORMS).replace("{p}", noun).replace("{d}", pick(rng, DONE)).replace("{w}", why))


MODELS = {
    ("crew_truck", "rear_two_piece"): "TK7C",
    ("crew_truck", "rear_two_piece+steering_shaft"): "TK7F",
    ("service_van", "all_wheel"): "VN3A",
    ("field_pickup", "four_wheel_independent"): "PU4D",
    ("utility_4x4", "four_wheel_solid"): "UT4S",
    ("yard_truck", "rear_one_piece"): "YD1",
    ("yard_truck", "rear_one_piece+slip_spline"): "YD1S",
    ("town_car", "front_half_shafts"): "SD2",
}
CODES = {
    "component": {
        "u_joint": "0410", "cv_joint_outboard": "0421", "cv_joint_inboard": "0422", "cv_boot_outboard": "0431",
        "cv_boot_inboard": "0432",
        "support_bearing": "0440", "slip_spline": "0450", "steering_joint": "0710",
    },
    "reason": {"failed": "F1", "worn": "W2", "planned": "P3", "collateral": "C4", "damage": "D5", "comeback": "R6"},
}  # fmt: skip
COLUMNS = {
    "Doc": "order", "Txn Date": "date", "Veh": "unit", "Km": "odometer", "Narrative": "text",
    "Stock Code": "part_number",
    "Qty": "quantity", "Comp": "component", "Fail": "reason", "Hrs": "hours", "Value": "cost",
}  # fmt: skip
FILES = {"vehicles": "veh_master.csv", "readings": "km_log.csv", "inspections": "insp.csv", "ride_height": "lift.csv",
    "parts": "stores.csv"}


def write(shop, sheets, folder, messy):
    """Comma-separated files with a byte-order mark."""
    mess = Mess(titles=("STORES ISSUE LISTING", "RUN 30-JUN-26"), page=60, totals=(9, 10),
        blanks=1) if messy else CLEAN
    places = write_delimited(folder / "issues.csv", sheets["repairs"], encoding="utf-8-sig", mess=mess)
    for name, file in FILES.items():
        write_delimited(folder / file, sheets[name], encoding="utf-8-sig")
    columns = {key: heading for heading, key in COLUMNS.items() if key not in ("hours", "cost")}
    columns |= {"labour_hours": "Hrs", "parts_cost": "Value"}
    text = settings_head(shop) + f'\n[tables.repairs]\nfile = "issues.csv"\ncolumns = {toml_map(columns)}\n'
    for kind, codes in CODES.items():
        text += f"values.{kind} = {toml_map({code: word for word, code in codes.items()})}\n"
    for name, file in FILES.items():
        text += f'\n[tables.{name}]\nfile = "{file}"\n'
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="D",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "V"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["V", "V", "V-", "v"])),
    },
    write=write,
    order_name=lambda job: f"{int(job.order):07d}",
    codes=CODES,
    day=lambda day: day.strftime("%d-%b-%y").upper(),
    steering="right",
    case=str.upper,
    typos=0.10,
    shares=Shares(coded=0.33, numbered=0.3),
)
