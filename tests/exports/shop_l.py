"""Shop L: an independent garage's invoices, right-hand drive; terse items in a row, dotted short forms, n/s and o/s."""

from clauses import Phrasebook
from exporting import Shares, Shop
from phrases import Voice, pick
from plain_files import delimited_writer

VOICE = Voice(
    names={
        "u_joint": ["u.j.", "u/j", "uj", "univ. jt.", "universal jt.", "u.joint", "universal joint"],
        "cv_joint_outboard": ["outer c.v. jt.", "o/ter c.v. joint", "outer c.v.", "outer c/v jt", "outer cv joint",
            "c.v. jt. outer"],
        "cv_joint_inboard": ["inner c.v. jt.", "inr. c.v. joint", "inner c.v.", "inner c/v jt", "inner cv joint",
            "c.v. jt. inner"],
        "cv_boot_outboard": ["outer c.v. gaiter", "outer c.v. bt", "outer d/shaft gaiter", "outer cv boot",
            "c.v. gaiter outer", "outer bt."],
        "cv_boot_inboard": ["inner c.v. gaiter", "inner c.v. bt", "inner d/shaft gaiter", "inner cv boot",
            "c.v. gaiter inner", "inner bt."],
        "support_bearing": ["prop centre brg.", "prop c/brg", "propshaft centre brg", "prop. ctr. bearing",
            "prop supp. brg.", "propshaft centre mounting & brg"],
        "slip_spline": ["prop sliding jt.", "prop slip jt.", "prop. splines (sliding)", "prop sliding yoke",
            "prop slider & splines", "propshaft sliding joint"],
        "steering_joint": ["strg. col. u.j.", "steering u/j", "strg. shaft jt.", "steering col. joint", "strg u.j.",
            "steering shaft u/j"],
    },
    vague={
        "cv_joint_outboard": ["c.v. jt.", "c.v. joint", "c/v"], "cv_joint_inboard": ["c.v. jt.", "c.v. joint", "c/v"],
        "cv_boot_outboard": ["c.v. gaiter", "d/shaft gaiter", "c.v. bt"],
        "cv_boot_inboard": ["c.v. gaiter", "d/shaft gaiter", "c.v. bt"],
    },
    sides={
        "left": ["n/s/f", "n/s", "n.s.", "nearside", "n.s.f.", "pass. side"],
        "right": ["o/s/f", "o/s", "o.s.", "offside", "o.s.f.", "drivers side"],
        "both": ["n/s + o/s", "both sides", "n.s. & o.s.", "o/s & n/s", "n/s/f & o/s/f"],
    },
    places={
        "rear.joint_front": ["rear prop frt.", "rr. prop front", "front of rear prop", "rear prop fwd. end",
            "rr propshaft frt end"],
        "rear.joint_front|alone": ["prop g/box end", "prop frt.", "gearbox end of prop", "prop frt end",
            "front of prop"],
        "rear.joint_centre": ["rear prop centre", "rr. prop ctr.", "middle of rear prop", "rear prop mid.",
            "rr propshaft centre"],
        "rear.joint_centre|alone": ["prop ctr.", "prop centre", "mid prop", "prop mid.", "prop ctr. brg. end"],
        "rear.joint_rear": ["rear prop rear", "rr. prop axle end", "rear prop diff. end", "rear prop rr.",
            "rr propshaft diff end"],
        "rear.joint_rear|alone": ["prop diff. end", "prop rr.", "rear of prop", "prop axle end", "prop diff end"],
        "front.joint_front": ["frt. prop front", "front prop frt.", "frt. prop axle end", "front prop diff. end",
            "frt propshaft axle end"],
        "front.joint_rear": ["frt. prop rear", "front prop rr.", "frt. prop t/box end", "front prop transfer end",
            "frt propshaft t/box end"],
        "steering.joint_upper": ["upr.", "upper", "top", "uppr.", "top end"],
        "steering.joint_lower": ["lwr.", "lower", "bottom", "btm.", "lower end"],
    },
    shafts={"rear": ["rear prop", "rr. prop", "rr propshaft"], "front": ["front prop", "frt. prop", "frt propshaft"]},
    axles=["frt. axle {p}", "{p} frt. axle", "{p} swivel", "front axle {p}", "{p} frt. halfshaft"],
    joins=["{p} {n}", "{p} {n}", "{n} {p}", "{n}, {p}"],
    half_shafts=["d/shaft assy.", "d/shaft compl.", "driveshaft complete", "complete d/shaft", "driveshaft assy",
        "c.v. driveshaft compl."],
    pairs=["pr. u.j.s prop", "prop u/js x2", "2 x u.j. prop (frt + rr)", "both prop u.j.s", "2no. prop u.j."],
    with_boot=["& gaiter", "+ bt", "inc. gaiter", "c/w gaiter", "& bt kit"],
    both_boots=["inr. & outer c.v. gaiters", "both d/shaft gaiters", "c.v. gaiters inner + outer",
        "c.v. bts x2 inner/outer"],
    same_side=["same side", "s/side", "(as above side)"],
    same=["{n} to same", "{n} for above", "{n} to suit"],
    ands=(" & ", " and ", " + ", ", "),
)
SYMPTOMS = {
    "u_joint": ["clonk on take-up", "vibration 40 mph+", "squeak at walking pace", "knock on/off throttle",
        "clunk eng. gear"],
    "axle_joint": ["knock on lock in 4wd", "tight on lock", "click on full lock"],
    "cv_joint_outboard": ["clicking on lock", "knock on full lock", "cracking on r'abouts"],
    "cv_joint_inboard": ["judder on accel.", "vib. under load", "shudder pulling away"],
    "cv_boot_outboard": ["grease on wheel", "grease on caliper", "slinging grease"],
    "cv_boot_inboard": ["grease on g/box", "grease on subframe", "losing grease"],
    "support_bearing": ["rumble u/floor", "droning 30-50 mph", "judder pulling away", "thumping u/floor"],
    "slip_spline": ["clonk on stopping", "thump after halt"],
    "steering_joint": ["notchy strg.", "play at s/wheel", "stiff strg."],
    "vague_joint": ["noisy", "knocking"],
    "vague_boot": ["split, losing grease", "grease out"],
}
FAILED = [
    "cust. rep. {s}; repl. {p}", "{s} - renew {p}", "{s}; {p} u/s, repl.", "j:recov. to w/shop; {p} failed; repl.",
    "invest. {s}; fault {p}; s. & f. new", "d:broke down; {p} sheared; renew", "cust. compl. {s}: renewed {p}",
    "diag. {s} / {p} faulty / replaced", "repl. {p} ({s})", "d:no drive; {p} gone; fit new",
    "{p} u/s - {s} - renewed", "{s} rep. by driver; renew {p}", "to cure {s}: repl. {p}",
    "j:{p} collapsed; call-out; renew", "b:{p} split, {s}; repl.", "d:{p} broken up; recov.; repl.",
    "locate {s}; repl. {p}",
]
WORN = [
    "m.o.t. fail {p}; repl.", "serv. - {p} worn; renew", "j:{p} exc. play at m.o.t.; repl.",
    "b:repl. {p}, split at m.o.t.", "insp. - {p} worn - repl.", "b:{p} perished on insp.; renew",
    "found on serv.: {p} worn; repl.", "m.o.t. rect.: renew {p}", "pre-m.o.t. chk; {p} no good; repl.",
    "j:safety insp. play {p}; renew", "ann. serv.; {p} past limit; s. & f.", "veh. health chk: {p} worn / renewed",
    "m.o.t. work - renew {p}", "{p} below std. at insp.; renew", "int. serv. + {p} found worn, repl.",
    "6 mth insp.; {p} worn; fit new", "b:serv.; {p} cracked; renew",
]
PLANNED = [
    "sched. repl. {p}", "{p} due on mileage; renew", "repl. {p} as per serv. sched.", "prev. maint. - renew {p}",
    "{p} renewed (planned)", "routine repl. {p}", "contract maint.: repl. {p} at interval",
    "{p} - sched. serv. item - repl.",
    "renew {p} as sched., old o.k.", "planned work: s. & f. {p}", "prevent. renew {p}; no fault",
    "80k serv. incl. renew {p}", "age-related sched. repl. {p}", "fleet prog. repl. {p}", "{p} time-expd.; renew",
]
COLLATERAL = [
    "{p} repl. same time", "also renew {p} whilst apart", "{p} renewed in conj. with above",
    "repl. {p} - access, no extra lab.", "+ {p} as stripped, renewed", "{p} not re-usable; renew",
    "{p} dest. on removal; repl.",
    "incl. renew {p} while off", "{p} renewed with above job", "add. repl. {p} as disturbed",
    "renew {p} at same visit, already apart",
    "{p} advisable with above; repl.", "{p} repl. along with above", "s. & f. {p} while in there",
    "{p} repl. no lab. - part of above",
]
DAMAGE = [
    "acc. rep.: renew {p}", "kerbed; {p} damaged; repl.", "ins. job - renew {p}", "r.t.c. dmg. {p} repl.",
    "{p} dam. by debris; renew", "j:{p} bent, impact; repl.", "ins. est. appr.; repl. {p}", "vandalised {p}; renew",
    "b:{p} cut by wire; renew", "pothole dmg. / {p} / renewed", "coll. dmg.: s. & f. {p}",
    "{p} dmgd. o/road on rock; repl.",
    "b/shop: renew {p}, acc. dmg.", "grounded; {p} broken; renew", "driver hit bollard; {p} repl.",
]
COMEBACK = [
    "{p} repl. u/warranty", "rtn. job; {p} faulty again; renew n/c", "rework {p}; ftd. wrong; repl.",
    "w/ty claim: {p} renewed", "{p} again, prev. part faulty; repl. f.o.c.",
    "redo {p}; incorrect part ftd. prev.; renew",
    "g'tee work - {p} repl.", "{p} noisy after our repair; repl. n/c", "repeat rep. {p}; renew",
    "goodwill, our fitting: renew {p}",
    "new {p} defective; exch. u/warranty", "{p} not seated prev. visit; renew", "rectify own work: repl. {p}",
    "{p} failed 2 wks after fitting; f.o.c. repl.", "supp. faulty {p}; repl., claim on supp.",
]
UNSAID = ["repl. {p}", "renew {p}", "s. & f. {p}", "fit {p}", "r. & r. {p}", "{p} repl.", "{p} renewed",
    "supply + fit {p}",
    "new {p} ftd."]
