"""Shop K: a city's own garage, left-hand drive, miles; technicians' prose with test drives, play, torques, advice."""

import re

from clauses import BOOTS, CV_JOINTS, Phrasebook
from exporting import Shares, Shop
from phrases import Voice, pick, spin
from plain_files import delimited_writer
from true_jobs import HALF_SHAFT

VOICE = Voice(
    names={
        "u_joint": ["u-joint", "U-joint", "ujoint", "universal joint", "u joint", "cross & bearing u-joint"],
        "cv_joint_outboard": ["outer CV joint", "outboard CV joint", "outer CV", "wheel-side CV joint",
            "CV joint (outer)", "outer axle CV joint"],
        "cv_joint_inboard": ["inner CV joint", "inboard CV joint", "inner CV", "trans-side CV joint",
            "CV joint (inner)", "inner tripod CV joint"],
        "cv_boot_outboard": ["outer CV boot", "outboard CV boot", "outer axle boot", "wheel-side CV boot",
            "CV boot (outer)", "outer CV axle boot"],
        "cv_boot_inboard": ["inner CV boot", "inboard CV boot", "inner axle boot", "trans-side CV boot",
            "CV boot (inner)", "inner CV axle boot"],
        "support_bearing": ["carrier bearing", "driveshaft carrier bearing", "center support bearing",
            "driveshaft center bearing", "carrier brg", "driveshaft support bearing", "hanger bearing"],
        "slip_spline": ["driveshaft slip yoke", "slip yoke", "slip joint on driveshaft", "splined slip yoke",
            "driveshaft slip spline", "slip yoke assy"],
        "steering_joint": ["steering shaft u-joint", "steering shaft joint", "steering column u-joint",
            "steering column joint", "steering u-joint", "joint on steering shaft"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV", "axle CV joint"], "cv_joint_inboard": ["CV joint", "CV",
            "axle CV joint"],
        "cv_boot_outboard": ["CV boot", "axle boot", "CV axle boot"],
        "cv_boot_inboard": ["CV boot", "axle boot", "CV axle boot"],
    },
    sides={
        "left": ["LF", "driver side", "left front", "L/F", "driver's side", "left side"],
        "right": ["RF", "passenger side", "right front", "R/F", "pass side", "right side", "curb side"],
        "both": ["LF and RF", "left and right front", "both front", "L/F & R/F", "driver and passenger side"],
    },
    places={
        "rear.joint_front": ["rear driveshaft front", "front of rear driveshaft", "rear driveshaft, forward end",
            "rear driveshaft forward", "rear d/shaft front end"],
        "rear.joint_front|alone": ["trans end", "front", "driveshaft front", "transmission end", "forward"],
        "rear.joint_centre": ["rear driveshaft center", "rear driveshaft carrier bearing end", "rear driveshaft middle",
            "center of rear driveshaft", "rear d/shaft mid"],
        "rear.joint_centre|alone": ["center", "middle", "driveshaft center", "mid-shaft", "carrier bearing end"],
        "rear.joint_rear": ["rear driveshaft rear", "rear driveshaft, diff end", "rear driveshaft pinion end",
            "rear end of rear driveshaft", "rear d/shaft axle end"],
        "rear.joint_rear|alone": ["rear", "diff end", "driveshaft rear", "pinion end", "axle end"],
        "front.joint_front": ["front driveshaft front", "front driveshaft, axle end", "front driveshaft diff end",
            "front end of front driveshaft", "frt d/shaft front"],
        "front.joint_rear": ["front driveshaft rear", "front driveshaft, t-case end",
        "front driveshaft transfer case end",
            "rear end of front driveshaft", "frt d/shaft rear"],
        "steering.joint_upper": ["upper", "top", "upper end", "firewall end", "column end"],
        "steering.joint_lower": ["lower", "bottom", "lower end", "gear box end", "steering gear end"],
    },
    shafts={"rear": ["rear driveshaft", "rear drive shaft", "rear d/shaft"],
        "front": ["front driveshaft", "front drive shaft", "frt d/shaft"]},
    axles=["{p} axle shaft", "{p} axle", "{p} steering knuckle", "{p} stub axle"],
    joins=["{p} {n}", "{p} {n}", "{n} {p}", "{n} ({p})"],
    half_shafts=["complete CV axle", "CV axle assembly", "CV axle shaft assy", "reman CV axle", "CV half shaft assy",
        "complete half shaft"],
    pairs=["both driveshaft u-joints", "front and rear u-joints in rear driveshaft",
        "u-joints, both ends of driveshaft",
        "(2) u-joints on rear driveshaft"],
    with_boot=["and boot", "w/ boot", "with boot kit", "and its boot", "& boot"],
    both_boots=["inner and outer CV boots", "both CV boots on axle", "inner & outer axle boots"],
    same_side=["same side", "that side", "same side as above"],
    same=["{n} on same joint end", "{n} to go with above", "matching {n}"],
)
SYMPTOMS = {
    "u_joint": ["clunk on 1-2 shift", "clunk going into drive", "squeak at low speed", "vibration at 45-50 mph",
        "chirping noise that speeds up with veh", "bang on takeoff"],
    "axle_joint": ["popping on turns in 4wd", "binding in tight turns", "clicking on full lock"],
    "cv_joint_outboard": ["clicking noise on turns", "popping on tight left turns", "click-click-click in parking lot"],
    "cv_joint_inboard": ["shudder on hard acceleration", "shimmy under load", "vibration pulling grades"],
    "cv_boot_outboard": ["grease slung inside wheel", "grease on caliper and wheel", "grease in wheel well"],
    "cv_boot_inboard": ["burning grease smell off exhaust", "grease on trans case", "grease on subframe"],
    "support_bearing": ["shudder on takeoff", "growling from under floor", "rumble mid-vehicle at 30 mph",
        "thumping under bed"],
    "slip_spline": ["bump after coming to stop", "clunk on stop", "thud from under floor on stopping"],
    "steering_joint": ["steering binding", "popping felt in steering wheel", "loose steering"],
    "vague_joint": ["driveline noise", "a loud noise", "clunking noise"],
    "vague_boot": ["grease leaking", "grease spots on shop floor", "grease slung underneath"],
}
FAILED = [
    "p:Veh came in w/ {s}. Inspected, found {p} dry & rusty. R&R {n}.",
    "Driver complaint of {s}. [Road tested|Test drove] and verified. Found {p} bad. Replaced {n}.",
    "Operator states {s}. Put on lift and found {p} [shot|bad|failed]. Installed new {n}.",
    "j:Road call. {p} broke, veh would not move. Towed to shop. Replaced {n}.",
    "Dept reported {s}. Traced to {p}. R&R.", "j:Veh towed in. {p} came apart on route. Installed new {n}.",
    "C/S {s}. Diagnosed bad {p}. Replaced {n}.",
    "Checked out complaint of {s}. Cause was {p}. R&R {n} and retested, ok.",
    "Veh down with {s}. {p} has failed. Removed and replaced {n}.", "Driver write up: {s}. Verified. Replaced {p}.",
    "u:Found needle bearings gone out of {p} after driver complained of {s}. R&R.",
    "j:Unit broke down in the field, {p} seized. Replaced {n} in shop.",
    "d:Complaint: {s}. Tech found {p} no good. Pulled it apart and put in new {n}.",
    "b:Driver noticed {s}. Found {p} ripped open. Cleaned up and installed new boot.",
    "Responded to {s} call from crew. {p} had let go. New {n} installed.",
    "Brought in for {s}. Removed and replaced {p}, problem gone.",
]  # fmt: skip
WORN = [
    "Veh in for PM. Found {p} worn. R&R {n}.", "During B service noticed {p} worn out. Replaced {n}.",
    "p:PM inspection. Measured 0.030 in. play at {p}. Spec is .006 max. Replaced {n}.",
    "Annual inspection - {p} failed. Removed and replaced {n}.", "State inspection. {p} would not pass. R&R {n}.",
    "While doing oil change found {p} worn past limits. Replaced.",
    "DOT inspection found {p} out of spec. Installed new {n}.",
    "b:On PM noticed {p} cracked and weathered. Replaced {n}.", "b:PM check, {p} dry rotted. Installed new {n}.",
    "Tech found {p} bad on routine inspection, no driver complaint. R&R {n}.",
    "p:Pry bar check at PM shows {p} loose. Replaced {n}.", "Seasonal inspection. {p} is worn. Replaced {n}.",
    "In for safety inspection, {p} did not pass. Replaced {n}.", "PM-C done. {p} worn, wrote up and replaced same day.",
    "{p} found worn on lift during PM-A. R&R {n}.",
    "Inspected undercarriage at PM. {p} at wear limit. Installed new {n}.",
]
PLANNED = [
    "Replaced {p} per PM schedule. Old {n} still tight.", "Scheduled replacement of {p} at mileage interval.",
    "R&R {p} as preventive maintenance. No complaint.", "PM schedule calls for {p} at this mileage. Replaced.",
    "Planned component change. Installed new {p}.", "Veh in for scheduled {p} replacement. Completed.",
    "Proactive replacement of {p} per fleet manager's plan. R&R {n}.", "{p} due by age. Replaced per schedule.",
    "Changed {p} out on schedule, nothing wrong found with old {n}.",
    "Preventive: R&R {p} before plow season per plan.",
    "Work order generated by PM program: replace {p}. Done.", "Interval replacement of {p}. Old {n} in good shape.",
    "Per 5 year plan replaced {p}.", "Scheduled R&R {p}. No issues.",
    "Life-cycle change out of {p} completed as planned.",
]
COLLATERAL = [
    "Also replaced {p} while apart.", "Since it was already apart, replaced {p}.",
    "R&R {p} at same time as above repair.",
    "{p} replaced along with above, no extra labor.", "Had to cut {p} to get other part out. Replaced {n}.",
    "Went ahead and installed new {p} while in there.", "{p} not reusable after disassembly. Installed new {n}.",
    "Replaced {p} in conjunction with above job.", "In addition to above, R&R {p} while it was out.",
    "{p} came apart during removal for the other repair. New {n} installed.", "Same labor op - also replaced {p}.",
    "New {p} put in with above job as good practice.", "Replaced {p} too since access was open.",
    "{p} also replaced as part of this repair, already torn down.",
    "Installed {p} together with other parts on this job.",
]
DAMAGE = [
    "Accident repair. {p} damaged in collision. Replaced {n}.", "Operator hit curb. Found {p} damaged. R&R {n}.",
    "Veh ran over road debris, tore up {p}. Installed new {n}.", "Plow hit manhole and damaged {p}. Replaced {n}.",
    "Struck by another vehicle. {p} replaced, billed to risk mgmt.", "Vandalism at yard, {p} damaged. R&R {n}.",
    "b:{p} cut by wire picked up at landfill. Replaced {n}.", "Insurance claim: replaced {p}.",
    "Slid into ditch. {p} bent up. Replaced {n}.", "Wreck damage - R&R {p}.",
    "Dropped off a loading dock, damaged {p}. Replaced {n}.", "Cable wrapped up underneath and destroyed {p}. R&R {n}.",
    "Hit a deer. {p} damaged. Installed new {n}.", "Operator backed over stump and broke {p}. Replaced {n}.",
    "Accident report on file. Replaced {p}.",
]
COMEBACK = [
    "Comeback. {p} replaced 2 wks ago, noisy again. R&R {n} no charge.",
    "Rework - {p} installed wrong last time. Replaced {n}.",
    "Parts warranty on {p}. Swapped for new {n}.", "Repeat repair. {p} done on last WO failed. Replaced {n}.",
    "New {p} defective out of box. Returned to vendor and installed another.",
    "Recheck of last repair. {p} not seated. Installed new {n}.",
    "Veh back from last week's repair. Wrong {p} had been used. Installed correct {n}.", "Vendor warranty: R&R {p}.",
    "Redo of {p}, clip left off by prior tech. Replaced {n}.",
    "Returned after our repair. {p} bad again. Replaced {n} under warranty.",
    "Outside shop put {p} in wrong. Replaced {n} under their warranty.",
    "Second time this month for {p}, last one was faulty new. R&R.",
    "Warranty repair, replaced {p}.", "Bad rebuild on {p} from vendor. Replaced {n} again, credit requested.",
    "Shop error on previous WO. {p} redone with new {n}.",
]
UNSAID = [
    "R&R {p}.", "Replaced {p}.", "Installed new {p}.", "Removed and replaced {p}.", "Put in new {p}.",
    "Pulled veh in and replaced {p}.", "{p} replaced.", "Changed out {p}.", "Installed {p} from stock.",
]
IDLE = {
    "look": ["Driver complaint of {s}. Road tested, checked {p}, no problem found.", "Inspected {p}. OK at this time.",
        "Checked {p} on lift, good.", "p:Measured {p}, 0.002 in. play, in spec. No repair needed.",
        "Could not duplicate {s}. {p} checks ok.", "Looked over {p}, no wear found."],
    "grease": ["Greased {p}.", "Lubed {p} at PM.", "Found {p} dry, took grease ok. No further action.",
        "PM-A service, greased {p} and checked fluids.", "{p} squeaking. Pumped grease into zerk, noise gone."],
    "adjust": ["c:Found {p} bolts loose. Torqued to spec. Road test OK.",
        "Removed {p} for trans work and reinstalled same.",
        "b:Installed new clamp on {p}, boot still good.", "c:Retorqued {p}. No parts used.",
        "Removed {p} for access, inspected and put back.", "b:Clamp slipped on {p}. Reset."],
    "later": ["Recommend {p} next PM.", "{p} starting to wear, will monitor.", "{p} needs replaced. Parts on order.",
        "Estimate given to dept for {p}, waiting approval.", "{p} worn. Dept declined repair at this time.",
        "p:Measured .010 in. play at {p}. Recheck next PM.", "Will need {p} soon, no time this visit."],
}  # fmt: skip
OTHER = [
    "Replaced front brake pads and rotors. Torqued lugs to 100 ft-lb.",
    "R&R [LF|RF] lower ball joint. Aligned front end.",
    "Customer states humming. Found [LF|RF] hub bearing bad. R&R hub.", "PM-A. Changed oil and filter. Topped fluids.",
    "Veh no start. Replaced battery and cleaned cables.", "Replaced outer tie rod end, set toe.",
    "Found rack boot torn. Installed new rack and pinion.", "Replaced water pump. Pressure tested OK.",
    "Exhaust leak at flex joint. Welded.", "Installed strobe light bar.", "Replaced 4 tires and balanced.",
    "R&R alternator, bearing noisy.", "Trans mount broken, clunk into gear. Replaced mount.",
    "Replaced shift boot, torn.",
    "Rear diff pinion seal leaking. R&R seal.", "Pitman arm loose. Replaced and torqued to 185 ft-lb.",
    "Replaced sway bar end links both sides.", "R&R blower motor resistor.",
    "Hydraulic hose on plow blew. Made new hose.",
    "Swapped spark plug boots and wires, misfire.", "Replaced starter. Cranks OK.",
    "Leaf spring u-bolts replaced and torqued.",
    "Carrier (diff) side bearings noisy, rebuilt rear diff.", "A/C inop. Recharged system.",
    "Replaced wiper blades qty 2.",
    "R&R parking brake cable.", "Replaced idler arm and center link.", "Body shop: replaced right fender.",
    "Throwout bearing and clutch R&R.",
]  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER,
    short={
        "u_joint": ["u-joint", "joint", "u joint"], "cv_joint_outboard": ["joint", "CV", "CV joint"],
        "cv_joint_inboard": ["joint", "CV", "CV joint"], "cv_boot_outboard": ["boot", "boot kit", "CV boot"],
        "cv_boot_inboard": ["boot", "boot kit", "CV boot"], "support_bearing": ["bearing", "carrier bearing", "brg"],
        "slip_spline": ["yoke", "slip yoke", "part"], "steering_joint": ["joint", "steering joint", "part"],
        "half_shaft": ["axle", "axle assy", "shaft"], "several": ["parts", "all", "same"],
    },
)  # fmt: skip
#: Where a sentence begins with a small letter; "in." is the inch.
_SENTENCE = re.compile(r"(?:^|(?<!\d in)\. )[a-z]")
TAILS = ["Road test OK.", "Test drove 5 miles, ok.", "Test drive good.", "Returned to service.",
    "Op check good.", "Veh ready.", "Cleaned up area. Done."]
