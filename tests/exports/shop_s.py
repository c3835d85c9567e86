"""Shop S: a North American delivery and utility fleet, left-hand drive; capitals, complaint and work done."""

from clauses import Phrasebook
from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited
from exporting import Shares, Shop, settings_head
from phrases import Voice, pick
from true_jobs import HALF_SHAFT, JOINT_PAIR

VOICE = Voice(
    names={
        "u_joint": ["U-JOINT", "U-JOINT", "U/JOINT", "UJOINT", "U JOINT", "U-JT", "UNIV JOINT", "UNIVERSAL JOINT",
            "UNIV JT", "U-JNT", "UNIVERSAL"],
        "cv_joint_outboard": ["OUTER CV JOINT", "OUTER CV", "OTR CV JT", "OUTBD CV JOINT", "CV JT OUTER",
            "CV JOINT (OUTER)", "WHEEL END CV JOINT", "OUTER C/V JOINT", "OUTBOARD CV", "OUTER CV JNT"],
        "cv_joint_inboard": ["INNER CV JOINT", "INNER CV", "INR CV JT", "INBD CV JOINT", "CV JT INNER",
            "CV JOINT (INNER)", "DIFF SIDE CV JOINT", "INNER TRIPOD JT", "INNER PLUNGE JOINT", "INBOARD CV"],
        "cv_boot_outboard": ["OUTER CV BOOT", "OTR CV BOOT", "OUTBD CV BOOT", "CV BOOT OUTER", "OUTER AXLE BOOT",
            "WHEEL SIDE CV BOOT", "OUTER CV BOOT & CLAMPS", "OUTER C/V BOOT", "CV BOOT (OUTER)"],
        "cv_boot_inboard": ["INNER CV BOOT", "INR CV BOOT", "INBD CV BOOT", "CV BOOT INNER", "INNER AXLE BOOT",
            "DIFF SIDE CV BOOT", "INNER CV BOOT & CLAMPS", "INNER C/V BOOT", "CV BOOT (INNER)"],
        "support_bearing": ["CARRIER BRG", "CARRIER BEARING", "CTR SUPPORT BRG", "HANGER BRG", "HANGER BEARING",
            "DRIVELINE CARRIER BRG", "CTR CARRIER BRG", "DRIVESHAFT CTR BRG", "D/L CENTER BEARING",
            "DRIVESHAFT SUPPORT BRG"],
        "slip_spline": ["SLIP YOKE", "SLIP JOINT", "D/L SLIP YOKE", "DRIVESHAFT SLIP YOKE", "SLIP JT, DRIVELINE",
            "SPLINED SLIP YOKE", "DRIVELINE SLIP JOINT", "SLIP SPLINE", "SLIP YOKE, D/SHAFT"],
        "steering_joint": ["STRG SHAFT U-JOINT", "STEERING SHAFT U-JOINT", "STRG COLUMN U-JOINT", "STEERING U-JOINT",
            "STRG SHAFT JT", "INTERMEDIATE STRG SHAFT U-JT", "STRG U-JT", "STEERING SHAFT JOINT",
            "STRG SHAFT UNIV JT"],
    },
    vague={
        "cv_joint_outboard": ["CV JOINT", "CV JT", "C/V JOINT", "CV JNT"],
        "cv_joint_inboard": ["CV JOINT", "CV JT", "C/V JOINT", "CV JNT"],
        "cv_boot_outboard": ["CV BOOT", "AXLE BOOT", "C/V BOOT", "CV AXLE BOOT"],
        "cv_boot_inboard": ["CV BOOT", "AXLE BOOT", "C/V BOOT", "CV AXLE BOOT"],
    },
    sides={
        "left": ["DS", "LF", "L/F", "LH", "DRVR SIDE", "DRIVER SIDE", "LT FRT", "LEFT FRT", "STREET SIDE", "LEFT"],
        "right": ["PS", "RF", "R/F", "RH", "PASS SIDE", "PASSENGER SIDE", "RT FRT", "RIGHT FRT", "CURB SIDE",
            "CURBSIDE", "RIGHT"],
        "both": ["BOTH SIDES", "DS & PS", "LF & RF", "LT & RT", "L & R", "LH/RH", "DRVR & PASS SIDE"],
    },
    places={
        "rear.joint_front": ["REAR DRIVESHAFT FRONT", "REAR DRIVELINE, FRT END", "REAR DRIVESHAFT, FWD",
            "RR DRIVESHAFT FRT", "REAR D/L FRONT", "REAR D/L FWD END"],
        "rear.joint_front|alone": ["TRANS END", "FRT", "TRANS SIDE", "FRONT", "TRANS OUTPUT", "DRIVELINE FRT"],
        "rear.joint_centre": ["REAR DRIVESHAFT CTR", "REAR DRIVELINE, MIDDLE", "REAR DRIVESHAFT MIDDLE",
            "RR DRIVESHAFT CENTER", "REAR D/L MID", "REAR D/L CARRIER BRG END"],
        "rear.joint_centre|alone": ["CTR", "CENTER", "MIDDLE", "DRIVELINE CTR", "CARRIER BRG END", "MID DRIVESHAFT"],
        "rear.joint_rear": ["REAR DRIVESHAFT DIFF END", "REAR DRIVELINE, REAR END", "REAR DRIVESHAFT BACK END",
            "RR DRIVESHAFT AT PINION", "REAR D/L AXLE END", "REAR D/L AT REAR DIFF"],
        "rear.joint_rear|alone": ["DIFF END", "REAR", "REAR DIFF END", "PINION END", "DRIVELINE REAR", "REAR AXLE END"],
        "front.joint_front": ["FRT DRIVESHAFT AXLE END", "FRONT DRIVELINE, DIFF END", "FRT D/L AT FRT DIFF",
            "FRONT DRIVESHAFT, FRT END", "FRT DRIVESHAFT PINION END"],
        "front.joint_rear": ["FRT DRIVESHAFT T-CASE END", "FRONT DRIVELINE, XFER CASE END", "FRT D/L AT T-CASE",
            "FRONT DRIVESHAFT, REAR END", "FRT DRIVESHAFT TRANSFER CASE END"],
        "steering.joint_upper": ["UPPER", "UPR", "TOP", "UPPER END", "COLUMN END"],
        "steering.joint_lower": ["LOWER", "LWR", "BOTTOM", "LOWER END", "STRG GEAR END", "GEARBOX END"],
    },
    shafts={"rear": ["REAR DRIVESHAFT", "REAR DRIVELINE", "REAR D/L", "RR DRIVESHAFT"],
        "front": ["FRT DRIVESHAFT", "FRONT DRIVELINE", "FRT D/L", "FRONT DRIVESHAFT"]},
    axles=["{p} STEER AXLE", "FRT AXLE {p}", "{p} STEER AXLE SHAFT", "FRONT AXLE SHAFT {p}", "{p} AXLE AT KNUCKLE"],
    joins=["{p} {n}", "{p} {n}", "{n} {p}", "{n}, {p}", "{n} - {p}", "{n} ({p})"],
    half_shafts=["CV AXLE ASSY", "CV AXLE", "AXLE SHAFT ASSY W/ CV JOINTS", "COMPLETE CV AXLE", "HALF SHAFT ASSY",
        "REMAN CV AXLE", "CV HALFSHAFT", "CV AXLE SHAFT ASSY"],
    pairs=["U-JOINTS FRT & REAR, REAR DRIVESHAFT", "U-JOINTS BOTH ENDS OF REAR DRIVESHAFT",
        "REAR DRIVELINE U-JOINTS (2) FRT & REAR", "FRONT AND REAR U-JTS ON REAR D/L",
        "UNIV JOINTS, REAR DRIVESHAFT, BOTH ENDS"],
    with_boot=["W/ BOOT", "& BOOT", "AND BOOT", "INCL BOOT", "W/ BOOT KIT", "+ BOOT"],
    both_boots=["CV BOOTS INNER & OUTER", "INNER AND OUTER CV BOOTS", "INR/OTR CV BOOTS", "BOTH CV BOOTS (INR & OTR)",
        "AXLE BOOTS, INNER + OUTER"],
    same_side=["SAME SIDE", "SAME AXLE", "SAME SIDE AS LINE ABOVE"],
    same=["{n} ON SAME CV", "{n} FOR SAME CV AS ABOVE", "CV {n}, SAME SPOT AS ABOVE", "CV {n} SAME END OF SAME AXLE"],
    ands=(" & ", " AND ", " + ", ", "),
)  # fmt: skip
SYMPTOMS = {
    "u_joint": ["CLUNK GOING INTO GEAR", "VIBRATION AT 50 MPH", "SQUEAK FROM UNDER TRUCK", "CLUNKS ON TAKE OFF",
        "DRIVELINE VIB", "BANGS WHEN SHIFTED TO REVERSE", "CHIRPS AT LOW SPEED"],
    "axle_joint": ["CLICKS ON TURNS IN 4WD", "BINDS TURNING IN 4WD", "POPS ON TIGHT TURN W/ HUBS LOCKED"],
    "cv_joint_outboard": ["CLICKING ON TURNS", "POPPING WHEN TURNING", "CLICKS AT FULL LOCK", "POPS LEAVING DOCK"],
    "cv_joint_inboard": ["SHUDDER ON ACCEL", "VIB UNDER LOAD", "SHAKES PULLING HILLS", "SHIMMY ON TAKE OFF"],
    "cv_boot_outboard": ["GREASE ON INSIDE OF WHEEL", "GREASE SLUNG ON RIM", "GREASE ON STRUT"],
    "cv_boot_inboard": ["GREASE ON TRANS PAN", "GREASE SLUNG ON SUBFRAME", "GREASE DRIPPING ON EXHAUST, SMOKES"],
    "support_bearing": ["ROAR UNDER FLOOR", "HOWLS AT HWY SPEED", "SHUDDER ON TAKE OFF", "RUMBLE UNDER CARGO FLOOR",
        "DRIVESHAFT BOUNCING"],
    "slip_spline": ["THUNK AFTER STOPPING", "BUMP ON TAKE OFF FROM STOP", "CLUNK WHEN COMING TO STOP"],
    "steering_joint": ["STIFF STEERING", "PLAY IN STRG WHEEL", "STEERING BINDS & CATCHES", "LOOSE STEERING"],
    "vague_joint": ["NOISE WHILE DRIVING", "CLUNKING", "KNOCK UNDER TRUCK"],
    "vague_boot": ["GREASE LEAK", "SLINGING GREASE", "GREASE UNDER TRUCK"],
}  # fmt: skip
# Complaint and work performed stand on either side of the two bars; a blank complaint is left blank in the export.
FAILED = [
    "DRIVER STATES {s} || FND {p} BAD. R&R", "{s} || FOUND {p} SHOT, REPL", "OPER RPTS {s} || {p} FAILED. INST NEW",
    "d:TOWED IN - NO DRIVE || {p} BROKE. R&R. RT OK", "j:ROAD CALL - {s} || {p} CAME APART ON ROUTE, REPL",
    "CUST STATES {s} || RT & VERIFIED. TRACED TO {p}. R&R", "CK {s} || DIAG BAD {p}, REPL W/ NEW",
    "d:DOWN ON RTE || {p} LET GO, R&R", "j:DRVR WRITE UP - {s} || {p} SEIZED UP. REPL",
    "UNIT BROKE DOWN - {s} || R&R FAILED {p}", "DRIVER SAYS {p} BAD - {s} || R&R SAME",
    "ROAD SVC || {p} FAILED ON ROAD. REPL", "{s}, GETTING WORSE || {p} NO GOOD. R&R",
    "j:{s} SINCE YESTERDAY || {p} WENT OUT. R&R",
    "b:DRVR RPTS {s} || {p} TORN OPEN. REPL & CLEANED UP", "b:{s} || {p} SPLIT, GREASE GONE. R&R",
    "u:VIBRATES, DRVR PARKED IT || {p} CAPS DRY & NEEDLES GONE. R&R", "RTE DRIVER COMPLAINS OF {s} || R&R BAD {p}",
    "ROADSIDE BREAKDOWN || {p} FAILED. REPL, RET TO SVC", "{s} PER DRVR || REMVD & REPL {p}, BROKEN",
    "j:BRKDN, TOWED TO SHOP || {p} BLEW APART. R&R",
]  # fmt: skip
WORN = [
    "PM B || FND {p} WORN ON INSP. REPL", "p:PM SVC || {p} HAS EXCESS PLAY ON INSP. R&R",
    "ANNUAL DOT INSP || {p} WORN, DID NOT PASS. R&R", "FED ANNUAL || {p} WORN PAST SPEC, REPL",
    "b:PM A INSP || FND {p} CRACKED & DRY ROTTED. REPL", "b:LOF & INSP || {p} CHECKING & SEEPING GREASE, REPL",
    "j:PM INSP || FND {p} LOOSE. R&R", "90 DAY INSP || NOTED {p} WORN BEYOND LIMIT, R&R",
    "NO DRVR COMPLAINT, IN FOR SVC || TECH FND {p} WORN. REPL", "SAFETY INSP || {p} MARKED WORN, RENEWED",
    "INSP WRITE UP || {p} WORN. R&R", "CK UNDERCARRIAGE ON PM || {p} STARTING TO GO. REPL",
    "PM C || {p} FND WORN W/ UNIT ON LIFT. R&R", "u:PM B || RUST DUST AT {p} CAPS ON INSP, R&R",
    "TECH INSP - {p} WORN || R&R SAME", "STATE INSP || {p} REJECTED. REPL TO PASS",
    "PM A || REPL {p}, FOUND BAD DURING PM", "IN FOR TIRES || NOTICED {p} WORN DURING MULTI-POINT INSP, R&R",
    "u:QTRLY SVC || {p} ROUGH & NOTCHY WHEN CKD, REPL", "PM DUE || INSP UNDERSIDE. {p} WORN OUT. REPL",
]  # fmt: skip
PLANNED = [
    "PM D || REPL {p} AT INTERVAL. OLD PART STILL OK", "SCHED MAINT || R&R {p} PER PM SCHED",
    "{p} DUE BY MILES || R&R", "60K SVC || REPL {p} PER SCHED", "FLEET CHG-OUT PROGRAM || CHGD {p} PER PROGRAM",
    "PREV MAINT || {p} CHGD ON MILES, NO DEFECT", "SCHED REPL || INST NEW {p}",
    "PM - MILEAGE LIMIT REACHED || {p} HIT REPL MILES. R&R", "PLANNED WORK || R&R {p} AS PLANNED",
    "100K PM || REPL {p} AS PART OF PM, NOT BAD", "PRE-WINTER PM || R&R {p}, SCHED ITEM",
    "ROUTINE CHANGE OUT || {p} REPL", "SCHED COMPONENT R&R || {p} REPL, MILES UP",
    "PREVENTIVE || {p} REPL AHEAD OF FAILURE PER PM PLAN", "PM E DUE || CHG {p} - CALLED FOR ON PM SHEET",
    "|| R&R {p}, DUE ON PM SCHED", "TIME & MILES REPL || {p} R&R, GOOD WHEN REMVD",
]  # fmt: skip
COLLATERAL = [
    "SEE LINE 1 || REPL {p} WHILE APART", "W/ ABOVE JOB || {p} REPL AT SAME TIME",
    "ADDL PART FOR LINE 1 || {p} NOT REUSABLE ONCE OFF, REPL", "|| ALSO R&R {p} WHILE IN THERE",
    "SEE ABOVE || {p} HAD TO COME OFF FOR OTHER RPR, INST NEW", "|| REPL {p} W/ ABOVE, ALREADY APART",
    "SEE LINE 1 || {p} DAMAGED GETTING OTHER PART OUT, REPL", "ADD ON TO LINE 1 || R&R {p} SINCE IT WAS APART",
    "SEE ABOVE || REPL {p} AS LONG AS SHAFT IS OUT", "RELATED TO LINE 1 || {p} REPL IN SAME JOB, NO ADDL LABOR",
    "|| WHILE DOING ABOVE REPL {p} TOO", "SAME JOB || {p} REPL ALONG W/ ABOVE PART",
    "SEE PRIOR LINE || {p} GOT RUINED ON TEARDOWN. REPL", "|| DID {p} SAME TIME TO SAVE LABOR",
    "SEE LINE 1 || REPL {p} AS PRECAUTION WHILE APART",
]  # fmt: skip
DAMAGE = [
    "j:HIT CURB || {p} BENT FROM IMPACT. R&R", "ACCIDENT RPR || REPL {p}, COLLISION DMG",
    "RAN OVER DEBRIS IN ROAD || {p} DAMAGED BY DEBRIS. R&R", "b:ROAD DEBRIS || {p} CUT BY DEBRIS, REPL",
    "HIGH CENTERED ON JOB SITE || {p} SMASHED. REPL", "BODY SHOP EST || R&R {p} - WRECK DAMAGE",
    "TOW CO DAMAGED {p} || R&R, BILL TOW CO", "HIT STUMP OFF ROAD || {p} DMGD. REPL",
    "VANDALISM || {p} DMGD BY VANDALS, REPL", "INS CLAIM - HIT LUMBER IN ROAD || R&R {p}, DMGD IN HIT",
    "b:STRAP WRAPPED ON AXLE || {p} RIPPED BY STRAP. R&R", "STRUCK BY FORKLIFT AT DOCK || {p} DMGD, REPL",
    "DRVR ABUSE - STUCK IN DITCH || {p} TORN UP IN DITCH. R&R", "HIT POTHOLE HARD || {p} DAMAGED IN HIT, REPL",
    "j:BACKED INTO BOLLARD || {p} KNOCKED OUT OF SHAPE. R&R", "WRECK || REPL {p}",
    "c:CHAIN CAUGHT IN DRIVELINE || {p} TORN UP BY CHAIN. REPL", "ROCK HIT UNDERSIDE || {p} DMGD BY ROCK, R&R",
]  # fmt: skip
COMEBACK = [
    "COMEBACK - {s} || {p} INST LAST WO FAILED. R&R", "RECHECK FROM LAST VISIT || NEW {p} DEFECTIVE, REPL N/C",
    "REPEAT RPR - {s} || {p} REPL LAST MONTH BAD AGAIN. R&R", "REDO || {p} INSTALLED WRONG LAST TIME. REPL W/ NEW",
    "SHOP WARRANTY || {p} WE INSTALLED WENT BAD, R&R N/C", "WARR - VENDOR PART || {p} BAD OUT OF BOX. REPL",
    "SAME COMPLAINT AS LAST WEEK - {s} || {p} WE PUT IN IS BAD. R&R AGAIN",
    "u:COMEBACK || CLIP LEFT OUT LAST TIME, {p} CAP WALKED OUT. INST NEW",
    "b:COMEBACK - {s} || CLAMP NOT TIGHT FROM LAST RPR, {p} CAME OFF. INST NEW",
    "REWORK || R&R {p}, IMPROPER INSTALL PRIOR WO", "{p} R&R'D 2 WKS AGO, FAILED AGAIN || R&R UNDER WARR",
    "BACK FOR SAME THING || {p} FROM LAST RPR NO GOOD, REPL", "REPEAT || WRONG {p} INST ON PRIOR WO. INST CORRECT ONE",
    "PARTS WARR CLAIM || {p} - 30 DAYS OLD, FAILED. REPL N/C",
    "OUTSIDE VENDOR REDO || VENDOR'S {p} BAD. R&R, VENDOR BILLED", "COMEBACK FROM PREV WO || R&R {p} 2ND TIME",
]  # fmt: skip
UNSAID = [
    "|| R&R {p}", "|| REPL {p}", "RPR AS NEEDED || INST NEW {p}", "SEE WORK || R&R {p}", "|| {p} - R&R",
    "REPAIR || REPLACED {p}", "{p} || R&R", "|| REMOVE & REPLACE {p}", "|| RENEW {p}", "REQ BY SHOP || {p} REPL",
    "|| CHGD {p}", "UNIT IN SHOP || REM & INST NEW {p}",
]  # fmt: skip
IDLE = {
    "look": ["CK {s} || INSP {p}, OK AT THIS TIME", "PM B || CKD {p} - GOOD", "{s} || INSP {p}, NO PROBLEM FOUND",
        "DRVR STATES {s} || CKD {p}. COULD NOT DUPLICATE, NPF", "ANNUAL INSP || {p} INSP - PASSED",
        "PM A || {p} TIGHT, NO WEAR", "CK UNDERCARRIAGE || VISUAL ON {p}, NO ISSUES", "|| INSPECTED {p}, W/IN SPEC",
        "b:PM A || {p} DRY, NO CRACKS"],
    "grease": ["PM A || LUBED {p}", "LOF || LUBE {p}", "SQUEAK || GREASED {p}. RT OK", "PM SVC || {p} TOOK GREASE",
        "LUBE ONLY || GREASE {p}, WIPED OFF EXCESS", "{s} || {p} DRY. GREASED, NOISE GONE", "|| HIT {p} W/ GREASE GUN"],
    "adjust": ["c:PM B || TORQUED BOLTS AT {p}", "c:{s} || FND BOLTS LOOSE AT {p}. RETORQUED",
        "b:GREASE SEEP || RESET CLAMP ON {p}, BOOT OK", "|| R&I {p} FOR ACCESS, REINST SAME PART",
        "j:TRANS JOB || DISCONNECTED {p} FOR CLEARANCE, REINSTALLED ORIG", "c:VIB || RE-INDEXED SHAFT AT {p}, RT OK",
        "PM || CLEANED {p} & PUT BACK"],
    "later": ["PM B || {p} GETTING WORN. DEFER TO NEXT PM", "INSP || {p} ON ORDER, NOT INST",
        "PM A || {p} SHOWS SOME WEAR. MONITOR", "{s} || NEEDS {p}. PARTS NOT IN STOCK, RESCHED",
        "ANNUAL INSP || RECOMMEND {p} NEXT VISIT", "WRITE UP || QUOTED {p}, WAITING ON APPROVAL",
        "PM C || {p} WILL NEED REPL SOON. NOT DONE, UNIT NEEDED ON RTE", "|| {p} DECLINED AT THIS TIME",
        "DEFERRED WORK || {p} TO BE REPL NEXT PM", "|| OPEN ITEM: R&R {p} WHEN PARTS ARRIVE"],
}  # fmt: skip
# Complaint, work performed and parts description; the last is blank where no part was drawn.
OTHER = [
    "BRAKES GRINDING || R&R FRT BRAKE PADS & ROTORS || PAD SET-FRT",
    "PULLS || R&R [DS|PS] LOWER BALL JOINT || BALL JT LWR",
    "ROAR AT SPEED || R&R [LF|RF] WHEEL BRG & HUB || HUB ASM-FRT",
    "NO START || REPL BATTERY, CLEANED TERMINALS || BATTERY", "RUNS HOT || REPL T-STAT & COOLANT || THERMOSTAT",
    "PS LEAK || REPL PWR STRG HOSE || HOSE-P/S PRESS", "PM A || LOF, CKD FLUIDS & TIRES || FILTER-OIL",
    "STRG LOOSE || R&R [DS|PS] OUTER TIE ROD END || TIE ROD END OTR",
    "RACK LEAK || R&R STRG RACK BOOT [DS|PS] || BOOT-RACK",
    "OIL LEAK RR || R&R PINION SEAL, TOPPED DIFF || SEAL-PINION",
    "CLUTCH SLIPS || R&R CLUTCH, PRESS PLATE & T/O BRG || CLUTCH KIT",
    "BELT SQUEAL || REPL SERP BELT & TENSIONER || BELT-SERP", "ROUGH RIDE || R&R REAR SHOCKS || SHOCK-RR",
    "ENG VIB AT IDLE || R&R LH MOTOR MOUNT || MOUNT-ENG", "SHIFTS HARD || R&R TRANS MOUNT || MOUNT-TRANS",
    "LIGHT OUT || REPL RF HEADLAMP BULB || BULB-H/L", "TIRES LOW TREAD || INST 4 TIRES & BAL || TIRE",
    "WIPERS STREAK || REPL WIPER BLADES || BLADE-WIPER",
    "SLIDING DOOR STICKS || REPL LWR DOOR ROLLER & LUBED TRACK || ROLLER-DOOR",
    "LIFTGATE SLOW || TOPPED HYD FLUID, GREASED PIVOTS ||", "BUCKET DRIFTS || RESEALED LIFT CYL || SEAL KIT-CYL",
    "EXH LOUD || REPL FLEX JOINT GASKET AT EXH FLANGE || GASKET-EXH",
    "ALT NOISE || R&R ALTERNATOR, BRG BAD || ALTERNATOR", "FAN NOISE || REPL FAN CLUTCH || CLUTCH-FAN",
    "SHIFTER LOOSE || REPL SHIFTER BOOT & BUSHING || BOOT-SHIFTER",
    "CLUNK OVER BUMPS || R&R SWAY BAR LINKS BOTH SIDES || LINK-STAB",
    "SPRING BROKE || R&R LR SPRING & U-BOLTS || SPRING ASM-RR",
    "GRINDS GOING INTO 4WD || REPL T-CASE SHIFT MOTOR || MOTOR-XFER",
    "GEAR OIL LEAK || R&R RR AXLE SEAL & BRG || SEAL-AXLE", "DIFF WHINE || CHGD REAR DIFF FLUID || GEAR OIL",
    "PM B || LUBED KING PINS & SPRING PINS ||", "WANDERS || R&R PITMAN ARM || PITMAN ARM",
    "TRAILER PLUG INOP || REPL 7-WAY SOCKET || SOCKET-TRLR",
    "A/C INOP || EVAC & RECHARGED, REPL SCHRADER CORE || VALVE CORE",
    "HORN INOP || REPL CLOCK SPRING IN STRG COLUMN || CLOCK SPRING",
    "HUBS WONT LOCK || R&R [LF|RF] LOCKING HUB || HUB-LOCKING",
    "PARKING BRAKE WONT HOLD || ADJ DRIVELINE PARK BRAKE SHOES ||",
    "UPR CONTROL ARM NOISE || R&R [DS|PS] UPR CTRL ARM BUSHINGS || BUSHING KIT",
    "CHECK ENG LIGHT || REPL UPSTREAM O2 SENSOR || SENSOR-O2",
    "WINDOW STUCK || R&R [DS|PS] WINDOW REGULATOR || REGULATOR-WDO",
]  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER,
)  # fmt: skip
#: The parts room's own descriptions: the component, never the place.
PART_ROOM = {
    "u_joint": ["U-JOINT KIT", "JOINT KIT-UNIV", "U-JOINT ASM", "CROSS & BRG KIT, U-JOINT"],
    "cv_joint_outboard": ["CV JOINT KIT-OUTER", "JOINT ASM-CV OTR"],
    "cv_joint_inboard": ["CV JOINT KIT-INNER", "JOINT ASM-CV INR"],
    "cv_boot_outboard": ["BOOT KIT-CV OUTER", "BOOT KIT-CV OTR"],
    "cv_boot_inboard": ["BOOT KIT-CV INNER", "BOOT KIT-CV INR"],
    "support_bearing": ["BRG ASM-DRIVESHAFT CTR", "CARRIER BRG ASM", "BEARING-DRVSHFT SUPPORT"],
    "slip_spline": ["YOKE-SLIP, DRVSHFT", "SLIP YOKE"],
    "steering_joint": ["JOINT-STRG SHAFT", "U-JOINT, STRG SHAFT"],
}  # fmt: skip


