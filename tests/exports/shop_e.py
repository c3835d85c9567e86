"""Shop E (held out): a technician who likes to tell; prose in three columns, right-hand drive, a workbook."""

from export_files import CLEAN, Mess, toml_map, write_workbook
from exporting import Shop, settings_head
from phrases import Voice, pick, spin, tidy

VOICE = Voice(
    names={
        "u_joint": ["uni joint", "uni", "universal", "tailshaft uni", "uni joint in the tailshaft",
            "universal joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "outside CV", "outer constant velocity joint",
            "CV at the hub end", "outboard CV"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "inside CV", "inner constant velocity joint",
            "CV at the gearbox end", "inboard CV"],
        "cv_boot_outboard": ["outer CV boot", "outer boot", "outside CV boot", "boot on the outer CV",
            "outer driveshaft boot"],
        "cv_boot_inboard": ["inner CV boot", "inner boot", "inside CV boot", "boot on the inner CV",
            "inner driveshaft boot"],
        "support_bearing": ["tailshaft centre bearing", "centre bearing", "tailshaft carrier bearing",
            "centre bearing on the tailshaft", "centre support bearing"],
        "slip_spline": ["slip yoke on the tailshaft", "tailshaft slip joint", "sliding spline in the tailshaft",
            "tailshaft splines",
            "slip joint in the tailshaft"],
        "steering_joint": ["uni on the steering column", "steering shaft uni", "steering column joint",
            "steering shaft universal",
            "uni in the steering shaft"],
    },
    vague={
        "cv_joint_outboard": ["CV", "CV joint"], "cv_joint_inboard": ["CV", "CV joint"],
        "cv_boot_outboard": ["CV boot", "driveshaft boot"], "cv_boot_inboard": ["CV boot", "driveshaft boot"],
    },
    sides={
        "left": ["left", "left hand", "passenger side", "left front", "passenger's side"],
        "right": ["right", "right hand", "driver's side", "right front", "driver side"],
        "both": ["left and right", "both sides", "driver's and passenger's side"],
    },
    places={
        "rear.joint_front": ["at the front of the rear tailshaft", "at the gearbox end of the rear shaft",
            "up front on the rear tailshaft", "rear tailshaft, gearbox end"],
        "rear.joint_front|alone": ["at the gearbox end", "at the front of the tailshaft", "up the gearbox end"],
        "rear.joint_centre": ["in the middle of the rear tailshaft", "just behind the centre bearing",
            "rear tailshaft centre", "halfway down the rear shaft"],
        "rear.joint_centre|alone": ["in the middle", "next to the centre bearing"],
        "rear.joint_rear": ["at the diff end of the rear tailshaft", "at the back of the rear tailshaft",
            "rear tailshaft, diff end", "down at the rear diff"],
        "rear.joint_rear|alone": ["at the diff", "at the diff end", "at the back of the tailshaft"],
        "front.joint_front": ["at the front of the front tailshaft", "at the front diff end of the front shaft",
            "front tailshaft, diff end", "up the front diff end of the front tailshaft"],
        "front.joint_rear": ["at the back of the front tailshaft", "at the transfer end of the front shaft",
            "front tailshaft, transfer case end",
            "where the front tailshaft meets the transfer case"],
        "steering.joint_upper": ["top", "upper", "top end", "upper end"],
        "steering.joint_lower": ["bottom", "lower", "bottom end", "lower end"],
    },
    shafts={"rear": ["in the rear tailshaft", "on the rear shaft"], "front": ["in the front tailshaft",
        "on the front shaft"]},
    axles=["in the {p} front axle", "in the {p} front swivel hub", "on the {p} front axle shaft"],
    joins=["{n} {p}"],
    half_shafts=["complete CV shaft", "whole driveshaft", "exchange CV shaft", "driveshaft assembly"],
    pairs=["both unis in the rear tailshaft", "pair of unis, rear tailshaft", "the two unis on the rear shaft"],
    with_boot=["with a boot", "and its boot", "plus a new boot kit", "and a fresh boot to go with it"],
    both_boots=["inner and outer boots", "both boots on the shaft", "inner and outer CV boots"],
    same_side=["same side", "same-side"],
    same=["{n} on that one", "{n} to go on it", "{n} on the same shaft end"],
    ands=(" and the ", " plus the ", " and "),
)


