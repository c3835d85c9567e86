"""Shop G (held out): a dealer's invoice listing; operation, parts and story columns, left-hand drive, miles."""

from export_files import CLEAN, Mess, toml_map, write_delimited
from exporting import Shop, settings_head
from phrases import pick, spin, tidy
from shop_e import toml_columns
from true_jobs import BOTH, HALF_SHAFT, JOINT_PAIR

OPERATIONS = {
    "u_joint": ["UNIVERSAL JOINT, PROPELLER SHAFT", "JOINT, PROP SHAFT UNIVERSAL", "U-JOINT PROPSHAFT",
        "PROPSHAFT UNIVERSAL JOINT", "UNIVERSAL JOINT - DRIVE LINE"],
    "axle": ["UNIVERSAL JOINT, FRONT AXLE SHAFT", "AXLE SHAFT U-JOINT, FRT", "JOINT, FRT AXLE SHAFT UNIVERSAL",
        "U-JOINT, FRT AXLE SHAFT",
        "FRONT AXLE UNIVERSAL JOINT"],
    "cv_joint_outboard": ["JOINT, CONSTANT VELOCITY OUTER", "CV JOINT, OUTER", "WHEEL DRIVE SHAFT JOINT, OUTER",
        "OUTBOARD CV JOINT", "FRT DRIVE AXLE JOINT - OUTER"],
    "cv_joint_inboard": ["JOINT, CONSTANT VELOCITY INNER", "CV JOINT, INNER", "WHEEL DRIVE SHAFT JOINT, INNER",
        "INBOARD CV JOINT", "FRT DRIVE AXLE JOINT - INNER"],
    "cv_boot_outboard": ["BOOT, CV JOINT OUTER", "SEAL BOOT, WHEEL DRIVE SHAFT OUTER", "CV BOOT - OUTER",
        "BOOT, FRT DRIVE AXLE OUTBOARD", "OUTER CV JOINT BOOT"],
    "cv_boot_inboard": ["BOOT, CV JOINT INNER", "SEAL BOOT, WHEEL DRIVE SHAFT INNER", "CV BOOT - INNER",
        "BOOT, FRT DRIVE AXLE INBOARD", "INNER CV JOINT BOOT"],
    "support_bearing": ["BEARING, PROPELLER SHAFT CENTER", "CENTER SUPPORT BEARING, PROPSHAFT",
        "PROPSHAFT CENTER BEARING", "BEARING, PROP SHAFT CENTER SUPPORT", "DRIVELINE CENTER BEARING"],
    "slip_spline": ["YOKE, PROPELLER SHAFT SLIP", "SLIP YOKE, PROPSHAFT", "PROPSHAFT SLIP SPLINE",
        "SPLINE, PROP SHAFT SLIP", "YOKE, DRIVE SHAFT SLIP"],
    "steering_joint": ["JOINT, STEERING INTERMEDIATE SHAFT", "STEERING SHAFT UNIVERSAL JOINT",
        "STEERING COLUMN JOINT", "INTERMEDIATE STEERING SHAFT U-JOINT",
        "U-JOINT, STEERING SHAFT"],
}
VAGUE = {"joint": ["JOINT, CONSTANT VELOCITY", "CV JOINT", "WHEEL DRIVE SHAFT JOINT"], "boot": ["BOOT, CV JOINT",
    "SEAL BOOT, WHEEL DRIVE SHAFT", "CV BOOT"]}
HALF = ["SHAFT ASSEMBLY, FRT WHEEL DRIVE", "WHEEL DRIVE SHAFT ASSEMBLY", "DRIVE AXLE ASSEMBLY, FRT (CV)",
    "CV AXLE ASSEMBLY"]
SIDES = {"left": ["LEFT", "LH", "DRIVER SIDE", "L.H.", "LEFT FRONT"], "right": ["RIGHT", "RH", "PASSENGER SIDE",
    "R.H.", "RIGHT FRONT"]}
