"""Shop H: a mine and station contractor's workshop, right-hand drive; short, colloquial lines in lower case."""

from clauses import Phrasebook
from exporting import Shop
from phrases import Voice, pick
from plain_files import delimited_writer

VOICE = Voice(
    names={
        "u_joint": ["uni joint", "uni", "uni jt", "universal", "uj", "universal joint", "uni cross"],
        "cv_joint_outboard": ["outer cv", "outer cv joint", "wheel end cv", "outside cv", "outer c.v.", "hub end cv"],
        "cv_joint_inboard": ["inner cv", "inner cv joint", "diff end cv", "inside cv", "inner c.v.", "inner cv cup"],
        "cv_boot_outboard": ["outer cv boot", "outer boot", "wheel end cv boot", "outside cv boot", "outer c.v. boot",
            "hub end boot"],
        "cv_boot_inboard": ["inner cv boot", "inner boot", "diff end cv boot", "inside cv boot", "inner c.v. boot",
            "diff end boot"],
        "support_bearing": ["centre bearing", "tailshaft centre bearing", "centre brg", "tailshaft hanger bearing",
            "carrier bearing on tailshaft", "t/shaft centre bearing", "centre bearing & rubber"],
        "slip_spline": ["tailshaft slip joint", "slip yoke", "tailshaft spline", "sliding yoke", "slip yoke & spline",
            "tailshaft slider"],
        "steering_joint": ["steering uni", "steering shaft uni", "steering column uni joint", "steering shaft uj",
            "steering knuckle uni", "steering column universal"],
    },
    vague={
        "cv_joint_outboard": ["cv", "cv joint", "c.v."], "cv_joint_inboard": ["cv", "cv joint", "c.v."],
        "cv_boot_outboard": ["cv boot", "driveshaft boot", "c.v. boot"],
        "cv_boot_inboard": ["cv boot", "driveshaft boot", "c.v. boot"],
    },
    sides={
        "left": ["lh", "l/h", "left", "passenger side", "kerb side", "left hand", "pass. side"],
        "right": ["rh", "r/h", "right", "drivers side", "driver's side", "right hand", "drvr side"],
        "both": ["lh & rh", "both sides", "l/h and r/h", "left and right", "drivers & passenger side"],
    },
    places={
        "rear.joint_front": ["rear tailshaft front", "rear shaft front", "front of rear tailshaft",
            "rear shaft, front end", "rear t/shaft frt end", "rear shaft up front"],
        "rear.joint_front|alone": ["gearbox end", "g/box end", "tailshaft front", "front of tailshaft",
            "gearbox output"],
        "rear.joint_centre": ["rear shaft centre", "middle of rear tailshaft", "rear tailshaft centre bearing end",
            "mid rear shaft", "rear t/shaft centre"],
        "rear.joint_centre|alone": ["tailshaft centre", "middle", "centre", "centre bearing end", "mid tailshaft"],
        "rear.joint_rear": ["rear shaft diff end", "rear tailshaft rear", "back of rear shaft",
            "rear tailshaft diff end", "rear shaft back end", "rear t/shaft axle end"],
        "rear.joint_rear|alone": ["diff end", "back end", "diff", "rear of tailshaft", "tailshaft diff end"],
        "front.joint_front": ["front shaft diff end", "front driveshaft front", "front shaft front",
            "front shaft axle end", "front prop front end"],
        "front.joint_rear": ["front shaft transfer end", "front shaft t/case end", "front driveshaft rear",
            "front shaft back end", "front prop transfer case end"],
        "steering.joint_upper": ["top", "upper", "cab end", "top end", "dash end"],
        "steering.joint_lower": ["bottom", "lower", "box end", "bottom end", "steering box end"],
    },
    shafts={"rear": ["rear tailshaft", "rear shaft", "rear t/shaft"],
        "front": ["front shaft", "front driveshaft", "front prop"]},
    axles=["{p} front axle", "front axle {p}", "{p} swivel hub", "front axle {p} stub", "{p} front knuckle"],
    joins=["{p} {n}", "{n} {p}", "{n}, {p}", "{p} {n}", "{n} ({p})"],
    half_shafts=["complete cv shaft", "cv shaft assy", "cv driveshaft complete", "whole cv shaft", "cv axle assy",
        "cv half shaft complete"],
    pairs=["both unis in tailshaft", "tailshaft unis x 2", "front & rear unis in tailshaft", "pair of unis tailshaft",
        "2 x unis tailshaft, both ends"],
    with_boot=["& boot", "and boot kit", "+ boot", "with boot", "and new boot"],
    both_boots=["inner & outer cv boots", "both boots on cv shaft", "inner + outer boots", "both cv boots inner/outer",
        "cv boots inner and outer"],
    same_side=["same side", "that side", "same side as above"],
    same=["{n} to suit", "{n} on that one", "{n} to go with it"],
)
SYMPTOMS = {
    "u_joint": ["clunking taking off", "clunk going into gear", "squeaking like a budgie", "vibration at 80",
        "bad vibes on the bitumen", "knocking on and off the throttle", "banging changing down"],
    "axle_joint": ["clicking on lock in 4wd", "notchy turning in 4wd", "clunk on full lock hubs in"],
    "cv_joint_outboard": ["clicking on lock", "clacking on full lock", "crunching round corners",
        "knocking turning hard", "clicking flat out on lock"],
    "cv_joint_inboard": ["shudder taking off", "shaking under load", "vibrates up hills", "shudder on the throttle"],
    "cv_boot_outboard": ["grease all over wheel", "grease flung all over brake", "chucking grease out"],
    "cv_boot_inboard": ["grease over gearbox", "grease all up the crossmember", "chucking grease out"],
    "support_bearing": ["shaft out of balance", "rumble under the tray", "shudder off the mark", "howling under cab",
        "shaft flogging round", "drumming under floor"],
    "slip_spline": ["bump when pulling up", "clunk after stopping", "thump coming to a stop"],
    "steering_joint": ["slop in steering", "steering notchy", "knock in the wheel", "tight spot in steering"],
    "vague_joint": ["noisy as", "making a racket", "knocking"],
    "vague_boot": ["grease everywhere", "throwing grease", "split wide open"],
}
FAILED = [
    "[op|driver|operator] reckons {s}, {p} stuffed, chucked in new one", "{s}. {p} u/s, swapped out",
    "d:stopped on haul rd, {p} let go, fitted new", "{p} cactus, {s}. new one in", "{p} shagged - {s} - replaced",
    "j:{p} rooted, {s}, chucked new one in", "d:lost drive out in the paddock, {p} busted, replaced on site",
    "j:field callout, {p} buggered, new one fitted", "{s}, found {p} had it. r/r",
    "defect slip: {s}. {p} u/s, changed", "d:{p} flogged out and broke, towed in, new one fitted",
    "j:{p} seized up, {s}. replaced", "driver whinging about {s}, {p} gone, swapped",
    "u:{p} spat the rollers out on the road, fitted new", "b:{p} ripped open, {s}, new one on",
    "unit down, {p} carked it, replaced", "j:breakdown - {p} [collapsed|let go]. new one fitted",
    "{s}, {p} U/S. replaced", "{p} died in service ({s}), r/r",
]  # fmt: skip
WORN = [
    "j:250hr service, {p} flogged, replaced", "j:found {p} flogged out at service. fitted new",
    "rego check knocked back {p}, replaced", "{p} worn on insp, swapped",
    "pink slip insp - {p} no good, changed", "WOF fail, {p} worn, new one fitted",
    "COF: {p} on the way out, replaced", "picked up {p} worn while servicing, chucked in new",
    "p:too much slop in {p} at service, replaced", "site insp: {p} out of spec, r/r",
    "b:{p} perished & cracked at service, replaced", "b:{p} splitting, found at rego insp, new one on",
    "on the hoist for B service, {p} stuffed, swapped", "monthly check, {p} past it, renewed",
    "p:pit insp found play in {p}, changed out", "{p} tagged at 6 mthly inspection, replaced",
    "D service - {p} worn, r/r", "{p} condemned on yearly, new one in",
]
PLANNED = [
    "{p} due on hrs, changed out", "planned change out {p}", "sched changeout {p}, old one still good",
    "{p} done as per service schedule", "{p} swapped out, 100k item", "preventative - new {p}",
    "{p} changed on k's, nothing wrong with it", "shutdown work: {p} changed as planned", "PM changeout of {p}",
    "{p} lifed out, replaced", "pre harvest prep, {p} changed whether it needed it or not",
    "scheduled {p} replacement done", "{p} rotated out per planner", "swap out {p} as per component plan",
    "10,000 hr changeout {p}", "{p} changed at interval, no dramas with old one",
]
COLLATERAL = [
    "new {p} while we were in there", "chucked in {p} while it was apart", "{p} replaced same time",
    "may as well do {p} too, new one in", "had to cut {p} off to get at other job, new one fitted",
    "{p} replaced as well seeing it was out", "stuffed {p} getting it off for other job, new one fitted",
    "new {p} thrown in with the above", "same job, {p} replaced too", "wrecked {p} in strip down, replaced",
    "{p} fitted along with the other bits", "also fitted {p} with the above", "{p} changed, all apart anyway",
    "replaced {p} on same job no extra labour", "one out all out, {p} renewed with the rest",
]
DAMAGE = [
    "hit a roo, {p} bashed about, replaced", "backed over star picket, took out {p}, new one fitted",
    "fencing wire wrapped up & wrecked {p}, replaced", "rolled in pit, {p} replaced",
    "staked {p} on scrub track, changed", "rock got {p}, new one fitted", "washed off crossing, {p} wrecked. replaced",
    "panel job: {p} smashed, replaced", "insurance job {p} replaced", "b:stick went through {p}, replaced",
    "loader clipped it, {p} mangled, r/r", "prang - {p} r/r", "smash repair, {p} renewed",
    "hit culvert. {p} damaged, swapped", "bellied out on windrow, {p} damaged, new one",
    "j:{p} bent on a stump, new one in",
    "b:{p} slashed by barb wire, new one on",
]
COMEBACK = [
    "{p} back again, did it last week, replaced", "{p} crook from new, swapped on warranty",
    "redo of {p}, clip left out last time, new one", "{p} put in skewiff last time, replaced again",
    "dud {p} out of the box, swapped under warranty", "wrong {p} fitted by last bloke, right one in",
    "{p} again!! cheap one only lasted 2 wks, replaced f.o.c.", "warranty job {p} replaced",
    "our stuff up, {p} replaced again", "rework - {p} replaced",
    "{p} not sitting straight from last job, another fitted",
    "came back, {p} noisy again after our repair, replaced", "2nd go at {p}, first new one faulty, r/r",
    "supplier warranty - {p} swapped", "repeat job: {p} renewed, not done up right last time",
]
UNSAID = [
    "new {p}", "swapped {p}", "chucked in {p}", "r/r {p}", "fitted {p}", "{p} replaced", "{p} changed",
    "put new {p} in", "{p} - new one fitted",
]
IDLE = {
    "look": ["checked {p}, no dramas", "{p} looked at, all good", "op reckons {s}, checked {p}, nothing wrong",
        "had a look at {p}, she's right", "insp {p} ok", "p:no slop in {p}, ok", "{p} ok at service"],
    "grease": ["greased {p}", "gave {p} a squirt of grease", "pumped up {p}", "grease round incl {p}",
        "{p} dry, greased", "lubed {p}"],
    "adjust": ["c:nipped up bolts on {p}", "c:{p} loose, tightened", "b:clamp off {p}, new clamp",
        "{p} off and back on for other job", "pulled {p} out for access, same one back in", "b:{p} clip retied",
        "c:{p} bolts re-torqued"],
    "later": ["{p} getting a bit sloppy, keep an eye on it", "{p} needs doing next service", "{p} on order",
        "price up {p} for boss", "{p} on its last legs, will do next time in", "no {p} in store, parts coming",
        "quoted {p}", "{p} tired, ok for now"],
}  # fmt: skip
OTHER = [
    "new brake pads front", "[lh|rh] ball joint flogged, replaced", "wheel bearing [lh|rh] front stuffed, replaced",
    "spring shackle bushes replaced", "radius arm bushes r/r", "uhf aerial replaced", "bullbar refitted",
    "new windscreen, rock", "oil & filters 500hr service", "starter motor u/s, swapped", "alternator carked it",
    "new clutch & thrust bearing", "diff pinion seal leaking, replaced", "u bolts on rear springs replaced",
    "drag link end replaced", "steering damper stuffed, new one in", "air con regas", "2 x tyres staked, replaced",
    "gear stick boot ripped, new one", "fan belt & idler bearing", "king pin bearings swivel hub kit",
    "exhaust manifold gasket", "fuel pump u/s", "tray headboard welded", "water pump bearing noisy, r/r",
    "rack boot split, replaced", "park brake drum on gearbox adjusted", "front shocks shagged, replaced",
    "engine mount broken, vibration, fitted new", "seat belt buckle replaced", "tow ball joint welded",
]
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER,
)  # fmt: skip