def _noun(rng, job):
    """Sides before the name, ends of shafts behind it."""
    parts = {part.position.split(".")[0] for part in job.parts}
    before = parts <= {"left", "right", "steering"}
    voice = Voice(**{**VOICE.__dict__, "joins": ("{p} {n}",)}) if before else VOICE
    return voice.noun(rng, job)


HEARD = {
    "u_joint": [
        "it's got a nasty clunk going from reverse to drive", "there's a squeak like a bird at walking pace",
        "she shakes at 80", "a bang every time he gets on the throttle",
        "it vibrates through the floor", "something's knocking underneath on take off",
    ],
    "cv_joint_outboard": ["it clicks going round roundabouts", "clack clack clack on full lock",
        "makes a clicking racket doing U-turns", "cracking noise turning into the yard"],
    "cv_joint_inboard": ["it shudders when you put the boot in", "the front end wobbles on acceleration",
        "it shakes pulling up hills"],
    "cv_boot_outboard": ["there's grease all over the inside of the wheel", "black muck flung up the guard",
        "grease sprayed over the rim"],
    "cv_boot_inboard": ["there's grease dripping near the gearbox", "muck all over the sump guard",
        "a smell of burnt grease"],
    "support_bearing": ["there's a rumble under the seats", "it howls around 70",
        "shudder from underneath taking off loaded", "the shaft is flogging around under there"],
    "slip_spline": ["it gives a thump just after you pull up", "clunks as it comes to a stop"],
    "steering_joint": ["the steering has a notch in it", "there's a rattle in the wheel on bumps",
        "it's tight turning one way"],
}
FAILED = [
    ("Driver reckons {h}.",
    "[Took it for a spin and he's right. |Went for a drive with him. |]Found the {p} [stuffed|buggered|had it].",
    "[Pulled it down and put a new one in|Fitted a new one|Swapped it for a new one]. [All quiet now.|]"),
    ("{h}, driver says.", "The {p} is the culprit.", "Changed it."), ("Came in on the hook, no drive.",
    "j:The {p} had let go completely.", "Fitted new."),
    ("j:Broke down out on the job.", "Went out and found the {p} in pieces.", "Replaced it on the side of the road."),
    ("Customer complaining {h}.", "", "Replaced the {p} and it's gone."),
    ("Noise job: {h}.", "Traced it to the {p}.", "New one in."), ("{h}", "Pretty sure it's the {p}, and yep.",
    "Put a new one in."), ("Won't stop making noise.", "The {p} is dead.", "Replaced."),
    ("Driver called up, {h}.", "The {p} is cactus.", "New one fitted, road tested."), ("Said {h}.",
    "Could feel it in the {p}.", "Replaced that."), ("j:Seized up on the highway.", "The {p} locked solid.",
    "Cut it out and fitted a new one."),
    ("Urgent one, {h}.", "", "Whipped the {p} out and fitted a replacement."), ("{h}, getting worse by the day.",
    "The {p} failed.", "Renewed it."),
]
WORN = [
    ("In for a service.", "While I was under there I found the {p} worn.", "[Replaced it|Put a new one in]."),
    ("Booked service.", "Noticed the {p} was [on its last legs|past it].", "Fitted new."),
    ("Rego inspection.", "Can't pass it with the {p} like that.", "Replaced it."), ("Safety check.",
    "The {p} is [worn|no good].", "New one fitted."),
    ("20,000 km service.", "j:Grabbed the {p} and there was heaps of play.", "Replaced."),
    ("Inspection found a few things.", "The {p} was one of them, worn.", "Replaced that."),
    ("b:Service.", "Spotted the {p} cracked right round.", "Fitted a new one before it lets go."), ("",
    "Picked up the {p} worn out when doing the oil change.", "Changed it."),
    ("Yearly check.", "Knocked back on the {p}.", "Renewed."), ("Roadworthy.", "Failed on the {p}.",
    "Fixed with new."), ("Routine service, no complaints.", "The {p} was worn past the limit.", "Replaced."),
    ("Pre-trip inspection by me.", "Didn't like the {p}, too far gone.", "Changed it."), ("",
    "Service check turned up a tired {p}.", "Replaced it."),
]
PLANNED = [
    ("Due by the schedule.", "Nothing wrong with it.", "Changed the {p}."), ("Planned job.", "", "New {p} fitted."),
    ("Preventative.", "Still fine but that's the plan.", "Replaced the {p}."),
    ("100,000 km change-over.", "", "Put a new {p} in."), ("On the list for this month.", "No fault.",
    "Did the {p} as scheduled."), ("Scheduled replacement.", "", "{p} done."),
    ("Boss wants these done every three years.", "", "Changed the {p}."), ("Routine change out.", "",
    "Swapped the {p}."), ("Maintenance plan.", "Old one was OK.", "Fitted a new {p}."),
    ("Up to its kilometres.", "", "Replaced the {p} per plan."), ("Getting it ready before it breaks.",
    "Nothing wrong yet.", "New {p} in as preventive."), ("Big planned service.", "", "Includes the {p}, replaced."),
]
COLLATERAL = [
    ("", "", "Did the {p} while I had the shaft out."), ("", "No point putting the old one back.",
    "New {p} as well."), ("", "", "Threw a new {p} in while it was all apart."), ("Same job.", "",
    "{p} done at the same time."),
    ("", "Wrecked getting it off.", "Fitted a new {p}."), ("", "", "Since it was down anyway I changed the {p} too."),
    ("Extra to the above.", "", "Put a {p} on as well."), ("", "Had to come off to get to the other one.",
    "New {p} fitted going back together."),
    ("", "", "Replaced the {p} with it, silly not to."), ("Along with the other work.", "", "{p} replaced."), ("",
    "It was in the road.", "Renewed the {p} on the way back in."), ("", "",
    "Also did the {p} seeing it was stripped."),
]
DAMAGE = [
    ("Hit a roo.", "The {p} copped it.", "Replaced it."), ("Went over a log.", "Smashed the {p}.", "New one in."),
    ("Crash repair.", "", "{p} replaced."), ("b:Stick went through it.", "Tore the {p}.", "New one fitted."),
    ("Driver clobbered a gutter.", "The {p} is bent up.", "Replaced."), ("Accident damage.", "Took out the {p}.",
    "Fitted new."), ("Fence wire round the shaft.", "Ripped the {p}.", "Renewed."),
    ("Someone took to it in the car park.", "Damaged the {p}.", "Fitted another."),
    ("Insurance job.", "", "Replaced the {p}."), ("Bogged and dragged out backwards.", "Pulled the {p} apart.",
    "New one fitted."), ("Rock hit from underneath.", "{p} smashed.", "Replaced it."), ("Rolled it in a ditch.",
    "{p} damaged in the prang.", "New one."),
]
COMEBACK = [
    ("Back again.", "The {p} I put in last month was a dud.", "Fitted another under warranty."), ("Comeback.",
    "Someone didn't seat the {p}.", "Did it again with a new one."), ("Same problem as last time.",
    "New {p} already [noisy|gone], bad part.", "Replaced again, no charge."),
    ("Warranty on our work.", "", "Another {p} fitted."), ("Redo.", "The apprentice put the {p} in crooked.",
    "Redid it with new."), ("Not happy with last repair.", "The {p} was the wrong size.", "Right one in now."),
    ("Returned.", "Clip left out of the {p} by us.", "New one, done properly."), ("Second go at it.", "",
    "{p} replaced again."), ("Rework.", "{p} faulty out of the box.", "Fitted a good one."), ("Our stuff-up.",
    "Last {p} fitted wrong.", "Replaced it."),
    ("Came straight back.", "That {p} only lasted a week, faulty part.", "Replaced under warranty."),
    ("Rectify previous repair.", "", "Renewed the {p} again."),
]
UNSAID = [
    ("", "", "Replaced the {p}."), ("", "", "New {p} fitted."), ("", "", "Put a new {p} in."), ("As per job card.",
    "", "Changed the {p}."), ("", "", "Did the {p}, new one in."), ("Do the {p}.", "", "Done, new one fitted."), ("",
    "", "Pulled the old {p} and fitted new."),
]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip
IDLE = {
    "look": [
        ("Check the {p}.", "Nothing wrong with it.", "Left as is."), ("Driver thought {h}.",
        "Had a good look at the {p}, couldn't fault it.", ""), ("", "", "Had a look at the {p}, all good."),
        ("Service.", "{p} still nice and tight.", ""),
    ],
    "grease": [("", "", "Gave the {p} a pump of grease."), ("Squeaking.", "Dry as a bone.",
        "Greased the {p}, squeak gone."), ("Service.", "", "Greased the {p}."), ("", "",
        "Put some grease in the {p}.")],
    "adjust": [("", "j:Bolts loose at the {p}.", "Nipped them up."), ("Gearbox out.", "",
        "Dropped the shaft and put it back, {p} is OK."), ("", "",
        "Took the {p} off to get at something else, put it back."), ("b:", "Clamp came off the {p}.",
        "Put a clamp on.")],
    "later": [
        ("", "{p} won't last much longer.", "Told the boss, will do it next time."), ("",
        "{p} has a bit of movement.", "Keep an eye on it."), ("", "{p} needs doing.", "Waiting on parts."),
        ("Quote wanted.", "", "Priced up a {p}."), ("", "The {p} is getting worn.",
        "Customer doesn't want it done yet."),
        ("", "", "Ordered a {p} for next week."),
    ],
}  # fmt: skip
OTHER = [
    ("Brakes grinding.", "Pads down to the metal.", "New pads and rotors up front."), ("Clunk on bumps.",
    "Lower ball joint flogged out on the left.", "Replaced it."), ("Humming noise.", "Right front wheel bearing.",
    "Pressed a new one in."), ("", "Steering rack boot split.", "New rack boot on the passenger side."),
    ("Smells of exhaust.", "Flex joint blown.", "Welded a new one in."), ("Boot won't lock.", "",
    "New latch in the boot lid."), ("Service.", "", "Oil, filters, the usual."), ("Won't start.", "Battery stuffed.",
    "New battery."), ("", "Shocks leaking.", "Replaced both rear shocks."),
    ("Pulls left.", "Tie rod end worn.", "New tie rod end and wheel alignment."), ("Clutch slipping.", "",
    "New clutch and thrust bearing."), ("Oil on the ground.", "Pinion seal.", "New pinion seal."), ("Needs rubber.",
    "", "Four tyres."), ("Gear stick boot ripped.", "", "Fitted a new one."), ("Whining from the front.",
    "Alternator bearing.", "Swapped the alternator."),
    ("", "Diff centre howling.", "Rebuilt the diff with new bearings."), ("Sway bar rattling.", "", "New links."),
    ("Cold, no heat.", "", "Replaced the heater tap."), ("", "Ball joint boot torn.",
    "Fitted a new ball joint on the right."),
]  # fmt: skip
COLUMNS_OF = ("complaint", "cause", "correction")


