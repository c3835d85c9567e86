"""Shop A: a council workshop on the continent, left-hand drive; one text column, semicolons, decimal commas."""

from export_files import CLEAN, Mess, toml_map, write_delimited
from exporting import Shop, settings_head
from phrases import Voice, pick, spin, template, tidy

VOICE = Voice(
    names={
        "u_joint": ["universal joint", "U-joint", "cardan joint", "cross joint", "UJ", "propshaft joint",
            "joint cross"],
        "cv_joint_outboard": [
            "outer CV joint", "wheel-side CV joint", "outer drive joint", "outer homokinetic joint",
            "CV joint wheel side", "outer c.v. joint",
        ],
        "cv_joint_inboard": [
            "inner CV joint", "gearbox-side CV joint", "inner tripod joint", "inner drive joint",
            "CV joint gearbox side", "inner homokinetic joint",
        ],
        "cv_boot_outboard": [
            "outer CV boot", "wheel-side axle boot", "outer drive shaft gaiter", "outer driveshaft boot",
            "CV boot wheel side", "boot of the outer joint",
        ],
        "cv_boot_inboard": [
            "inner CV boot", "gearbox-side axle boot", "inner drive shaft gaiter", "inner driveshaft boot",
            "CV boot gearbox side", "boot of the inner joint",
        ],
        "support_bearing": [
            "centre bearing", "intermediate bearing of the propshaft", "propshaft support bearing",
            "cardan shaft centre bearing", "centre support", "middle bearing of propshaft",
        ],
        "slip_spline": [
            "sliding piece of the propshaft", "slip joint", "sliding spline", "splined slip yoke",
            "propshaft slip spline",
        ],
        "steering_joint": [
            "steering shaft joint", "joint of the steering column", "steering column universal joint",
            "cardan joint of the steering", "steering UJ",
        ],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "drive joint", "homokinetic joint"],
        "cv_joint_inboard": ["CV joint", "drive joint", "homokinetic joint"],
        "cv_boot_outboard": ["CV boot", "axle boot", "driveshaft gaiter"],
        "cv_boot_inboard": ["CV boot", "axle boot", "driveshaft gaiter"],
    },
    sides={
        "left": ["left", "LH", "driver side", "left side", "driver's side"],
        "right": ["right", "RH", "passenger side", "right side", "pass. side"],
        "both": ["left and right", "both sides", "LH + RH", "driver and passenger side", "left & right"],
    },
    places={
        "rear.joint_front": [
            "rear propshaft front", "front of rear cardan shaft", "rear propshaft, gearbox end",
            "rear shaft, front end", "rear propshaft on the transmission side",
        ],
        "rear.joint_front|alone": ["gearbox end", "transmission side", "front", "at gearbox output"],
        "rear.joint_centre": [
            "rear propshaft centre", "rear shaft, middle", "behind the centre bearing", "middle of rear propshaft",
            "between the two halves of the rear shaft",
        ],
        "rear.joint_centre|alone": ["middle", "centre", "at the centre bearing"],
        "rear.joint_rear": [
            "rear propshaft rear", "rear shaft, axle end", "rear propshaft, differential end",
            "rear cardan shaft at rear axle", "rear end of rear propshaft",
        ],
        "rear.joint_rear|alone": ["at rear axle", "differential end", "rear", "axle side", "rear diff side"],
        "front.joint_front": [
            "front propshaft front", "front shaft, axle end", "front propshaft at front axle",
            "front cardan shaft, front end", "front shaft at front differential",
        ],
        "front.joint_rear": [
            "front propshaft rear", "front shaft, transfer case end", "front propshaft at transfer box",
            "front cardan shaft, rear end", "rear end of front propshaft",
        ],
        "steering.joint_upper": ["upper", "top", "upper end of column", "inside cabin"],
        "steering.joint_lower": ["lower", "bottom", "at steering box", "lower end of column"],
    },
    shafts={
        "rear": ["rear propshaft", "rear cardan shaft", "rear shaft"],
        "front": ["front propshaft", "front cardan shaft", "front shaft"],
    },
    axles=["front axle {p}", "front axle shaft {p}", "{p} front axle shaft", "front wheel {p}"],
    joins=["{n} {p}", "{n} ({p})", "{n}, {p}", "{p} {n}", "{n} {p}"],
    half_shafts=["complete drive shaft", "drive shaft assembly", "complete axle shaft", "driveshaft compl."],
    pairs=["both universal joints of the rear propshaft", "2 cross joints rear propshaft",
        "rear shaft, both U-joints"],
    with_boot=["and boot", "incl. boot", "with new boot", "+ boot kit", "together with its boot"],
    both_boots=["inner and outer CV boot", "both boots of the drive shaft", "outer + inner axle boots"],
    same_side=["same side", "on the same side", "(side as above)"],
    same=["{n} of same", "{n} at this joint", "the {n} belonging to it"],
)