def fields(text):
    """The columns of a phrase, stripped; three at most, blank ones kept."""
    cells = [cell.strip() for cell in text.split("||")]
    return cells + [""] * (3 - len(cells))


def part_description(rng, job):
    """The parts drawn for one renewal as the parts room names them."""
    if job.assembly == HALF_SHAFT:
        return pick(rng, ["AXLE ASM-CV", "CV AXLE SHAFT ASM, REMAN"])
    if job.assembly == JOINT_PAIR:
        return pick(rng, ["U-JOINT KIT", "JOINT KIT-UNIV"])
    if not job.component:
        return "BOOT KIT-CV" if "boot" in job.lead.component else "JOINT KIT-CV"
    components = list(dict.fromkeys(part.component for part in job.parts))
    return " / ".join(pick(rng, PART_ROOM[component]) for component in components)


def joined(first, second, between):
    """Two texts as one; either may be blank."""
    return between.join(text for text in (first, second) if text)


def words(rng, job):
    """Complaint, work performed and parts description of one line."""
    complaint, work, drawn = fields(BOOK.clause(rng, job))
    if job.kind == "renewal" and rng.random() < 0.85:
        drawn = part_description(rng, job)
    if job.second is not None:
        other, more, _ = fields(BOOK.clause(rng, job.second))
        # Numbers keep each complaint beside its own work; a line may have no complaint of its own.
        complaint = joined(f"1) {complaint}" if complaint else "", f"2) {other}" if other else "", " ")
        work = f"1) {work} 2) {more}"
        drawn = drawn and f"{drawn} / {part_description(rng, job.second)}"
    if job.also == "other":
        other, more, _ = fields(BOOK.foreign(rng))
        # Alone, the complaint about the other work would read as the reason of this line.
        complaint = complaint and joined(complaint, other, pick(rng, ["; ", ". ", " / "]))
        work = joined(work, more, pick(rng, [". ", " / ", ". ALSO "]))
    elif job.also == "look":
        work += pick(rng, [". CKD REST OF DRIVELINE, OK", ". CKD BRAKES & TIRES OK", ". RT, NO OTHER ISSUES"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = fields(BOOK.aside(rng, job, pick(rng, ["later", "look", "grease"])))[1]
        close = [". RT OK", ". ROAD TEST GOOD", ". RET TO SVC", ". OK NOW", ". CLEANED UP & RT"]
        work += f". {remark}" if remark and rng.random() < 0.4 else pick(rng, close)
    return {"complaint": complaint, "text": work, "part_description": drawn}


MODELS = {
    ("crew_truck", "rear_two_piece"): "CREW CAB UTIL BODY 2WD", ("service_van", "all_wheel"): "STEP VAN AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "CABOVER UTIL BODY 2WD",
    ("field_pickup", "four_wheel_independent"): "PICKUP 4X4 IFS", ("utility_4x4",
    "four_wheel_solid"): "LINE TRUCK 4X4 SOLID AXLE",
    ("yard_truck", "rear_one_piece"): "YARD SPOTTER", ("yard_truck",
    "rear_one_piece+slip_spline"): "YARD SPOTTER LWB",
    ("town_car", "front_half_shafts"): "COMPACT DELIVERY FWD",
}  # fmt: skip
COLUMNS = {
    "WO#": "order", "LINE OPENED": "date", "TRK#": "unit", "MILES IN": "odometer", "COMPLAINT": "complaint",
    "WORK PERFORMED": "text", "PART DESC": "part_description", "PART#": "part_number", "QTY": "quantity",
    "LABOR HRS": "hours", "PARTS $": "cost", "COMP CD": "component", "RSN CD": "reason",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "UJ", "cv_joint_outboard": "CVO", "cv_joint_inboard": "CVI", "cv_boot_outboard": "BTO",
        "cv_boot_inboard": "BTI", "support_bearing": "CBR", "slip_spline": "SLY", "steering_joint": "SSJ"},
    "reason": {"failed": "BRK", "worn": "INS", "planned": "SCH", "collateral": "WTH", "damage": "DMG",
        "comeback": "CBK"},
}  # fmt: skip
#: Headings of the other tables: key -> heading.
HEADINGS = {
    "vehicles": {"unit": "TRK#", "driveline": "BODY/CHASSIS", "vehicle_class": "CLASS", "duty": "ROUTE TYPE",
        "depot": "GARAGE", "in_service_date": "IN SVC", "in_service_odometer": "IN SVC MILES",
        "records_from": "RECORDS SINCE", "out_of_service_date": "OUT OF SVC"},
    "readings": {"unit": "TRK#", "date": "FUELED", "odometer": "PUMP MILES"},
    "inspections": {"unit": "TRK#", "date": "INSP DATE", "odometer": "MILES"},
    "ride_height": {"unit": "TRK#", "date": "MEASURED"},
}  # fmt: skip
#: Keys of the repairs table that go by another name in the settings, and columns that are not named there.
RENAMED = {"hours": "labour_hours", "cost": "parts_cost"}
UNNAMED = frozenset({"complaint", "part_description"})


def write(shop, sheets, folder, messy):
    """One comma-separated file a table, dates month first; a messy work order list repeats its heading."""
    mess = Mess(titles=("FLEET GARAGE 4", "WORK ORDER LINES - ALL UNITS"), page=50, blanks=1) if messy else CLEAN
    places = write_delimited(folder / "wo_lines.csv", sheets["repairs"], mess=mess)
    text = settings_head(shop)
    for name, renamed in HEADINGS.items():
        sheet = sheets[name]
        headings = [renamed.get(heading, heading) for heading in sheet.headings]
        write_delimited(folder / f"{name}_list.csv", Sheet(headings, sheet.rows))
        text += f'\n[tables.{name}]\nfile = "{name}_list.csv"\ndate_order = "mdy"\ncolumns = {toml_map(renamed)}\n'
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    write_delimited(folder / "parts_list.csv", sheets["parts"])
    text += '\n[tables.parts]\nfile = "parts_list.csv"\n'
    named = {RENAMED.get(key, key): head for head, key in shop.repair_columns.items() if key not in UNNAMED}
    text += '\n[tables.repairs]\nfile = "wo_lines.csv"\ndate_order = "mdy"\n'
    # As `check` proposes it: what was complained of stands before what was done.
    named.pop("text")
    text += 'columns.text = ["COMPLAINT", "WORK PERFORMED"]\n'
    text += "".join(f'columns.{key} = "{heading}"\n' for key, heading in named.items())
    for column, codes in CODES.items():
        text += f"values.{column} = {toml_map({code: meaning for meaning, code in codes.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="S",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "TRK "),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["TRK ", "TRK", "TRK-"])),
    },
    write=write,
    order_name=lambda job: f"W{int(job.order):06d}",
    codes=CODES,
    distance_unit="mi",
    day=lambda day: day.strftime("%m/%d/%Y"),
    case=str.upper,
    shares=Shares(reason=0.88),
    typos=0.10,
)
