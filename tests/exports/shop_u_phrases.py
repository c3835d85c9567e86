"""What shop U writes: an adviser's sentences, a warranty clerk's three parts, a fitter's tickets."""

SYMPTOMS = {
    "u_joint": ["a clonk when taking up drive", "vibration through the floor at 50", "a squeak at walking pace",
        "knocking between drive and reverse", "a judder pulling away", "a rattle on the overrun",
        "chirping from underneath"],
    "axle_joint": ["knocking on lock in four wheel drive", "clicking from the hub on full lock in 4x4",
        "the steering kicking on lock with 4x4 in"],
    "cv_joint_outboard": ["clicking on full lock", "a crackling noise on roundabouts",
        "knocking reversing out of the yard on lock", "a clicking noise turning tight"],
    "cv_joint_inboard": ["a shudder under load", "the front end shaking on hard acceleration",
        "a wobble pulling up the bank", "vibration on the throttle that goes when you lift off"],
    "cv_boot_outboard": ["grease thrown inside the wheel", "grease up the wheel arch", "grease on the brake caliper"],
    "cv_boot_inboard": ["grease over the gearbox casing", "grease on the exhaust, smoking", "grease on the subframe"],
    "support_bearing": ["a drone under the cab floor", "rumbling from mid vehicle", "a shudder moving off",
        "a howl at 40"],
    "slip_spline": ["a dunt in the back when it stops", "a thump moving off from rest", "a clunk just after stopping"],
    "steering_joint": ["stiff steering", "notchy steering", "slack at the steering wheel", "a knock in the steering"],
    "vague_joint": ["noise underneath", "a knocking noise", "a noise on the move"],
    "vague_boot": ["grease leaking", "grease thrown about underneath", "grease on the yard floor"],
}  # fmt: skip
FAILED = [
    "Driver reports {s}. [Road tested and confirmed. |Confirmed on test. |]{p} found to be [at fault|the cause], "
    "[renewed|replaced] and [road tested ok|noise gone]",
    "j:Vehicle recovered in from [the bypass|the moor road|site], {p} had [broken up|failed], new one fitted",
    "b:Operative noticed {s}. {p} burst, cleaned down and renewed",
    "Crew rang in with {s}, told to leave it where it was. Mobile fitter out, {p} gone, replaced at roadside",
    "j:Broke down on the way to a job, {p} had collapsed. Lifted in and new one fitted",
    "d:Total loss of drive on the dual carriageway, {p} sheared. Recovered, renewed and tested",
    "Driver states {s} and getting worse by the day. Traced to {p}, renewed",
    "Defect card in for {s}. {p} is scrap, replaced", "VOR since [Monday|Thursday], {p} failed. Renewed today",
    "She came in making a racket, {s}. It was {p}, knackered, new one on",
    "j:Seized {p} left the crew stranded, replaced and vehicle returned to depot",
    "Call out, {s}. Fitter attended and found {p} banjaxed, brought back and renewed",
    "u:Driver complains of {s}. {p} dry and its needles gone to powder, renewed",
    "Hirer complained of {s}. {p} has gone, renewed, hirer collecting at [4|half 3]",
    "Customer advises {s} since the weekend. Technician confirms {p} has failed, supplied and fitted new",
]  # fmt: skip
WORN = [
    "On [8 week|6 week|13 week] inspection {p} found worn, renewed before return to service",
    "MOT fail on {p}, worn. Renewed and presented for retest, passed",
    "b:Noted on service that {p} is perished and cracking, renewed",
    "In for a service only. Technician advises {p} worn, authorised by transport office and replaced",
    "p:Lift in {p} felt with a bar at inspection, over the limit so renewed",
    "Pre-MOT check, {p} not going to pass, well worn. Replaced",
    "Advisory from last inspection, {p} now worn enough to do, replaced on this PMI",
    "Driver had no complaints but {p} condemned on the ramp during service, worn. Renewed",
    "Hire return check showed {p} worn, renewed before next hire",
    "Brake test and inspection, {p} marked as worn by the inspector, new one fitted",
    "j:Rocked it at the safety check and {p} is slack. Renewed",
    "Full inspection after the winter season, {p} found worn and replaced",
    "While on the ramp for tyres {p} seen to be worn, renewed with authority",
]  # fmt: skip
PLANNED = [
    "Due on mileage, {p} renewed as planned. Old one still serviceable",
    "{p} renewed at [60,000|80,000] miles in line with the maintenance schedule",
    "Scheduled renewal of {p}, nothing reported and nothing found wrong",
    "Programmed work from the transport office, {p} replaced on age",
    "Part of the [three|four] year refurbishment plan, {p} replaced, still good when removed",
    "Before winter we change {p} on all of these as planned, this one done today",
    "Time expired by the plan, {p} replaced, no fault", "Planned maintenance day. {p} exchanged to schedule",
    "Preventive change of {p} booked by fleet office, done, nothing the matter with the old",
    "Called in for its planned change of {p}, completed",
    "{p} comes up for change at this interval so renewed, old kept as spare",
    "Fleet instruction to renew {p} at set mileage, carried out",
    "Lifed item, {p} reached its miles and was renewed",
]  # fmt: skip
COLLATERAL = [
    "While that was in bits {p} renewed too", "{p} renewed alongside the item above, no sense in putting old back",
    "Had to disturb {p} to get at the other repair so new one fitted",
    "{p} wouldn't survive coming off for the above, replaced", "Same strip down as above so {p} done with it, new",
    "In conjunction with the other work {p} replaced, labour already covered",
    "{p} replaced as good practice while apart for the other job",
    "Destroyed {p} removing the neighbouring part, supplied new",
    "Goes hand in hand with the line above, {p} renewed",
    "{p} renewed at the same time as the above to save labour, authorised",
    "c:Shaft off the vehicle for the other fault so {p} renewed on the bench",
    "As access was there with the main repair, {p} replaced too",
    "b:Old {p} had to be cut away for the repair above, new one on",
]  # fmt: skip
DAMAGE = [
    "j:Clipped a kerb, {p} bent and renewed",
    "Driver struck [a pothole|a boulder|a drain cover|a fallen branch] and damaged {p}, renewed",
    "Accident damage, {p} replaced as per engineer's report",
    "Third party claim, run into [from behind|in the car park], {p} damaged and renewed",
    "Vehicle went off the track into a ditch, {p} broken in the process. Renewed",
    "b:Barbed wire picked up on the farm track tore {p}, renewed",
    "Debris on the carriageway took out {p}, replaced and recharged to insurers",
    "Recovery agent dragged it out and wrecked {p}, replaced at their cost",
    "j:Misuse, jumped off the kerb with a load on, {p} snapped. Renewed, report to manager",
    "b:Rats had been at {p} in the compound, renewed",
    "Vandals got underneath and damaged {p}, replaced, incident number on file",
    "j:Grounded on a stone crossing the ford and smashed {p}, renewed",
    "c:Rope fell off the load and wrapped round the shaft, {p} damaged, renewed",
]  # fmt: skip
COMEBACK = [
    "Returned with same fault, {p} fitted here [a fortnight|10 days] ago has failed. Renewed under warranty",
    "Rectification of our own work, {p} not seated correctly, new one fitted free of charge",
    "{p} we fitted last visit faulty from new, replaced and claim sent to supplier",
    "Driver back within the week, {p} from last job failed already, done again with new",
    "b:Clip not pulled tight when {p} was last done by us and it came off, new one fitted",
    "u:Circlip missing from {p} since our last repair and the cup walked out. New joint fitted properly",
    "Second attempt, {p} replaced last month with wrong part, correct part now fitted",
    "Agency fitter made a mess of {p} on the last job, replaced again",
    "Workmanship issue from previous job card, {p} renewed, no charge to customer",
    "Pattern part used last time has not lasted, {p} replaced again with better quality",
    "{p} only [400|600] miles old and failed, replaced under parts warranty",
    "Contractor's repair not up to standard, {p} they fitted has failed, renewed at their expense",
    "Repeat of last job, {p} failed again, replaced",
]  # fmt: skip
UNSAID = [
    "{p} renewed and road tested", "New {n} supplied and fitted, {p}", "Carried out replacement of {p}",
    "{p} replaced this morning", "Fitted new {p} and cleaned up", "Removed and renewed {p}, all torqued up",
    "{p} changed as requested", "As requested by depot, {p} renewed", "Stripped out and replaced {p}",
    "To supply and fit {p}, done",
]  # fmt: skip
IDLE = {
    "look": ["Driver asked for {p} to be looked at, nothing amiss, no further action",
        "Investigated report of {s}, {p} examined and sound", "Inspected {p}, no lift or play, satisfactory",
        "Checked {p} as follow up to last month, holding up fine", "{p} examined at service, serviceable",
        "Could not recreate {s}, {p} checked and in order, returned to driver"],
    "grease": ["Greased {p} as part of service", "{p} dry, given plenty of grease and squeak cured, no parts",
        "u:Grease gun to {p}, old grease pushed out", "Routine lubrication of {p} carried out",
        "Washed off and greased {p} after wading"],
    "adjust": ["c:Flange bolts at {p} found slack, tightened to figure",
        "{p} disconnected for gearbox removal and the original put back",
        "b:Clip adrift on {p}, new clip fitted, nothing else needed",
        "{p} removed for access and refitted, no parts used",
        "c:Cleaned and rethreaded bolts at {p}, same part retained",
        "b:Eased {p} back onto its seat and reclipped, not split"],
    "later": ["Advisory, {p} showing early signs, leave until next PMI",
        "{p} wants doing but no part in stores, on order and vehicle released",
        "Recommend {p} be renewed shortly, transport office to authorise",
        "Estimate given for {p}, awaiting order number", "Driver needed the vehicle, {p} deferred to next visit",
        "Monitor {p}, slight wear within tolerance", "Booked back in on the [14th|22nd] for {p}, not touched today"],
}  # fmt: skip
# Complaint, cause and correction on either side of two strokes; blank ones are left out of the line.
CLERK_FAILED = [
    "{s} // {p} failed // renewed", "driver reports {s} // {p} no longer serviceable // new {n} fitted, tested",
    "j:vehicle broken down // {p} broke up in service // recovered and renewed",
    "b:{s} // {p} burst // renewed, repacked",
    "d:no drive // {p} sheared // renewed", "j:{s} // {p} seized // replaced",
    "roadside call, {s} // {p} failed // replaced on site", "{s} // // {p} renewed, fault cleared",
    "crew say {s} // traced to {p} // renewed and tested ok", "VOR, {s} // {p} beyond use // new {n} fitted",
    "operator cannot use vehicle, {s} // {p} gave up // renewed",
    "u:{s} // {p} run dry and broken up // renewed",
]  # fmt: skip
CLERK_WORN = [
    "PMI // {p} worn // renewed", "b:service // {p} perished and splitting, seen on inspection // renewed",
    "MOT // refused on {p}, wear // replaced, retest pass", "p:safety inspection // excess movement in {p} // renewed",
    "6 weekly check, no driver defects // worn {p} // replaced",
    "none, in for tyres // {p} noticed worn on lift // renewed with authority",
    "inspection sheet item [4|9|12] // {p} worn to limit // replaced", "service // {p} found worn // replaced",
    "j:PMI // {p} slack when levered // renewed", "hire return inspection // {p} worn // renewed",
    "annual test prep // {p} wouldn't pass, worn // renewed",
    "u:inspection // {p} notchy by hand, rust round the cups // renewed",
]  # fmt: skip
CLERK_PLANNED = [
    "planned renewal // mileage // {p} replaced", "PMI // {p} due under the schedule // renewed, old one fit for use",
    "nil // lifed item // {p} renewed", "scheduled work // // {p} changed at interval",
    "no defect // {p} at end of scheduled mileage // renewed", "preventive // none // {p} replaced to plan",
    "fleet programme // age // {p} renewed", "major service // item on schedule // {p} replaced, no fault",
    "time expired // nothing wrong // {p} exchanged", "planned maintenance // due // {p} renewed",
    "{p} due for planned change // // done, old kept", "80,000 mile schedule // calls for {p} // replaced",
]  # fmt: skip
CLERK_COLLATERAL = [
    "see item above // already apart // {p} renewed", "with above // // {p} replaced at same time",
    "as above // {p} not fit to go back once disturbed // renewed",
    "additional to above // labour saving // {p} renewed",
    "none // access for other repair // {p} replaced too", "same job // stripped for other fault // new {p} fitted",
    "linked repair // {p} destroyed on removal for above // renewed", "see main item // // {p} renewed while there",
    "above repair // one use only // {p} replaced on rebuild", "with main repair // good practice // {p} renewed",
    "ditto // // {p} renewed with it", "add to above // {p} came out with failed part // new one on rebuild",
]  # fmt: skip
CLERK_DAMAGE = [
    "RTC // impact // {p} renewed", "accident // {p} damaged in collision // replaced",
    "hit [pothole|kerb|manhole] // {p} damaged by impact // renewed", "insurance estimate // // {p} replaced",
    "b:wire on track // {p} torn by wire // renewed", "j:grounded on site // {p} smashed on rock // replaced",
    "recovery damage // {p} broken by recovery agent // renewed, recharge",
    "j:driver misuse // {p} snapped // renewed, recharge",
    "b:rodents // {p} chewed // renewed", "vandalism // {p} interfered with and damaged // replaced",
    "vehicle left road // {p} damaged in ditch // renewed", "debris strike // {p} broken // renewed",
]  # fmt: skip
CLERK_COMEBACK = [
    "return job, {s} // {p} fitted last time failed // renewed free of charge",
    "warranty // new {p} defective // replaced, claim raised",
    "rework // {p} incorrectly fitted by us // refitted with new",
    "same defect back // our {p} has not held // renewed again",
    "repeat // wrong {p} on last card // correct part fitted",
    "b:recall on our work // clip left loose, {p} came off // new one fitted",
    "workmanship // {p} not seated // renewed, n/c",
    "parts warranty // {p} failed at 500 miles // replaced",
    "contractor's work // {p} poorly fitted // done again with new",
    "returned within the week // {p} from previous card faulty // replaced",
    "u:rework // circlip not home on {p} when last done // new {n} fitted",
    "second visit same fault // {p} renewed last card, failed // renewed again under warranty",
]  # fmt: skip
CLERK_UNSAID = [
    "// // {p} renewed", "as card // // {p} replaced", "see correction // // new {p} fitted",
    "{p} // // renewed", "requested by depot // // {p} changed", "// // removed and renewed {p}",
    "work order // // {p} replaced",
    "// // supply and fit {p}", "repair // // {p} renewed", "// // exchanged {p}",
]  # fmt: skip
CLERK_IDLE = {
    "look": ["{s} // none found, {p} sound // no action", "check {p} // satisfactory // none",
        "PMI // {p} in order // nil",
        "driver query, {s} // not reproduced, {p} checked // no work required", "// // {p} inspected, serviceable",
        "follow up // {p} unchanged, ok // none"],
    "grease": ["service // // {p} greased", "{s} // {p} dry // greased, cured", "lubrication // due // {p} greased",
        "// // grease applied to {p}", "u:PMI // // {p} nipples greased"],
    "adjust": ["c:{s} // fixings slack at {p} // tightened", "access // {p} in the way // removed and same refitted",
        "b:seepage // clip loose on {p} // clip renewed, boot retained", "c:PMI // // bolts at {p} torqued",
        "gearbox out // // {p} undone and original refitted", "// // {p} cleaned and reinstalled"],
    "later": ["PMI // {p} showing wear // advisory, next visit", "{s} // suspect {p} // part on order, not fitted",
        "inspection // {p} marginal // monitor", "// // {p} required, awaiting authority",
        "service // {p} will need doing // deferred", "estimate only // {p} // no work done",
        "// // rebook for {p}, no stock"],
}  # fmt: skip
TICKET_FAILED = [
    "VOR def {s} - {p} rpl", "{p} u/s, dvr rep {s}, s/f new", "j:r/side b/down, {p} failed, rpl",
    "{p} goosed ({s}), new one in", "{p} knackered, drv rep, rnwd", "def bk: {s}. {p} rnwd",
    "j:{p} let go on rd, recovered in, rnwd", "b:{p} burst, {s}, drv rep, rnwd", "d:lost drive, {p} broke, s/f new",
    "{s} > {p} > rnwd", "j:c/out, {p} seized, rpl", "{p} done for, drv def, rpl", "{p} banjaxed - {s} - new one in",
    "crew stuck, {p} gone, s/f at r/side", "j:{p} broke on rd - towed in - rnwd",
]  # fmt: skip
TICKET_WORN = [
    "PMI {p} worn, rnwd", "svc - {p} worn - s/f new", "MOT fail {p} (wear), rpl", "p:insp: play in {p}, rnwd",
    "b:{p} perished @ svc, s/f new", "insp {p} past limit, rnwd", "{p} worn, found on PMI, rpl",
    "8 wk chk - {p} worn out - rpl", "pre MOT: {p} worn, s/f new", "{p} condemned at insp, worn, rnwd",
    "j:{p} slack @ svc, rnwd", "adv from last svc: {p} worn now, s/f new",
    "wee bit wear in {p} at svc, over limit, rnwd",
]  # fmt: skip
TICKET_PLANNED = [
    "sched {p} rnwd", "{p} due on miles, rpl", "plnd chg {p}, done", "PM chg {p}, old ok",
    "{p} @ 60k per sched, s/f new",
    "lifed item {p} rnwd", "{p} time exp, rpl, no flt", "prog rnwl {p} done", "{p} on plan this mth, rnwd",
    "prev chg {p}, no fault", "{p} rnwd on interval", "{p} rnwd per mtce sched", "mileage chg {p}, nowt wrong w/ old",
]  # fmt: skip
TICKET_COLLATERAL = [
    "{p} rnwd w/ above", "+ {p} while apart, s/f new", "also {p}, same strip, rnwd", "{p} s/f same time as above",
    "{p} broke getting it off for above, s/f new", "{p} not refittable after above, new", "{p} incl w/ main job, rnwd",
    "did {p} an' all as apart", "{p} new too, all in bits", "as above + new {p}", "{p} rnwd, came off wi' other part",
    "{p} - with line 1, rnwd", "{p} rpl, save doing twice w/ above",
]  # fmt: skip
TICKET_DAMAGE = [
    "acc dmg {p} rpl", "RTC - {p} rnwd", "j:hit pothole, {p} smashed, s/f new", "j:kerbed it, {p} bent, rnwd",
    "b:{p} snagged on wire, torn, rnwd", "insurance job {p} rpl", "impact dmg {p}, rnwd, recharge driver",
    "b:rodent dmg {p}, s/f new",
    "debris strike {p} rnwd", "{p} dmgd by recovery, rpl, recharge", "grounded, {p} dmgd, rnwd", "vandal dmg {p} rpl",
    "in ditch, {p} wrecked, rnwd",
]  # fmt: skip
TICKET_COMEBACK = [
    "rework {p}, ours, n/c, s/f new", "wty - {p} failed again, rpl", "{p} back in, last one duff, rpl wty",
    "redo {p} - fitted wrong, new one in", "repeat {p} n/c, rnwd again", "{p} failed 2 wk after s/f here, rpl foc",
    "dud {p} from supplier last time, swapped", "b:clip left slack last time, {p} off, rpl n/c",
    "wrong {n} fitted prev, correct {p} s/f", "{p} same again, our last job n/g, rnwd",
    "r/w {p} - bad fit last card, new",
    "{p} rnwd again, supplier wty", "back to us, {p} not lasted, rnwd n/c",
]  # fmt: skip
TICKET_UNSAID = [
    "{p} rnwd", "rpl {p}", "s/f {p}", "new {p} fitted", "{p} chgd", "r&r {p}, new", "{p} - s/f new", "rnw {p}, done",
    "fit new {p}, r/test", "{p} replaced",
]  # fmt: skip
TICKET_IDLE = {
    "look": ["chk {p}, ok", "{p} insp, nff", "{s} - chk {p} - nff", "{p} ok @ PMI", "looked at {p}, fine",
        "{p} sound, no action"],
    "grease": ["grs {p}", "{p} greased", "u:nipples {p} greased", "lube {p} @ svc", "{p} dry, greased, ok now"],
    "adjust": ["c:bolts {p} nipped up", "{p} off/on for access, same one", "b:new clip {p}, boot ok",
        "c:{p} bolts t/tight", "{p} refitted, orig part", "b:{p} reclipped"],
    "later": ["adv {p} next PMI", "{p} o/order, n/fitted", "{p} worn, deferred", "monitor {p}", "quote {p}",
        "{p} needs doing, nae stock", "rebook for {p}", "{p} tbd next svc"],
}  # fmt: skip
OTHER = [
    "[N/S/F|O/S/F] wheel bearing noisy, hub renewed", "Lower ball joint [n/s|o/s] worn, renewed and tracked",
    "Track rod end gaiter split, track rod end renewed", "Steering rack gaiter [n/s|o/s] renewed",
    "Gear lever gaiter replaced",
    "Front discs and pads replaced, sliders greased", "Diff pinion seal leaking, renewed",
    "Rear hub seal weeping, renewed",
    "Anti-roll bar drop links knocking, renewed both sides", "Engine mount collapsed, renewed",
    "Clutch slipping, clutch kit "
    "and release bearing fitted", "Alternator bearing whining, exchange unit fitted",
    "Aux belt and idler bearing renewed",
    "PTO shaft UJ on the jetter renewed", "Jetter pump coupling renewed", "Tail lift pivots greased",
    "Towball and coupling greased, 13 pin socket replaced", "Exhaust flexi joint blowing, renewed",
    "Spring centre bolt sheared, renewed", "Rear spring U-bolts retorqued",
    "Top strut mount and bearing [n/s|o/s] renewed",
    "Screenwash topped up and wiper blades fitted", "Side door runner and roller renewed",
    "Handbrake cable seized, renewed",
    "Propshaft handbrake shoes adjusted", "Prop guard bracket welded on gully tanker",
    "Water pump bearing noisy, pump renewed",
    "Coolant hose split, renewed", "Battery dead, renewed", "Starter motor jamming, exchange fitted",
    "Power steering pipe "
    "chafed, renewed", "Steering damper leaking, renewed", "Panhard rod bush renewed",
    "Swivel housing oil seals renewed [n/s|o/s]",
    "Freewheel hub stripped and greased", "Transfer box oil changed", "Transfer box output seal renewed",
    "Gearbox mounting "
    "rubber renewed", "Caliper slide boots perished, renewed", "Cab door hinge pins greased",
    "Wheel trims missing, supplied",
    "Safety boots issued to new start", "Beacon not working, renewed", "f/pads + discs", "w/brg rear o/s rpl",
    "bulb n/s dip rpl", "t/rod end o/s s/f", "b/joint lwr n/s rpl", "shockers rear pr s/f", "puncture o/s/r rep",
    "2 tyres front", "AdBlue sensor rpl", "clutch slave cyl leaking, s/f", "bush kit f/wishbone n/s",
    "column clock spring s/f",
    "diff whining, exch diff fitted, oil", "rack end o/s s/f, tracked",
]  # fmt: skip
#: Visits, which stand in lines of their own: behind a part they would read as the reason why it was renewed.
VISITS = ["MOT, failed on headlamp aim, adjusted", "PMI carried out, no defects", "Annual service, oil and filters",
    "svc, oil + filter", "PMI ok", "Taken for MOT, passed"]  # fmt: skip
#: Usual wrong spellings.
HABITS = {
    "gaiter": ["gator", "gater", "gaitor"], "bearing": ["bering", "bearin"], "nearside": ["near side", "nearsde"],
    "offside": ["off side", "ofside"], "universal": ["unversal"], "seized": ["siezed", "ceased"],
    "replaced": ["replcaed", "relaced"], "renewed": ["renwed", "renewd"], "propshaft": ["prop shaft", "propshft"],
    "driveshaft": ["drive shaft", "driveshft"], "steering": ["steeering", "streering"], "worn": ["wore", "worne"],
    "centre": ["center", "cetnre"], "grease": ["greese"], "inspection": ["inspecton", "inspction"],
    "vibration": ["vibraton"], "kerb": ["curb"], "perished": ["parished"], "column": ["colum"], "sheared": ["sheered"],
}  # fmt: skip
