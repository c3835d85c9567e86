"""Shop R: an outback station and mine-support workshop, right-hand drive; spoken sentences and curt notes."""

import re
from dataclasses import dataclass
from datetime import date

from clauses import Phrasebook
from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited, write_workbook
from exporting import Shares, Shop, settings_head
from phrases import Voice, pick

_AFTER = ("at ", "in ", "on ", "of ", "behind ")


@dataclass(frozen=True)
class SpokenVoice(Voice):
    """Nouns as people say them: with an article, places before or after the name."""

    def placed(self, rng, name, place):
        if not place:
            return f"the {name}"
        if place.startswith(_AFTER):
            return f"the {name} {place}"
        if (place.endswith(("side", "left", "right"))) and rng.random() < 0.45:
            return f"the {name} on the {place}" + ("" if place.endswith("side") else "-hand side")
        return f"the {place} {name}"


SPOKEN = SpokenVoice(
    names={
        "u_joint": ["uni", "uni joint", "universal", "universal joint", "uni cross", "unijoint", "u-joint",
            "uni joint and caps", "spider joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "outside CV", "wheel end CV", "hub end CV joint",
            "outboard CV", "wheel side CV joint", "outer drive shaft joint", "outer constant velocity joint"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "inside CV", "diff end CV", "diff side CV joint",
            "inboard CV", "inner plunge joint", "inner drive shaft joint", "inner constant velocity joint"],
        "cv_boot_outboard": ["outer CV boot", "outer boot", "outside CV boot", "wheel end CV boot", "hub end boot",
            "outboard CV boot", "rubber boot for the outer CV", "outer drive shaft boot", "outer CV rubber",
            "wheel side CV gaiter"],
        "cv_boot_inboard": ["inner CV boot", "inner boot", "inside CV boot", "diff end CV boot", "diff side boot",
            "inboard CV boot", "rubber boot for the inner CV", "inner drive shaft boot", "inner CV rubber",
            "diff side CV gaiter"],
        "support_bearing": ["centre bearing", "tailshaft centre bearing", "tailshaft hanger bearing",
            "centre support bearing", "tailshaft carrier bearing", "tailshaft steady bearing", "hanger bearing",
            "centre bearing and its rubber", "middle bearing for the tailshaft"],
        "slip_spline": ["slip yoke", "tailshaft slip joint", "sliding spline", "splined slip yoke",
            "tailshaft slip yoke", "sliding yoke", "slip joint on the tailshaft", "tailshaft slip spline",
            "sliding joint in the tailshaft"],
        "steering_joint": ["steering shaft uni", "steering column uni", "steering uni joint", "steering shaft joint",
            "universal in the steering shaft", "column uni joint", "steering column universal", "steering universal",
            "uni joint in the steering column"],
    },
    vague={
        "cv_joint_outboard": ["CV", "CV joint", "drive shaft CV", "constant velocity joint"],
        "cv_joint_inboard": ["CV", "CV joint", "drive shaft CV", "constant velocity joint"],
        "cv_boot_outboard": ["CV boot", "drive shaft boot", "CV rubber", "rubber boot on the CV shaft", "CV gaiter"],
        "cv_boot_inboard": ["CV boot", "drive shaft boot", "CV rubber", "rubber boot on the CV shaft", "CV gaiter"],
    },
    sides={
        "left": ["left", "left", "passenger side", "left side", "passenger's side", "near side", "LH"],
        "right": ["right", "right", "driver's side", "right side", "driver side", "off side", "RH"],
        "both": ["left and right", "on both sides", "driver's and passenger's side", "on the left and the right"],
    },
    places={
        "rear.joint_front": ["at the front of the rear tailshaft", "at the gearbox end of the rear tailshaft",
            "at the front end of the back tailshaft", "on the front of the back shaft"],
        "rear.joint_front|alone": ["at the gearbox end of the tailshaft", "at the front of the tailshaft", "front",
            "at the gearbox end", "behind the gearbox"],
        "rear.joint_centre": ["in the middle of the rear tailshaft", "behind the centre bearing on the rear tailshaft",
            "at the centre of the back tailshaft"],
        "rear.joint_centre|alone": ["in the middle of the tailshaft", "centre", "middle", "behind the centre bearing",
            "at the centre of the tailshaft"],
        "rear.joint_rear": ["at the diff end of the rear tailshaft", "at the back of the rear tailshaft",
            "at the rear diff", "on the back end of the rear tailshaft", "at the rear diff end of the back shaft"],
        "rear.joint_rear|alone": ["at the diff end of the tailshaft", "at the back of the tailshaft", "rear",
            "at the diff", "diff end", "on the diff end of the shaft"],
        "front.joint_front": ["at the diff end of the front prop shaft", "at the front of the front shaft",
            "at the front diff", "on the front diff end of the front tailshaft"],
        "front.joint_rear": ["at the transfer case end of the front prop shaft", "at the back of the front shaft",
            "on the transfer end of the front tailshaft", "at the rear end of the front prop shaft"],
        "steering.joint_upper": ["upper", "top", "on the column end", "at the top end"],
        "steering.joint_lower": ["lower", "bottom", "at the steering box end", "at the bottom end"],
    },
    shafts={"rear": ["in the rear tailshaft", "on the back tailshaft", "in the rear shaft"],
        "front": ["in the front prop shaft", "on the front tailshaft", "front prop shaft"]},
    axles=["in the {p} front axle", "{p} front axle", "at the {p} front knuckle", "in the {p} front swivel hub",
        "{p} front axle shaft"],
    joins=["{n} {p}"],
    half_shafts=["complete CV shaft", "whole CV shaft with both joints", "complete drive shaft with both CVs",
        "complete CV axle", "front drive shaft assembly with the CVs", "changeover CV shaft assembly",
        "full CV shaft assembly", "whole front drive shaft with CVs and boots"],
    pairs=["both unis in the rear tailshaft", "the front and rear unis on the tailshaft",
        "the two uni joints in the rear tailshaft", "both universal joints on the rear tailshaft",
        "the pair of unis in the rear tailshaft"],
    with_boot=["and its boot", "and the boot on it", "boot and all", "along with its boot", "complete with boot"],
    both_boots=["inner and outer CV boots", "inner and outer boots", "two CV boots, inner and outer,",
        "inner and outer drive shaft boots"],
    same=["the {n} that goes with it", "the {n} at the same end", "the {n} on that same one"],
    same_side=("on that side", "on the same side"),
    ands=(" and ", " and also ", " plus ", " and "),
)  # fmt: skip
CURT = Voice(
    names={
        "u_joint": ["uni", "uni joint", "u/joint", "u/j", "uni jt", "universal", "unijoint", "univ joint",
            "uni cross"],
        "cv_joint_outboard": ["outer cv", "outer cv jt", "o/b cv", "wheel end cv", "hub end cv", "cv joint outer",
            "cv outer", "outer c.v. joint", "outside cv"],
        "cv_joint_inboard": ["inner cv", "inner cv jt", "i/b cv", "diff end cv", "diff side cv", "cv joint inner",
            "cv inner", "inner c.v. joint", "inside cv"],
        "cv_boot_outboard": ["outer cv boot", "outer boot", "o/b cv boot", "wheel end boot", "hub end cv boot",
            "cv boot outer", "outer cv rubber", "outside cv boot", "boot, outer cv"],
        "cv_boot_inboard": ["inner cv boot", "inner boot", "i/b cv boot", "diff end boot", "diff side cv boot",
            "cv boot inner", "inner cv rubber", "inside cv boot", "boot, inner cv"],
        "support_bearing": ["centre brg", "centre bearing", "t/shaft centre brg", "hanger brg", "tailshaft hanger",
            "ctr bearing", "tailshaft carrier brg", "centre support brg", "tailshaft steady brg"],
        "slip_spline": ["slip yoke", "slip joint", "t/shaft slip yoke", "sliding spline", "slip spline",
            "sliding yoke", "tailshaft slip jt", "splined yoke t/shaft"],
        "steering_joint": ["steering uni", "strg shaft uni", "steering col uni", "strg col u/j", "steering shaft jt",
            "steering uni jt", "strg column universal", "steering u/joint"],
    },
    vague={
        "cv_joint_outboard": ["cv", "cv joint", "cv jt", "drive shaft cv"],
        "cv_joint_inboard": ["cv", "cv joint", "cv jt", "drive shaft cv"],
        "cv_boot_outboard": ["cv boot", "cv rubber", "d/shaft boot", "cv gaiter"],
        "cv_boot_inboard": ["cv boot", "cv rubber", "d/shaft boot", "cv gaiter"],
    },
    sides={
        "left": ["LH", "l/h", "left", "lhs", "pass side", "passenger side", "l/hand", "n/s"],
        "right": ["RH", "r/h", "right", "rhs", "driver side", "drivers side", "r/hand", "o/s"],
        "both": ["both sides", "L+R", "lh & rh", "l/h and r/h", "left + right"],
    },
    places={
        "rear.joint_front": ["rear tailshaft front", "rear t/shaft gbox end", "rear tailshaft, front end",
            "rear shaft g/box end"],
        "rear.joint_front|alone": ["tailshaft front", "gbox end", "t/shaft g/box end", "front of t/shaft"],
        "rear.joint_centre": ["rear tailshaft centre", "rear t/shaft middle", "rear t/shaft ctr"],
        "rear.joint_centre|alone": ["tailshaft centre", "t/shaft middle", "centre", "middle of t/shaft"],
        "rear.joint_rear": ["rear tailshaft diff end", "rear t/shaft rear", "rear tailshaft, back end",
            "rear diff end", "rear shaft diff end"],
        "rear.joint_rear|alone": ["tailshaft diff end", "diff end", "t/shaft rear", "rear of tailshaft"],
        "front.joint_front": ["front shaft diff end", "front prop diff end", "front t/shaft front", "front diff end"],
        "front.joint_rear": ["front shaft transfer end", "front prop t/case end", "front t/shaft rear",
            "front prop shaft, tfr end"],
        "steering.joint_upper": ["upper", "top", "top end"],
        "steering.joint_lower": ["lower", "bottom", "strg box end", "lwr"],
    },
    shafts={"rear": ["rear tailshaft", "rear t/shaft", "rear shaft"],
        "front": ["front prop", "front t/shaft", "front prop shaft"]},
    axles=["{p} front axle", "front axle {p}", "{p} front knuckle", "{p} frt axle", "{p} front swivel hub"],
    joins=["{n} {p}", "{p} {n}", "{n} - {p}", "{n} ({p})", "{p} {n}"],
    half_shafts=["cv shaft complete", "cv shaft assy", "complete cv shaft", "complete cv axle",
        "front drive shaft assy c/w cvs", "c/o cv shaft complete", "drive shaft complete with cvs", "cv axle assy"],
    pairs=["both unis rear tailshaft", "unis x2 rear t/shaft", "uni joints x 2, rear tailshaft",
        "front + rear unis, rear t/shaft", "pr unis rear tailshaft"],
    with_boot=["+ boot", "c/w boot", "and boot", "& boot", "inc boot"],
    both_boots=["inner + outer cv boots", "cv boots inner & outer", "inner/outer boots", "both cv boots (in + out)"],
    same=["{n} same end", "{n} to suit above", "matching {n}"],
    same_side=("same side", "same side"),
    ands=(" + ", " & ", ", ", " and "),
)  # fmt: skip
SYMPTOMS = {
    "u_joint": ["a clunk taking off", "a bad vibration over 80", "a knock going on and off the throttle",
        "a squeak at walking pace", "a clunk going into reverse", "a shake through the floor",
        "a metallic chirp when rolling"],
    "axle_joint": ["a knock on full lock in four wheel drive", "a crunch turning tight in 4WD",
        "a click on lock in low range"],
    "cv_joint_outboard": ["a clicking noise on full lock", "a crack crack noise turning at the gate",
        "a clacking noise round corners", "a ratchet noise on lock"],
    "cv_joint_inboard": ["a shudder under power", "a shake pulling up the hill", "a wobble when you put the foot down",
        "a thump on and off the power"],
    "cv_boot_outboard": ["grease all over the inside of the wheel", "grease slung round the wheel arch",
        "grease on the brake calliper"],
    "cv_boot_inboard": ["grease all over the diff housing", "grease flung up under the engine bay",
        "grease on the bash plate and exhaust"],
    "support_bearing": ["a rumble under the floor", "a shudder taking off", "a drumming noise under the cab",
        "a growl from the middle of the tailshaft"],
    "slip_spline": ["a thump when you pull up", "a bump in the back just after stopping",
        "a clunk as it pulls up at the grid"],
    "steering_joint": ["notchy steering", "a clunk in the steering", "a tight spot in the steering",
        "slop at the steering wheel", "stiff steering"],
    "vague_joint": ["a noise underneath", "a knocking noise", "a clunking noise"],
    "vague_boot": ["grease everywhere", "grease flung about underneath", "grease dripping"],
}  # fmt: skip
FAILED = [
    "[Driver|Operator|Young fella] came in [complaining about|whinging about|with] {s}, had a look and "
    "found {p} [stuffed|buggered|shot], so fitted new",
    "She was booked in for {s} and it turned out to be {p}, pulled it down and put new in",
    "Got a call on the radio about {s}, nursed it home and found {p} gone, replaced",
    "j:{p} gave up [on the way back from the bore|out past the second grid|on the haul road], towed it "
    "in and replaced it",
    "Defect card from [night shift|the camp|the drivers] says {s}, found {p} gone, new {n} in and all good now",
    "j:Came in on the back of the float after {p} packed it in on the [north road|stock route], renewed",
    "d:Went bang going up the [jump up|ramp|creek bank] and {p} had broken, went out and got it, new {n} fitted",
    "j:{p} seized solid out on the run and I had to go and fetch the vehicle, new one fitted back here",
    "b:{p} let go on the road and slung its grease, driver noticed it at the fuel bowser and we put a new one on",
    "b:Driver spotted {s} and reported it, {p} torn right round, cleaned up and fitted new",
    "j:Boss noticed {s} when he took it to town, {p} was no good any more, new one in",
    "j:Mob at the [camp|outstation] broke down with {p} gone, took a new one out and fitted it on the "
    "side of the road", "{s}, been getting worse all week they reckon, was {p}, replaced and it has gone away",
    "Vehicle off the road since [Friday|the weekend] with {p} failed, got the part on the mail plane and fitted it",
]  # fmt: skip
WORN = [
    "In for its [10,000|20,000|15 thousand] service and found {p} [worn|well worn|on its last legs], replaced",
    "Had a look round underneath at service time and saw {p} [pretty worn|well past it|about done], put new in",
    "Mine site inspector [knocked it back|red tagged it] because of wear in {p}, replaced so it can go back on site",
    "p:Found too much play in {p} when doing the service, new {n} fitted",
    "b:{p} cracked and perished when I checked underneath at the service, no grease out yet, put new on",
    "j:Shook everything up on the hoist at the three monthly check and felt slop in {p}, fitted new",
    "Yearly rego check failed on {p}, replaced and it passed second time",
    "No complaints from the driver but {p} didn't pass the [quarterly|90 day] inspection, worn, replaced",
    "Going over it on the pit before the muster found {p} nearly worn out, replaced",
    "Apprentice found {p} worn on the routine check and I agreed with him, new {n} fitted",
    "Ticked off the inspection sheet as no good, {p}, too worn to go back out so fitted new",
    "Roadworthy bloke wasn't happy with how worn {p} was, renewed",
    "b:Had the wheels off for the annual inspection and saw {p} splitting in the folds, fitted new",
    "Did the underbody inspection and marked {p} worn beyond limits, replaced same day",
]  # fmt: skip
PLANNED = [
    "{p} came up on the service plan so changed, nothing wrong with the old",
    "Due for {p} at this many kays, changed as per the schedule",
    "We do {p} every [60,000|80,000] on these, came due so done, old kept for a spare",
    "Scheduled changeout of {p} [during the shutdown|at the major service], no fault reported",
    "Nothing wrong with {p} but the plan says change at [100,000|80,000] km so changed",
    "Policy is to change {p} on all of them before the wet each year, did this one today",
    "Time was up on {p} by the maintenance schedule, renewed as planned",
    "Preventive job off the planner, {p} renewed, old still serviceable",
    "Booked in last month for the programmed change of {p}, done",
    "Major service, replaced {p} like the schedule says at this distance, was still good",
    "Planner had {p} down for changing this week, renewed on kilometres only",
    "Hit its kays for {p}, new fitted, old was fine",
]  # fmt: skip
COLLATERAL = [
    "Had the shaft out anyway so [did|renewed|changed] {p} while we were there",
    "{p} done as well seeing it was all apart for the other job",
    "Wasn't going to put {p} back in old with the main part new, so renewed too",
    "Wrecked {p} getting the other part out, so new {n} went in",
    "While we were in there for the job above replaced {p} as well",
    "{p} had to come off to get at the other part and wouldn't go back on, new fitted",
    "Goes with the job above, {p} renewed at the same time",
    "Threw in {p} too since it was stripped down for the other repair",
    "No sense doing the job above and leaving {p}, replaced together",
    "{p} can't be used again once it has been pulled apart for the other job, new on reassembly",
    "Part of the same strip down as the main repair, {p} replaced too",
    "Same labour so {p} changed along with the main job",
    "Nothing wrong with {p} but with the other repair needing it apart it made sense to put new in",
]  # fmt: skip
DAMAGE = [
    "Hit a [roo|stump|bullock|rock] [out past the yards|on the boundary track] and wrecked {p}, new {n} fitted",
    "Star picket came up underneath and [smashed|wrecked|took out] {p}, replaced",
    "Fencing wire wound itself round the shaft and [wrecked|ruined] {p}, cut it all off and renewed",
    "b:Stick went straight through {p} on the scrub track, fitted new",
    "b:Rats chewed through {p} while it was parked in the shed, new one on",
    "b:Spinifex caught fire under the vehicle and melted {p}, replaced",
    "Rolled it [coming home|on the bend], {p} damaged along with a lot else, replaced",
    "Driver bellied it on a rock and {p} copped the hit, fitted new",
    "Bloke backed the loader into it and damaged {p}, renewed, insurance to pay",
    "Accident repair after [the prang with the road train|it went off the culvert], {p} renewed",
    "{p} damaged when it got dragged off the sandbar with the dozer, replaced",
    "Hit a washout too fast and {p} got smashed on the bank, new in",
    "Drove over an old drum in the long grass and it tore up {p}, replaced",
    "j:Went down the side of the ramp and bent {p} on the rail, new one in",
]  # fmt: skip
COMEBACK = [
    "Back again, {p} we put in [last month|three weeks ago] let go already, replaced again under warranty",
    "Our own doing, {p} wasn't put in properly last time, new {n} fitted no charge",
    "Only did {p} a [fortnight|month] ago and it has failed again, replaced again",
    "{p} from our last job was a dud out of the box, swapped under warranty",
    "d:Circlip got left out when we did {p} last time and it walked out, done over with new",
    "b:Clamp we put on last time let go and {p} came adrift and got ruined, new one and a proper clamp",
    "Same job as last visit, {p} failed again because the wrong part was supplied, correct part fitted",
    "Warranty on our last repair, {p} not lasting, replaced",
    "Last month's repair of {p} didn't hold up, did it again with new parts",
    "{p} lasted only [800|1200|300] km since we did it, supplier giving a credit, new fitted",
    "Redo of our earlier job, {p} fitted [crooked|wrong] the first time, new fitted",
    "j:Customer not happy, {p} we fitted last time is noisy already, changed it again",
    "Repeat job, {p} failed again, cheap brand last time, better one put in",
]  # fmt: skip
UNSAID = [
    "Replaced {p} and took it for a run", "Put new in for {p} this arvo", "Swapped out {p}, all done",
    "Fitted new parts, {p} replaced, that was all", "Spent the morning on {p}, replaced, all back together",
    "{p} changed, back on the road", "Pulled {p} out and put new in", "Had to renew {p}",
    "Got {p} replaced before smoko", "Renewed {p} and cleaned up after",
]  # fmt: skip
IDLE = {
    "look": ["Driver asked us to check {p}, had a look and it is fine, left as is",
        "Came in with {s}, checked {p} and found nothing wrong, sent it back out",
        "Put it up on the hoist and looked at {p}, still tight, nothing needed",
        "Checked over {p} during the service, good for another while", "Had a good look at {p}, no wear to speak of",
        "Inspected {p} after the creek crossing, no harm done"],
    "grease": ["Gave {p} a good grease while it was in", "Greased {p} because it was dry, nothing replaced",
        "u:Pumped grease through {p} till it came out clean", "Cleaned the mud off and greased {p}",
        "Normal grease up including {p}"],
    "adjust": ["c:Bolts on {p} had worked loose, did them up again",
        "Took {p} off to get at the gearbox and put the same one back",
        "b:Clip had come off {p}, put the clip back on, boot is good", "Cleaned up {p} and put it back, no new parts",
        "c:Retorqued {p}, nothing replaced", "Refitted {p} after the other job, same part went back in"],
    "later": ["{p} getting a bit worn, ordered a new one for next time it's in",
        "Told the boss {p} wants doing soon, he said leave it till after the muster",
        "No {n} on the shelf so {p} still to do, part on order", "Keep an eye on {p}, will do next service",
        "{p} has started to go but will see out the month, not done today", "Quote to go in for {p}, nothing done yet",
        "Waiting on parts off the plane for {p}, vehicle went out as is"],
}  # fmt: skip
SHORT_FAILED = [
    "j:b/down, {p} gone, repl", "j:towed in. {p} failed. new one in", "driver rep {s}, {p} u/s, repl",
    "{p} let go on road, renewed", "defect: {s}. repl {p}", "j:{p} seized, call out, repl",
    "d:{p} broke on track, recovered, new fitted", "b:dr rep {s}. {p} split. new fitted",
    "j:call out to [bore 7|camp|no 3 pit], {p} failed, repl", "{s} - {p} stuffed - replaced",
    "driver complaint {s}. {p} replaced", "j:unit stopped on road, {p} gone, new", "{p} failed in service, repl",
]  # fmt: skip
SHORT_WORN = [
    "{p} worn at svc, repl", "found worn on insp: {p}, repl", "insp fail {p}, worn, new fitted",
    "p:svc - {p} play, renewed", "b:{p} perished, seen at svc, new", "rego insp: {p} worn, repl",
    "{p} - worn, found on 90 day check, renewed", "j:slop in {p} at service, new", "pit insp, {p} past limit, repl",
    "worn on check, {p}, changed", "picked up at service: {p} worn. replaced", "svc: {p} worn out, new",
    "p:excess play on inspection, {p}, renewed",
]  # fmt: skip
SHORT_PLANNED = [
    "sched change {p}", "{p} - due on km, repl", "PM: {p} renewed", "planned changeout {p}",
    "{p} changed per schedule", "{p} due, old still ok, new fitted", "changeout program: {p} done",
    "prev maint, {p} repl, no fault", "per svc plan, {p} replaced", "{p} at interval, renewed",
    "{p} - programmed renewal", "km up on {p}, changed", "{p} replaced, scheduled, old ok",
]  # fmt: skip
SHORT_COLLATERAL = [
    "{p} also repl while apart", "{p} repl same time as above", "did {p} while there",
    "{p} renewed w/ above job, shaft out anyway", "shaft out, {p} done too", "{p} spoiled on removal, new",
    "{p} not reusable after strip, new", "incl with above: {p} new", "{p} new too, all apart",
    "{p} repl with rest of job", "apart anyway so {p} done", "{p} replaced as well, same strip down",
    "{p} tore coming off for other job, new",
]  # fmt: skip
SHORT_DAMAGE = [
    "stake damage, {p} repl", "hit roo. {p} repl", "rock damage {p}, new", "accident - {p} renewed",
    "{p} hit by star picket, new", "fence wire round {p}, repl", "rollover, {p} repl", "b:{p} holed by stick, new",
    "prang. {p} repl", "driver hit stump, {p} wrecked, repl", "insurance job, {p} repl", "b:{p} chewed by rats, new",
    "impact damage {p}, replaced",
]  # fmt: skip
SHORT_COMEBACK = [
    "warranty - {p} failed again, repl", "rework {p}, no chg, new fitted", "{p} again!! last one failed, repl",
    "comeback. {p} repl", "{p} dud part last time, swapped wty", "redo {p}, our fault, new one in",
    "{p} wrong part last time, right one in", "recall on our job, {p} repl f.o.c.",
    "{p} failed 2 wks after we fitted, repl", "{p} back again, repl wty", "repeat job {p}, not fitted right, new",
    "{p} redone, last job no good",
]  # fmt: skip
SHORT_UNSAID = [
    "repl {p}", "{p} replaced", "{p} renewed", "changed {p}", "fitted {p}", "{p} swapped out", "{p} - new",
    "new {n}: {p}", "r/r {p}, new part in", "{p} done, new",
]  # fmt: skip
SHORT_IDLE = {
    "look": ["checked {p}, ok", "{p} insp, no fault", "looked at {p} for {s} - nothing found, ok", "{p} ok for now",
        "{p} - good", "insp {p}, within limits"],
    "grease": ["greased {p}", "{p} greased", "u:grease to {p}", "lube {p}", "{p} dry, greased"],
    "adjust": ["c:{p} bolts tightened", "{p} off and on for access, same one back", "b:{p} clip refitted",
        "c:nipped up {p}", "{p} cleaned + refitted", "{p} refitted, old part"],
    "later": ["{p} worn, on order", "do {p} next svc", "watch {p}", "{p} needs doing, no stock", "quote {p}",
        "{p} to be done after muster", "advise {p} soon", "book back in for {p}"],
}  # fmt: skip
OTHER = [
    "Front [LH|RH] wheel bearing noisy, replaced", "Lower ball joint [LH|RH] replaced",
    "Tie rod end boot split, new end fitted", "Steering rack boot torn, fitted new", "Gear lever boot replaced",
    "Gearbox tailshaft oil seal leaking, replaced", "Pinion seal weeping, new seal fitted",
    "Slasher PTO shaft, uni joint replaced", "Swivel hub seals both sides renewed",
    "Freewheel hub sticking, stripped and greased", "Exhaust hanger rubber gone, new one fitted",
    "Spring centre bolt broken, replaced", "Rear spring U-bolts retightened",
    "Front shock absorbers replaced, leaking", "Clutch plate and thrust bearing worn out, replaced",
    "Alternator bearing noisy, fitted exchange alternator", "Replaced both front brake pads and machined discs",
    "Axle seal leaking, rear LH, renewed and brake shoes cleaned", "Engine mount broken, replaced",
    "Fan belt squealing, new belts fitted", "Water pump bearing worn out, replaced",
    "Bull bar bent by roo, straightened and refitted", "UHF radio rewired and aerial fitted",
    "Spare wheel carrier hinge greased", "Blown tyre RH rear replaced",
    "Radiator hose split on the track, new hose and coolant", "Trailer coupling greased, new ball fitted",
    "Idler arm bush worn, renewed", "Transfer case oil changed", "Dust seal kit on rear doors replaced",
    "Centre console lid hinge repaired", "New starter motor fitted, old one dead", "Diff oil changed front and rear",
    "Air cleaner and snorkel joint resealed", "Fuel filter changed, water in it",
    "Steering damper leaking, new one fitted", "Pitman arm replaced, worn",
    "Issued two pair work boots to the apprentice", "frt pads + rotors", "w/brg rh rear repl", "tie rod end lh repl",
    "b/joint upper r/h repl", "batt repl", "bulb LH headlight", "bush kit rear spring",
    "shock brg tower lh noisy, repl", "idler pulley brg repl", "pto uni on bore pump repl",
    "Transmission output shaft seal renewed", "Drum brake slave cylinder and dust boot replaced, rear",
]  # fmt: skip
SHORT = {
    "u_joint": ["uni", "joint"], "cv_joint_outboard": ["cv", "joint"], "cv_joint_inboard": ["cv", "joint"],
    "cv_boot_outboard": ["boot"], "cv_boot_inboard": ["boot"], "support_bearing": ["bearing"],
    "slip_spline": ["yoke"], "steering_joint": ["uni", "joint"], "half_shaft": ["shaft"],
    "several": ["parts", "bits"],
}  # fmt: skip
LONG_BOOK = Phrasebook(
    voice=SPOKEN, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER, short=SHORT,
)  # fmt: skip
SHORT_BOOK = Phrasebook(
    voice=CURT, symptoms={key: [s.removeprefix("a ") for s in texts] for key, texts in SYMPTOMS.items()},
    reasons={"failed": SHORT_FAILED, "worn": SHORT_WORN, "planned": SHORT_PLANNED, "collateral": SHORT_COLLATERAL,
        "damage": SHORT_DAMAGE, "comeback": SHORT_COMEBACK},
    unsaid=SHORT_UNSAID, idle=SHORT_IDLE, other=OTHER, short=SHORT,
)  # fmt: skip
HABITS = {
    "bearing": ["bering", "baring"], "universal": ["univeral", "universel"], "grease": ["greese", "greas"],
    "replaced": ["replased", "repalced"], "steering": ["stering"], "noise": ["nosie"], "noticed": ["notised"],
    "centre": ["center", "cenrte"], "driver": ["drivver"], "inspection": ["inspecton"], "tailshaft": ["tail shaft"],
    "passenger": ["passanger"], "schedule": ["shedule"], "warranty": ["warrenty"],
    "fitted": ["fited"], "vibration": ["vibraton"],
}  # fmt: skip