SYMPTOMS = {
    "u_joint": [
        "clunk when engaging gear", "knocks when changing load", "squeaks at walking pace",
        "vibration from 60 km/h on",
        "heavy play at the shaft", "knocking at pull-off", "chirping noise when rolling",
        "metallic clonk when reversing",
    ],
    "cv_joint_outboard": [
        "clicks in tight bends", "cracking noise at full lock", "clicking when turning under load",
        "rattles in corners", "knocks when steering hard",
    ],
    "cv_joint_inboard": [
        "shudders when accelerating", "vibration under load", "judder at pull-off",
        "knock at load change from the front",
    ],
    "cv_boot_outboard": ["grease on the wheel rim", "torn and throws grease", "grease thrown on the brake",
        "split open"],
    "cv_boot_inboard": ["grease on the gearbox", "torn, grease leaking", "clamp off and grease out", "split open"],
    "support_bearing": [
        "humming from middle of vehicle", "drone under the floor", "rumbles at 70 km/h", "shaft hits the tunnel",
        "shaking under the cab when starting off", "rubber torn and shaft hanging",
    ],
    "slip_spline": ["bump shortly after stopping", "knock when stopping", "shaft sticking, bumps when braking"],
    "steering_joint": ["steering sticks", "play in steering", "steering goes stiff in one place",
        "knock in steering wheel"],
}

FAILED = [
    "{p} replaced, {s}", "{p} renewed. [Driver|Driver's note|Crew]: {s}", "driver reports {s}: {p} [renewed|changed]",
    "j:{p} broken on the road, [new one fitted|replaced]", "j:towed in, {p} failed; new part fitted",
    "[breakdown|breakdown on the road]: {p} changed", "{p} [defective|gone], {s}, exchanged",
    "complaint {s}. Found {p} defective, renewed", "vehicle brought in with {s}, {p} replaced",
    "j:{p} collapsed, replaced with new", "{s} - replaced {p}", "unscheduled: {p} renewed ({s})",
    "j:{p} has seized while driving, exchanged", "j:recovery from motorway, {p} torn off, new part installed",
    "noise complaint ({s}) - {p} exchanged",
]  # fmt: skip
WORN = [
    "{p} found worn at [service|inspection], replaced",
    "j:at inspection {p} [has too much play|out of limits], renewed",
    "service: {p} worn, replaced", "{p} renewed, condemned at annual inspection",
    "during maintenance {p} found [bad|worn], changed",
    "j:{p} over wear limit at check, exchanged", "found at the [oil service|tyre change]: {p} worn out, renewed",
    "roadworthiness test: {p} rejected, replaced", "{p} replaced after finding at yearly inspection",
    "pre-inspection: {p} worn, new part fitted", "noticed during service that {p} is worn; replaced",
    "{p} did not pass the inspection, new one fitted", "{p} [beyond limit|past its limit] on inspection - renewed",
]  # fmt: skip
PLANNED = [
    "{p} replaced as planned", "preventive replacement {p}", "{p} renewed according to maintenance plan",
    "scheduled: {p} exchanged", "{p} replaced by mileage", "planned maintenance, {p} new",
    "{p} changed preventively, no fault", "interval reached: {p} replaced", "programme replacement of {p}",
    "j:{p} changed due to age, still without play", "life limit reached, {p} renewed",
    "routine exchange {p} as per schedule",
]
COLLATERAL = [
    "{p} renewed at the same time", "{p} replaced as well, shaft was out anyway", "while dismantled: {p} new",
    "{p} changed along with the other repair", "{p} also replaced, since access was open",
    "in the course of this repair {p} renewed too",
    "{p} renewed because dismantling destroyed it", "{p} replaced together with the above",
    "{p} as additional work, since apart",
    "{p} also new (same labour)", "with the same repair {p} exchanged", "{p} done in addition because shaft removed",
]
DAMAGE = [
    "{p} replaced after accident", "accident damage: {p} renewed",
    "{p} damaged by [kerb impact|driving over kerb], replaced",
    "{p} torn by road debris, new part fitted", "vandalism, {p} replaced", "b:{p} cut by foreign object, renewed",
    "collision repair, {p} replaced", "j:{p} bent after hitting [a stone|a stump], exchanged",
    "hit by [forklift|other vehicle]: {p} renewed",
    "b:{p} ripped by branch in forest, replaced", "insurance case: {p} renewed",
    "j:{p} broken by ditch accident, replaced",
]
COMEBACK = [
    "{p} again, repeat repair", "rework: {p} fitted last week wrongly, replaced",
    "{p} replaced under warranty, new part was faulty",
    "repeat: {p} installed [badly|wrongly] before, redone with new", "complaint about our repair: {p} renewed again",
    "{p} failed shortly after fitting, renewed on warranty",
    "{p} second time, previous one [defective from new|wrongly pressed in]",
    "guarantee work, {p} renewed", "j:circlip missing from last repair, {p} new",
    "re-repair {p}, first part was wrong size",
    "{p} renewed free of charge, our fitting mistake", "returned after our repair, {p} replaced again",
]
UNSAID = [
    "{p} replaced", "{p} renewed", "{p} exchanged", "{p} new", "replaced {p}", "changed {p}", "installed new {p}",
    "{p} fitted new",
]
REASONS = {
    "failed": FAILED, "worn": WORN, "planned": PLANNED, "collateral": COLLATERAL, "damage": DAMAGE,
    "comeback": COMEBACK,
}  # fmt: skip

