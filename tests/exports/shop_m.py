"""Shop M: a quarry and earthworks contractor's own yard, right-hand drive; three fitters, short past-tense lines."""

import re
from dataclasses import replace

from clauses import BOOTS, Phrasebook
from exporting import Shares, Shop
from phrases import Voice, pick
from plain_files import delimited_writer

VOICE = Voice(
    names={
        "u_joint": ["uni", "uni joint", "uni", "universal joint", "UJ", "U/J", "univ joint", "universal",
            "uni cross and caps", "uni cross", "universal jt"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "CV joint outer", "o/b CV", "wheel end CV",
            "outboard CV", "hub end CV joint", "CV outer end", "outer driveshaft CV", "otr CV joint"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "CV joint inner", "i/b CV", "diff end CV",
            "inboard CV", "inner tripod joint", "CV inner end", "inner plunge CV", "inr CV joint"],
        "cv_boot_outboard": ["outer CV boot", "CV boot outer", "wheel end CV boot", "o/b CV boot",
            "outer boot on CV shaft",
            "hub end CV boot", "outer CV gaiter", "otr CV boot", "boot on outer CV", "outboard CV boot",
            "CV boot hub end"],
        "cv_boot_inboard": ["inner CV boot", "CV boot inner", "diff end CV boot", "i/b CV boot",
            "inner boot on CV shaft",
            "inner CV gaiter", "inr CV boot", "boot on inner CV", "CV boot diff end", "inboard CV boot"],
        "support_bearing": ["centre bearing", "tailshaft centre bearing", "hanger bearing", "tailshaft hanger bearing",
            "centre support bearing", "tailshaft carrier bearing", "c/brg on tailshaft", "centre bearing and rubber",
            "tailshaft mid bearing", "tailshaft hanger"],
        "slip_spline": ["slip yoke", "tailshaft slip yoke", "sliding yoke", "tailshaft slip joint", "slip spline",
            "sliding spline", "splined slip yoke", "tailshaft sliding joint", "slip yoke and spline"],
        "steering_joint": ["steering uni", "steering shaft uni", "steering column uni", "steering UJ",
            "steering shaft U/J",
            "steering column joint", "steering shaft joint", "column uni", "steering shaft universal"],
    },
    vague={
        "cv_joint_outboard": ["CV", "CV joint", "driveshaft CV", "CV jt"],
        "cv_joint_inboard": ["CV", "CV joint", "driveshaft CV", "CV jt"],
        "cv_boot_outboard": ["CV boot", "CV joint boot", "CV gaiter", "boot on CV shaft"],
        "cv_boot_inboard": ["CV boot", "CV joint boot", "CV gaiter", "boot on CV shaft"],
    },
    sides={
        "left": ["LH", "L/H", "N/S", "left", "left side", "passenger side", "pass side", "near side", "LHS",
            "kerb side"],
        "right": ["RH", "R/H", "O/S", "right", "right side", "driver side", "drivers side", "off side", "RHS",
            "RH side"],
        "both": ["both sides", "LH and RH", "L/H & R/H", "left and right", "LH + RH", "N/S and O/S", "each side"],
    },
    places={
        "rear.joint_front": ["rear tailshaft front", "rear tailshaft front end", "rear tailshaft, leading end",
            "front of rear tailshaft", "rear shaft front end", "rear tailshaft, box end"],
        "rear.joint_front|alone": ["tailshaft front", "gearbox end", "front", "tailshaft gearbox end",
            "tailshaft at box", "front of tailshaft"],
        "rear.joint_centre": ["rear tailshaft centre", "middle of rear tailshaft", "rear tailshaft mid",
            "rear tailshaft behind hanger", "rear tailshaft, middle"],
        "rear.joint_centre|alone": ["tailshaft centre", "middle", "centre", "tailshaft mid", "middle of tailshaft",
            "tailshaft behind centre bearing"],
        "rear.joint_rear": ["rear tailshaft rear", "rear tailshaft diff end", "rear tailshaft back end",
            "back of rear tailshaft", "rear tailshaft at rear diff", "rear diff end"],
        "rear.joint_rear|alone": ["tailshaft rear", "diff end", "rear", "tailshaft diff end", "back of tailshaft",
            "tailshaft at diff"],
        "front.joint_front": ["front tailshaft front", "front tailshaft diff end", "front shaft at front diff",
            "front tailshaft, front end", "front tailshaft front diff end"],
        "front.joint_rear": ["front tailshaft rear", "front tailshaft t/case end", "front shaft at transfer",
            "front tailshaft, back end", "front tailshaft transfer end"],
        "steering.joint_upper": ["top", "upper", "top end", "column end", "upr"],
        "steering.joint_lower": ["bottom", "lower", "bottom end", "steering box end", "lwr"],
    },
    shafts={"rear": ["rear tailshaft", "rear shaft", "rear tail shaft"],
        "front": ["front tailshaft", "front shaft", "front tail shaft"]},
    axles=["front axle {p}", "{p} front axle", "front hub {p}", "{p} swivel hub", "{p} front knuckle",
        "front stub axle {p}"],
    joins=["{n} {p}", "{p} {n}", "{n}, {p}", "{n} on {p}", "{n} ({p})"],
    half_shafts=["complete CV shaft", "CV shaft complete", "CV shaft assy", "exchange CV shaft",
        "front driveshaft assy",
        "front driveshaft complete", "whole CV shaft", "reco CV shaft complete", "half shaft complete"],
    pairs=["both unis rear tailshaft", "unis both ends rear tailshaft", "rear tailshaft unis x 2",
        "pair of unis rear tailshaft", "front and rear unis on rear tailshaft", "2 x UJ rear tailshaft, both ends",
        "both rear tailshaft UJs"],
    with_boot=["with boot", "and its boot", "c/w boot", "& boot", "+ boot", "with new boot"],
    both_boots=["inner and outer CV boots", "CV boots inner & outer", "CV boots both ends", "CV boots inr and otr",
        "both boots on CV shaft, inner and outer"],
    same_side=["same side", "that side", "same side as above", "that same side"],
    same=["CV {n} same end same side", "its {n}", "CV {n} to suit", "matching CV {n}"],
    ands=(" and ", " & ", " + ", " plus "),
)  # fmt: skip
SYMPTOMS = {
    "u_joint": ["clunk taking up drive", "driveline vibration", "clunk going forward to reverse", "driveline squeak",
        "vibration over 70", "chirping at walking pace", "bang on take off"],
    "axle_joint": ["clunk on lock in 4WD", "binding in tight turns", "clicking on lock", "cracking on lock"],
    "cv_joint_outboard": ["clicking on lock", "cracking noise on lock", "knocking in tight turns", "clacking on turns"],
    "cv_joint_inboard": ["shudder pulling away", "shake under power", "vibration up hills", "wobble under load"],
    "cv_boot_outboard": ["grease on inside of wheel", "grease slung round wheel", "grease on brake hose"],
    "cv_boot_inboard": ["grease on sump guard", "grease on crossmember", "grease slung under motor"],
    "support_bearing": ["rumble under floor", "shudder on take off", "growl under cab", "tailshaft shake",
        "droning on the road"],
    "slip_spline": ["bump after pulling up", "clunk when stopping", "thump moving off after a stop"],
    "steering_joint": ["notchy steering", "slack in steering wheel", "stiff steering", "steering binding"],
    "vague_joint": ["noise in driveline", "knocking noise", "bad noise underneath"],
    "vague_boot": ["grease everywhere", "grease leak", "grease thrown about"],
}  # fmt: skip
FAILED = [
    "{p} let go on [haul road|ramp|site], replaced", "Driver reported {s}, {p} stuffed, replaced",
    "Broke down at [crusher|stockpile|face], {p} gone, fitted new", "Came in with {s}. Put new {p} in",
    "d:No drive, {p} snapped in pit. Fitted new", "d:Towed in, {p} broken. Replaced",
    "b:{p} split on the job, driver saw {s}. Replaced", "b:Driver reported {s}, {p} torn, fitted new",
    "j:{p} collapsed on shift, replaced", "j:Call out to [face|jobsite|weighbridge], {p} failed, changed on site",
    "Unit stood down mid shift, {p} failed. Replaced", "Breakdown, {s}. {p} replaced",
    "Driver complained of {s}, traced to {p}, fitted new", "{p} gave out while working. Changed",
    "Parked up with {s}. {p} no good, replaced", "Night shift reported {s}. {p} had had it, replaced",
    "Driver wrote up {s}. Changed {p}, fixed", "{p} failed in use, {s}. New fitted",
    "Brought in off the job with {s}, replaced {p}", "j:{p} seized up while driving, fitted new",
    "B/D [on site|on road] - {p} failed - replaced",
]  # fmt: skip
WORN = [
    "Found {p} worn at service, replaced", "p:Too much play in {p} at 10k service, replaced",
    "Inspection found {p} worn, replaced", "p:Barred {p} at service, movement over limit. Fitted new",
    "{p} worn, picked up on rego inspection, replaced", "Roadworthy check failed on {p}, replaced",
    "Monthly check turned up worn {p}. Changed", "b:{p} cracked, seen at service, replaced",
    "b:Perished {p} found on inspection, fitted new", "Up on hoist for service, noticed {p} worn. Replaced",
    "j:Slack found in {p} at B service, replaced", "j:{p} loose at inspection, replaced",
    "u:Red dust round caps of {p} when serviced, replaced", "{p} at wear limit on quarterly inspection, replaced",
    "Off the inspection sheet: {p} worn. Fitted new", "Safety inspection tagged {p}, worn. Replaced",
    "Serviced, {p} worn past limit so changed", "Checked driveline at service, {p} worn, renewed",
    "{p} worn (found at 20k svc), replaced",
]  # fmt: skip
PLANNED = [
    "Replaced {p} on km as per PM sheet", "PM change out {p}", "Scheduled change of {p}, no fault",
    "{p} due on km, changed", "Changed {p} at set km, nothing wrong", "Planned job, fitted new {p}",
    "Shutdown job, {p} replaced as planned", "{p} changed out on life, no fault", "Fitted {p}, due by schedule",
    "C service, {p} changed at interval", "Km up on {p}, changed to schedule", "Preventive change of {p}",
    "Replaced {p} off planner, was due", "{p} on planner for this month, changed",
    "Life up on {p}, swapped before any trouble",
    "{p} renewed, 80k km PM item", "Did scheduled replacement of {p}", "{p} changed on hours and km, PM",
]  # fmt: skip
COLLATERAL = [
    "Replaced {p} while it was apart", "{p} changed same time as above", "Did {p} as well since shaft was out",
    "Put new {p} in while in there", "Fitted {p} too while access was open", "{p} wrecked in strip down, fitted new",
    "Had to destroy {p} to get main job out, fitted new", "{p} replaced along with main job",
    "Threw new {p} in at same time", "Replaced {p} in same go, saved a second strip",
    "{p} renewed with above while stripped",
    "{p} not reusable after strip down, replaced", "Replaced {p} to go with other new parts",
    "Extra on same job, {p} renewed while apart", "{p} changed as part of same strip",
    "Old {p} ok but replaced with the rest",
    "While shaft on bench fitted new {p}",
]  # fmt: skip
DAMAGE = [
    "d:Rock got {p}, replaced", "d:{p} smashed by rock on haul road, fitted new",
    "c:Rock came up and damaged {p}, replaced",
    "Backed over windrow, damaged {p}, replaced", "Hit by loader, {p} damaged. Replaced",
    "Accident repair, {p} replaced",
    "Slid off ramp, {p} damaged, replaced", "Hit [berm|boulder|bund], {p} damaged, fitted new",
    "b:Wire wrapped round and cut {p}, replaced", "b:{p} torn by scrub, replaced", "b:Sharp rock cut {p}, fitted new",
    "Fly rock damage, {p} replaced", "d:Chain caught shaft when snatched out of bog, {p} wrecked. Replaced",
    "d:Ran over steel at crusher, took out {p}. Replaced", "Damage report in, drove into drain. {p} replaced",
    "Operator damage, {p} renewed", "Insurance job after prang, {p} replaced",
    "Vehicle rolled on bench, {p} damaged, replaced",
    "d:{p} hit on stump, bent, changed",
]  # fmt: skip
COMEBACK = [
    "{p} we fitted last month failed again, replaced", "Redo, {p} put in wrong by us, fitted another",
    "Parts warranty, {p} failed early, replaced", "Came back after our repair, {p} gone again, replaced",
    "Back again with {s}, {p} from last job no good, replaced", "Faulty new {p}, swapped under warranty",
    "u:Circlip left off last time, {p} came out, replaced", "b:Clamp not done up last job, {p} came off, replaced",
    "Wrong {p} fitted last time, put correct one in", "u:Our fault, caps on {p} not pressed in square, replaced",
    "Rework of our job, {p} replaced no charge", "Second go at {p}, first one fitted didnt last. Replaced",
    "{p} only in a week and failed. Replaced under warranty",
    "Dud {p} from last order gave up early, warranty replaced",
    "Supplier credit, {p} faulty from new, replaced", "Repeat repair, {p} done here last time failed, replaced",
    "Recall on our work, {p} not fitted right, replaced", "{p} didnt last after previous repair, replaced again",
]  # fmt: skip
UNSAID = [
    "Replaced {p}", "Fitted {p}", "New {p} fitted", "{p} replaced", "Changed {p}", "Renewed {p}", "Put new {p} in",
    "{p} swapped for new", "Pulled out {p}, fitted new", "Supplied and fitted {p}", "{p} - new fitted",
    "Changed over {p}",
]  # fmt: skip
IDLE = {
    "look": ["Checked {p}, ok", "j:Looked at {p}, no play", "Driver reported {s}, checked {p}, nothing found",
        "Inspected {p}, within limits", "{p} checked on hoist, all good", "j:Barred {p}, no movement",
        "b:{p} checked for splits, none", "j:Road tested for {s}, could not fault {p}", "Went over {p}, no wear",
        "Had a look at {p}, good", "{p} inspected ok, not touched"],
    "grease": ["Greased {p}", "{p} greased at service", "u:Greased {p} till it came out all caps", "Lubed {p}",
        "p:Cleaned nipple and greased {p}", "p:{p} dry, greased", "p:Gave {p} a shot of grease",
        "p:Reported {s}, greased {p}, ok now",
        "p:Pumped grease in {p}", "{p} lubed, no replacement needed"],
    "adjust": ["c:Nipped up bolts at {p}", "{p} pulled for access, same one put back", "c:{p} loose, bolts torqued",
        "b:New clamp on {p}, boot ok", "b:{p} had come off, pushed back on and clamped",
        "b:Refitted {p} with new clips, boot good",
        "Took {p} out to get at other job, refitted", "Cleaned {p} and put back",
        "c:Squared up {p} and retorqued bolts",
        "u:Refitted circlip on {p}", "Removed and refitted {p}, original used"],
    "later": ["{p} worn, parts on order", "{p} to be done next service", "Noticed {p} starting to go, booked in",
        "Ordered {p}, not here yet", "{p} needs replacing, truck wanted back, not done", "Quoted {p}",
        "Keep an eye on {p}, slight wear", "{p} marginal, will do at shutdown", "Recommended {p} for next service",
        "{p} on way out, told foreman", "b:{p} starting to crack, left for now", "{p} written up, waiting on parts"],
}  # fmt: skip
OTHER = [
    "Replaced wheel bearing front [LH|RH]", "Fitted tie rod end [LH|RH]", "Replaced steering rack boot [LH|RH]",
    "Ball joint boot split, fitted new ball joint [LH|RH]", "Gearbox rear seal leaking, replaced",
    "Pinion seal replaced, rear diff", "Changed diff oil", "Replaced alternator bearing",
    "Clutch kit and thrust bearing fitted",
    "Gear lever boot torn, replaced", "Exhaust hanger broken, welded", "Exhaust flex joint blown, replaced",
    "Greased king pins", "Replaced spring centre bolt rear [LH|RH]", "U bolts retorqued, rear springs",
    "Engine mount [LH|RH] replaced", "Replaced PTO shaft to hoist pump", "Sway bar link and rubbers replaced",
    "Control arm bushes replaced front", "Shock absorber boot perished, fitted new shocks rear",
    "Steering damper replaced",
    "Front brake pads and caliper slide boots fitted", "Idler pulley bearing noisy, replaced with fan belt",
    "Replaced beacon", "Reverse alarm u/s, replaced", "Fitted UHF aerial", "Replaced 2 tyres, rock cuts",
    "Air cleaner blown out, primary element changed", "A service, oil and filters", "Radiator hose burst, replaced",
    "Windscreen cracked by stone, replaced", "Tow hitch pin and clip replaced", "Battery flat, fitted new",
    "Transfer case mount rubber replaced", "Wheel nuts retorqued", "Handbrake cable adjusted", "Starter motor replaced",
    "Front hub seal [LH|RH] leaking, replaced", "Gear linkage joint worn, replaced", "Drag link replaced",
]  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER,
)  # fmt: skip
#: For a boot whose line stands beside one about the boot at the other end of the same shaft.
OTHER_END = replace(BOOK, voice=replace(VOICE, same=["CV {n} other end same shaft", "{n} at other end of that shaft"]))

