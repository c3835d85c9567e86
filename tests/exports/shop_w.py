"""Shop W: a North American delivery fleet's garage, left-hand drive, miles; complaint, cause and correction.

Capitals and abbreviations. Comma text, the work orders in two files, dates with two-digit years, a bare meter.
"""

import shop_w_phrases as said
from clauses import numbered_cells
from export_files import CLEAN, Mess, Sheet, write_delimited
from exporting import Shares, Shop
from phrases import pick, spin, tidy
from vehicle_books import PlacingVoice, VehicleBooks, by_habit, settings_text

VOICE = PlacingVoice(
    names={
        "u_joint": ["U-JNT", "U-JOINT", "U JOINT", "UJOINT", "U/JOINT", "U-JNT", "UNIV JOINT"],
        "cv_joint_outboard": ["OUTER CV", "OUTER CV JOINT", "OUTER CV JNT", "CV JOINT OUTER", "WHEEL SIDE CV JOINT",
            "OUTBOARD CV JNT", "OTR CV JNT"],
        "cv_joint_inboard": ["INNER CV", "INNER CV JOINT", "INNER CV JNT", "CV JOINT INNER", "INNER TRIPOD JOINT",
            "INBOARD CV JNT", "INR CV JNT", "INNER PLUNGE JOINT"],
        "cv_boot_outboard": ["OUTER CV BOOT", "OUTER AXLE BOOT", "CV BOOT OUTER", "OTR CV BOOT", "WHEEL SIDE CV BOOT",
            "OUTER CV BOOT KIT", "OUTBOARD CV BOOT", "OUTER BOOT"],
        "cv_boot_inboard": ["INNER CV BOOT", "INNER AXLE BOOT", "CV BOOT INNER", "INR CV BOOT", "INBOARD CV BOOT",
            "INNER CV BOOT KIT", "TRANS SIDE CV BOOT", "INNER BOOT"],
        "support_bearing": ["CARRIER BRG", "CARRIER BEARING", "CTR SUPPORT BRG", "DRIVESHAFT CARRIER BRG",
            "CENTER SUPPORT "
            "BEARING", "HANGER BRG", "D/LINE CARRIER BRG", "CARR BRG", "CTR CARRIER BRG", "DRIVELINE HANGER BEARING"],
        "slip_spline": ["SLIP YOKE", "DRIVELINE SLIP YOKE", "SLIP JOINT", "DRIVESHAFT SLIP YOKE", "SLIP SPLINE",
            "D/SHAFT SLIP JNT", "SLIP YOKE & STUB", "SLIP YOKE ASSY"],
        "steering_joint": ["STRG SHAFT U-JNT", "STEERING SHAFT U-JOINT", "INT STRG SHAFT U-JNT", "STRG COLUMN U-JOINT",
            "STRG U-JNT", "STEERING SHAFT JOINT", "STRG COL U-JNT"],
    },
    vague={
        "cv_joint_outboard": ["CV JOINT", "CV JNT", "AXLE CV", "CV"],
        "cv_joint_inboard": ["CV JOINT", "CV JNT", "AXLE CV", "CV"],
        "cv_boot_outboard": ["CV BOOT", "AXLE BOOT", "CV BOOT KIT"],
        "cv_boot_inboard": ["CV BOOT", "AXLE BOOT", "CV BOOT KIT"],
    },
    sides={
        "left": ["LH {n}", "L/H {n}", "LF {n}", "L/F {n}", "DRIVER SIDE {n}", "{n} LH", "LEFT {n}", "LT {n}",
            "LEFT FRONT {n}", "{n} L/S", "{n} DRVR SIDE"],
        "right": ["RH {n}", "R/H {n}", "RF {n}", "R/F {n}", "PASS SIDE {n}", "{n} RH", "RIGHT {n}", "RT {n}",
            "RIGHT FRONT {n}", "{n} R/S", "CURB SIDE {n}"],
        "both": ["{n} BOTH SIDES", "L & R {n}", "LH AND RH {n}", "{n} L+R", "LF & RF {n}"],
    },
    places={
        "rear.joint_front": ["REAR DRIVESHAFT FRT {n}", "{n} REAR DRIVESHAFT AT T-CASE", "REAR D/SHAFT TCASE END {n}",
            "FRONT {n} ON REAR DRIVELINE", "REAR DRIVELINE {n}, FRONT"],
        "rear.joint_centre": ["REAR DRIVESHAFT CTR {n}", "CENTER {n} REAR DRIVESHAFT", "REAR DRIVELINE MIDDLE {n}",
            "{n} AT CARRIER BRG, REAR D/SHAFT"],
        "rear.joint_rear": ["REAR DRIVESHAFT REAR {n}", "{n} REAR DRIVESHAFT AT DIFF", "REAR D/SHAFT PINION END {n}",
            "REAR {n} ON REAR DRIVELINE", "REAR DRIVELINE {n}, REAR"],
        "front.joint_front": ["FRT DRIVESHAFT FRT {n}", "{n} FRONT DRIVESHAFT AT DIFF", "FRONT D/SHAFT AXLE END {n}",
            "FRONT {n} ON FRONT DRIVELINE"],
        "front.joint_rear": ["FRT DRIVESHAFT REAR {n}", "{n} FRONT DRIVESHAFT AT T-CASE", "FRONT D/SHAFT TCASE END {n}",
            "REAR {n} ON FRONT DRIVELINE"],
        "steering.joint_upper": ["UPPER {n}", "TOP {n}", "{n} UPPER", "UPR {n}", "{n} AT COLUMN"],
        "steering.joint_lower": ["LOWER {n}", "BOTTOM {n}", "{n} LOWER", "LWR {n}", "{n} AT GEAR BOX"],
    },
    shafts={"rear": ["REAR DRIVESHAFT {n}", "{n} ON REAR DRIVELINE", "REAR D/SHAFT {n}"],
        "front": ["FRONT DRIVESHAFT {n}", "{n} ON FRONT DRIVELINE", "FRT D/SHAFT {n}"]},
    axles=["FRONT AXLE {p}", "{p} FRONT AXLE SHAFT", "FRT AXLE {p}", "{p} IN FRONT AXLE", "STEER AXLE {p}"],
    joins=(),
    half_shafts=["CV AXLE", "CV AXLE ASSY", "COMPLETE CV AXLE", "CV HALF SHAFT ASSY", "AXLE SHAFT ASSY W/ CV'S",
        "CV SHAFT "
        "ASSY", "REMAN CV AXLE", "NEW CV AXLE COMPLETE"],
    pairs=["BOTH U-JNTS REAR DRIVESHAFT", "FRT & REAR U-JOINTS ON REAR DRIVELINE", "2 U-JNTS, REAR D/SHAFT BOTH ENDS"],
    with_boot=["& BOOT", "W/ BOOT", "AND BOOT KIT", "+ BOOT", "W/BOOT & CLAMPS"],
    both_boots=["INNER & OUTER CV BOOTS", "CV BOOTS INNER AND OUTER", "BOTH CV BOOTS (INNER/OUTER)"],
    same=["CV {n} SAME END", "{n} FOR THAT CV", "{n} ON SAME CV AS ABOVE"],
    other_end=["CV {n} OTHER END OF SAME AXLE", "{n} AT OTHER END OF THAT AXLE"],
    several=("{c} {n}S", "({c}) {n}", "{c} EA {n}"),
    same_side=("{n} SAME SIDE", "SAME SIDE {n}"),
    ands=(" & ", " AND ", " + ", ", "),
)  # fmt: skip
SHORT = {
    "u_joint": ["U-JNT", "JOINT"], "cv_joint_outboard": ["CV", "JOINT"], "cv_joint_inboard": ["CV", "JOINT"],
    "cv_boot_outboard": ["BOOT"], "cv_boot_inboard": ["BOOT"], "support_bearing": ["BRG"], "slip_spline": ["YOKE"],
    "steering_joint": ["U-JNT", "JOINT"], "half_shaft": ["AXLE"], "several": ["PARTS", "ITEMS"],
}  # fmt: skip
BOOKS = VehicleBooks.of(
    VOICE,
    said,
    short=SHORT,
    places={
        "rear.joint_front": ["FRONT {n}", "FRT {n}", "{n} AT TRANS", "TRANS END {n}", "DRIVESHAFT FRT {n}",
            "FRONT {n} ON DRIVELINE"],
        "rear.joint_centre": ["CENTER {n}", "CTR {n}", "MIDDLE {n}", "{n} AT CARRIER BRG", "DRIVESHAFT CTR {n}",
            "CENTER {n} ON DRIVELINE"],
        "rear.joint_rear": ["REAR {n}", "{n} AT DIFF", "PINION {n}", "DRIVESHAFT REAR {n}", "REAR {n} ON DRIVELINE",
            "{n} AT REAR END"],
    },
    shafts=["DRIVESHAFT {n}", "DRIVELINE {n}", "{n} ON DRIVESHAFT", "D/SHAFT {n}"],
    pairs=["BOTH DRIVESHAFT U-JNTS", "FRT & REAR U-JOINTS", "2 U-JNTS, DRIVESHAFT BOTH ENDS",
        "FRONT AND REAR DRIVELINE "
        "U-JNTS"],
)  # fmt: skip
VOICES = (BOOKS.two_shafts.voice, BOOKS.one_shaft.voice)
TEXTS = ("complaint", "cause", "correction")
CLOSES = ("R/T OK", "ROAD TEST OK", "RTN TO SVC", "UNIT READY", "TORQUED TO SPEC", "GREASED ALL")


