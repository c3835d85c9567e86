"""Shop N: a municipal fleet garage, left-hand drive; complaint, cause and correction in columns of their own."""

from dataclasses import replace

from clauses import Phrasebook, numbered_cells
from exporting import Shares, Shop
from phrases import Voice, pick
from plain_files import delimited_writer

# One set of places for vehicles with a front shaft, one for the rest: on a two-piece shaft "rear driveshaft" may mean
# its rear section, so only vehicles with two driveshafts are worded so.
PLACES_TWO_SHAFTS = {
    "rear.joint_front": ["rear driveshaft t-case end", "rear driveline @ transfer case", "rear shaft t-case side",
        "rear driveshaft, transfer case end", "t-case end of rear driveshaft"],
    "rear.joint_centre": ["rear driveshaft center", "rear driveline @ carrier brg", "rear driveline center",
        "rear driveshaft mid", "middle of rear driveshaft"],
    "rear.joint_rear": ["rear driveshaft diff end", "rear driveline @ rear diff", "rear driveshaft pinion end",
        "rear driveline axle end", "rear driveshaft rear"],
    "front.joint_front": ["front driveshaft diff end", "front driveline @ front diff", "front driveshaft axle end",
        "front driveshaft front", "front driveline pinion end"],
    "front.joint_rear": ["front driveshaft t-case end", "front driveline @ transfer case", "front driveshaft rear",
        "t-case end of front driveshaft", "front driveline t-case side"],
}  # fmt: skip
STEERING = {
    "steering.joint_upper": ["upper", "top", "column end", "upr", "at column"],
    "steering.joint_lower": ["lower", "bottom", "gearbox end", "lwr", "at steering box"],
}  # fmt: skip
PLACES_ONE_SHAFT = {
    "rear.joint_front": ["front", "trans end", "front of driveshaft", "driveshaft trans end", "frt",
        "driveline @ trans output", "transmission end"],
    "rear.joint_centre": ["center", "mid", "driveshaft center", "behind carrier brg", "ctr", "center of driveline",
        "middle"],
    "rear.joint_rear": ["rear", "diff end", "driveshaft diff end", "rear axle end", "pinion end",
        "driveline @ rear diff", "rear of driveshaft"],
}  # fmt: skip
VOICE = Voice(
    names={
        "u_joint": ["u-joint", "u joint", "ujoint", "universal joint", "U-jt", "universal", "u/joint", "uni joint",
            "cross & caps", "u-joint cross"],
        "cv_joint_outboard": ["outer CV joint", "outer CV", "outboard CV joint", "CV joint (outer)",
            "wheel side CV joint", "wheel end CV jt", "outer C/V joint", "CV jnt outer", "o/b CV joint"],
        "cv_joint_inboard": ["inner CV joint", "inner CV", "inboard CV joint", "CV joint (inner)",
            "trans side CV joint", "diff side CV jt", "inner tripod joint", "CV jnt inner", "inner plunge joint",
            "i/b CV joint"],
        "cv_boot_outboard": ["outer CV boot", "outer axle boot", "outboard CV boot", "wheel side CV boot",
            "CV boot outer", "outer C/V boot", "wheel end axle boot", "outer CV joint boot", "outer CV dust boot"],
        "cv_boot_inboard": ["inner CV boot", "inner axle boot", "inboard CV boot", "trans side CV boot",
            "CV boot inner", "inner C/V boot", "diff side axle boot", "inner CV joint boot", "inner tripod boot"],
        "support_bearing": ["carrier bearing", "driveshaft carrier brg", "center support bearing", "hanger bearing",
            "driveline center bearing", "carrier brg", "driveshaft hanger brg", "center carrier bearing",
            "driveshaft support brg"],
        "slip_spline": ["slip yoke", "driveshaft slip joint", "driveline slip yoke", "driveshaft slip spline",
            "sliding yoke", "driveline slip joint", "slip yoke (splined)", "splined slip yoke", "driveshaft slip yoke"],
        "steering_joint": ["steering shaft u-joint", "steering shaft joint", "steering intermediate shaft joint",
            "steering column u-joint", "steering u-joint", "int steering shaft u-joint", "steering shaft universal",
            "strg shaft joint", "steering shaft knuckle joint"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "C/V joint", "axle CV joint"],
        "cv_joint_inboard": ["CV joint", "C/V joint", "axle CV joint"],
        "cv_boot_outboard": ["CV boot", "axle boot", "C/V boot"],
        "cv_boot_inboard": ["CV boot", "axle boot", "C/V boot"],
    },
    sides={
        "left": ["LF", "left front", "driver side", "L/F", "LH", "driver's side", "left", "drivers side"],
        "right": ["RF", "right front", "pass side", "R/F", "RH", "passenger side", "right", "pass. side"],
        "both": ["LF & RF", "left and right", "both sides", "driver & pass side", "L/F + R/F"],
    },
    places=PLACES_TWO_SHAFTS | STEERING,
    shafts={"rear": ["rear driveshaft", "rear driveline", "rear drive shaft"],
        "front": ["front driveshaft", "front driveline", "front drive shaft"]},
    axles=["{p} axle shaft", "front axle {p}", "{p} front axle shaft", "front axle shaft {p}", "{p} steer knuckle"],
    joins=["{p} {n}", "{p} {n}", "{p} {n}", "{n} {p}", "{n}, {p}", "{n} ({p})", "{n} - {p}"],
    half_shafts=["CV axle", "CV axle assy", "CV half shaft", "halfshaft assy", "front CV axle shaft", "c/v axle",
        "complete CV axle", "CV axle, complete"],
    pairs=["both rear driveshaft u-joints", "rear driveshaft u-joints, front & rear", "2 u-joints rear driveshaft",
        "u-joints both ends rear driveline"],
    with_boot=["w/ boot", "& boot", "and boot", "+ boot", "incl boot"],
    both_boots=["inner & outer CV boots", "CV boots inner and outer", "inner and outer axle boots"],
    same=["{n}, same corner same end", "{n} same spot as other line", "{n} @ same location"],
    same_side=["same side", "same side as other line", "same corner"],
)  # fmt: skip
VOICE_ONE_SHAFT = replace(
    VOICE,
    places=PLACES_ONE_SHAFT | STEERING,
    shafts={"rear": ["driveshaft", "driveline", "drive shaft"]},
    pairs=["both driveshaft u-joints", "front & rear u-joints", "u-joints (2), both ends of driveshaft",
        "both u-joints front and rear"],
)  # fmt: skip
SYMPTOMS = {
    "u_joint": ["clunk going into gear", "vibration at 45 mph", "squeak rolling slow", "clank on takeoff",
        "clunk fwd to reverse", "chirping noise underneath", "vib @ hwy speed"],
    "axle_joint": ["pops in tight turns in 4x4", "binds up turning w/ 4wd locked in", "front end clicks on full turn"],
    "cv_joint_outboard": ["clicking in turns", "popping noise turning", "clicks at full lock",
        "click click on U-turns"],
    "cv_joint_inboard": ["shudder on accel", "shakes under hard accel", "vibration on takeoff", "wobble under load"],
    "cv_boot_outboard": ["grease all over wheel", "grease slung inside of rim", "grease on brake caliper"],
    "cv_boot_inboard": ["grease slung on trans case", "grease burning on exhaust",
        "grease on bottom of engine cradle"],
    "support_bearing": ["rumble under floor", "shudder on takeoff", "growl under cab at 40",
        "howl from mid driveline", "driveshaft slapping"],
    "slip_spline": ["clunk coming to a stop", "thump after stopping", "bump from behind on takeoff"],
    "steering_joint": ["play in steering wheel", "steering notchy", "steering stiff, won't return",
        "clunk in steering"],
    "vague_joint": ["noise underneath", "bad noise when driving", "knocking noise"],
    "vague_boot": ["grease leak", "grease dripping on shop floor", "slinging grease"],
}  # fmt: skip
SHORT = {
    "u_joint": ["joint", "u-joint"],
    "cv_joint_outboard": ["joint", "CV joint"],
    "cv_joint_inboard": ["joint", "CV joint"],
    "cv_boot_outboard": ["boot"],
    "cv_boot_inboard": ["boot"],
    "support_bearing": ["bearing", "brg"],
    "slip_spline": ["yoke"],
    "steering_joint": ["joint"],
    "half_shaft": ["axle", "assy"],
    "several": ["parts", "all parts"],
}  # fmt: skip
# Cells stand in the order complaint // cause // correction.
FAILED = [
    "[Driver states|Oper reports|Driver c/o|Operator says] {s} // {p} [bad|shot|no good] // [R&R|Replaced] {n}",
    "{s} // [Found|] {p} failed // [Installed new {n}|R&R {n}|Replaced]",
    "[Driver writeup|Writeup]: {s} // // Diag'd to {p}, [bad, |]replaced",
    "j:[Unit down on route|Road call|Broke down on job site] // {p} [let go|broke|came apart] // [Towed in, |]R&R "
    "[{n}|same]",
    "d:Towed in, [no drive|won't move] // {p} [broke|blew apart|snapped] // [New {n}|Replaced [{n}|same]]",
    "j:Road call // // {p} failed on the road, R&R", "j:{s} // {p} [seized|locked up|froze up] // R&R [{n}|same]",
    "u:{s} // {p} dry, [needles gone to dust|cap burned up] // R&R [u-joint|joint]",
    "b:{s} // {p} [split|torn|blown out|ripped open] // Replaced [{n}|same], cleaned & repacked",
    "// {p} failed in service // [R&R|Replaced]", "Deadlined by driver: {s} // // Replaced failed {p}",
    "Driver brought in, {s} // Traced to {p} // Replaced",
    "{s}, unsafe to drive // {p} [junk|trashed|gone] // New {n}",
    "Operator c/o {s} // Verified on test drive. {p} is done // Removed & replaced [{n}|same]",
    "j:Came in on the hook // {p} failed // R&R [{n}|same]", "Per driver {s} // // Found {p} bad on lift. Replaced",
    "Driver says {s}, getting worse // Bad {p} // R & R", "j:Breakdown // {p} // Replaced",
    "See correction // // Driver complained of {s}. Verified. Bad {p}. Replaced",
    "j:Driver thinks {p} going out, {s} // Confirmed bad // R&R", "j:{p} failed on route // Broken // Replaced",
]  # fmt: skip
WORN = [
    "[PM A|PM B|PM-C|PM|Annual DOT] insp // [Found |]{p} [worn|worn out] // [R&R|Replaced] {n}",
    "PM [svc|service] due // // [On insp found|Inspected, found] {p} worn. [Replaced|R&R]",
    "b:PM-B // {p} [cracked|dry rotted|starting to split], found at PM // Replaced [{n}|same] before it opened up",
    "Annual inspection // {p} failed insp, worn // R&R [to pass|{n}]",
    "State insp // Rejected for worn {p} // Replaced, reinspected OK",
    "p:[PM|Annual insp] // Play in {p} [over spec|beyond spec|past limit] // [Replaced|R&R [{n}|same]]",
    "In for tires // Noticed {p} worn while on lift // R&R w/ ok from supv",
    "u:PM // Felt [notchy|rough] spot in {p} // Replaced [joint|u-joint]",
    "No complaint // {p} worn, found during PM // [Replaced|R&R]",
    "Insp writeup item // {p} worn // Corrected, new {n} installed",
    "Annual safety insp // // {p} worn, tagged by inspector. Replaced",
    "Plow season prep insp // {p} [shows wear|worn] // Replaced w/ new",
    "p:Lube // Found {p} worn while greasing // R&R",
    "Follow up from last PM, {p} marked worn // As noted // Replaced", "PM-B // Wear found: {p} // R&R [{n}|same]",
    "Oil change // Tech spotted worn {p} // R&R",
    "j:PM-C // {p} loose, driver had not noticed // Replaced [{n}|same]",
    "j:Annual // // Pry bar check, {p} loose. Replaced",
]  # fmt: skip
PLANNED = [
    "Sched replacement // [Mileage interval|Due by miles] // [Replaced|R&R] {p}",
    "PM-D // Due at this interval // R&R {p}, old [part|one] still good",
    "Preventive replacement // Due // {p} replaced", "100K svc // Replace {p} per schedule // Done",
    "Planned component changeout // // Changed out {p}", "// {p} due per PM schedule // Changed out",
    "Life cycle replacement program // Miles // New {p} installed",
    "Scheduled maint // // Replaced {p} at interval, no defects noted",
    "Fall prep, planned {p} changeout // // Completed as scheduled",
    "Mileage change // {p} reached changeout miles // Replaced, nothing wrong w/ old",
    "Preventive maint // {p} at end of scheduled life // [Replaced|New {n} in]",
    "PM-E 120,000 mi // Scheduled item // R&R {p}",
    "Preventative, change {p} // Nothing wrong, by the book // Changed",
    "Scheduled overhaul item // N/A // {p} replaced", "// // Replaced {p} per PM schedule[, old part OK|]",
    "Replacement interval came due // No problems // Swapped {p}",
]  # fmt: skip
COLLATERAL = [
    "See other line // Had it apart // Replaced {p} while in there",
    "[With other repair|Same job] // // [Installed|Put in] new {p} while apart",
    "// {p} not reusable once pulled for other repair // Installed new", "// Done with other repair // R&R {p}",
    "In conjunction w/ other line // // {p} replaced", "Same labor op // Replace as set // {p} replaced too",
    "c:While shaft was down // // Went ahead & replaced {p}",
    "Add-on to other line // Already apart, no extra labor // New {p}",
    "// // Replaced {p} at same time as other work on this WO",
    "Related to other line // Had to come off for access // {p} replaced, one time use part",
    "Piggyback on other job // Access was open // R&R {p}",
    "See other line // {p} had to come off to do that repair // Replaced w/ new, didn't reuse",
    "// Shop practice to do together // R&R {p} along w/ other line",
    "While down for other repair // // Threw in new {p}",
    "Incl w/ other line // Disturbed in teardown // {p} replaced",
    "b:Comes with other job // // {p} replaced with it",
]  # fmt: skip
DAMAGE = [
    "[Hit curb|Ran over road debris|Hit a stump|Slid into ditch|Ran over a boulder] // {p} damaged // Replaced "
    "[{n}|same]",
    "Accident // Collision damage to {p} // R&R[, bill risk mgmt|]",
    "Accident repair // // Replace {p}, crash damage",
    "d:Picked up cable in street // Wrapped up & tore out {p} // Cut cable off, R&R [{n}|same]",
    "b:Road debris // {p} sliced by debris // [Replaced|New {n}]",
    "Vandalism // {p} damaged by vandals // Replaced, police report filed",
    "j:[Hit curb plowing|Hit curb on ice] // {p} busted from impact // R&R [{n}|same]",
    "Winched out of ditch // {p} damaged by tow chain // Replaced",
    "Tow damage // {p} got hooked by wrecker // Replaced, tow co to pay",
    "Unit hit by other vehicle // Impact got {p} // R&R",
    "Insurance claim // {p} damaged in wreck // New {n} installed", "Crash repair, see estimate // // {p} replaced",
    "Plow truck struck manhole // Impact damage {p} // R&R",
    "Rock came up from gravel // {p} damaged by rock // Replaced", "b:Rodent damage // {p} chewed thru // Replaced",
    "b:Grass fire under unit // {p} melted // Replaced", "j:Ran off road, hit culvert // {p} broken from hit // R&R",
    "Storm damage, drove over downed limb // {p} torn up // R&R",
]  # fmt: skip
COMEBACK = [
    "Comeback // {p} installed wrong last time // [Replaced|R&R again], no charge",
    "Back again, same as last WO // New {p} already failed, defective // Replaced under warranty",
    "u:Rework // Snap ring not seated on {p} we put in last week // R&R u-joint again",
    "Repeat repair // {p} from last WO defective out of box // Replaced, warranty claim sent",
    "b:Redo // Clamp left loose, {p} we installed came off & tore // Replaced again",
    "Vendor rework // Outside shop botched {p} // Replaced, back charged vendor",
    "Recheck prior repair // {p} failed again in 300 mi // R&R no chg",
    "Part warranty // {p} bad, we replaced it [2 wks|3 mo] ago // Replaced again",
    "Repeat // Wrong {p} put in last time // Installed correct one", "// Prior repair failed // Replaced {p} again",
    "Comeback from last month // // {p} replaced 2nd time, bad new part",
    "{s} came back after our repair // Prior repair of {p} didn't hold // Replaced again",
    "QC reject after our repair // {p} not installed right // Redone w/ new {n}",
    "Shop error // {p} put in wrong by tech on last WO // Replaced, no chg",
    "Warranty rework // // R&R {p} again, new part was defective",
    "Dept back w/ same problem after repair // Our {p} install failed // Redid w/ new {n}",
]  # fmt: skip
UNSAID = [
    "// // R&R {p}", "// // Replaced {p}", "See tech notes // // {p} replaced",
    "Chassis work // // New {p} installed", "// // Removed & replaced {p}", "Per supv // // Change {p}. Done",
    "// {p} // Replaced", "As assigned // // Put in new {p}", "Replace {p} // // Done", "// // Installed {p}, new",
]  # fmt: skip
# The place of a single part in another cell than its name: {c} is the name, {l} the place.
SPLIT = {
    "failed": ["Driver states {s} // {c} bad // R&R. Location: {l}", "{s} // {c} no good, {l} // Replaced",
        "{s} // Failed {c} // Replaced ({l})"],
    "worn": ["PM-B insp, {l} // {c} worn // R&R", "Annual insp // {c} worn // Replaced ({l})",
        "PM insp // Worn {c} // R&R. Location: {l}"],
    "planned": ["Sched changeout {c} // Due by miles // R&R, {l}", "PM-D // {c} due per schedule // Changed ({l})"],
    "damage": ["Accident damage, {l} // {c} damaged in crash // Replaced",
        "Ran over debris // {c} damaged by debris // R&R. Location: {l}"],
    "comeback": ["Comeback, {l} // New {c} defective // Replaced again no chg",
        "Redo of our repair // {c} put in wrong // Redone w/ new ({l})"],
    "collateral": ["See other line // Had it apart, did {c} too // Replaced ({l})",
        "With other repair, {l} // // New {c} while in there"],
}  # fmt: skip
IDLE = {
    "look": ["[Driver c/o|] {s} // Could not duplicate, {p} checks good // No repair",
        "PM-B // Inspected {p}, OK // None needed", "{s} // {p} checks OK // Road tested, no problem found",
        "// // Checked {p}, within spec", "j:Oper reports {s} // NPF, {p} tight // Returned to svc",
        "b:Check for grease leak // {p} intact, no tears // Wiped down", "Inspect {p} // Good // No action",
        "Preseason check // {p} ok // N/A", "Check {p} per driver // No defect found // OK'd for service",
        "// // Looked over {p}, good to go"],
    "grease": ["PM-A // // Lubed {p}", "{s} // {p} dry // Greased, cleared up", "// // Greased {p}",
        "Lube // {p} // Greased till it purged", "Chassis lube // // Hit {p} w/ grease gun",
        "Noise // {p} dry // Lubed, noise gone", "PM svc // // Lube {p}, took grease good",
        "// {p} needed grease // Greased"],
    "adjust": ["c:// Bolts loose at {p} // Torqued to spec",
        "// {p} pulled for other repair // Reinstalled same part",
        "b:// Clamp loose on {p} // Installed new clamp, boot reused",
        "c:PM // {p} hardware loose // Retightened w/ threadlocker",
        "// // Disconnected {p} for access, reinstalled original", "// // Cleaned {p} & put back in, reused",
        "c:{s} // {p} bolts backed off // Snugged up & torqued", "R&I only // {p} // Removed for access, reinstalled"],
    "later": ["PM-B // {p} starting to wear // Not done, [parts on order|will schedule|waiting on parts]",
        "j:PM // {p} getting a little loose // Monitor, recheck next PM",
        "b:PM // {p} has surface cracks, not leaking // Watch", "// // Need to replace {p}, part on backorder",
        "// // Recommend {p} at next PM", "PM-C // {p} slight wear, still in limits // No repair at this time",
        "{s} // Suspect {p} // Deferred to next visit, no stock", "Quote for {p} // // Dept declined, not replaced",
        "// // {p} on order, unit released till part comes in", "Future work // {p} // Ordered, not installed yet",
        "PM // {p} will need replaced soon // Advised dept, not approved yet"],
}  # fmt: skip
REMARKS = {
    "look": ["{p} checks OK", "{p} inspected, good", "checked {p}, no problem"],
    "later": ["{p} will need replaced next PM", "watch {p}", "recommend {p} next visit",
        "{p} on order, not installed"],
}  # fmt: skip
OTHER = [
    "Brakes grinding // Front pads metal to metal // Replaced pads & rotors",
    "PM-B // [LF|RF] lower ball joint worn // R&R ball joint",
    "Growl from [LF|RF] // Wheel bearing bad // Replaced hub brg assy",
    "Wanders // Outer tie rod end loose // Replaced, aligned",
    "// Rack & pinion boot torn driver side // Replaced rack boot",
    "Oil leak rear // Pinion seal leaking // R&R pinion seal", "No crank // Battery dead // Replaced battery",
    "A/C noisy // Compressor clutch bearing bad // Replaced compressor",
    "Trans leak // Output shaft seal // Replaced seal",
    "Clutch slips // Disc worn out // R&R clutch, t/o bearing & pilot bearing",
    "Salter auger won't turn // PTO shaft u-joint broke // Replaced PTO u-joint",
    "Clunk over bumps // Sway bar links worn // Replaced both", "Shifter boot ripped // // Replaced shift boot",
    "Belt squeal // Idler pulley bearing bad // R&R idler",
    "Exhaust rattle // Flex joint cracked // Replaced flex pipe",
    "Plow won't angle // Hyd swivel joint leaking // Replaced swivel",
    "Steering loose // Drag link end worn // Replaced drag link",
    "Annual DOT // King pins loose [LF|RF] // R&R king pins",
    "Rear end whine // Diff carrier & pinion bearings bad // Rebuilt rear diff",
    "PM-C // Due // Changed diff & t-case fluid", "Spring u-bolts loose // // Retorqued u-bolts",
    "Pintle hitch dry // // Greased pintle", "4x4 inop // Bad locking hub LF // Replaced hub",
    "PM-B // Caliper slide boots torn // Replaced caliper boots", "Wheel seal leaking RR // // Replaced wheel seal",
    "[Strobe|Beacon] inop // Bad ground // Repaired", "Engine mount broken // // R&R motor mount",
    "Tires worn // // Mounted 4 new tires", "Coolant leak // Water pump bearing out // R&R water pump",
    "Alternator noise // Alt bearing bad // Replaced alt", "PM-A // Due // LOF, topped fluids, lubed chassis",
    "RR axle seal leaking // Axle bearing rough // Replaced axle brg & seal",
    "Dump body hinge pins squeak // Dry // Greased hinge pins", "Steering wheel off center // // Aligned front end",
    "P/S leak // Steering gear seal // Resealed steering gear",
    "Ball joint grease boot split // // Replaced lower ball joint",
    "Won't shift // Trans cable bushing worn // Replaced shift cable",
    "Rough idle // Spark plugs worn // Replaced plugs",
]  # fmt: skip
BOOK = Phrasebook(
    voice=VOICE, symptoms=SYMPTOMS,
    reasons={"failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
        "comeback": COMEBACK},
    unsaid=UNSAID, idle=IDLE, other=OTHER, short=SHORT,
)  # fmt: skip
BOOK_ONE_SHAFT = replace(BOOK, voice=VOICE_ONE_SHAFT)
BLANK = ("", "", "", "N/A", "--")