#: What each fitter shortens: the first writes words out, the others have abbreviations of their own.
SHORTENED = (
    {},
    {"replaced": "repl", "found": "fnd", "driver": "drvr", "bearing": "brg", "joint": "jt", "front": "frt",
        "checked": "chkd", "reported": "rptd", "fitted": "ftd", "tailshaft": "t/shaft", "steering": "strg",
        "inspection": "insp", "service": "svc", "and": "&", "changed": "chgd", "greased": "grsd"},
    {"replaced": "rep'd", "gearbox": "g/box", "bearing": "brg", "centre": "ctr", "with": "w/", "damaged": "dmgd",
        "inspection": "inspn", "warranty": "wty", "tailshaft": "t/s", "inner": "inr", "outer": "otr",
        "noticed": "noted", "service": "serv", "scheduled": "sched", "vibration": "vib", "renewed": "renew'd"},
)  # fmt: skip
_SENTENCE = re.compile(r"(^|\. |\d\) )([a-z])")


def _shortened(rng, text, fitter):
    """The text with most of a fitter's abbreviations in place of words."""

    def short(match):
        word = match.group()
        brief = SHORTENED[fitter].get(word.lower())
        if brief is None or rng.random() >= 0.7:
            return word
        return brief.capitalize() if word[0].isupper() else brief

    return re.sub(r"[A-Za-z]+", short, text)