LOOK = [
    "{p} checked, in order", "j:{p} inspected, no play", "inspection {p}: OK",
    "j:{p} checked after complaint, no fault found",
    "noise searched, {p} without finding", "j:{p} measured, within limit", "visual check {p}, good",
]
GREASE = [
    "{p} greased", "lubricated {p}", "grease service {p}", "{p} relubricated at service", "propshaft greased, {p}",
    "greased all nipples incl. {p}",
]
ADJUST = [
    "j:{p}: bolts retightened", "{p} tightened to torque",
    "j:propshaft removed and refitted for gearbox work, {p} reused",
    "j:{p} aligned", "b:{p} clamp refastened", "removed and installed {p} for access", "{p} cleaned and resealed",
]
LATER = [
    "j:{p} has slight play, observe", "{p} to be replaced at next service", "quotation made for {p}",
    "{p} ordered, not yet in stock",
    "recommend renewing {p}", "{p} worn, customer declined repair", "{p} must be renewed soon",
    "offer for replacement of {p} sent",
]
IDLE = {"look": LOOK, "grease": GREASE, "adjust": ADJUST, "later": LATER}

OTHER = [
    "brake pads front replaced", "brake discs and pads rear renewed",
    "ball joint [left|right] front lower replaced, play",
    "wheel bearing [front|rear] [left|right] renewed, humming", "tie rod end replaced",
    "boot of steering rack torn, replaced",
    "rubber boot of ball joint renewed", "exhaust flex joint leaking, replaced", "boot lid gas strut replaced",
    "oil and filter changed", "engine mount replaced, vibration", "clutch replaced",
    "timing belt and water pump renewed",
    "shock absorbers rear renewed, knock", "stabiliser link [left|right] replaced", "battery replaced",
    "alternator bearing noisy, replaced",
    "gear lever gaiter replaced", "bearing of the fan pulley renewed", "leaf spring U-bolts replaced",
    "differential oil changed",
    "tyres front renewed", "headlamp bulb replaced", "wiper joint replaced", "gearbox output seal replaced, oil leak",
    "door hinge bush replaced", "release bearing renewed", "radiator hose joint sealed",
    "universal holder for phone installed",
]  # fmt: skip


def words(rng, job):
    """One text."""
    if job.kind == "other":
        return {"text": tidy(spin(rng, pick(rng, OTHER)))}
    text = _clause(rng, job)
    if job.second is not None:
        text = pick(rng, ["{a}. {b}", "{a}; {b}", "1. {a} 2. {b}", "{a} / {b}"]).format(a=text, b=_clause(rng,
            job.second))
    if job.also == "other":
        text = pick(rng, ["{a}; {b}", "{b}. {a}", "{a}, also {b}"]).format(a=text, b=spin(rng, pick(rng, OTHER)))
    elif job.also == "look":
        text += pick(rng, ["; rest of driveline checked OK", ", other side checked, good",
            ". Brakes checked in passing, OK"])
    return {"text": tidy(text)}