ADVICE = ["Recommend brakes next PM.", "Tires at 4/32, recommend soon.", "Advised dept rear shocks leaking.",
    "Noted small oil leak at pan, monitor.", "Ball joints getting loose, advise.", "Wipers streaking, recommend."]


def words(rng, job):
    """One text of several sentences."""
    text = BOOK.clause(rng, job)
    if job.second is not None:
        text += pick(rng, [" ", " Also: ", " Next item: "]) + BOOK.clause(rng, job.second)
    if job.kind == "renewal":
        text += _torque(rng, job) if rng.random() < 0.25 else ""
        text += f" Qty {job.quantity}." if len(job.parts) == 1 and not job.assembly and rng.random() < 0.15 else ""
    if job.also == "other":
        text = pick(rng, ["{a} {b}", "{b} {a}", "{a} Also: {b}"]).format(a=text, b=BOOK.foreign(rng))
    elif job.also == "look":
        text += pick(rng, [" Checked rest of driveline, ok.", " Other side checked, good.", " Checked brakes, ok."])
    if job.kind == "renewal" and rng.random() < 0.45:
        text += " " + pick(rng, TAILS)
    if job.kind == "renewal" and rng.random() < 0.3:
        own = BOOK.aside(rng, job, "later") if job.refers is None and rng.random() < 0.4 else ""
        text += " " + (own or pick(rng, ADVICE))
    return {"text": _SENTENCE.sub(lambda m: m.group().upper(), text)}