def words(rng, job):
    """One text."""
    text = BOOK.clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "{a}, {b}", "{a} + {b}", "{a}. also {b}"]).format(
            a=text, b=BOOK.clause(rng, job.second))
    if job.also == "other":
        text = pick(rng, ["{a}. {b}", "{b}, {a}", "{a} + {b}"]).format(a=text, b=BOOK.foreign(rng))
    elif job.also == "look":
        text += pick(rng, [", other side ok", ". checked the rest, all good", ". brakes ok"])
    return {"text": text}


MODELS = {
    ("crew_truck", "rear_two_piece"): "crew cab 6t", ("crew_truck", "rear_two_piece+steering_shaft"): "cabover 6t",
    ("service_van", "all_wheel"): "awd van", ("field_pickup", "four_wheel_independent"): "dual cab ute 4x4",
    ("utility_4x4", "four_wheel_solid"): "bush 4x4", ("yard_truck", "rear_one_piece"): "yard truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "yard truck slip", ("town_car", "front_half_shafts"): "town runabout",
}
COLUMNS = {
    "Job": "order", "Date": "date", "Plant No": "unit", "Kms": "odometer", "Work Done": "text", "Qty": "quantity",
    "Hrs": "hours", "Parts $": "cost",
}

SHOP = Shop(
    name="H",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "LV"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["LV", "lv", "LV ", "LV-"])),
    },
    write=delimited_writer(MODELS, titles=("Workshop diary",)),
    order_name=lambda job: str(int(job.order)),
    day=lambda day: day.strftime("%d/%m/%Y"),
    typos=0.22,
    steering="right",
)
