"""Shop J: a transport depot of a public service, left-hand drive; capitals, inverted nouns, fault and rectification."""

from clauses import Phrasebook
from exporting import Shares, Shop
from phrases import Voice, pick
from plain_files import delimited_writer

VOICE = Voice(
    names={
        "u_joint": ["joint, universal", "universal joint", "joint assy, universal", "spider, universal joint",
            "cross, universal joint", "joint, cardan", "univ joint"],
        "cv_joint_outboard": ["joint, constant velocity, outer", "constant velocity joint, outboard",
            "outer CV joint", "joint, CV, wheel end", "CV joint assy, outer", "joint, drive shaft, CV, outboard"],
        "cv_joint_inboard": ["joint, constant velocity, inner", "constant velocity joint, inboard",
            "inner CV joint", "joint, CV, differential end", "CV joint assy, inner", "joint, drive shaft, CV, inboard"],
        "cv_boot_outboard": ["boot, CV joint, outer", "boot, dust, constant velocity joint, outer",
            "cover, flexible, CV joint, outboard", "bellows, drive shaft, outer", "outer CV joint boot",
            "boot, rubber, drive shaft, wheel end"],
        "cv_boot_inboard": ["boot, CV joint, inner", "boot, dust, constant velocity joint, inner",
            "cover, flexible, CV joint, inboard", "bellows, drive shaft, inner", "inner CV joint boot",
            "boot, rubber, drive shaft, differential end"],
        "support_bearing": ["bearing, center, propeller shaft", "bearing, support, propeller shaft",
            "center bearing, propeller shaft", "bearing assy, intermediate, prop shaft",
            "support bearing, prop shaft", "bearing, steady, propeller shaft"],
        "slip_spline": ["yoke, sliding, propeller shaft", "joint, slip, propeller shaft",
            "sleeve, splined, propeller shaft", "slip joint, prop shaft", "sliding joint, prop shaft",
            "yoke, slip, splined"],
        "steering_joint": ["joint, universal, steering shaft", "universal joint, steering column",
            "coupling, universal, steering column", "joint, steering shaft", "univ joint, steering shaft",
            "joint assy, steering column"],
    },
    vague={
        "cv_joint_outboard": ["joint, constant velocity", "CV joint", "joint, CV, drive shaft"],
        "cv_joint_inboard": ["joint, constant velocity", "CV joint", "joint, CV, drive shaft"],
        "cv_boot_outboard": ["boot, CV joint", "boot, dust, drive shaft", "bellows, drive shaft"],
        "cv_boot_inboard": ["boot, CV joint", "boot, dust, drive shaft", "bellows, drive shaft"],
    },
    sides={
        "left": ["left", "LH", "left hand", "driver side", "L/H side", "left side"],
        "right": ["right", "RH", "right hand", "passenger side", "R/H side", "right side"],
        "both": ["LH and RH", "left and right", "both sides", "L/H and R/H", "left hand and right hand"],
    },
    places={
        "rear.joint_front": ["propeller shaft rear, forward end", "rear propeller shaft, forward",
            "rear prop shaft front", "prop shaft rear axle, fwd end", "rear propeller shaft, input end"],
        "rear.joint_front|alone": ["propeller shaft, transmission end", "prop shaft forward end", "front",
            "transmission end", "prop shaft, gearbox output"],
        "rear.joint_centre": ["propeller shaft rear, center", "rear propeller shaft, intermediate",
            "rear prop shaft center", "rear prop shaft, aft of center bearing", "rear propeller shaft, middle"],
        "rear.joint_centre|alone": ["propeller shaft, center", "prop shaft, aft of center bearing", "center",
            "intermediate", "prop shaft middle"],
        "rear.joint_rear": ["propeller shaft rear, axle end", "rear propeller shaft, aft", "rear prop shaft rear",
            "prop shaft rear axle, differential end", "rear propeller shaft, output end"],
        "rear.joint_rear|alone": ["propeller shaft, differential end", "prop shaft aft end", "rear",
            "rear axle end", "prop shaft, pinion flange"],
        "front.joint_front": ["propeller shaft front, axle end", "front propeller shaft, forward",
            "front prop shaft front", "front propeller shaft, differential end", "front prop shaft axle end"],
        "front.joint_rear": ["propeller shaft front, transfer case end", "front propeller shaft, aft",
            "front prop shaft rear", "front propeller shaft, transfer end", "front prop shaft transfer end"],
        "steering.joint_upper": ["upper", "top", "upper end", "upr", "cab end"],
        "steering.joint_lower": ["lower", "bottom", "lower end", "lwr", "steering gear end"],
    },
    shafts={"rear": ["propeller shaft rear", "rear propeller shaft", "rear prop shaft"],
        "front": ["propeller shaft front", "front propeller shaft", "front prop shaft"]},
    axles=["axle shaft, front, {p}", "front axle, {p}", "axle front {p}", "{p} front axle shaft",
        "steering knuckle {p}"],
    joins=["{n}, {p}", "{n} {p}", "{n} ({p})", "{n} - {p}"],
    half_shafts=["drive shaft assy, complete", "shaft assy, axle, front, with CV joints", "half shaft, complete",
        "drive shaft, front wheel, assy", "half shaft assy"],
    pairs=["joints, universal, rear propeller shaft, qty 2", "universal joints, both, rear propeller shaft",
        "joint, universal, propeller shaft rear, forward and aft", "univ joints (2 ea) rear prop shaft"],
    with_boot=["with boot", "c/w boot", "and boot", "complete with boot kit", "incl boot"],
    both_boots=["boots, CV joint, inner and outer", "boot set, drive shaft, inner and outer",
        "bellows, drive shaft, inner & outer"],
    same_side=["same side", "this side", "same side as preceding item"],
    same=["{n}, same location", "{n}, same assy", "associated {n}"],
    ands=(" and ", " & ", "; ", " + "),
)
SYMPTOMS = {
    "u_joint": ["clunk on gear engagement", "vibration above 60 kph", "knock on load reversal",
        "squeal at low speed", "driveline noise and vibration", "knock on moving off"],
    "axle_joint": ["knock on full lock", "binding in turns with front drive engaged", "clicking on turning"],
    "cv_joint_outboard": ["clicking noise in turns", "cracking noise on full lock", "knock when turning"],
    "cv_joint_inboard": ["shudder on acceleration", "vibration under load", "judder on moving off"],
    "cv_boot_outboard": ["grease on wheel rim", "loss of grease, wheel end", "grease on brake caliper"],
    "cv_boot_inboard": ["grease on transmission housing", "loss of grease on underside", "grease on exhaust"],
    "support_bearing": ["rumble under floor", "shudder on moving off", "propeller shaft vibration",
        "excessive shaft movement", "drumming at cruise"],
    "slip_spline": ["knock on halting", "bump after halting", "shaft sticking under torque"],
    "steering_joint": ["stiff steering", "free play at steering wheel", "steering binds"],
    "vague_joint": ["noise from driveline", "excessive noise", "knocking"],
    "vague_boot": ["loss of grease", "boot split", "grease leakage"],
}
FAILED = [
    "{p} - failed in service - exchanged", "fault: {s}. rectification: {p} replaced",
    "operator defect report: {s}. {p} u/s, replaced", "reported: {s}. diagnosis: {p} defective. action: replaced",
    "j:vehicle off road, {p} broken. new item fitted", "d:{p} - fractured on road - replaced by recovery section",
    "fault: {s}. cause: {p} unserviceable. rectification: item exchanged",
    "driver's report {s}; {p} found unserviceable; new item fitted", "VOR: {s} - {p} - replaced",
    "{p}: defective, {s}. drawn from stores and fitted", "breakdown: {p} failed, replaced",
    "j:fault: {p} seized during run. rectification: replaced", "job card raised by user unit: {s}. {p} replaced",
    "d:vehicle recovered, no drive. {p} failed. exchanged", "unscheduled: {s}. {p} replaced",
    "fault: {p} unserviceable, {s}. rect: replaced", "b:fault: {p} torn, {s}, reported by driver. rect: renewed",
]
WORN = [
    "{p} - worn beyond limits on inspection - exchanged", "annual inspection: {p} condemned. new item fitted",
    "fault: {p} worn, found on periodic inspection. rectification: replaced",
    "p:technical inspection: {p}, play exceeds limit, replaced",
    "{p} rejected on quarterly inspection, replaced", "level 2 service: {p} found worn. exchanged",
    "inspector's remark: {p} unserviceable. rectified, new item fitted", "b:on inspection {p} cracked - replaced",
    "b:{p} - perished, found during servicing - renewed", "in-inspection: {p} out of tolerance, exchanged",
    "found during 6 monthly service: {p} worn. rect: replaced", "pre-issue inspection: {p} u/s. replaced",
    "{p}: wear at limit on examination. replaced", "roadworthiness examination failed: {p}. replaced",
    "inspection defect sheet item: {p}, worn. fitted new", "j:workshop inspection: {p} loose. exchanged",
]
PLANNED = [
    "{p} - scheduled replacement - carried out", "preventive maintenance: {p} exchanged",
    "{p} replaced in accordance with maintenance schedule", "lifed item: {p} changed, time expired",
    "servicing schedule 3: {p} replaced at interval", "planned component exchange: {p}",
    "{p} life expired, serviceable on removal, exchanged", "task: scheduled exchange of {p}. completed",
    "periodic replacement, {p}, as per servicing schedule", "40000 km task: {p} renewed",
    "{p} due by distance. exchanged. no defect", "preventive exchange {p}", "programmed replacement of {p}",
    "base overhaul programme: {p} replaced, planned", "mandatory replacement item at major service: {p}, fitted",
]
COLLATERAL = [
    "{p} - replaced concurrently with related item", "consequential: {p} replaced",
    "{p} replaced during same disassembly", "{p} disturbed on strip, not re-usable, replaced",
    "associated item {p} exchanged at same time", "in conjunction with preceding task: {p} replaced",
    "{p} exchanged in the course of other repair", "additional: {p} renewed while dismantled",
    "{p} destroyed on removal for access, new item fitted", "{p} replaced as set with preceding item",
    "{p} renewed concurrently, labour incl. in main task", "whilst assembly removed: {p} replaced",
    "{p} - non re-usable on removal - replaced", "related item: {p}, replaced with main item",
    "supplementary to above job: {p} exchanged",
]
DAMAGE = [
    "{p} - accident damage - replaced", "RTA damage repair: {p} replaced",
    "fault: {p} damaged by obstacle. rect: replaced",
    "{p} damaged by foreign object, exchanged", "board of inquiry case: {p} replaced, collision damage",
    "{p}: damaged off road by rock strike. new item fitted", "training course damage: {p} replaced",
    "malicious damage: {p} renewed", "vehicle overturned, {p} replaced", "b:{p} - cut by wire - replaced",
    "damage by misuse, driver charged: {p} replaced", "ditched vehicle: {p} damaged, exchanged",
    "collision repair. {p} replaced", "{p} struck by debris, damaged, replaced",
    "accident report refers: {p} renewed", "j:{p} bent through impact. exchanged",
]
COMEBACK = [
    "{p} - repeat defect after repair - replaced again", "rework: {p} incorrectly fitted. new item fitted",
    "quality report: {p} faulty from stores, replaced", "warranty claim: {p} exchanged",
    "fault: {p} wrong item fitted previously. rect: correct item fitted", "repeat job: {p} replaced",
    "{p} defective ex contractor repair, replaced under warranty", "re-work of previous job card: {p} renewed",
    "{p} replaced, previous fitment defective", "return from road test after repair: {p} not seated, replaced",
    "workmanship defect: {p} exchanged", "manufacturing defect, new {p} failed on first run, replaced",
    "{p} failed within warranty period of last repair, exchanged free of charge",
    "recurrent fault after repair: {p} replaced, securing ring omitted previously",
    "contractor rectification under guarantee: {p} replaced",
]
UNSAID = [
    "{p} - replaced", "{p} - exchanged", "{p} renewed", "replaced: {p}", "rectification: {p} replaced",
    "{p}, new item fitted", "fitted {p}", "remove and replace {p}", "exchange of {p}", "{p} - fitted new",
]
IDLE = {
    "look": ["{p} - inspected - serviceable", "{p} examined, within limits", "fault: {s}. {p} examined, no fault found",
        "inspection of {p}: satisfactory", "{p} checked for security, serviceable", "{p} - nil defects"],
    "grease": ["{p} - lubricated", "lubrication of {p} carried out", "{p} greased in accordance with schedule",
        "servicing: {p} greased", "fault: {p} dry. rect: greased"],
    "adjust": ["c:{p} - securing bolts tightened", "{p} - removed for access and refitted, original item",
        "c:fault: {p} loose. rect: tightened to torque", "b:{p} - clip refitted", "{p} refitted after other work",
        "c:{p} realigned", "{p} cleaned and refitted"],
    "later": ["{p} - worn - demand raised", "{p} to be replaced at next service", "{p} u/s - awaiting stores",
        "deferred defect: {p}", "{p} - slight wear - monitor", "estimate raised for {p}",
        "{p} - on demand, not fitted", "recommendation: replace {p} at next major service"],
}  # fmt: skip
OTHER = [
    "pads, brake, front - worn - replaced", "joint, ball, suspension, lower, [LH|RH] - replaced",
    "bearing, wheel hub, front [LH|RH] - noisy - exchanged", "battery, 12V - exchanged",
    "fault: engine overheats. rectification: thermostat replaced", "hose, radiator, upper - replaced",
    "boot, steering rack, LH - replaced", "joint, track rod, [LH|RH] - exchanged", "starter motor - u/s - exchanged",
    "seal, oil, pinion, rear axle - leaking - replaced", "shock absorbers, rear, qty 2 - replaced",
    "clutch assembly - worn - replaced", "bearing, clutch release - replaced", "lamp, head, RH - bulb replaced",
    "tyres, qty 4 - replaced", "wiper blades - replaced", "belt, fan - renewed", "mounting, engine, LH - exchanged",
    "radio mounting fabricated", "oil and filter changed, service level 1", "cover, canvas, cargo - repaired",
    "gaiter, gear lever - torn - replaced", "joint, exhaust flange - gasket replaced",
    "bush, spring, rear LH - replaced", "pump, fuel - unserviceable - exchanged", "mirror, driver side - replaced",
    "king pin set, LH - replaced", "bearing, alternator - replaced", "first aid kit replaced, time expired",
    "differential, rear - oil changed", "U bolts, rear spring - tightened", "coupling, towing - lubricated",
]
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER,
)  # fmt: skip