PLACES = {
    "rear.joint_front": ["REAR SHAFT, FRONT", "REAR SHAFT, TRANSMISSION END", "REAR PROPSHAFT FORWARD",
        "REAR PROPSHAFT, FRONT END"],
    "rear.joint_centre": ["REAR SHAFT, CENTER", "REAR SHAFT, INTERMEDIATE", "REAR PROPSHAFT CENTER",
        "REAR SHAFT, MIDDLE"],
    "rear.joint_rear": ["REAR SHAFT, REAR", "REAR SHAFT, AXLE END", "REAR PROPSHAFT AT DIFFERENTIAL",
        "REAR PROPSHAFT, REAR END"],
    "front.joint_front": ["FRONT SHAFT, FRONT", "FRONT SHAFT, AXLE END", "FRONT PROPSHAFT AT FRT DIFFERENTIAL",
        "FRONT PROPSHAFT, FRONT END"],
    "front.joint_rear": ["FRONT SHAFT, REAR", "FRONT SHAFT, TRANSFER CASE END", "FRONT PROPSHAFT AT TRANSFER CASE",
        "FRONT PROPSHAFT, REAR END"],
    "steering.joint_upper": ["UPPER", "UPR", "UPPER END", "TOP"],
    "steering.joint_lower": ["LOWER", "LWR", "LOWER END", "BOTTOM"],
}
SHAFTS = {"rear": ["REAR SHAFT", "REAR PROPSHAFT"], "front": ["FRONT SHAFT", "FRONT PROPSHAFT"]}
PIECES = {
    "u_joint": ["JOINT KIT-UNIV", "U-JOINT KIT", "JOINT ASM-UNIV"], "cv_joint_outboard": ["JOINT KIT-OTR",
        "CV JOINT KIT OUTER"], "cv_joint_inboard": ["JOINT KIT-INR", "CV JOINT KIT INNER"],
    "cv_boot_outboard": ["BOOT KIT-OTR", "CV BOOT KIT OUTER"], "cv_boot_inboard": ["BOOT KIT-INR",
        "CV BOOT KIT INNER"], "support_bearing": ["BEARING ASM-CTR", "BRG KIT-CTR SUPT"],
    "slip_spline": ["YOKE-SLIP"], "steering_joint": ["JOINT-STRG SHF", "COUPLING-STRG SHF"],
}  # fmt: skip
FELT = {
    "u_joint": ["CLUNK WHEN SHIFTING INTO DRIVE", "DRIVELINE VIBRATION AT HIGHWAY SPEED",
        "SQUEAK FROM UNDERNEATH WHEN PULLING AWAY", "A KNOCK ON ACCELERATION"],
    "cv_joint_outboard": ["CLICKING NOISE ON TURNS", "POPPING NOISE WHEN TURNING",
        "CLICKING FROM FRONT WHEN STEERING IS AT LOCK"],
    "cv_joint_inboard": ["SHUDDER DURING ACCELERATION", "VIBRATION UNDER ACCELERATION FROM FRONT END"],
    "cv_boot_outboard": ["GREASE ON WHEEL", "GREASE SPLATTER INSIDE WHEEL"],
    "cv_boot_inboard": ["GREASE SPOTS ON DRIVEWAY", "BURNING GREASE SMELL"],
    "support_bearing": ["RUMBLING NOISE FROM UNDER FLOOR", "SHUDDER ON LAUNCH", "GROWLING NOISE AT 40 MPH"],
    "slip_spline": ["BUMP FEELING AFTER COMING TO A STOP", "CLUNK AFTER STOP"],
    "steering_joint": ["STEERING FEELS NOTCHY", "STEERING BINDS", "CLUNK FELT IN STEERING WHEEL"],
}
FAILED = [
    "CUSTOMER STATES {s}. VERIFIED CONCERN. PART FAILED", "CONCERN: {s}. DIAGNOSED AND REPAIRED",
    "CUST REPORTS {s}. TEST DROVE, DUPLICATED", "C/S {s}", "VEHICLE TOWED IN. PART FAILED ON ROAD",
    "CUSTOMER CONCERN OF {s}. CORRECTED", "ADVISED BY DRIVER OF {s}. NOISE GONE AFTER REPAIR",
    "j:PART BROKE WHILE DRIVING",
    "INOPERATIVE VEHICLE. PART FOUND FAILED", "DIAGNOSIS: {s} CAUSED BY FAILED PART", "{s} - ISOLATED TO THIS PART",
    "CUSTOMER HEARS NOISE, {s}", "EMERGENCY REPAIR, {s}", "j:ROADSIDE FAILURE",
]
WORN = [
    "MULTI-POINT INSPECTION FOUND PART WORN", "FOUND WORN DURING SERVICE", "STATE INSPECTION: PART WORN, REJECTED",
    "DURING LOF NOTED PART WORN, CUSTOMER APPROVED", "WORN BEYOND SPEC PER INSPECTION",
    "INSPECTION FAILED DUE TO WORN PART", "SAFETY INSPECTION ITEM, WORN",
    "TECH FOUND EXCESSIVE WEAR DURING MAINTENANCE",
    "b:BOOT FOUND CRACKED AT INSPECTION", "NO CUSTOMER CONCERN. FOUND WORN ON MPI",
    "PRE-PURCHASE TYPE INSPECTION FOUND WORN", "ANNUAL INSPECTION FOUND WORN PART",
    "30K SERVICE: WORN, APPROVED AND DONE",
]
PLANNED = [
    "SCHEDULED MAINTENANCE ITEM", "REPLACED PER MAINTENANCE SCHEDULE", "PREVENTIVE MAINTENANCE, NO CONCERN",
    "FLEET PM PROGRAM REPLACEMENT", "MILEAGE INTERVAL REPLACEMENT", "PLANNED REPLACEMENT AT FLEET REQUEST",
    "SCHEDULED BY FLEET MANAGER, PART STILL SERVICEABLE", "60K MAINTENANCE PACKAGE", "PROACTIVE REPLACEMENT",
    "DUE PER SCHEDULE", "TIME BASED REPLACEMENT", "PREVENTATIVE, NOT FAILED",
]
COLLATERAL = [
    "PERFORMED IN CONJUNCTION WITH LINE A", "OVERLAP LABOR WITH LINE ABOVE",
    "RECOMMENDED WHILE DISASSEMBLED, APPROVED", "REPLACED WITH LINE A REPAIR", "REQUIRED BY DISASSEMBLY",
    "COMBINED WITH ABOVE OPERATION", "NOT REUSABLE AFTER REMOVAL", "DONE AT SAME TIME AS ABOVE", "ADD-ON TO LINE A",
    "WHILE SHAFT REMOVED",
    "INCLUDED WITH MAIN REPAIR", "SAME LABOR AS LINE ABOVE",
]
DAMAGE = [
    "COLLISION REPAIR", "ACCIDENT DAMAGE", "ROAD DEBRIS DAMAGE", "OUTSIDE INFLUENCE - STRUCK OBJECT",
    "CURB STRIKE DAMAGE", "INSURANCE CLAIM", "IMPACT DAMAGE NOTED, NOT WARRANTABLE", "VANDALISM",
    "DAMAGED BY OFF ROAD IMPACT", "BODY SHOP SUBLET: DAMAGED IN ACCIDENT", "CUT BY DEBRIS", "HIT DEER, DAMAGED",
]
COMEBACK = [
    "REPEAT REPAIR, PREVIOUS PART DEFECTIVE", "COMEBACK FROM PRIOR RO", "PARTS WARRANTY - REPLACEMENT PART FAILED",
    "INCORRECT INSTALLATION ON PRIOR VISIT", "INTERNAL: RECHECK OF OUR REPAIR", "GOODWILL, OUR PRIOR REPAIR FAILED",
    "PRIOR REPAIR NOT CORRECT, REDONE", "DEFECTIVE NEW PART", "SHOP POLICY - REDO", "RETURN VISIT FOR SAME REPAIR",
    "WRONG PART INSTALLED ON PRIOR RO", "SNAP RING NOT SEATED ON PRIOR REPAIR",
]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip
VERBS = ["REPLACE", "R&R", "REMOVE AND REPLACE", "REMOVE & INSTALL NEW", "REPLACED"]
IDLE = {
    "look": (["INSPECT", "CHECK", "DIAGNOSE"], ["OK AT THIS TIME", "NO PROBLEM FOUND", "OPERATING AS DESIGNED",
    "WITHIN SPEC", "UNABLE TO DUPLICATE"]),
    "grease": (["LUBRICATE", "GREASE"], ["", "PERFORMED LUBE SERVICE", "AS PART OF LOF"]),
    "adjust": (["REMOVE AND REINSTALL", "RETORQUE", "ADJUST"], ["FOR ACCESS", "REUSED ORIGINAL PART",
    "FASTENERS LOOSE, TORQUED TO SPEC", ""]),
    "later": (["RECOMMEND", "QUOTE", "ESTIMATE", "SPECIAL ORDER PART FOR"], ["CUSTOMER DECLINED",
    "DECLINED AT THIS TIME", "SOP, RETURN TO INSTALL", "PART ON BACKORDER", "MONITOR, RECHECK NEXT VISIT"]),
}  # fmt: skip
OTHER = [
    ("REPLACE BRAKE PADS, FRONT", "PAD KIT-FRT; ROTOR (2)", "WORN TO 2MM"), ("REPLACE BALL JOINT, LOWER LH",
    "JOINT KIT-LWR CONT ARM BALL", "LOOSE"), ("REPLACE HUB BEARING RF", "HUB ASM-FRT WHL", "CUSTOMER STATES HUMMING"),
    ("REPLACE BOOT, STEERING GEAR", "BOOT KIT-STRG GR", "TORN"), ("REPLACE TIE ROD END, OUTER",
    "ROD KIT-STRG LNKG OTR TIE", "PLAY"),
    ("REPLACE FLEX JOINT, EXHAUST", "PIPE ASM-EXH FRT", "LEAK"), ("LUBE OIL FILTER", "OIL 5W30; FILTER", "LOF"),
    ("REPLACE STRUT, TRUNK LID", "STRUT-R/CMPT LID", ""), ("REPLACE STARTER", "STARTER ASM", "NO CRANK"),
    ("ALIGNMENT", "", "PULLS LEFT"), ("REPLACE SEAL, PINION", "SEAL-DIFF PINION", "OIL LEAK"),
    ("REPLACE BOOT, SHIFT LEVER", "BOOT-SHIFT", "TORN"),
    ("REPLACE CLUTCH", "CLUTCH KIT; BEARING-RELEASE", "SLIPPING"), ("REPLACE SHOCKS, REAR", "ABSORBER KIT (2)",
    "LEAKING"), ("REPLACE MOTOR MOUNT", "MOUNT-ENG", "VIBRATION AT IDLE"), ("REPLACE LINK, STABILIZER", "LINK KIT",
    "CLUNK OVER BUMPS"), ("REPLACE BEARINGS, DIFFERENTIAL SIDE", "BRG KIT-DIFF", "WHINE"), ("MOUNT AND BALANCE TIRES",
    "TIRE (4)", ""), ("REPLACE LATCH, CENTER CONSOLE", "LATCH-CNSL", "BROKEN"),
    ("REPLACE BATTERY", "BATTERY", "FAILED TEST"), ("REPLACE WATER PUMP", "PUMP KIT-WAT", "BEARING NOISE"),
]  # fmt: skip