def book_of(job):
    """The phrases whose places suit the vehicle."""
    two_shafts = any(position.startswith("front.") for position in job.layout)
    return BOOK if two_shafts else BOOK_ONE_SHAFT


def cells_of(rng, job):
    """Complaint, cause and correction of a job, without its further work."""
    book = book_of(job)
    ends = {part.component.split("_")[-1] for part in (job.lead, job.refers) if part is not None}
    if job.place == "order" and not job.component and len(ends) > 1:
        # "Same spot" would be untrue of the other end of the shaft, so its name is given.
        job = replace(job, component=True)
    single = len(job.parts) == 1 and not job.assembly and job.component and job.reason
    if job.kind == "renewal" and single and job.place == "full" and rng.random() < 0.2:
        place = book.voice.place(rng, job.lead, job)
        if place:
            name = pick(rng, book.voice.names[job.lead.component])
            phrase = pick(rng, SPLIT[job.lead.reason]).replace("{c}", name).replace("{l}", place)
            return [cell.strip() for cell in book.filled(rng, phrase, job).split("//")]
    return [cell.strip() for cell in book.clause(rng, job).split("//")]


def numbered(rng, one, other):
    """Two jobs in one line: numbered through the cells, or all of it in the correction."""
    mark = pick(rng, ["{}) ", "{}. ", "#{} ", "({}) "])
    if rng.random() < 0.25:
        told = [mark.format(i) + " - ".join(filter(None, cells)) for i, cells in enumerate((one, other), 1)]
        return [pick(rng, ["See correction", "2 items", ""]), "", "; ".join(told)]
    return numbered_cells(mark, one, other)


