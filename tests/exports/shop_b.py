"""Shop B: a haulier's garage, right-hand drive, nearside and offside; workbook, complaint, cause and correction."""

from export_files import CLEAN, Mess, toml_map, write_workbook
from exporting import Shop, settings_head
from phrases import Voice, pick, spin, tidy
from true_jobs import HALF_SHAFT

VOICE = Voice(
    names={
        "u_joint": ["UJ", "u/j", "prop UJ", "propshaft u/j", "uni joint", "UJ cross", "universal joint"],
        "cv_joint_outboard": ["outer CV", "outer CV joint", "o/board CV joint", "outer c/v joint", "hub end CV joint",
            "CV (outer)"],
        "cv_joint_inboard": ["inner CV", "inner CV joint", "i/board CV joint", "inner c/v joint", "diff end CV joint",
            "inner tripod"],
        "cv_boot_outboard": ["outer CV gaiter", "outer CV boot", "o/board CV gaiter", "outer driveshaft gaiter",
            "CV boot (outer)", "hub end gaiter"],
        "cv_boot_inboard": ["inner CV gaiter", "inner CV boot", "i/board CV gaiter", "inner driveshaft gaiter",
            "CV boot (inner)", "gearbox end driveshaft gaiter"],
        "support_bearing": ["prop centre bearing", "centre brg", "c/brg on prop", "propshaft carrier bearing",
            "prop support brg", "centre bearing", "prop hanger bearing"],
        "slip_spline": ["prop sliding joint", "sliding spline on prop", "slip yoke", "splines on prop",
            "prop slider"],
        "steering_joint": ["steering column UJ", "column u/j", "steering UJ", "steering shaft knuckle joint",
            "steering col joint"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV", "c/v jt"], "cv_joint_inboard": ["CV joint", "CV", "c/v jt"],
        "cv_boot_outboard": ["CV gaiter", "driveshaft gaiter", "CV boot"], "cv_boot_inboard": ["CV gaiter",
            "driveshaft gaiter", "CV boot"],
    },
    sides={
        "left": ["N/S", "n/s/f", "nearside", "NSF", "passenger side", "kerb side"],
        "right": ["O/S", "o/s/f", "offside", "OSF", "driver's side", "driver side"],
        "both": ["N/S & O/S", "both sides", "n/s and o/s", "NSF + OSF"],
    },
    places={
        "rear.joint_front": ["rear prop front", "rear prop g/box end", "front of rear prop", "rear prop, gearbox end",
            "rear prop frt"],
        "rear.joint_front|alone": ["front", "g/box end", "gearbox end", "frt"],
        "rear.joint_centre": ["rear prop centre", "mid rear prop", "rear prop behind c/brg", "rear prop middle"],
        "rear.joint_centre|alone": ["centre", "middle", "by centre brg", "mid"],
        "rear.joint_rear": ["rear prop diff end", "rear prop rear", "rear prop axle end", "rear prop at diff",
            "rear prop pinion end"],
        "rear.joint_rear|alone": ["diff end", "rear", "axle end", "at back axle"],
        "front.joint_front": ["front prop front", "front prop axle end", "front prop diff end",
            "front prop at front axle"],
        "front.joint_rear": ["front prop rear", "front prop transfer box end", "front prop t/box end",
            "front prop at transfer box"],
        "steering.joint_upper": ["upper", "top", "upper (cab end)", "top end"],
        "steering.joint_lower": ["lower", "bottom", "lower, box end", "bottom end"],
    },
    shafts={"rear": ["rear prop", "rear propshaft"], "front": ["front prop", "front propshaft"]},
    axles=["{p} front halfshaft", "front axle {p}", "{p} swivel", "{p} front axle shaft"],
    joins=["{p} {n}", "{p} {n}", "{n} {p}", "{n} ({p})"],
    half_shafts=["driveshaft assy", "complete driveshaft", "driveshaft complete", "recon driveshaft"],
    pairs=["both UJs on rear prop", "rear prop UJs x2", "rear prop both u/js", "pair of UJs rear prop"],
    with_boot=["& gaiter", "+ boot kit", "complete with gaiter", "inc boot", "and gaiter"],
    both_boots=["inner & outer CV gaiters", "both gaiters on driveshaft", "inner + outer CV boots"],
    same_side=["same side", "s/side", "(same side)"],
    same=["{n} on above", "{n} to suit", "{n} for same"],
)

SYMPTOMS = {
    "u_joint": [
        "clonk taking up drive", "knock on take up", "squeaking from prop at low speed", "vibration at 50 mph",
        "prop knocking on overrun",
        "clunk selecting D or R", "chirping pulling away",
    ],
    "cv_joint_outboard": ["clicking on lock", "clacking on full lock", "knocking on roundabouts",
        "grating noise turning hard"],
    "cv_joint_inboard": ["judder pulling away", "shudder on acceleration", "shimmy under load",
        "vibration on hard pull"],
    "cv_boot_outboard": ["grease up inside of wheel", "grease flung round hub", "gaiter split, grease everywhere",
        "grease on inside of rim"],
    "cv_boot_inboard": ["grease on gearbox casing", "grease dripping by diff output",
        "gaiter perished and split, grease out"],
    "support_bearing": [
        "droning from mid vehicle", "rumble under load bed", "prop thumping on tunnel",
        "judder pulling off from middle of van", "howling under floor at 40",
    ],
    "slip_spline": ["thump after stopping", "clonk coming to a stop", "jerk when stopping"],
    "steering_joint": ["notchy steering", "knock through steering wheel", "steering tight spot", "slack in steering"],
}
#: (complaint, cause, correction); empty parts are left out.
FAILED = [
    ("[driver reports|drvr reports|defect card:] {s}", "{p} [worn|knackered|shot]", "[fitted new|replaced|renewed]"),
    ("{s}", "play in {p}", "{p} renewed"), ("VOR {s}", "{p} [failed|u/s]", "renewed {p}"),
    ("j:broken down [A-road|at roadside|on site]", "{p} let go", "[supplied and fitted|fitted] new {p}"),
    ("j:recovered in, no drive", "{p} [sheared|broken up]", "new {p} fitted"), ("{s} - investigate", "traced to {p}",
    "{p} replaced"),
    ("noise reported by driver", "{p} noisy", "replaced {p}"), ("", "{p} u/s, {s}", "renewed"),
    ("{s}", "", "replaced {p}, road test OK"), ("driver complaint {s}", "", "renewed {p}"),
    ("j:lost drive on motorway", "{p} disintegrated", "fit new {p}"), ("running repair: {s}", "{p} dry and seized",
    "fitted {p}"),
    ("driver defect: {s}", "{p} had it", "{p} changed"), ("b:driver says {s}", "{p} split", "new {p} fitted"),
]  # fmt: skip
WORN = [
    ("[6 weekly|safety] inspection", "{p} [worn|excess play]", "{p} renewed"), ("PMI sheet", "{p} worn beyond limits",
    "fitted new {p}"),
    ("MOT prep", "{p} [will not pass|not good enough]", "replaced {p}"), ("MOT failure item", "{p}", "renewed {p}"),
    ("service", "found {p} worn", "{p} replaced"), ("found on inspection", "{p} [worn|u/s]", "renewed"),
    ("", "noted on service: {p} [worn|at limit]", "replaced {p}"), ("annual test check", "{p} condemned",
    "new {p} fitted"),
    ("", "inspection found {p} past its best", "renewed {p}"), ("PMI rectification", "", "{p} worn, renewed"),
    ("defect found by fitter on service", "{p}", "fitted new"), ("8 wk insp, j/c item", "{p} worn", "renewed {p}"),
    ("b:safety insp", "{p} cracked", "renewed {p}"), ("", "{p} picked up as worn on PMI", "replaced"),
]  # fmt: skip
PLANNED = [
    ("scheduled change", "", "{p} renewed"), ("planned replacement", "", "fitted new {p}"), ("", "due on mileage",
    "{p} replaced"),
    ("service plan item", "no defect", "{p} changed"), ("", "preventative", "renewed {p}"), ("planned maint", "",
    "replaced {p}"),
    ("campaign: change {p}", "", "done"), ("time expired item", "", "{p} renewed"), ("", "lifed item",
    "{p} changed out"),
    ("yearly changeover", "", "new {p} fitted as per plan"), ("", "changed on schedule, old one still ok",
    "{p} replaced"),
    ("150k service item", "", "{p} renewed per schedule"), ("routine renewal {p}", "", "carried out"),
]  # fmt: skip
COLLATERAL = [
    ("", "", "{p} done while shaft off"), ("", "", "also fitted {p} as in there"), ("", "easier to do whilst apart",
    "{p} renewed"),
    ("", "", "{p} renewed same time"), ("further work", "disturbed on strip", "{p} replaced"), ("", "",
    "{p} changed as prop was down"),
    ("", "accessed with above repair", "{p} renewed too"), ("add on", "",
    "renewed {p} in conjunction with above job"),
    ("", "could not reuse after strip down", "{p} replaced"), ("", "", "while at it fitted {p}"), ("", "",
    "{p} renewed as part of same job"),
    ("", "", "{p} replaced as a matter of course with above"), ("", "destroyed on removal", "new {p}"),
]  # fmt: skip
DAMAGE = [
    ("accident repair", "{p} [damaged|bent]", "renewed {p}"), ("RTC damage", "", "{p} replaced"), ("hit kerb",
    "{p} damaged", "{p} renewed"),
    ("bodyshop job", "{p} smashed", "fitted new {p}"), ("driver hit [debris|a boulder|tree stump]", "{p} torn",
    "replaced {p}"),
    ("chargeable to driver", "{p} damaged reversing into bank", "renewed"), ("vandal damage", "{p} cut",
    "{p} replaced"),
    ("", "{p} damaged by rope wrapped round shaft", "renewed"), ("grounded on site", "{p} damaged", "renewed {p}"),
    ("insurance claim", "", "{p} renewed"), ("collision damage", "", "{p} found damaged, replaced"),
    ("pothole strike", "{p} broke", "renewed {p}"),
    ("wire wrapped round wheel", "{p} ripped", "new {p}"),
]  # fmt: skip
COMEBACK = [
    ("return job", "{p} fitted last time noisy again", "{p} replaced"), ("recall own work", "{p} not seated",
    "fitted another {p}"),
    ("warranty", "new {p} faulty", "replaced FOC"), ("back again", "{p} done last month failed", "renewed {p}"),
    ("repeat defect", "{p} incorrectly fitted", "renewed"), ("", "previous {p} wrong part", "correct {p} fitted"),
    ("rework", "", "{p} renewed again"), ("re-do", "circlip left off", "{p} replaced"), ("parts warranty", "",
    "{p} renewed, claim in"),
    ("workmanship issue", "{p} pressed in squint", "new {p} fitted"), ("job come back", "{p} gone again",
    "renewed {p}"),
    ("", "duff {p} from supplier", "replaced under warranty"),
]  # fmt: skip
UNSAID = [
    ("", "", "renewed {p}"), ("", "", "{p} replaced"), ("", "", "new {p} fitted"), ("", "", "fit {p}"), ("", "",
    "changed {p}"),
    ("as requested", "", "{p} renewed"), ("{p}", "", "replaced"), ("", "", "R&R {p}"), ("", "", "supply and fit {p}"),
]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip
IDLE = {
    "look": [
        ("{s}", "", "checked {p}, all OK"), ("inspection", "", "{p} checked, serviceable"), ("check {p}", "", "NFF"),
        ("", "", "inspected {p}, no wear"),
        ("driver reports noise", "nothing found", "checked {p}, roadtested, no fault"), ("PMI", "",
        "{p} satisfactory"),
    ],
    "grease": [("", "", "greased {p}"), ("lube", "", "{p} greased"), ("service", "", "grease to {p}"), ("", "{p} dry",
        "pumped grease in"), ("squeak", "{p} dry", "lubricated")],
    "adjust": [
        ("j:{s}", "{p} bolts loose", "nipped up"), ("clutch job", "", "prop off and back on, {p} ok"), ("", "",
        "{p} removed for access and refitted"),
        ("b:", "{p} clip off", "new clip fitted"), ("", "", "j:torqued {p} bolts"), ("", "", "refitted {p}"),
    ],
    "later": [
        ("PMI", "slight play {p}", "monitor"), ("", "", "advise {p} needs replacing"), ("advisory",
        "{p} starting to wear", ""), ("", "", "quote for {p}"),
        ("", "{p} worn", "awaiting parts"), ("", "{p} tired", "rebook to replace"), ("", "", "{p} on order"),
        ("MOT advisory", "{p} deteriorated", "no action"),
    ],
}  # fmt: skip
OTHER = [
    ("brakes pulling", "", "front pads and discs renewed"), ("MOT", "", "n/s lower ball joint replaced"), ("humming",
    "o/s wheel bearing", "renewed hub bearing"),
    ("", "", "steering rack gaiter renewed n/s"), ("track rod end play", "", "o/s TRE replaced"), ("exhaust blowing",
    "flexi joint", "renewed"),
    ("boot won't stay up", "boot lid struts", "replaced pair"), ("", "", "full service, oil and filters"), ("", "",
    "drop link n/s/f renewed"),
    ("knocking over bumps", "bottom arm bush", "renewed arm"), ("no start", "starter", "replaced starter motor"), ("",
    "", "kingpins renewed both sides"),
    ("gearstick gaiter torn", "", "replaced"), ("oil leak", "pinion seal", "renewed diff pinion seal"), ("", "",
    "spring U bolts replaced"),
    ("", "ball joint dust cover split", "new ball joint fitted o/s"), ("clutch slipping", "",
    "clutch and release bearing renewed"),
    ("tyre", "", "2 x steer tyres fitted"), ("coolant leak", "joint at thermostat housing", "resealed"), ("", "",
    "prop stand on trailer repaired"),
    ("mirror glass broken", "", "n/s mirror replaced"), ("vibration through pedal", "warped discs", "skimmed"), ("",
    "", "jump started, battery replaced"),
]  # fmt: skip


def _columns(triple):
    return dict(zip(("complaint", "cause", "correction"), (tidy(text) for text in triple), strict=True))


def _triple(rng, options, job):
    other = "j:" if "boot" in job.lead.component else "b:"
    fits = [t for t in options if not any(cell.startswith(other) for cell in t)]
    chosen = fits[int(rng.integers(len(fits)))]
    noun = VOICE.noun(rng, job)
    # Later columns name the part again without its place.
    again = "driveshaft" if job.assembly == HALF_SHAFT else "it" if len(job.parts) > 1 else noun
    symptom = pick(rng, SYMPTOMS[job.lead.component])
    filled, named = [], False
    for cell in chosen:
        text = cell.removeprefix("j:").removeprefix("b:").replace("{s}", symptom)
        text = text.replace("{p}", again if named else noun)
        named = named or "{p}" in cell
        filled.append(spin(rng, text))
    return filled


def words(rng, job):
    """Complaint, cause, correction."""
    if job.kind == "other":
        return _columns(OTHER[int(rng.integers(len(OTHER)))])
    if job.kind != "renewal":
        return _columns(_triple(rng, IDLE[job.kind], job))
    cells = _triple(rng, REASONS[job.lead.reason] if job.reason else UNSAID, job)
    if job.second is not None:
        more = _triple(rng, REASONS[job.second.lead.reason], job.second)
        joined = tidy(", ".join(text for text in more if text))
        cells[2] = f"{cells[2]}. Also {joined}" if rng.random() < 0.5 else f"{cells[2]}; {joined}"
    if job.also == "other":
        cells[2] += ". " + ", ".join(text for text in OTHER[int(rng.integers(len(OTHER)))] if text)
    elif job.also == "look":
        cells[2] += pick(rng, [". Rest of driveline OK", ", brakes checked ok", ". Other side checked, fine"])
    return _columns(cells)


MODELS = {
    ("crew_truck", "rear_two_piece"): "Tipper 7.5t crew",
    ("crew_truck", "rear_two_piece+steering_shaft"): "Tipper 7.5t FC",
    ("service_van", "all_wheel"): "Panel Van AWD L3",
    ("field_pickup", "four_wheel_independent"): "D/Cab pickup 4WD",
    ("utility_4x4", "four_wheel_solid"): "Utility HT 110",
    ("yard_truck", "rear_one_piece"): "Shunter 2",
    ("yard_truck", "rear_one_piece+slip_spline"): "Shunter 3",
    ("town_car", "front_half_shafts"): "Hatch 1.2",
}
ONE_TEXT = {
    "Job No": "order", "Date In": "date", "Fleet No": "unit", "Miles/Km": "odometer", "Details of Work": "text",
    "Qty": "quantity", "Hrs": "hours", "Parts £": "cost",
}  # fmt: skip
THREE_TEXTS = {
    "Job No": "order", "Date In": "date", "Fleet No": "unit", "Odometer": "odometer", "Complaint": "complaint",
    "Cause": "cause", "Correction": "correction", "Qty": "quantity", "Hrs": "hours", "Parts £": "cost",
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """One workbook with all tables; messy: titles, pages and totals around the lines."""
    mess = Mess(titles=("Workshop job listing", "Printed 30/06/2026", ""), page=55, totals=(8, 9), blanks=2)
    names = {"vehicles": "Fleet List", "readings": "Clock", "repairs": "Jobs", "inspections": "PMI",
        "ride_height": "Suspension"}
    repairs = sheets["repairs"] if messy else _joined(sheets["repairs"])
    tables = {name: repairs if key == "repairs" else sheets[key] for key, name in names.items()}
    messes = {"Jobs": mess if messy else CLEAN}
    places = write_workbook(folder / "garage export.xlsx", tables, messes=messes)["Jobs"]
    columns = THREE_TEXTS if messy else ONE_TEXT
    mapped = {key: heading for heading, key in columns.items() if key not in ("hours", "cost", *THREE_WORDS)}
    mapped |= {"labour_hours": "Hrs", "parts_cost": "Parts £"}
    settings = settings_head(shop)
    for key, name in names.items():
        settings += f'\n[tables.{key}]\nfile = "garage export.xlsx"\nsheet = "{name}"\n'
        if key == "vehicles":
            settings += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
        if key == "repairs":
            settings += f"columns = {toml_map(mapped)}\n"
    (folder / "fleet.toml").write_text(settings, encoding="utf-8")
    return [[place] for place in places]


THREE_WORDS = ("complaint", "cause", "correction")


def _joined(sheet):
    """The lines with complaint, cause and correction in one cell, as one of the garage's own lists has them."""
    places = [i for i, key in enumerate(THREE_TEXTS.values()) if key in THREE_WORDS]
    rows = []
    for row in sheet.rows:
        said = [f"{name}: {row[i]}" for name, i in zip(("Complaint", "Cause", "Correction"), places,
            strict=True) if row[i]]
        rows.append([*row[: places[0]], " / ".join(said), *row[places[-1] + 1 :]])
    return type(sheet)(tuple(ONE_TEXT), rows)


SHOP = Shop(
    name="B",
    words=words,
    repair_columns=THREE_TEXTS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "T"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["T", "t", "T ", "T-", "T/"])),
    },
    write=write,
    order_name=lambda job: f"J{10_000 + int(job.order)}",
    day=lambda day: day,
    number=lambda value, places: round(value, places),
    steering="right",
    typos=0.15,
)