def _cells(text):
    """Complaint, cause and correction of a phrase."""
    cells = [tidy(cell) for cell in text.split("||")]
    return cells + [""] * (len(TEXTS) - len(cells))


def clause(rng, job):
    """One job, without its further work, its cells divided by bars."""
    return BOOKS.clause(rng, job)


def _numbered(rng, one, other):
    """Two jobs of one line, numbered through the cells."""
    mark = pick(rng, ["{}) ", "{}. ", "#{} ", "{}- "])
    return numbered_cells(mark, one, other)


def words(rng, job):
    """Complaint, cause and correction of one line of a work order."""
    cells = _cells(clause(rng, job))
    if job.second is not None:
        cells = _numbered(rng, cells, _cells(clause(rng, job.second)))
    if job.also == "other":
        pair = [cells, _cells(spin(rng, pick(rng, said.OTHER)))]
        cells = _numbered(rng, *(pair if rng.random() < 0.65 else pair[::-1]))
    elif job.also == "look":
        cells[2] += pick(rng, [". ALL OTHER ITEMS OK", ". CHKD REST OF DRIVELINE OK", ". OTHER SIDE OK"])
    elif job.kind == "renewal" and rng.random() < 0.22:
        remark = BOOKS.aside(rng, job, ("later", "look", "grease"), said.REMARKS) if rng.random() < 0.45 else ""
        cells[2] += ". " + (remark or pick(rng, CLOSES))
    spelt = [by_habit(rng, cell, said.HABITS, share=0.07).strip(" .") for cell in cells]
    case = str.lower if rng.random() < 0.12 else str.upper
    return dict(zip(TEXTS, map(case, spelt), strict=True))