def _operation(rng, job):
    """Part and place as the operation list names them."""
    lead = job.lead
    prefix = lead.position.split(".")[0]
    axle = prefix.startswith("axle_")
    if job.assembly == HALF_SHAFT:
        name = pick(rng, HALF)
    elif not job.component:
        name = pick(rng, VAGUE["boot" if "boot" in lead.component else "joint"])
    else:
        name = pick(rng, OPERATIONS["axle" if axle else lead.component])
    if job.assembly == JOINT_PAIR:
        return name.replace("JOINT", "JOINTS") + pick(rng, [" - REAR SHAFT, BOTH", ", REAR PROPSHAFT (2)"])
    if job.assembly == BOTH:
        return name + pick(rng, [" - BOTH SIDES", ", LEFT AND RIGHT", " LH & RH"])
    return name + _place(rng, job, lead, prefix)


def _place(rng, job, part, prefix):
    if job.place == "part":
        return " - " + pick(rng, SHAFTS[prefix]) if prefix in SHAFTS else ""
    if job.place != "full":
        return ""
    side = prefix.removeprefix("axle_")
    place = pick(rng, SIDES[side]) if side in SIDES else pick(rng,
        PLACES[part.position]) if part.position in PLACES else ""
    return pick(rng, [" - ", ", ", " "]) + place if place else ""


