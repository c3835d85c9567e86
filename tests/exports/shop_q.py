"""Shop Q: a forestry and power-line contractor, left-hand drive, miles; a foreman's short lines, verb first."""

from clauses import Phrasebook
from exporting import Shares, Shop
from phrases import Voice, pick
from plain_files import delimited_writer

VOICE = Voice(
    names={
        "u_joint": ["U-joint", "u-jt", "ujoint", "U joint", "universal", "univ jt", "u-jnt", "cross & caps",
            "cross & brgs", "greasable u-joint", "u/joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "outboard CV jt", "wheel-end CV joint", "CV jt, outer",
            "outer CV jt", "hub-side CV joint", "CV joint (outer)", "wheel side CV"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "inboard CV jt", "diff-side CV joint", "CV jt, inner",
            "inner CV jt", "inner plunge joint, CV axle", "CV joint (inner)", "inner tripod CV joint"],
        "cv_boot_outboard": ["outer CV boot", "outer boot, CV axle", "wheel-end CV boot", "CV boot, outer",
            "outboard CV boot", "outer CV rubber boot", "CV axle boot (outer)", "hub-side CV boot",
            "outer CV axle boot"],
        "cv_boot_inboard": ["inner CV boot", "inner boot, CV axle", "diff-side CV boot", "CV boot, inner",
            "inboard CV boot", "inner CV rubber boot", "CV axle boot (inner)", "plunge side CV boot",
            "inner CV axle boot"],
        "support_bearing": ["carrier bearing", "center carrier brg", "hanger bearing", "driveline center brg",
            "center support bearing", "driveshaft carrier brg", "ctr brg, driveshaft", "hanger brg, driveline",
            "driveline support brg & rubber", "center bearing"],
        "slip_spline": ["slip yoke", "slip joint", "driveline slip yoke", "slip yoke & stub", "driveshaft slip splines",
            "slip stub & sleeve", "splined slip yoke", "driveline slip joint", "slip spline, driveshaft"],
        "steering_joint": ["steering shaft U-joint", "steering shaft joint", "strg shaft u-jt", "steering u-joint",
            "steering column u-joint", "steer shaft u-joint", "u-joint on steering shaft", "strg shaft joint",
            "joint, steering shaft"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV", "CV jt", "axle CV joint"],
        "cv_joint_inboard": ["CV joint", "CV", "CV jt", "axle CV joint"],
        "cv_boot_outboard": ["CV boot", "CV axle boot", "CV rubber boot", "boot, CV jt"],
        "cv_boot_inboard": ["CV boot", "CV axle boot", "CV rubber boot", "boot, CV jt"],
    },
    sides={
        "left": ["LH", "LF", "left", "driver side", "L/F", "left side", "drvr side", "street side"],
        "right": ["RH", "RF", "right", "pass side", "R/F", "right side", "passenger side", "curb side"],
        "both": ["LH & RH", "both sides", "L & R", "driver & pass side", "left + right", "LF & RF"],
    },
    places={
        "rear.joint_front": ["rear driveshaft front", "rear driveshaft, fwd end", "rear driveline front",
            "rear driveshaft frt", "rear dr shaft, front yoke", "rear driveline, frt end"],
        "rear.joint_front|alone": ["trans end", "transmission end", "front", "driveshaft front", "trans output yoke",
            "driveline, trans end", "frt"],
        "rear.joint_centre": ["rear driveshaft center", "rear driveshaft, behind carrier brg", "rear driveline ctr",
            "rear driveshaft ctr", "rear dr shaft, middle", "rear driveline at hanger brg"],
        "rear.joint_centre|alone": ["center", "driveshaft center", "carrier brg end", "middle", "behind hanger brg",
            "ctr of driveline", "driveline, mid"],
        "rear.joint_rear": ["rear driveshaft rear", "rear driveshaft, diff end", "rear driveline at rear axle",
            "rear driveshaft at pinion", "rear dr shaft, pinion end", "rear driveline, rear end"],
        "rear.joint_rear|alone": ["diff end", "differential end", "rear", "driveshaft rear", "pinion yoke",
            "driveline, rear axle end", "driveshaft at diff"],
        "front.joint_front": ["front driveshaft, axle end", "front driveshaft front", "front driveline at front diff",
            "frt driveshaft, diff end", "front driveshaft at axle", "front dr shaft, pinion yoke"],
        "front.joint_rear": ["front driveshaft, t-case end", "front driveshaft rear", "front driveline at t-case",
            "frt driveshaft, transfer case end", "front driveshaft at xfer case", "front dr shaft, transfer case yoke"],
        "steering.joint_upper": ["upper", "top", "column end", "upr", "column side", "cab end"],
        "steering.joint_lower": ["lower", "bottom", "steering box end", "lwr", "box side", "gear box end"],
    },
    shafts={"rear": ["rear driveshaft", "rear driveline", "rear dr shaft", "driveshaft, rear"],
        "front": ["front driveshaft", "front driveline", "frt driveshaft", "driveshaft, front"]},
    axles=["{p} axle shaft", "front axle, {p}", "{p} frt axle shaft", "front axle shaft {p}", "{p} steer knuckle"],
    joins=["{p} {n}", "{p} {n}", "{n}, {p}", "{n} {p}", "{n} ({p})"],
    half_shafts=["CV axle complete", "CV axle assy", "reman CV axle", "half shaft assy", "CV shaft assy w/ both joints",
        "complete CV axle", "front half shaft, complete", "loaded CV axle"],
    pairs=["both U-joints, rear driveshaft", "U-joints (2), rear driveshaft, frt & rear",
        "rear driveshaft u-joints, both ends", "2 u-jts rear driveline, front + rear", "rear dr shaft u-joints F & R"],
    with_boot=["w/ boot", "and boot", "incl boot", "+ boot kit", "w/ new boot & clamps"],
    both_boots=["inner & outer CV boots", "CV boots, inner + outer", "boot kit CV axle, inner and outer"],
    same=["matching CV {n}", "CV {n} to go w/ it", "CV {n} that goes w/ that one"],
    same_side=["same side", "same corner"],
    ands=(" and ", " & ", " + ", ", "),
)  # fmt: skip
SYMPTOMS = {
    "u_joint": ["clunk going in gear", "vibration over 45", "chirp at walking speed", "bang on takeoff",
        "shakes on hwy", "clank letting off throttle"],
    "axle_joint": ["pops in tight turns w/ 4x4 in", "squeak turning at crawl", "jerks in wheel turning w/ hubs locked"],
    "cv_joint_outboard": ["click in turns", "popping on full lock", "crunch turning around on ROW",
        "ratchet noise in turns"],
    "cv_joint_inboard": ["shudder on pull", "shakes under throttle", "thump on takeoff", "wobble on accel"],
    "cv_boot_outboard": ["grease all over wheel", "grease on brake", "slinging grease inside of rim"],
    "cv_boot_inboard": ["grease on trans pan", "grease up on crossmember", "slinging grease on exhaust"],
    "support_bearing": ["growl under cab", "shudder on takeoff", "howl at 40", "driveline thumping floor",
        "rumble under seat"],
    "slip_spline": ["bump in back after stopping", "clunk on stop", "shaft binding", "kick on takeoff"],
    "steering_joint": ["stiff steering", "play in steering wheel", "notchy steering", "steering hangs up off center"],
    "vague_joint": ["noise in driveline", "clunk", "popping noise", "knock underneath"],
    "vague_boot": ["grease slung underneath", "boot tore", "grease leak"],
}  # fmt: skip
FAILED = [
    "R&R {p} - failed on job", "R&R {p} - {s}, crew called it in", "install new {p} (failed, truck down on ROW)",
    "j:install new {p} - old one quit on access rd", "j:R&R {p} - let go on grade, truck hauled in",
    "d:replace {p}, broke pulling [chipper|reel trailer] up grade", "{p}: gone, {s}. R&R on site",
    "put in new {p} (crew complaint: {s})", "j:chg out {p} - seized up on rd, towed in",
    "b:R&R {p} - split open, {s}, operator reported", "field call: {s}. R&R {p}", "road call - {s} - install new {p}",
    "R&R {p} (truck down at [substation|landing|pole yard], {s})", "tow-in, {s}. swap out {p}",
    "j:{p} came apart mid-shift, new put in at landing", "storm duty breakdown, {p} failed. R&R same night",
    "op says {s} - {p} shot, R&R", "d:{p} locked up, truck dead on ROW. install new",
    "u:R&R {p} - spit a cap on hwy", "fix {s} - found {n} shot, R&R {p}",
    "b:install new {p} - busted, {s}, drvr write-up",
    "service truck sent out: {p} failed, install new", "repair breakdown on line job - R&R {p} ({s})",
]  # fmt: skip
WORN = [
    "R&R {p} - worn, found at [PM A|PM B|PM]", "install new {p} (worn out per annual insp)",
    "p:R&R {p} - play over limit on PM check", "b:install new {p} (cracked, found on PM)",
    "b:R&R {p} - dry rotted, seen at svc", "replace {p}, worn, insp write-up", "{p}: worn at preseason insp, R&R",
    "j:swap out {p} - loose when checked at svc", "safety insp fail: {p} worn. installed new",
    "R&R {p} (wore past limit, caught at oil change)", "chg {p} - bad wear seen on lift, no complaint from crew",
    "d:put in new {p} - rough by hand at PM", "write-up from [quarterly|6 mo] check: R&R {p}, worn",
    "insp item: {p} worn - install new", "R&R {p} - not broke yet but worn, found at lube",
    "winter prep check found {p} worn out. R&R", "j:found slop in {p} on walkaround insp. R&R",
    "b:R&R {p} - weather checked, found on walkaround", "PM insp - {p} no good, put in new",
    "install new {p} - failed annual safety check, too much wear", "p:insp found {p} loose, over spec. chg out",
]  # fmt: skip
PLANNED = [
    "R&R {p} - due by miles", "R&R {p} - per PM sched", "install new {p} (sched changeout)",
    "install new {p} - 60K item, old one still OK", "replace {p}, planned, no defect", "{p}: sched R&R, done",
    "yearly changeout - R&R {p}", "chg {p} on interval", "preseason program: install new {p}, due",
    "R&R {p} (time's up on it per chart)", "PM C item - R&R {p}", "swap out {p} - scheduled, life limit up",
    "planned layup work: {p} R&R", "put in new {p} - preventive, before storm season per plan",
    "{p} - reached mileage limit, R&R, nothing wrong w/ old", "fleet plan yr 3: install new {p}",
    "do sched replacement of {p}", "R&R {p} - prev maint, on calendar",
]  # fmt: skip
COLLATERAL = [
    "R&R {p} - while shaft was out", "R&R {p} too while in there",
    "install new {p} (same teardown, not worth reusing old)",
    "install new {p} - done along w/ main job", "{p}: R&R while apart for other work", "renew {p} also, already apart",
    "chg {p} w/ main repair, no extra labor", "replace {p} as well - had it tore down anyway",
    "R&R {p} (as a set w/ other part)", "put in new {p} while it was on the bench for the other job",
    "R&R {p} - old one ruined getting the other part off", "add-on: new {p} installed since all apart",
    "new {p} installed - don't reuse old next to new part", "put in new {p} at same time, access was open",
    "b:R&R {p} - had to cut it off to get at other part", "c:R&R {p} while driveline was down for other repair",
    "R&R {p} - came out w/ the bad part, not going back in", "goes w/ main job: install new {p}",
]  # fmt: skip
DAMAGE = [
    "R&R {p} - hit stump on ROW", "b:R&R {p} - slash got up in there & tore it",
    "j:R&R {p} - busted on rock, access rd", "b:R&R {p} - cut by fence wire wound around axle",
    "c:R&R {p} - guy wire wound up in driveline", "install new {p} (wreck on county rd, insurance job)",
    "R&R {p} - log rolled under truck, damaged it", "{p}: tore up by brush, R&R", "accident repair - install new {p}",
    "R&R {p} - damaged when truck slid off landing", "replace {p}, vandals at yard",
    "b:install new {p} - burnt by weld slag", "R&R {p} (rollover on spoil bank)",
    "op ran over [cut stub|old pole butt|fence post], took out {p}. R&R", "hit by car in work zone - R&R {p}",
    "chain came off load & wrecked {p} - install new", "R&R {p} - limb punched up from below",
    "install new {p} (impact damage, ditch)", "R&R {p} - backed over rock pile, operator damage",
    "b:chg {p} - stub poked a hole in it", "collision, ins claim: {p} R&R",
]  # fmt: skip
COMEBACK = [
    "R&R {p} again - our last one didn't hold", "redo: {p} we put in [last wk|last month] failed, install new",
    "install new {p} (comeback, N/C)", "R&R {p} - comeback from last WO",
    "u:R&R {p} - snap ring left out last time, our fault", "b:R&R {p} - clamp we put on came loose, boot ruined",
    "rework - wrong {p} put in last time, R&R w/ correct one", "{p}: 2nd time this mo, our install no good, R&R",
    "install new {p} - last one we put in was bad out of box", "shop error on last R&R of {p}, do over w/ new part",
    "u:{p} pressed in crooked by us, R&R at no chg", "warr on our prev repair - R&R {p}",
    "repeat repair - R&R {p}, one we installed lasted 300 mi",
    "do over: R&R {p}, [night shift|trainee] botched install",
    "R&R {p} (back in w/ same problem 1 wk after our repair)",
    "replace {p} under parts warr, failed right after we installed it", "c:redo {p} - we left bolts loose, new one in",
]  # fmt: skip
UNSAID = [
    "R&R {p}", "install new {p}", "{p} - R&R", "replaced {p}", "swap out {p}", "put in new {p}", "chg out {p}",
    "{p}, new one in", "new {p} installed", "R&R {p}, done", "pull & replace {p}", "renew {p}",
]  # fmt: skip
IDLE = {
    "look": ["check {p} - OK", "insp {p}, no wear", "look at {p} (crew complaint {s}) - no fault found",
        "p:check {p} for play - none", "j:shake {p} by hand - tight", "b:check {p} for cracks - none",
        "{p} checked, good to go", "look over {p} at PM - still good, leave it", "insp {p} after stump hit - no damage",
        "crawl under & check {p}, nothing wrong", "check {s} - {p} not the cause", "{p} - within spec, no action"],
    "grease": ["grease {p}", "lube {p} at PM", "p:shoot grease in {p} til it purges",
        "{p} - greased", "p:pump grease to {p} - was dry, OK now", "p:hit {p} w/ grease gun",
        "u:lube {p}, all 4 caps took grease",
        "svc: grease {p}, no other work", "p:new zerk in {p} & greased", "{p} lubed w/ PM"],
    "adjust": ["R&I {p} for access, same part back in", "c:snug bolts at {p}", "c:retorque {p}, bolts were loose",
        "b:re-clamp {p}, boot still good", "{p} off & back on for other work, old part reused",
        "clean & reinstall {p}, no parts", "c:R&I {p} to get at trans, reuse",
        "c:cut wire & brush out of {p}, no damage",
        "wash mud off {p}, refit same one", "b:reseat {p} & new clamp only"],
    "later": ["order {p} - not in yet", "{p} worn, R&R next PM", "need {p}, parts on B/O", "quote new {p}",
        "hold R&R of {p} til winter layup", "watch {p} - some wear, OK to run",
        "schedule R&R {p} (crew needs truck now)",
        "{p} on order", "defer {p} to next svc", "j:{p} getting loose, not done today",
        "b:{p} starting to crack, do next trip in", "get price on {p}, foreman to OK first",
        "recommend new {p}, not approved yet", "install new {p} when it comes in - truck back to work til then"],
}  # fmt: skip
OTHER = [
    "R&R u-joint on PTO shaft - hyd pump drive", "install new bearings in rear diff carrier (whine)",
    "R&R chipper feed roller bearing", "install new lower ball joint, [LH|RH] - loose at insp",
    "R&R tie rod ends, both sides",
    "R&R steering rack boot, [LH|RH] - torn", "install new U-bolts, rear spring pack (broken spring)",
    "grease boom turntable bearing", "R&R slip ring at boom turntable - intermittent upper controls",
    "R&R front wheel bearing, [LF|RF] - growl", "install new axle seal, rear [LH|RH] (leak on brake)",
    "R&R shift lever boot - split", "install new spark plug boots & wires",
    "R&R outrigger cyl, [street|curb] side - drifts down",
    "install new winch drive coupling (stripped)", "R&R steering box - leaks", "R&R exhaust flex joint - cracked",
    "install new chipper drive belts", "R&R drag link (bent on stump)", "pinion seal R&R - leak",
    "R&R clutch release brg - squeal", "install new hub locks, manual, L & R", "R&R transfer case shift motor",
    "R&R boom tip saw hose, hyd leak", "brakes, front pads & rotors - R&R", "battery (2) R&R - no start storm night",
    "R&R PTO - won't engage", "tires (6), R&R - cut up on rock", "replace pintle hook - worn at insp",
    "R&R knuckle boom pin & bushings", "bucket dielectric test, pass", "install new alternator bearing",
    "R&R ball joint boot, upper [LH|RH]", "grease outrigger pads & spring pins", "R&R motor mounts, L & R (clunk)",
    "install new steering damper", "R&R center pin, spring pack, rear", "strobe light R&R",
    "R&R rear shackle bushings - worn",
    "replace hyd pump shaft spline coupling", "R&R king pins, LH & RH - play at annual", "oil & filters, PM A",
]  # fmt: skip
SHORT = {
    "u_joint": ("joint", "cross"), "cv_joint_outboard": ("CV",), "cv_joint_inboard": ("CV",),
    "cv_boot_outboard": ("boot",), "cv_boot_inboard": ("boot",), "support_bearing": ("brg",),
    "slip_spline": ("splines",), "steering_joint": ("joint",), "half_shaft": ("axle",), "several": ("parts",),
}  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER, short=SHORT,
)  # fmt: skip