def _spelt(rng, text):
    """The text with one of the usual wrong spellings, in some of the lines."""
    held = [word for word in HABITS if re.search(rf"\b{word}\b", text)]
    if held and rng.random() < 0.14:
        word = pick(rng, held)
        text = re.sub(rf"\b{word}\b", pick(rng, HABITS[word]), text, count=1)
    return text


def _cased(rng, text):
    """Mixed case: most lines begin with a capital, some are all small or all capitals."""
    text = text.replace("side-hand side", "side").replace("front front", "front")
    if rng.random() < 0.08:
        return text.upper()
    if rng.random() < 0.3:
        return text.lower()
    return re.sub(r"(^|(?<!c\.v)\. )([a-z])", lambda m: m.group(1) + m.group(2).upper(), text)


def words(rng, job):
    """One remark: a spoken sentence or a curt note, some with further work or a close."""
    book, spoken = (LONG_BOOK, True) if rng.random() < 0.55 else (SHORT_BOOK, False)
    text = book.clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "1) {a} 2) {b}", "{a}. Other job, {b}", "{a} / {b}"]).format(
            a=text, b=book.clause(rng, job.second))  # fmt: skip
    if job.also == "other":
        text = pick(rng, ["{a}. {b}", "{b}. {a}", "{a}. Separate job, {b}"]).format(a=text, b=book.foreign(rng))
    elif job.also == "look":
        text += pick(rng, [". Rest of the driveline checked, no problems", ". Had a look at the other side, good"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = book.aside(rng, job, "later" if rng.random() < 0.5 else "look")
        close = [". took it for a run, all good", ". road tested ok", ". done", ". ready to go", ". good as gold"]
        text += f". {remark}" if spoken and remark and rng.random() < 0.4 else pick(rng, close)
    return {"text": _cased(rng, _spelt(rng, text))}


MODELS = {
    ("crew_truck", "rear_two_piece"): "Light truck tray, crew cab",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Light truck tray, cab over",
    ("service_van", "all_wheel"): "Service van AWD", ("field_pickup", "four_wheel_independent"): "Ute 4WD IFS",
    ("utility_4x4", "four_wheel_solid"): "Wagon 4WD live axle", ("yard_truck", "rear_one_piece"): "Yard truck",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard truck, long slip joint",
    ("town_car", "front_half_shafts"): "Town sedan FWD",
}  # fmt: skip
COLUMNS = {
    "Job": "order", "Day in": "date", "Plant": "unit", "Speedo": "odometer", "Fitter's remarks": "text",
    "Bin no": "part_number", "How many": "quantity", "Time on job": "hours", "Parts $": "cost",
    "Area": "component", "Cause": "reason",
}  # fmt: skip
CODES = {
    "component": {
        "u_joint": "UNI", "cv_joint_outboard": "CVO", "cv_joint_inboard": "CVI", "cv_boot_outboard": "BTO",
        "cv_boot_inboard": "BTI", "support_bearing": "CBR", "slip_spline": "SLP", "steering_joint": "STR"},
    "reason": {"failed": "BRK", "worn": "INS", "planned": "PLN", "collateral": "ALS", "damage": "DMG",
        "comeback": "AGN"},
}  # fmt: skip
#: Headings of the sheets of the register, in the order in which the tables are given, and the sheet names.
REGISTER = {
    "vehicles": ("Plant list", ("Plant", "What it is", "Class", "Use", "Shed", "On strength", "Speedo then",
        "Book from", "Sold")),
    "readings": ("Speedo book", ("Plant", "Read on", "Speedo")),
    "inspections": ("Walk round", ("Plant", "Looked at", "Speedo", "Where", "Result")),
    "ride_height": ("Lifts", ("Plant", "Fitted on", "Lift mm", "Remark")),
    "parts": ("Store bins", ("Bin no", "Item", "For class", "Renews", "Price $", "Days to get", "Now use")),
}  # fmt: skip


def _as_text(cell):
    """A cell of the job book: dates with the day first, numbers plain."""
    if isinstance(cell, date):
        return cell.strftime("%d/%m/%Y")
    return cell if cell is None or isinstance(cell, str) else f"{cell:.10g}"


def write(shop, sheets, folder, messy):
    """A tabbed job book for the repairs and a workbook, the plant register, for all else."""
    book, register = "job_book.txt", "plant_register.xlsx"
    mess = Mess(titles=("WORKSHOP JOB BOOK", "all sheds"), page=80, blanks=1) if messy else CLEAN
    repairs = sheets["repairs"]
    lines = Sheet(repairs.headings, [[_as_text(cell) for cell in row] for row in repairs.rows])
    places = write_delimited(folder / book, lines, delimiter="\t", mess=mess)
    named = {name: Sheet(headings, sheets[name].rows) for name, (_, headings) in REGISTER.items()}
    write_workbook(folder / register, {REGISTER[name][0]: sheet for name, sheet in named.items()})
    renamed = {"hours": "labour_hours", "cost": "parts_cost"}
    columns = {renamed.get(key, key): heading for heading, key in shop.repair_columns.items()}
    text = settings_head(shop) + f'\n[tables.repairs]\nfile = "{book}"\ndate_order = "dmy"\n'
    text += f"columns = {toml_map(columns)}\n"
    for column, codes in shop.codes.items():
        text += f"values.{column} = {toml_map({code: meaning for meaning, code in codes.items()})}\n"
    for name, (title, headings) in REGISTER.items():
        text += f'\n[tables.{name}]\nfile = "{register}"\nsheet = "{title}"\n'
        text += f"columns = {toml_map(dict(zip(sheets[name].headings, headings, strict=True)))}\n"
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="R",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "P"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["P", "P", "P ", "p", "P-"])),
    },
    write=write,
    order_name=lambda job: f"J{int(job.order):05d}",
    codes=CODES,
    day=lambda day: day,
    number=lambda value, places: round(float(value), places),
    typos=0.2,
    shares=Shares(reason=0.88),
    steering="right",
)
