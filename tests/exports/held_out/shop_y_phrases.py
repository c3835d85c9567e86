"""What shop Y writes: terse English of mechanics of a municipal fleet who speak another language at home."""

SYMPTOMS = {
    "u_joint": ["vibration from 70 km/h", "knock by load change", "metallic noise by start", "hit when clutch comes",
        "noise under floor by slow drive", "vibration in all the cabin", "knock in change forward-reverse"],
    "axle_joint": ["cracking in front by full steering with 4x4", "front jumps in narrow curve with 4x4", "knock in front "
        "wheel by turn, traction connected"],
    "cv_joint_outboard": ["cracking noise in curve", "tac-tac in curve with full steering", "noise by turning in roundabout",
        "knock in the wheel by full steering"],
    "cv_joint_inboard": ["vibration by acceleration", "trembling under load", "shaking in climb, with gas",
        "trembles from 30 to 50 with gas"],
    "cv_boot_outboard": ["grease in the rim", "fat thrown on brake disc", "grease in inner side of wheel"],
    "cv_boot_inboard": ["grease at gearbox housing", "smell of burnt grease, exhaust dirty of grease", "grease on axle carrier"],
    "support_bearing": ["humming under the cabin", "rumbling from middle of vehicle", "vibration by start with load",
        "deep noise from 40 km/h"],
    "slip_spline": ["hit when vehicle stops", "knock after standstill by start", "push from behind by stopping"],
    "steering_joint": ["play in steering wheel", "steering hard in one point", "steering does not come back alone",
        "knock in steering on pavement stones"],
    "vague_joint": ["noise below", "noise by driving", "knocking noise, driver not sure where"],
    "vague_boot": ["grease loss", "grease under vehicle", "floor dirty of grease"],
}  # fmt: skip
FAILED = [
    "Driver [reports|informs|says] {s}. {p} [defect|broken|damaged inside], [changed|exchanged|replaced]",
    "{s}: {p} changed, noise away" ,
    "Because of {s} {p} replaced",
    "{s}. Cause: {p} [defect|in bad state]. New mounted",
    "j:Breakdown [in route|in waste tour|in winter service|at depot exit]. {p} broken, changed",
    "d:Vehicle without traction, towed. {p} broken, new mounted",
    "d:Does not drive, motor turns. {p} broken. Replaced",
    "b:{s}. {p} torn, grease lost. Cleaned, filled and new {n} mounted",
    "b:{p} broken, {s}. Changed with new clamps",
    "u:{s}. In {p} needles destroyed, cross new",
    "{p} failed in service, substituted",
    "Message of driver: {s}. After test drive {p} changed, in order",
    "j:{p} blocked, {s}. Dismounted and new mounted",
    "j:{p} makes noise, changed",
    "j:Loud noise of {p}, part renewed",
    "Vehicle stopped by driver, {s}. {p} defect. Repaired with new part",
    "{s} since [yesterday|one week|Monday]. Found {p} defect, changed",
    "Emergency repair on street: {p} broken, mounted new",
    "Defect {p}, {s}. Changed",
    "Repair after failure. {p} new",
    "Came with crane, {p} broken. Changed",
    "Fault report [212|87|431]: {s}. {p} replaced, fault not more present",
    "{s}, vehicle out of service. {p} changed and vehicle again in service",
    "Complaint driver {s}. Proved on lift: {p} kaput. New one",
    "{p} gone during work, {s}. Replaced",
]  # fmt: skip
WORN = [
    "In revision found {p} [worn|with wear|used up]. Changed",
    "Inspection [A|B|30.000 km|yearly]: {p} worn, replaced",
    "p:In revision detected play in {p}, changed",
    "j:{p} with too much play, seen in inspection. Replaced",
    "b:In revision {p} with cracks, still without loss of grease. Changed",
    "b:Inspection: {p} porous, replaced",
    "Technical inspection not passed: {p} worn. Changed for second visit",
    "Legal inspection, defect point [2.4|5.1|6]: {p} worn. Corrected, new part",
    "Before technical inspection controlled: {p} worn, exchanged",
    "{p} worn according to checklist, renewed",
    "Wear limit of {p} reached, measured in service. Changed",
    "With occasion of tyre change seen {p} worn. Replaced",
    "Without complaint of driver. In inspection {p} worn, new mounted",
    "u:By service {p} dry with rust, wear. Changed",
    "Control by foreman: {p} worn, changed",
    "j:Shaken by hand in inspection, {p} loose by wear. Replaced",
    "Service: state of {p} bad by wear, changed in same visit",
    "Winter check: {p} wear too big, replaced",
    "Wear of {p} found in oil change. Renewed",
    "Found by safety inspection {p} worn out. Exchanged",
    "Quarterly revision: {p} not good, worn. Changed",
    "b:{p} hardened and cracked, noticed in inspection. New",
]  # fmt: skip
PLANNED = [
    "Planned change of {p}",
    "{p} changed by plan, old in order",
    "Preventive: {p} replaced by kilometres",
    "Change of {p} according maintenance plan",
    "By [100.000|120.000|80.000] km programmed: {p} new",
    "Interval fulfilled, {p} renewed",
    "{p} by time plan changed, without defect",
    "Programme winter preparation: {p} exchanged preventive",
    "Maintenance level 3: {p} replaced as foreseen in plan",
    "{p} changed in programmed maintenance, old part good",
    "Due by km: {p}. Done",
    "According to manufacturer plan {p} changed",
    "Preventive exchange {p}, dismounted part without finding",
    "General overhaul by plan: {p} new",
    "Periodical change {p} executed",
    "Series action for all vehicles of type: {p} replaced, no fault present",
    "Life time of {p} complete by plan, substituted",
]  # fmt: skip
COLLATERAL = [
    "{p} changed together",
    "In same work also {p} changed",
    "{p} also, because was dismounted",
    "By dismounting of other part damaged: {p}. New mounted",
    "With position above: {p} renewed, no additional time",
    "{p} can not be used again after dismounting, new",
    "As other part was changed, {p} also new",
    "c:Cardan shaft was out for other work, {p} changed with it",
    "To previous line belongs: {p} replaced",
    "{p} replaced in same opening",
    "At mounting again put new {p}",
    "Additional to position 1: {p} changed",
    "{p} had to be cut for other repair, new",
    "Because access was open, {p} also replaced",
    "Not mounted again old {n}, with other repair {p} new",
    "Same order, together with other part: {p}",
    "{p} new, was taken apart for other work",
]  # fmt: skip
DAMAGE = [
    "After accident {p} replaced",
    "Accident damage, {p} [bent|broken|damaged]. Changed",
    "Driven over [stone|kerb|bollard|island], {p} damaged by hit. Replaced",
    "b:{p} cut by wire in the street, new",
    "c:Rope in cardan shaft wound, {p} damaged by it. Changed",
    "External damage: {p} replaced, insurance informed",
    "Vandalism, {p} destroyed. New mounted",
    "Insurance case [14|27]: {p} changed",
    "Hit with snow plough against drain cover, {p} broken by hit. Replaced",
    "b:{p} bitten by marten, changed",
    "Badly towed by crane company, {p} damaged. New, invoice to company",
    "Collision with car, {p} broken. Exchanged",
    "Misuse of driver: kerb taken too fast, {p} broken by hit. New",
    "b:{p} burnt by welding works, changed",
    "Fall into ditch, {p} damaged in fall. Replaced",
    "Damage by foreign object on road, {p} new",
    "Hit of container against vehicle, {p} bent. Changed",
    "{p} damaged by blow, no wear. Replaced",
    "Theft attempt, {p} damaged. Changed",
]  # fmt: skip
COMEBACK = [
    "Repetition: {p} changed [last week|in previous order|two weeks ago], again defect. New by guarantee",
    "Guarantee: {p} after [300|500|900] km since mounting defect. Replaced",
    "Own fault, {p} badly mounted in last repair. New mounted",
    "Reclamation of own work: {p} repeated with new part",
    "u:Safety ring of {p} not well seated in last repair, cross fell out. Repeated with new",
    "b:Clamp of {p} not closed in last repair. {n} lost, new without charge",
    "New {p} of bad quality, after few days failed. Guarantee of supplier, changed",
    "Wrong part mounted last time. Correct {p} mounted",
    "Vehicle came back after repair, {p} of us mounted defect. Changed",
    "External workshop mounted {p} wrong last week. Made again with new",
    "Post-work: {p} from last order to change again, fault of part",
    "Second time in one month {p}, part from last repair failed. Reclaimed to supplier",
    "Guarantee work {p}, mounting fault",
    "Repair was not successful, {p} new mounted before failed again. Changed free",
    "{p} mounted last month came defect from factory. Replaced by supplier",
    "Correction of order before: {p} pressed in crooked, new",
]  # fmt: skip
UNSAID = [
    "{p} changed", "{p} replaced", "Change {p}", "{p} new", "{p} exchanged", "New {p} mounted", "Replacement of {p}",
    "{p} substituted", "Mounted new {p}", "Exchange of {p} made", "{p} dismounted and new mounted", "{p} - change",
    "Work: {p} renewed", "{p} renewed, test drive in order",
]  # fmt: skip
IDLE = {
    "look": ["{p} controlled, in order", "Driver reports {s}. {p} checked, without finding", "Revision {p}, o.k.",
        "Control of play in {p}: within limit", "{p} visually controlled, good", "{s}: test drive, {p} good, noise not found",
        "b:{p} without cracks", "Inspection, {p} without defect", "Checked {p} before technical inspection, good"],
    "grease": ["{p} greased", "Lubrication of {p}", "{s}. {p} was dry, greased", "Service lubrication: {p}",
        "u:Grease nipple of {p} new, greased", "{p} lubricated by plan", "Greasing {p} made"],
    "adjust": ["c:Screws of {p} loose, tightened", "c:{p}, screws tightened with torque", "b:Only clamp of {p} new",
        "b:Clamp of {p} tightened again", "{p} dismounted for access and same part mounted again",
        "j:{p} taken out, cleaned, same mounted again", "b:{p} slipped, put in place with new clamp",
        "c:{s}. Screws of {p} not tight, tightened", "{p} loosened for gearbox repair and again mounted"],
    "later": ["{p} worn, change in next service", "{p} ordered, part not in stock", "{p} to change, waits for part",
        "Recommend change of {p}", "{p} little play, observe", "Offer for {p} requested, not released by department",
        "Next revision change {p}", "{s}. {p} must be changed, new date given", "b:{p} small cracks, observe",
        "Change of {p} postponed, vehicle needed", "{p} not changed, no budget this month", "Pending: {p}"],
}  # fmt: skip
#: Remarks on a part that was not renewed, behind the work done.
REMARKS = {
    "look": ["{p} controlled, good", "{p} in order", "Also checked {p}, good"],
    "grease": ["{p} greased", "Also greased {p}"],
    "later": ["{p} to observe", "{p} in next service to change", "Recommend {p}", "{p} ordered"],
}  # fmt: skip
OTHER = [
    "Brake pads front and discs changed", "Wheel bearing front [left|right] changed", "Tie rod head [left|right] replaced, axis "
    "measured", "Ball joint [left|right] with broken dust cap, new", "Bellows of steering rack [left|right] changed", "Sleeve of "
    "gear lever new", "Seal ring of differential input changed", "Wheel hub seal rear [left|right] new, shoes cleaned", "Clutch "
    "with release bearing changed", "Belt tensioner roll with noise, changed", "Alternator repaired, bearing and carbon", "Oil "
    "and filter change", "Climate: gas filled", "Water pump bearing with noise, pump new", "PTO cardan cross changed, sweeper "
    "drive", "PTO shaft greased", "Hydraulic hose of tipper changed", "Leaf spring rear [left|right] broken, new", "Stabiliser "
    "rod [left|right] changed", "Battery new", "Tyres front 2 pcs changed", "Lamp brake light changed", "Brushes of sweeper "
    "changed", "Snow plough plate mounted", "Salt spreader chain greased", "Technical inspection presented, passed",
    "Windscreen changed", "Driver seat repaired", "Mirror right broken, new", "Exhaust flexible piece changed", "Shock absorbers "
    "rear changed", "Motor support changed, vibration in idle", "Injector 2 changed", "Starter motor changed", "King bolt [left|"
    "right] new bushings", "Steering pump loses oil, seal", "Differential rear with noise, bearings changed", "Gearbox output "
    "seal new", "Shift linkage joint changed", "Door lock [left|right] repaired", "Rotating beacon changed", "Radiator cleaned, "
    "hose joint sealed", "Drum brake cylinder [left|right] new", "Free wheel hub cleaned and greased", "4x4 connection, motor "
    "changed", "Spiral contact of steering wheel, horn in order", "Software update tachograph", "Brake caliper sleeves new, guides "
    "greased", "Wash and disinfect", "Underbody protection applied", "Cover of loading area sewed", "Fan coupling bearing new",
]  # fmt: skip
#: Usual wrong spellings.
HABITS = {
    "changed": ["chanched", "changued", "canged"], "bearing": ["bering", "baering"], "replaced": ["replazed", "remplaced"],
    "cardan": ["kardan", "cardán"], "vibration": ["vibracion", "Vibrazion"], "joint": ["yoint", "join"], "noise": ["noice",
        "noize"], "grease": ["greese", "grese"], "outer": ["outter", "auter"], "inner": ["iner"], "worn": ["worm"],
    "mounted": ["monted", "mountet"], "shaft": ["schaft", "shaf"], "steering": ["stering"], "damaged": ["dammaged"],
    "accident": ["accidente"], "inspection": ["inspektion", "inspeccion"], "defect": ["defekt"], "together": ["togheter"],
    "intermediate": ["intermidiate"], "universal": ["unversal"], "programmed": ["programed"], "guarantee": ["garantee",
        "garanty"], "wheel": ["weel"],
}  # fmt: skip