def words(rng, job):
    """One text in the hand of the fitter who did the order; some lines end with a remark on something else."""
    boot_beside_boot = job.refers is not None and {job.lead.component, job.refers.component} == BOOTS
    book = OTHER_END if boot_beside_boot else BOOK
    text = book.clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "{a}. Then {b}", "1) {a} 2) {b}", "{a} / {b}", "{a}; {b}"]).format(
            a=text, b=BOOK.clause(rng, job.second))  # fmt: skip
    if job.also == "other":
        text = pick(rng, ["{a}. {b}", "{b}. {a}", "{a} / {b}", "1) {a} 2) {b}"]).format(a=text, b=BOOK.foreign(rng))
    elif job.also == "look":
        text += pick(rng, [". Rest of driveline checked ok", ". Went over the rest underneath, ok", ". Brakes ok"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = BOOK.aside(rng, job, "later" if rng.random() < 0.5 else "look")
        close = [". Road tested ok", ". Test drove, good", ". Back to work", ". Tested loaded, ok", ". Washed down"]
        text += f". {remark}" if remark and rng.random() < 0.4 else pick(rng, close)
    fitter = int(job.order) % len(SHORTENED)
    text = _shortened(rng, text, fitter)
    if fitter == 1:
        return {"text": text.lower()}
    return {"text": _SENTENCE.sub(lambda m: m.group(1) + m.group(2).upper(), text)}


MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew Tipper", ("crew_truck",
    "rear_two_piece+steering_shaft"): "Crew Tipper Tilt Cab",
    ("service_van", "all_wheel"): "Fitters Van AWD", ("field_pickup", "four_wheel_independent"): "Foreman Ute 4x4 IFS",
    ("utility_4x4", "four_wheel_solid"): "Blast Crew 4x4 Solid Axle", ("yard_truck", "rear_one_piece"): "Yard Shunter",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard Shunter Long", ("town_car", "front_half_shafts"): "Site Car",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "UNI", "cv_joint_outboard": "CVJO", "cv_joint_inboard": "CVJI", "cv_boot_outboard": "CVBO",
        "cv_boot_inboard": "CVBI", "support_bearing": "HBRG", "slip_spline": "SLPY", "steering_joint": "STU"},
    "reason": {"failed": "BD", "worn": "INS", "planned": "PM", "collateral": "WST", "damage": "DMG", "comeback": "RWK"},
}  # fmt: skip
COLUMNS = {
    "Job": "order", "Date": "date", "Plant No": "unit", "Km": "odometer", "Comp": "component", "Cause": "reason",
    "Work Done": "text", "Part No": "part_number", "Qty": "quantity", "Hrs": "hours", "Parts $": "cost",
}  # fmt: skip


SHOP = Shop(
    name="M",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "LV"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["LV", "LV", "LV ", "LV-"])),
    },
    write=delimited_writer(MODELS, titles=("PLANT WORKSHOP", "Job sheet listing"), parts=True),
    order_name=lambda job: f"W{int(job.order):05d}",
    codes=CODES,
    day=lambda day: day.strftime("%d/%m/%Y"),
    shares=Shares(coded=0.36),
    typos=0.08,
    steering="right",
)