def _triple(rng, options, job):
    other = "j:" if "boot" in job.lead.component else "b:"
    fits = [t for t in options if not any(cell.startswith(other) for cell in t)]
    noun = _noun(rng, job)
    heard = pick(rng, HEARD[job.lead.component])
    cells = [spin(rng, c.removeprefix("j:").removeprefix("b:")) for c in fits[int(rng.integers(len(fits)))]]
    cells = [c.replace("{p}", noun).replace("{h}", heard) for c in cells]
    return [c[:1].upper() + c[1:] for c in cells]


def words(rng, job):
    """Three columns of prose."""
    if job.kind == "other":
        cells = list(OTHER[int(rng.integers(len(OTHER)))])
    else:
        options = IDLE[job.kind] if job.kind != "renewal" else REASONS[job.lead.reason] if job.reason else UNSAID
        cells = _triple(rng, options, job)
    if job.second is not None:
        more = " ".join(c for c in _triple(rng, REASONS[job.second.lead.reason], job.second) if c)
        cells[2] += pick(rng, [" Next one. ", " And another thing. ", " Second job. "]) + more
    if job.also == "other":
        cells[2] += " " + " ".join(c for c in OTHER[int(rng.integers(len(OTHER)))] if c)
    elif job.also == "look":
        cells[2] += pick(rng, [" Checked the other side while I was there, fine.",
            " Rest of the driveline looks good."])
    return dict(zip(COLUMNS_OF, (tidy(c) for c in cells), strict=True))