def words(rng, job):
    """One text; some lines end with a remark on another item or with the usual close."""
    text = BOOK.clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "(1) {a} (2) {b}", "1. {a}. 2. {b}", "{a} // {b}"]).format(
            a=text, b=BOOK.clause(rng, job.second))
    if job.also == "other":
        text = pick(rng, ["{a}. {b}", "{b}. {a}", "(A) {a} (B) {b}"]).format(a=text, b=BOOK.foreign(rng))
    elif job.also == "look":
        text += pick(rng, [". remaining driveline inspected, serviceable", ". brakes tested, satisfactory"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = BOOK.aside(rng, job, "later" if rng.random() < 0.5 else "look")
        close = [". road tested", ". functional test satisfactory", ". returned to service", ". task complete"]
        text += f". {remark}" if remark and rng.random() < 0.4 else pick(rng, close)
    return {"text": text}


MODELS = {
    ("crew_truck", "rear_two_piece"): "TRUCK, CARGO, CREW CAB", ("service_van", "all_wheel"): "VAN, SERVICE, AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "TRUCK, CARGO, FORWARD CONTROL",
    ("field_pickup", "four_wheel_independent"): "TRUCK, PICKUP, 4X4", ("utility_4x4",
    "four_wheel_solid"): "UTILITY, 4X4",
    ("yard_truck", "rear_one_piece"): "TRACTOR, YARD", ("yard_truck",
    "rear_one_piece+slip_spline"): "TRACTOR, YARD, MK 2",
    ("town_car", "front_half_shafts"): "CAR, STAFF",
}
COLUMNS = {
    "JOB CARD NO": "order", "DATE": "date", "REG NO": "unit", "KM": "odometer", "WORK CARRIED OUT": "text",
    "PART NO": "part_number", "QTY": "quantity", "MAN HRS": "hours", "MATERIEL COST": "cost",
}

SHOP = Shop(
    name="J",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "TD "),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["TD ", "TD", "TD-"])),
    },
    write=delimited_writer(MODELS, titles=("DEPOT WORKSHOP", "JOB CARD REGISTER"), delimiter="|", parts=True),
    order_name=lambda job: f"JC/{int(job.order):05d}",
    case=str.upper,
    shares=Shares(reason=0.85),
    typos=0.04,
)