def words(rng, job):
    """One line of a work order; some end with a remark, some are printed in capitals."""
    text = BOOK.clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}; {b}", "1) {a} 2) {b}", "{a} / {b}", "{a}. {b}"]).format(
            a=text, b=BOOK.clause(rng, job.second)
        )
    if job.also == "other":
        text = pick(rng, ["{a}; {b}", "{b}; {a}", "{a} / {b}"]).format(a=text, b=BOOK.foreign(rng))
    elif job.also == "look":
        text += pick(rng, ["; rest of driveline checked OK", "; check brakes - OK", "; look over rest, nothing else"])
    elif job.kind == "renewal" and rng.random() < 0.15:
        remark = BOOK.aside(rng, job, pick(rng, ["later", "look", "grease"]))
        close = ["; test drive OK", "; back to crew", "; lube & go", "; ready to work"]
        text += f"; {remark}" if remark and rng.random() < 0.4 else pick(rng, close)
    draw = rng.random()
    if draw < 0.2:
        return {"text": text.upper()}
    return {"text": text[0].upper() + text[1:] if draw < 0.5 else text}


MODELS = {
    ("crew_truck", "rear_two_piece"): "Bucket truck, crew cab",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Digger derrick, cabover",
    ("service_van", "all_wheel"): "Splicer van, AWD",
    ("field_pickup", "four_wheel_independent"): "Foreman pickup, 4x4 IFS",
    ("utility_4x4", "four_wheel_solid"): "ROW brush rig, 4x4 solid axle",
    ("yard_truck", "rear_one_piece"): "Pole yard tractor",
    ("yard_truck", "rear_one_piece+slip_spline"): "Pole yard tractor, long wb",
    ("town_car", "front_half_shafts"): "Office sedan, FWD",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "UJ", "cv_joint_outboard": "CVO", "cv_joint_inboard": "CVI", "cv_boot_outboard": "BTO",
        "cv_boot_inboard": "BTI", "support_bearing": "HGR", "slip_spline": "SLP", "steering_joint": "STJ"},
    "reason": {"failed": "F", "worn": "W", "planned": "S", "collateral": "A", "damage": "D", "comeback": "R"},
}  # fmt: skip
COLUMNS = {
    "WO": "order", "DATE IN": "date", "TRUCK": "unit", "MILES": "odometer", "ITEM CD": "component", "WHY CD": "reason",
    "WORK ORDER LINE": "text", "PART NO": "part_number", "QTY": "quantity", "HRS": "hours", "PARTS $": "cost",
}  # fmt: skip


SHOP = Shop(
    name="Q",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "TRK-"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["TRK-", "TRK ", "TRK"])),
    },
    write=delimited_writer(
        MODELS, titles=("LINE & ROW DIVISION", "WORK ORDER LINES"), delimiter="\t", date_order="mdy", parts=True
    ),
    order_name=lambda job: f"W{int(job.order):05d}",
    codes=CODES,
    distance_unit="mi",
    day=lambda day: day.strftime("%m/%d/%Y"),
    typos=0.06,
    shares=Shares(reason=0.88, coded=0.45),
    steering="left",
)  # fmt: skip