COLUMNS = {
    "WO NBR": "order", "CLOSE DT": "date", "UNIT NBR": "unit", "METER": "odometer", "COMPLAINT": "complaint",
    "CAUSE": "cause", "CORRECTION": "correction", "PART NBR": "part_number", "QTY": "quantity", "LBR HRS": "hours",
    "PART COST": "cost",
}  # fmt: skip
HEADINGS = {
    "vehicles": ("UNIT NBR", "DESCRIPTION", "CLASS", "SVC TYPE", "TERMINAL", "IN SVC DT", "IN SVC METER", "HIST START",
        "DISPOSED DT"),
    "readings": ("UNIT NBR", "READ DT", "METER"),
    "inspections": ("UNIT NBR", "INSP DT", "METER", "ITEM", "RESULT"),
    "ride_height": ("UNIT NBR", "DT", "LIFT MM", "REMARK"),
    "parts": ("PART NBR", "COMPONENT", "CLASS", "REPLACES", "UNIT COST", "LEAD DAYS", "SUPERSEDED BY"),
}  # fmt: skip
MODELS = {
    ("crew_truck", "rear_two_piece"): "18 FT BOX TRUCK", ("service_van", "all_wheel"): "CARGO VAN AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "18 FT BOX TRUCK COE", ("field_pickup", "four_wheel_independent"):
    "PICKUP 4X4 IFS", ("utility_4x4", "four_wheel_solid"): "PICKUP 4X4 SOLID AXLE", ("yard_truck", "rear_one_piece"):
    "STEP VAN", ("yard_truck", "rear_one_piece+slip_spline"): "STEP VAN LONG", ("town_car", "front_half_shafts"):
    "COURIER CAR FWD",
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """Comma text, the work orders in two files; messy: titles, pages and totals around the lines."""
    titles = ("FLEET MAINTENANCE - WORK ORDER LINES", "RUN 06/30/26 23:10")
    mess = Mess(titles=titles, page=58, totals=(9, 10), blanks=1) if messy else CLEAN
    repairs = sheets["repairs"]
    early = len(repairs.rows) * 2 // 5
    places = []
    parts = {"WO_LINES_1.CSV": repairs.rows[:early], "WO_LINES_2.CSV": repairs.rows[early:]}
    for file, rows in parts.items():
        places += write_delimited(folder / file, Sheet(repairs.headings, rows), mess=mess)
    for name, headings in HEADINGS.items():
        write_delimited(folder / f"{name.upper()}.CSV", Sheet(headings, sheets[name].rows))
    listed = ", ".join(f'"{file}"' for file in parts)
    files = {"repairs": f"file = [{listed}]"} | {name: f'file = "{name.upper()}.CSV"' for name in HEADINGS}
    text = settings_text(shop, sheets, HEADINGS, files=files, date_order="mdy")
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="W",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "T"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["T", "T", "T-", "T "])),
    },
    write=write,
    order_name=lambda job: f"{int(job.order):07d}",
    distance_unit="mi",
    day=lambda day: day.strftime("%m/%d/%y"),
    typos=0.08,
    shares=Shares(reason=0.85, place_full=0.81, component=0.95, numbered=0.3, merge_leads=0.24, also=0.11),
)