def _clause(rng, job):
    noun = VOICE.noun(rng, job)
    if job.kind != "renewal":
        return spin(rng, template(rng, IDLE[job.kind], job.lead.component).replace("{p}", noun))
    line = template(rng, REASONS[job.lead.reason] if job.reason else UNSAID, job.lead.component)
    symptom = pick(rng, SYMPTOMS[job.lead.component])
    return spin(rng, line.replace("{p}", noun).replace("{s}", symptom))


MODELS = {
    ("crew_truck", "rear_two_piece"): "KT 75 Doppelkabine",
    ("crew_truck", "rear_two_piece+steering_shaft"): "KT 75 Frontlenker",
    ("service_van", "all_wheel"): "Kasten 35 Allrad",
    ("field_pickup", "four_wheel_independent"): "Pritsche 32 4x4",
    ("utility_4x4", "four_wheel_solid"): "Gelände 110",
    ("yard_truck", "rear_one_piece"): "Hof 50",
    ("yard_truck", "rear_one_piece+slip_spline"): "Hof 50 S",
    ("town_car", "front_half_shafts"): "Stadt 15",
}
CODES = {
    "component": {
        "u_joint": "KG-10", "cv_joint_outboard": "AW-21", "cv_joint_inboard": "AW-22", "cv_boot_outboard": "AW-31",
        "cv_boot_inboard": "AW-32", "support_bearing": "KG-20", "slip_spline": "KG-30", "steering_joint": "LS-05",
    },
    "reason": {
        "failed": "ST", "worn": "BF", "planned": "PL", "collateral": "MT", "damage": "UN", "comeback": "NB",
    },
}  # fmt: skip
COLUMNS = {
    "Auftrag": "order", "Datum": "date", "Fahrzeug": "unit", "km-Stand": "odometer", "Leistungstext": "text",
    "Artikel": "part_number", "Menge": "quantity", "Gruppe": "component", "Ursache": "reason", "Std": "hours",
    "Preis": "cost",
}  # fmt: skip


def _decimal(value, places):
    return f"{value:,.{places}f}".replace(",", " ").replace(".", ",").replace(" ", ".")


def write(shop, sheets, folder, messy):
    """Five semicolon files of Windows text; a whole export twice where two overlap."""
    mess = Mess(titles=("Werkstattliste", "Stand 30.06.2026"), blanks=3) if messy else CLEAN
    options = {"delimiter": ";", "encoding": "cp1252"}
    places = write_delimited(folder / "auftraege.csv", sheets["repairs"], mess=mess, **options)
    for name, file in (("vehicles", "fahrzeuge.csv"), ("readings", "zaehler.csv"), ("inspections", "sicht.csv"),
                       ("ride_height", "hoehe.csv"), ("parts", "teile.csv")):  # fmt: skip
        write_delimited(folder / file, sheets[name], **options)
    columns = {key: heading for heading, key in COLUMNS.items() if key not in ("hours", "cost")}
    columns |= {"labour_hours": "Std", "parts_cost": "Preis"}
    reasons = {code: word for word, code in CODES["reason"].items()}
    components = {code: word for word, code in CODES["component"].items()}
    models = {model: line for (_, line), model in MODELS.items()}
    settings = settings_head(shop) + f"""
[tables.vehicles]
file = "fahrzeuge.csv"
values.driveline = {toml_map(models)}
date_order = "dmy"
decimal = ","

[tables.readings]
file = "zaehler.csv"
decimal = ","

[tables.inspections]
file = "sicht.csv"
decimal = ","

[tables.ride_height]
file = "hoehe.csv"
decimal = ","

[tables.parts]
file = "teile.csv"
decimal = ","

[tables.repairs]
file = "auftraege.csv"
decimal = ","
date_order = "dmy"
columns = {toml_map(columns)}
values.reason = {toml_map(reasons)}
values.component = {toml_map(components)}
"""
    (folder / "fleet.toml").write_text(settings, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="A",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "KW "),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["KW ", "KW-", "kw", "KW"])),
    },
    write=write,
    order_name=lambda job: f"{int(job.order):06d}",
    codes=CODES,
    day=lambda day: day.strftime("%d.%m.%Y"),
    number=_decimal,
)
