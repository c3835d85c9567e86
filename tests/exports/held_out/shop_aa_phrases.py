"""What shop AA writes: complaint, cause and correction, divided by two bars, in a service writer's sentences.

`<one/several>` is the word for one part or for several.
"""

SYMPTOMS = {
    "u_joint": ["a knock when pulling away", "a clonk as the drive is taken up", "a hard vibration at 80 km/h",
        "a metallic clank between first and reverse", "a dry squeaking that follows road speed",
        "a chirping underneath "
        "at walking pace", "a jerk and a knock with every gear change", "a shudder through the seats on the open road",
        "a ticking underneath that speeds up with the vehicle", "a tinkling noise underneath when coasting",
        "a bump in the driveline on and off the throttle"],
    "axle_joint": ["a cracking noise from the front axle on full lock with four-wheel drive in", "a tight spot in the "
        "front axle when turning in four-wheel drive", "the front wheels snatching when it turns in low range",
        "a creaking from the front axle on tight turns in four-wheel drive"],
    "cv_joint_outboard": ["a clicking on full lock", "a clack-clack noise around every corner", "a knocking when "
        "turning into parking bays", "a crunching noise when making a U-turn", "a loud ticking on tight turns"],
    "cv_joint_inboard": ["a shaking under acceleration", "a sideways wobble when pulling uphill", "a vibration that "
        "goes away as soon as the driver lifts off", "a shudder on pull-off that fades at a steady speed", "a droning "
        "and shaking in third gear under load"],
    "cv_boot_outboard": ["grease thrown around the inside of the rim", "black grease on the wheel and brake caliper",
        "grease all over the inner side of the tyre", "a burnt grease smell from a front wheel"],
    "cv_boot_inboard": ["grease dripping on the gearbox side", "grease sprayed over the subframe", "smoke from grease "
        "on the exhaust downpipe", "grease spots below the gearbox"],
    "support_bearing": ["a growling in the middle of the vehicle", "a judder on pull-off with a load", "a rumble under "
        "the floor at town speed", "a whine below the cab that rises with speed", "a droning under the load bed",
        "a thumping below the floor on take-off"],
    "slip_spline": ["a thud shortly after stopping", "a nudge from behind when coming to rest", "a clunk as the "
        "vehicle settles at the robots", "a bump from the propshaft on braking to a stop"],
    "steering_joint": ["play at the steering wheel", "a notchy steering wheel", "a knock in the steering over speed "
        "humps", "the steering sticking when turned", "a steering wheel that does not return to centre"],
    "vague_joint": ["a noise when driving", "a knocking from underneath", "a strange noise on the road", "a noise that "
        "comes and goes"],
    "vague_boot": ["a grease leak", "grease on the parking bay floor", "grease splattered underneath"],
}  # fmt: skip
FAILED = [
    "[Driver|Operator] [reports|complains of|mentions] {s}. || [Complaint confirmed|Complaint "
    "confirmed over the pit] and the {p} <was/were> found to have failed. || [Removed and replaced|Took out and "
    "renewed] the {n}; [road tested, all in order|complaint cleared on road test].",
    "Hirer [phoned in with|complained about] {s}. || The {p} <has/have> given in. || Fitted <a new/new> {n} and "
    "returned the vehicle to the hirer.",
    "j:Breakdown on the [N-road|refuse route|depot road|landfill road], vehicle brought in on the flatbed. || The {p} "
    "[broke up|came apart|failed] on the road. || Stripped out the remains and fitted <a new/new> {n}.",
    "d:No drive to the wheels. || The {p} <has/have> broken. || Replaced the {n}.",
    "d:Vehicle revs but does not move. || The {p} snapped under load. || Renewed the {n} and topped up the oil that "
    "was lost.",
    "j:Vehicle stood at the [clinic|dam site|transfer station], crew phoned for help. || {p} failed. || Field "
    "mechanic replaced the {n} on site.",
    "Complaint of {s}. || Cause traced to the {p}, finished. || {n} replaced.",
    "Vehicle exchanged with the hirer on account of {s}. || The {p} <has/have> failed. || {n} renewed in the depot.",
    "Reported by radio: {s}. || {p} failed during the shift. || Replaced the same day.",
    "j:Driver stopped the vehicle because of {s}. || The {p} <has/have> collapsed. || New {n} fitted, safe to drive.",
    "{s}. || {p} broken. || Replaced.",
    "{s}, reported on the trip sheet. || {p} faulty. || Renewed.",
    "j:Driver reports {s} and heat from underneath. || The {p} ran dry and seized. || Cut out the old and pressed in "
    "<a new/new> {n}.",
    "j:Complains of {s} since [Monday|the weekend|last week]. || Excessive free play, {p} beyond use. || New {n} "
    "fitted and checked for play.",
    "u:{s}. || Needles turned to dust in one cup of the {p}. || Fitted <a new/new> {n} with grease nipples.",
    "u:Operator heard {s}. || One cap of the {p} has spun in its eye and the needles are out. || Renewed the {n}.",
    "b:{s}. || The {p} <has/have> burst open. || Cleaned the joint, packed it with fresh grease and fitted <a new/new> "
    "{n} with clamps.",
    "b:Driver noticed {s}. || Split all round, the {p} let all the grease out. || New {n} and grease fitted.",
    "b:{s} seen at the wash bay. || {p} torn open. || {n} renewed, grease replaced.",
    "|| The {p} failed in use. || Replaced the {n}.",
    "|| {p} failed while on hire. || Replacement {n} fitted at the hirer's yard.",
    "Crew unhappy with {s}, vehicle pulled off the road. || Our diagnosis is the {p}, no longer serviceable. || "
    "Renewed and tested.",
    "Traffic officer took the vehicle off the road for {s}. || {p} defective. || Replaced, vehicle released.",
    "Please investigate {s}. || Everything else was sound, only the {p} <has/have> packed up. || {n} renewed.",
    "j:Vehicle returned early from hire with {s}. || We found the {p} in pieces. || Renewed the {n}, vehicle back on "
    "the hire line.",
    "j:Call-out after hours, {s}. || {p} gave way. || Towed to depot, {n} replaced next morning.",
    "j:Night shift reports {s}. || Lifted it and shook the shaft by hand: the {p} <is/are> completely loose and "
    "no longer usable. || Fitted <a new/new> {n}.",
    "{s} according to the [supervisor|foreman|horticulture team]. || Bad {p}. || Out with the old, new {n} fitted.",
    "j:Loud noise, then no proper drive feel. || The {p} broke during the shift. || Replaced with new.",
    "Driver says it started with {s} and got worse by the day. || {p} failed. || Replaced the {n}, drives quietly.",
]  # fmt: skip
WORN = [
    "[A|B|Six-monthly] service. || [While checking underneath|During the service inspection] the {p} <was/were> found "
    "worn. || Replaced the {n} with this service.",
    "Routine service, no complaint from the driver. || Wear in the {p}. || Renewed the {n}.",
    "Annual roadworthy inspection. || The tester [marked|listed] the {p} as worn. || Replaced the {n} and re-presented "
    "the vehicle.",
    "Vehicle in for [brake pads|tyres|a clutch adjustment]. || Mechanic noticed that the {p} <is/are> worn. || Renewed "
    "after approval.",
    "End-of-hire check. || {p} worn. || Replaced before the next hire.",
    "p:Safety inspection. || Measured play in the {p}, over the limit. || {n} renewed.",
    "j:Quarterly inspection. || Free play felt by hand in the {p}, no complaint as yet. || Replaced the {n}.",
    "j:Service. || Slight but definite looseness in the {p}, over the wear limit. || Renewed.",
    "b:Service. || The {p} <has/have> perished, no grease lost yet. || Replaced in good time.",
    "b:Tyre rotation. || Hairline cracks all over the {p} from age. || Fitted <a new/new> {n}.",
    "b:Roadworthy. || The {p} <is/are> brittle and cracked. || Renewed.",
    "u:Lubrication service. || Rust-coloured powder around the cups of the {p}, so <it is/they are> wearing out. || "
    "Replaced the {n}.",
    "Pre-season check of the [grass-cutting|pothole|road-marking] fleet. || The {p} <shows/show> wear. || Replaced.",
    "|| {p} worn, seen at service. || Replaced.",
    "|| Worn {p} noted on the inspection sheet. || Renewed the {n}.",
    "Item [6|11|17] from the last inspection sheet: {p} worn. || Parts have come in. || {n} replaced as noted.",
    "20-point check. || {p} at the end of <its/their> life. || Renewed.",
    "Routine check before a long hire. || The {p} would not have lasted the trip, well worn. || Replaced the {n}.",
    "Vehicle booked in for service only. || Found the {p} worn down, driver had not noticed anything. || Renewed.",
    "Service and check-over. || Wear and tear on the {p}. || {n} renewed, rest of driveline in order.",
    "Licence renewal test. || {p} worn below standard. || Replaced, passed on retest.",
    "Handover from [Parks|Water and Sanitation|the fire station]. || Inspection showed that the {p} <is/are> worn. || "
    "Renewed before issue to the new department.",
    "Monthly underbody check. || {p} getting tired, no failure. || Replaced.",
    "j:B service. || Moved the shaft with a tyre lever and saw the {p} move more than allowed. || {n} replaced.",
    "Depot inspection. || Normal wear, {p} to be replaced now. || Done.",
]  # fmt: skip
PLANNED = [
    "[100 000|150 000|200 000] km replacement list. || Kilometres reached. || Replaced the {p} as per list.",
    "Planned replacement. || Due on distance, no fault found. || {p} renewed.",
    "Major service, life-limited items. || The {p} <is/are> changed at this interval regardless of condition. || "
    "Renewed the {n}.",
    "Fleet instruction [14|22|31]: change the {p} on all vehicles of this type. || Nothing wrong with the old "
    "<one/set>. "
    "|| Carried out.",
    "Preventive replacement ahead of [the festive season|winter|election duty]. || No defect. || {p} replaced.",
    "|| Scheduled replacement. || {p} replaced.",
    "Maintenance plan. || {p} due by age. || Renewed, old <part/parts> still serviceable.",
    "|| Interval reached. || Renewed the {p}, <it was/they were> still good.",
    "Contract maintenance, year [three|four|five]. || Change called for by the contract. || Replaced the {p}.",
    "Half-life refurbishment of the vehicle. || Part of the refurbishment scope. || New {p} fitted.",
    "Vehicle booked by the planner. || {p} up for renewal according to the plan. || Replaced on schedule.",
    "Time-based change-out. || Due this month. || {p} changed, no wear to speak of.",
    "Forecast job from planning office. || Preventive change of the {p}. || Carried out as planned.",
    "Hire contract obligation: renew the {p} every second year. || || Done on the due date.",
    "Planner's request. || The distance limit for the {p} has been reached. || Renewed.",
    "Distance-based change of the {p}. || || Completed.",
    "Scheduled component change. || Not defective, due only. || Renewed the {p}.",
    "Precautionary change before the vehicle goes to the remote depot. || Old <part was/parts were> in order. || "
    "Replaced the {p}.",
]  # fmt: skip
COLLATERAL = [
    "|| [Had to be taken out|In the way] for the other repair on this job card. || Replaced the {p} at the same time.",
    "See first line of this job card. || The shaft was on the bench already. || Renewed the {p} as well.",
    "|| Opened up for the repair above, so it made sense to renew the {p} too. || Fitted new.",
    "|| The {p} could not be saved when the other part was removed. || Replaced.",
    "Together with the repair above. || || New {p} fitted.",
    "|| Not reusable once dismantled for the main repair. || Fitted new {p}.",
    "Extra to the above. || || Also renewed the {p}.",
    "|| || Renewed the {p} along with the part on the previous line.",
    "|| Damaged by us when pressing out the other part. || {p} replaced.",
    "c:|| Propshaft was already out for the other repair. || Replaced the {p} while it was down.",
    "Additional work on the same job. || Access was open. || {p} renewed while we were busy there.",
    "|| Comes as a set with the part of the main repair. || Replaced the {p}.",
    "As agreed by phone with the fleet office: {p} to be done in one go with the main repair. || || Done.",
    "|| No extra labour, everything was apart for the other item. || {p} replaced.",
    "|| Workshop rule: never refit the old <one/ones> after a strip-down like the one above. || New {p} fitted.",
    "|| || {p} renewed as part of the above repair.",
    "|| Corroded solid, had to be cut off to reach the other part. || Replaced the {p}.",
    "Follows from the repair above. || || {p} replaced with it.",
]  # fmt: skip
DAMAGE = [
    "[Collision|Accident] repair. || The {p} <was/were> damaged in the accident. || Replaced the {n}, assessor has "
    "photos.",
    "Driver hit [a kerb|a stray cow|a rock in the road|a concrete block]. || Impact damaged the {p}. || Renewed the "
    "{n}.",
    "Vehicle drove over [building rubble|a steel pipe|a truck tyre carcass|a fallen branch]. || {p} damaged by it. || "
    "Replaced.",
    "Pothole damage, claim form handed in. || The blow broke the {p}. || Replaced the {n}.",
    "c:[Baling wire|A ratchet strap|Shade netting] wound around the shaft. || It damaged the {p}. || Cut the mess away "
    "and renewed the {n}.",
    "b:Stone damage. || A stone cut the {p}. || Renewed.",
    "b:|| Rats gnawed through the {p}. || Replaced, bait boxes asked for.",
    "b:Veld fire duty. || Heat melted the {p}. || Fitted new.",
    "Vehicle vandalised at the [depot|taxi rank|reservoir]. || {p} deliberately damaged. || Replaced, case number on "
    "file.",
    "Flood damage, vehicle stood in the river. || {p} ruined by water and sand. || Renewed.",
    "Recovered from a donga with a winch. || The cable bent and damaged the {p}. || Replaced.",
    "Towing contractor damaged the vehicle. || {p} damaged by the tow chain. || Renewed, charged to the contractor.",
    "Hirer's account: vehicle grounded on a rock. || {p} smashed. || Replaced the {n}, hirer to pay.",
    "Insurance job. || Accident damage to the {p}. || New {n} fitted as per assessor's list.",
    "Misuse by operator: stuck vehicle rocked free at full throttle over a stump. || {p} struck and damaged. || "
    "Replaced, report sent to the department.",
    "|| {p} damaged by an object on the road, not by wear. || Renewed.",
    "Attempted theft. || The {p} <was/were> damaged by the thieves. || Replaced.",
    "Loader bucket touched the vehicle at the landfill. || {p} knocked and damaged. || Renewed the {n}.",
    "Slid off the road in the rain and hit a culvert. || {p} bent out of shape by the impact. || Replaced.",
    "|| Impact mark on the {p}, hit by debris. || {n} replaced, claim opened.",
]  # fmt: skip
COMEBACK = [
    "Vehicle came back [two days|a week|three weeks] after our repair with {s}. || The new {p} failed already. || "
    "Replaced again at no charge.",
    "Return job. || The {p} we fitted last time <was/were> not fitted correctly. || Redone with <a new/new> {n}, no "
    "charge.",
    "Repeat complaint: {s}. || {p} renewed on the previous job card, failed again. || New {n} under supplier warranty.",
    "Warranty claim on our own repair. || {p} defective after only [400|650|900] km. || Replaced free of charge.",
    "|| {p} from the last repair already finished. || Replaced under warranty.",
    "Workshop error on the last job. || Wrong {p} supplied and fitted. || Fitted the correct <one/ones>.",
    "u:Back again. || Circlip of the {p} was left out at the last repair and the cup walked out. || Fitted <a new/new> "
    "{n} with new circlips, our cost.",
    "b:Back again with {s}. || Clamp of the new {p} was not closed at the last repair and the rubber tore. || Fitted "
    "another {n} at our cost.",
    "Comeback. || Recently replaced {p} no good. || Replaced, part returned to supplier.",
    "Rework. || || {p} replaced again, the last <one/ones> did not hold.",
    "Hirer returned the vehicle the day after we repaired it. || Fault lies with the {p} we had fitted. || Renewed "
    "without charge.",
    "Second time this [month|quarter]. || Same {p} failed again shortly after replacement. || New {n} of another "
    "supply.",
    "Outside contractor's repair did not last. || {p} badly fitted by them. || Replaced, debited to the contractor.",
    "Failed quality check after repair. || New {p} faulty out of the box. || Replaced before release.",
    "Repair of last week has come undone. || Poor fitting of the {p}. || Did the job over with new parts.",
    "Re-repair, no charge to department. || {p} fitted on [the last job card|the previous visit] failed. || Renewed.",
    "Complaint as before, {s}. || The replacement {p} from our last repair <is/are> to blame. || Replaced under part "
    "warranty.",
]  # fmt: skip
UNSAID = [
    "|| || Replaced the {p}.", "|| || {p} renewed.", "|| || Fitted new {p}.", "Replace the {p}. || || Done.",
    "|| || Removed the old {p} and fitted new.", "Work request: {p}. || || {n} renewed.",
    "|| || Supplied and fitted {p}.", "Request from fleet office to renew the {p}. || || Carried out.",
    "|| || {p} replaced and road tested.", "|| || {p}: new <one/ones> fitted.", "As requested. || || {p} replaced.",
    "Renew {p}. || || Completed, vehicle washed and returned.", "|| || Took out the {p}, new {n} in.",
    "|| || Exchanged the {p}.", "|| || Stripped, cleaned and replaced the {p}.",
]  # fmt: skip
IDLE = {
    "look": ["Driver reports {s}. || No fault found on test drive. || Inspected the {p}, in good order.",
        "j:{s}. || Not the {p}, <that is/those are> sound. || Balanced the front wheels, noise gone.",
        "Service. || || Checked the {p}, no action needed.", "Roadworthy inspection. || || {p} examined and passed.",
        "j:Check the {p} for play. || No play. || Nothing done.",
        "b:Check the {p} for tears. || None. || Nothing done.",
        "Hirer complains of {s}. || Could not be repeated. || {p} looked at, nothing wrong, vehicle released.",
        "|| || {p} inspected, serviceable.",
        "Inspection only. || The {p} <is/are> still within limits. || No parts used.",
        "End-of-hire check. || || {p} checked and found correct.", "Driver asks us to look at the {p}. || In order. || "
        "Driver informed.", "j:{s}. || Noise came from a loose jack in the toolbox, {p} in order. || Jack tied down.",
        "b:Service. || {p} dry and whole. || Wiped down only.",
        "j:Investigate {s}. || Examined the {p} on the lift, sound. || Tyre noise, tyres rotated."],
    "grease": ["Lubrication service. || || Greased the {p}.", "|| || {p} greased.",
        "p:Service. || Nipple on the {p} was blocked. || Cleared the nipple and pumped in grease.",
        "p:{s}. || {p} dry. || Greased until clean grease came out, noise gone.",
        "Weekly lube round. || || {p} lubricated.",
        "After deep-water crossing. || || Flushed the {p} with fresh grease.", "A service. || || {p} given grease.",
        "p:|| || Applied the grease gun to the {p}, takes grease well.", "Squeak reported. || The {p} <was/were> short "
        "of grease. || Greased, quiet again.", "p:|| Grease nipple of the {p} broken off. || New nipple screwed in and "
        "greased.", "Service as per chart. || || Oil levels checked, {p} lubricated."],
    "adjust": ["c:{s}. || Flange bolts at the {p} had worked loose. || Tightened to torque.",
        "c:|| || Tightened the bolts of the {p}.", "b:Service. || Clamp slack on the {p}, rubber is good. || New clamp "
        "only.", "|| || {p} taken off and put back to reach the [gearbox|sump|starter].",
        "[Gearbox|Clutch] repair. || || Removed the {p} and refitted the same <one/ones>.",
        "j:|| || {p} dismantled, cleaned and refitted, no new parts.", "c:Inspection. || Lock nut loose at the {p}. || "
        "Nut tightened and marked with paint.", "b:|| Slipped out of its groove, {p} otherwise whole. || Pushed back "
        "and clamped.", "c:|| || Aligned the {p} and retightened, nothing replaced.",
        "|| Incorrectly seated {p}. || Reseated, no parts needed.",
        "c:Vibration after gearbox repair. || Bolts at the {p} unevenly tightened. || Slackened and tightened again in "
        "sequence."],
    "later": ["Service. || {p} worn. || [To be replaced at the next service|Booked for replacement next month], not "
        "done "
        "now.", "Driver reports {s}. || Suspect the {p}. || No part in stock, vehicle to come back.",
        "|| || Quotation for the {p} sent to the department, awaiting order number.",
        "|| || {p} to be renewed at next service.", "Roadworthy pre-check. || {p} starting to wear, still legal. || "
        "Keep under observation.", "{s}. || {p} needs replacing. || Hirer does not want to wait, postponed.",
        "|| Recommend that the {p} be replaced. || Declined by fleet office, no budget.",
        "j:Service. || A little play in the {p}, acceptable for now. || Check again in 5 000 km.",
        "b:Service. || Small surface cracks on the {p}, still tight. || Replace with the next service.",
        "Part ordered: {p}. || || Vehicle released until it arrives.",
        "|| || Advised that the {p} will be due soon.", "Inspection. || The {p} will not last another year. || Noted "
        "for next booking, no work done today.", "Vehicle standing. || {p} suspected. || Stripping not yet "
        "approved, job held over.", "B service. || {p} marginal. || Reported to the fleet officer for a decision.",
        "|| Wrong part delivered for the {p}. || Not fitted, waiting for the correct one."],
}  # fmt: skip
#: Remarks on a part that was not renewed, behind the correction.
REMARKS = {
    "look": ["{p} in order", "{p} also checked, good", "Looked at the {p} as well, nothing to do"],
    "grease": ["{p} greased", "Gave the {p} some grease"],
    "later": ["{p} to be replaced next time", "Recommend the {p} at next service", "Keep an eye on the {p}",
        "{p} quoted for, not approved"],
}  # fmt: skip
OTHER = [
    "Brakes squeal. || Pads down to the metal. || Front pads and discs replaced.",
    "Humming from the [left|right] front. || Wheel bearing rough. || Wheel bearing replaced.",
    "Vehicle pulls to one side. || Track rod end loose. || Track rod end replaced and wheels aligned.",
    "Service. || Dust boot of the [left|right] lower ball joint split. || Ball joint replaced.",
    "|| Steering rack gaiter perished. || New gaiter fitted to the steering rack.",
    "Oil on the floor. || Rear pinion seal leaks. || Seal replaced and diff oil topped up.",
    "A service. || || Engine oil, oil filter and air filter replaced.",
    "Does not start. || Starter solenoid. || Starter exchanged.",
    "Battery light on. || Alternator bearing noisy, not charging. || Alternator replaced.",
    "Refuse body does not tip. || Hydraulic hose burst. || Hose made up and fitted.",
    "Cherry picker inspection. || || Slew ring greased, load test done.",
    "Clutch slips. || Clutch plate worn. || Clutch kit and release bearing fitted.",
    "PTO noisy. || Universal joint of the PTO shaft to the pump dry. || PTO shaft replaced.",
    "|| || Fifth wheel greased.", "Exhaust blows. || Flexible joint cracked. || Flexible section welded in.",
    "Knock over bumps. || Stabiliser link [left|right] worn. || Link replaced.",
    "Leans to one side. || Broken main leaf in rear spring. || Spring set replaced.",
    "Overheats. || Water pump bearing and seal gone. || Water pump replaced.",
    "Beacon not working. || Fuse. || Fuse replaced.", "Puncture. || Nail. || Tyre plugged.",
    "Two new front tyres. || || Fitted and balanced.", "Gear lever loose. || Gear lever bush and rubber boot worn. || "
    "Bush and boot replaced.", "Drag link knock. || Drag link end worn. || Drag link replaced.",
    "Four-wheel drive does not engage. || Shift actuator. || Actuator on transfer box replaced.",
    "Diff howls. || Pinion and carrier bearings in the rear diff worn. || Diff overhauled.",
    "Free-wheel hub stiff. || Dirt. || Hub stripped, cleaned and lubricated.",
    "Gearbox leaks at the back. || Output shaft seal. || Seal replaced.",
    "Windscreen cracked. || Stone. || Windscreen replaced by contractor.", "Annual licence. || || Disc renewed.",
    "Hooter dead. || Contact. || Repaired.", "Mower deck belt worn. || || Belt and spindle bearing replaced.",
    "Power steering heavy. || Leaking hose. || Hose and fluid replaced.",
    "Rear shock absorbers leak. || || Shock absorbers replaced both sides.",
    "Brake caliper sticks. || Slide pin boots torn. || Caliper kit fitted.",
    "Vibration at 110 km/h. || Wheels out of balance. || Four wheels balanced.",
    "Handbrake weak. || Shoes of the transmission handbrake worn. || Shoes replaced.",
    "Wiper linkage ball joint popped off. || || Linkage replaced.",
    "Hire vehicle returned dirty. || || Washed and vacuumed.", "Fan belt noise. || Idler bearing. || Idler replaced.",
    "Engine mounting broken. || || Mounting replaced.", "Accident repair, bumper. || || Bumper and lamp replaced.",
    "Trailer plug. || Corroded. || New plug wired.", "Half-yearly fire extinguisher check. || || In order.",
    "Tail-lift slow. || Low oil. || Oil topped up, pivots greased.",
]  # fmt: skip
#: Usual wrong spellings.
HABITS = {
    "bearing": ["baering", "bering"], "propshaft": ["prop shaft", "propshaf"], "universal": ["univeral", "universel"],
    "replaced": ["repalced", "replacd"], "renewed": ["renwed"], "noise": ["niose"], "steering": ["stearing"],
    "vibration": ["vibaration"], "inner": ["iner"], "outer": ["outter"], "coupling": ["copling"], "grease": ["greese"],
    "greased": ["greesed"], "damaged": ["damadged"], "found": ["foud"], "failed": ["faild"], "service": ["sevice"],
    "centre": ["center"], "joint": ["jiont", "joit"], "warranty": ["waranty"],
}  # fmt: skip