IDLE = {
    "look": ["chk. {p}, o.k.", "j:insp. {p} - no play", "{p} chkd. o.k.", "invest. {s}; {p} o.k.; n.f.f.",
        "exam. {p} - satis.",
        "{p} insp., serviceable"],
    "grease": ["lub. {p}", "grease {p}", "{p} greased", "lub. all points inc. {p}", "{p} dry; lub."],
    "adjust": ["c:tighten {p} bolts", "b:re-clip {p}", "{p} off for access & refit", "c:re-torque {p}",
        "b:new clip to {p}",
        "c:secure {p}", "d. & r. {p} for g/box job"],
    "later": ["adv. {p} worn", "adv. {p} deteriorating", "quote {p}", "est. for {p}: declined", "{p} on order",
        "{p} will need repl. soon", "adv. renew {p} next serv.", "b:adv. {p} perishing", "j:{p} slight play - monitor"],
}  # fmt: skip
OTHER = [
    "frt. pads & discs", "o/s/f btm. ball jt. renewed", "n/s/r wheel brg. repl.", "full serv.; oil, air, pollen filts.",
    "trk. rod end n/s + track", "rack gaiter o/s repl.", "drop links x2 renewed", "exh. flexi. repl.",
    "clutch kit + rel. brg.",
    "bty. repl.", "alt. belt & tens.", "h/lamp bulb o/s", "rr. shocks pr.", "2 x tyres 215/65/16",
    "diff. pinion seal weeping; repl.",
    "gear lever gaiter repl.", "boot struts pr.", "m.o.t. test fee", "a/c regas", "wiper blades pr.",
    "coil spring n/s/f broken; repl.",
    "w/pump & cambelt", "handbrake cable adj.", "d/shaft oil seal o/s leaking; repl. seal, orig. shaft refitted",
    "eng. mtg. repl.",
    "ball jt. gaiter n/s split; repl. ball jt.", "therm. hsg. jt. leak; reseal", "wheel align.",
    "starter mtr. exch.", "no. plate bulb",
    "dpf regen.",
]  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER,
)  # fmt: skip