def _torque(rng, job):
    """A torque that fits the part and tells nothing of its place."""
    if job.assembly == HALF_SHAFT or job.lead.component in CV_JOINTS | BOOTS:
        return spin(rng, " Torqued axle nut to [165|184|210] ft-lb.")
    if job.lead.component == "steering_joint":
        return spin(rng, " Torqued pinch bolt to [30|35] ft-lb.")
    return spin(rng, " Torqued bolts to [20|28|70] ft-lb, used thread locker.")


MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew Dump", ("crew_truck", "rear_two_piece+steering_shaft"): "Crew Dump COE",
    ("service_van", "all_wheel"): "Utility Van AWD", ("field_pickup", "four_wheel_independent"): "Pickup 4WD IFS",
    ("utility_4x4", "four_wheel_solid"): "Utility 4WD Solid Axle", ("yard_truck", "rear_one_piece"): "Yard Spotter",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard Spotter Slip", ("town_car",
    "front_half_shafts"): "Compact Sedan",
}
COLUMNS = {
    "WO Number": "order", "Date Closed": "date", "Unit #": "unit", "Meter": "odometer", "Tech Notes": "text",
    "Qty": "quantity", "Labor Hours": "hours", "Parts Cost": "cost",
}

SHOP = Shop(
    name="K",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "PW"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["PW", "PW-", "pw"])),
    },
    write=delimited_writer(MODELS, titles=("Work order detail", "Public works garage"), date_order="mdy"),
    order_name=lambda job: f"WO-{40_000 + int(job.order)}",
    distance_unit="mi",
    day=lambda day: f"{day.month}/{day.day}/{day.year}",
    shares=Shares(reason=0.93, also=0.12),
    typos=0.14,
)