MODELS = {
    ("crew_truck", "rear_two_piece"): "Crew cab tray",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Crew cab tray (cabover)",
    ("service_van", "all_wheel"): "Service van AWD",
    ("field_pickup", "four_wheel_independent"): "Ute 4WD IFS",
    ("utility_4x4", "four_wheel_solid"): "Wagon 4WD live axle",
    ("yard_truck", "rear_one_piece"): "Yard tray",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard tray slip shaft",
    ("town_car", "front_half_shafts"): "Hatchback",
}
COLUMNS = {
    "Job": "order", "When": "date", "Rig": "unit", "Clock": "odometer", "What they said": "complaint",
    "What I found": "cause",
    "What I did": "correction", "Hours": "hours", "Parts $": "cost",
}  # fmt: skip
SHEETS = {"vehicles": "Rigs", "readings": "Clock readings", "repairs": "Diary", "inspections": "Looks",
    "ride_height": "Lifts"}
FILE = "workshop diary.xlsx"


def write(shop, sheets, folder, messy):
    """A workbook; the three columns are named together for `text`."""
    mess = {"Diary": Mess(titles=("Workshop diary", ""), page=40, blanks=4)} if messy else {"Diary": CLEAN}
    places = write_workbook(folder / FILE, {name: sheets[key] for key, name in SHEETS.items()}, messes=mess,
        date_format="d mmm yyyy")
    columns = {"order": "Job", "date": "When", "unit": "Rig", "odometer": "Clock", "labour_hours": "Hours",
        "parts_cost": "Parts $"}
    text = settings_head(shop)
    for key, name in SHEETS.items():
        text += f'\n[tables.{key}]\nfile = "{FILE}"\nsheet = "{name}"\n'
        if key == "repairs":
            text += toml_columns(columns, ("What they said", "What I found", "What I did"))
        if key == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places["Diary"]]


def toml_columns(columns, texts):
    """Key `columns` with several headings for the text."""
    several = ", ".join(f'"{heading}"' for heading in texts)
    return f"columns = {toml_map(columns)[:-2]}, \"text\" = [{several}] }}\n"


SHOP = Shop(
    name="E",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "Rig "),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["Rig ", "rig ", "RIG", "Rig-"])),
    },
    write=write,
    order_name=lambda job: f"{int(job.order)}",
    day=lambda day: day,
    number=lambda value, places: round(value, places),
    steering="right",
    typos=0.2,
)