def words(rng, job):
    """One text of items in a row; many lines carry a further item that renews nothing."""
    items = [BOOK.clause(rng, job)]
    if job.second is not None:
        items.append(BOOK.clause(rng, job.second))
    if job.also == "other":
        items.insert(int(rng.integers(2)), BOOK.foreign(rng))
    elif job.also == "look":
        items.append(pick(rng, ["other side chkd. o.k.", "chk. brakes o.k.", "rest of d/line o.k."]))
    if job.kind == "renewal" and job.refers is None and rng.random() < 0.35:
        kind = pick(rng, ["grease", "later", "later", "look"])
        items += [text for text in [BOOK.aside(rng, job, kind)] if text]
    if rng.random() < 0.2:
        items.append(pick(rng, ["rd. test", "road test o.k.", "clean & lub. hinges", "sundries", "env. charge"]))
    return {"text": pick(rng, ["; ", "; ", " / ", " + "]).join(items)}


MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew tipper", ("crew_truck", "rear_two_piece+steering_shaft"): "Crew tipper FC",
    ("service_van", "all_wheel"): "Van awd", ("field_pickup", "four_wheel_independent"): "Pickup d/c 4x4",
    ("utility_4x4", "four_wheel_solid"): "4x4 hard top", ("yard_truck", "rear_one_piece"): "Shunt truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "Shunt truck II", ("town_car", "front_half_shafts"): "Small hatch",
}
COLUMNS = {
    "Inv. No.": "order", "Inv. Date": "date", "Reg.": "unit", "Mileage": "odometer", "Description": "text",
    "Part No.": "part_number", "Qty": "quantity", "Lab. hrs": "hours", "Parts": "cost",
}

SHOP = Shop(
    name="L",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "FL"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["FL", "fl ", "FL ", "Fl-"])),
    },
    write=delimited_writer(MODELS, titles=("Invoice items",), encoding="cp1252", parts=True),
    order_name=lambda job: f"INV{20_000 + int(job.order)}",
    distance_unit="mi",
    day=lambda day: day.strftime("%d/%m/%Y"),
    typos=0.08,
    steering="right",
    shares=Shares(merge_leads=0.3, also=0.15),
)