def closed(rng, job, cells):
    """The cells with a remark on another part, or with the usual close, behind the correction."""
    kind = "later" if rng.random() < 0.5 else "look"
    remark = replace(book_of(job), idle=REMARKS).aside(rng, job, kind)
    close = pick(rng, ["test drove OK", "road tested", "unit RTS", "RTS", "test drive good"])
    if remark and rng.random() < 0.4:
        close = pick(rng, ["also ", "note: ", ""]) + remark
    return [*cells[:2], f"{cells[2]}. {close}"]


def cased(rng, cells):
    """Service writers and technicians differ in how they use capitals."""
    draw = rng.random()
    if draw < 0.3:
        return [cell.upper() for cell in cells]
    if draw < 0.45:
        return [cells[0].upper(), cells[1].lower(), cells[2].lower()]
    if draw < 0.6:
        return [cell.lower() for cell in cells]
    return [cell[:1].upper() + cell[1:] for cell in cells]


def words(rng, job):
    """Complaint, cause and correction; a second job is numbered through them."""
    cells = cells_of(rng, job)
    if job.second is not None:
        cells = numbered(rng, cells, cells_of(rng, job.second))
    if job.also == "other":
        pair = [cells, [cell.strip() for cell in BOOK.foreign(rng).split("//")]]
        cells = numbered(rng, *(pair if rng.random() < 0.7 else pair[::-1]))
    elif job.also == "look":
        cells = [*cells[:2], cells[2] + pick(rng, [". Rest of driveline OK", ". Checked brakes & fluids, OK"])]
    elif job.kind == "renewal" and rng.random() < 0.2:
        cells = closed(rng, job, cells)
    filled = [cell or pick(rng, BLANK) for cell in cells]
    return dict(zip(("complaint", "cause", "correction"), cased(rng, filled), strict=True))