def _besides(rng, job):
    """What was renewed beside the first part, as further operations."""
    texts = []
    for part in () if job.assembly else job.parts[1:]:
        name = pick(rng, OPERATIONS[part.component])
        texts.append(name + _place(rng, job, part, part.position.split(".")[0]))
    return "".join(pick(rng, [" AND ", "; ALSO ", " WITH "]) + text for text in texts)


def _pieces(rng, job):
    if job.assembly == HALF_SHAFT:
        return "1 " + pick(rng, ["SHAFT ASM-FRT WHL DRV", "AXLE ASM-CV"])
    if not job.component:
        return "1 BOOT KIT" if "boot" in job.lead.component else "1 JOINT KIT"
    if job.assembly:
        return f"2 {pick(rng, PIECES[job.lead.component])}"
    return "; ".join(f"1 {pick(rng, PIECES[part.component])}" for part in job.parts)


def _columns(operation, pieces, story):
    return {"correction": tidy(operation), "cause": tidy(pieces), "complaint": tidy(story)}


def words(rng, job):
    """Operation, parts and story; an order's other line tells what `place` leaves to it."""
    if job.kind == "other":
        return _columns(*OTHER[int(rng.integers(len(OTHER)))])
    if job.kind != "renewal":
        verbs, ends = IDLE[job.kind]
        return _columns(f"{pick(rng, verbs)} {_operation(rng, job)}", "", pick(rng, ends))
    operation = f"{pick(rng, VERBS)} {_named(rng, job)}"
    story = _story(rng, job) if job.reason else pick(rng, ["", "COMPLETED", "PERFORMED AS REQUESTED"])
    pieces = "" if job.place == "order" or rng.random() < 0.25 else _pieces(rng, job)
    if job.second is not None:
        operation = f"LINE A: {operation}. {story}. LINE B: {pick(rng, VERBS)} {_operation(rng, job.second)}"
        operation += _besides(rng, job.second)
        story, pieces = _story(rng, job.second), ""
    if job.also == "other":
        more = OTHER[int(rng.integers(len(OTHER)))]
        operation = f"{operation}. {story}. {more[0]}" if rng.random() < 0.5 else f"{more[0]}. {operation}. {story}"
        story = ""
    elif job.also == "look":
        story += pick(rng, [". CHECKED OPPOSITE SIDE, OK", ". INSPECTED REMAINING DRIVELINE, OK"])
    return _columns(operation, pieces, story)


def _named(rng, job):
    if job.place == "order" and job.component:
        return _operation(rng, job) + pick(rng, [", SAME SIDE AS LINE A", " - SAME SIDE"])
    if job.place == "order":
        return pick(rng, ["BOOT FOR LINE A JOINT",
            "BOOT, SAME JOINT AS LINE ABOVE"] if "boot" in job.lead.component else ["JOINT, SAME AS LINE ABOVE"])
    return _operation(rng, job) + _besides(rng, job)


def _story(rng, job):
    other = "j:" if "boot" in job.lead.component else "b:"
    text = pick(rng,
        [t for t in REASONS[job.lead.reason] if not t.startswith(other)]).removeprefix("j:").removeprefix("b:")
    return spin(rng, text.replace("{s}", pick(rng, FELT[job.lead.component])))


MODELS = {
    ("crew_truck", "rear_two_piece"): "4500 CREW",
    ("crew_truck", "rear_two_piece+steering_shaft"): "4500 CREW LCF",
    ("service_van", "all_wheel"): "CARGO VAN AWD",
    ("field_pickup", "four_wheel_independent"): "1500 4WD",
    ("utility_4x4", "four_wheel_solid"): "UTILITY 4WD SFA",
    ("yard_truck", "rear_one_piece"): "SPOTTER",
    ("yard_truck", "rear_one_piece+slip_spline"): "SPOTTER SLIP",
    ("town_car", "front_half_shafts"): "COMPACT",
}
COLUMNS = {
    "RO": "order", "Closed": "date", "Stock Unit": "unit", "Mileage Out": "odometer", "Operation": "correction",
    "Parts": "cause",
    "Story": "complaint", "Flag Hrs": "hours", "Parts Sale": "cost",
}  # fmt: skip
FILES = {"vehicles": "units.csv", "readings": "mileage.csv", "inspections": "mpi.csv", "ride_height": "lift.csv"}


def write(shop, sheets, folder, messy):
    """Pipe-separated text; two invoices runs that overlap if messy."""
    options = {"delimiter": "|"}
    mess = Mess(titles=("SERVICE INVOICE LISTING",), page=70, totals=(7, 8)) if messy else CLEAN
    places = write_delimited(folder / "invoices.txt", sheets["repairs"], mess=mess, **options)
    for name, file in FILES.items():
        write_delimited(folder / file, sheets[name], **options)
    columns = {"order": "RO", "date": "Closed", "unit": "Stock Unit", "odometer": "Mileage Out",
        "labour_hours": "Flag Hrs", "parts_cost": "Parts Sale"}
    text = settings_head(shop) + '\n[tables.repairs]\nfile = "invoices.txt"\nunit = "mi"\n' + toml_columns(columns,
        ("Operation", "Parts", "Story"))
    for name, file in FILES.items():
        text += f'\n[tables.{name}]\nfile = "{file}"\n'
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="G",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "SU"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["SU", "SU-", "SU ", "su"])),
    },
    write=write,
    order_name=lambda job: f"{600_000 + int(job.order)}",
    distance_unit="mi",
    day=lambda day: day.strftime("%b %d, %Y"),
    typos=0.08,
)