MODELS = {
    ("crew_truck", "rear_two_piece"): "CREW CAB DUMP 2WD", ("service_van", "all_wheel"): "CARGO VAN AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "CABOVER CREW TRUCK",
    ("field_pickup", "four_wheel_independent"): "PICKUP 4X4 IFS", ("utility_4x4",
    "four_wheel_solid"): "UTILITY 4X4 SOLID AXLE",
    ("yard_truck", "rear_one_piece"): "YARD TRUCK", ("yard_truck",
    "rear_one_piece+slip_spline"): "YARD TRUCK SLIP SHAFT",
    ("town_car", "front_half_shafts"): "SEDAN FWD",
}  # fmt: skip
COLUMNS = {
    "WO #": "order", "WO DATE": "date", "UNIT": "unit", "MILES": "odometer", "COMPLAINT": "complaint",
    "CAUSE": "cause", "CORRECTION": "correction", "COMP CODE": "component", "WHY CODE": "reason",
    "PART #": "part_number", "QTY": "quantity", "LABOR HRS": "hours", "PARTS COST": "cost",
}  # fmt: skip
CODES = {
    "component": {"u_joint": "D10", "cv_joint_outboard": "D21", "cv_joint_inboard": "D22", "cv_boot_outboard": "D31",
        "cv_boot_inboard": "D32", "support_bearing": "D40", "slip_spline": "D50", "steering_joint": "S15"},
    "reason": {"failed": "BRKDN", "worn": "INSP", "planned": "SCHED", "collateral": "W/OTHER", "damage": "ACC",
        "comeback": "REDO"},
}  # fmt: skip


SHOP = Shop(
    name="N",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "CG-"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["CG-", "CG", "CG "])),
    },
    write=delimited_writer(MODELS, titles=("CITY GARAGE", "WORK ORDER HISTORY"), date_order="mdy", parts=True),
    order_name=lambda job: f"W{int(job.order):06d}",
    codes=CODES,
    distance_unit="mi",
    day=lambda day: day.strftime("%m/%d/%Y"),
    shares=Shares(coded=0.33),
    typos=0.05,
)
