"""Shop U: a water and power company's garages in the north of the British Isles, right-hand drive, miles.

One cell of text a line, from three hands: a service adviser who writes sentences, a warranty clerk who labels
complaint, cause and correction within the cell, and fitters who write tickets. No codes, but many part references;
two files, one for the older and one for the newer half of the record.
"""

import re
from dataclasses import dataclass, replace

import shop_u_phrases as said
from clauses import Phrasebook
from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited
from exporting import Shares, Shop, settings_head
from phrases import Voice, pick, spin

_REASONS = ("failed", "worn", "planned", "collateral", "damage", "comeback")


@dataclass(frozen=True)
class AdviserVoice(Voice):
    """Nouns as an adviser writes them: sides before or behind, ends of a shaft behind."""

    def placed(self, rng, name, place):
        """A name and a place, joined as the kind of place asks for."""
        if not place:
            return name
        if place.startswith("the "):
            return f"{name} at {place}"
        if place.endswith(("side", "prop", "propshaft", "axle")) and rng.random() < 0.35:
            return f"{name} on the {place}"
        return f"{name}, {place}," if rng.random() < 0.1 else f"{place} {name}"


# One set of places for vehicles with a front shaft, one for the rest, whose shaft needs no name of its own.
LONG_TWO_SHAFTS = {
    "rear.joint_front": ["the front of the rear prop", "the transfer box end of the rear prop",
        "rear prop transfer box end", "the front end of the rear propshaft", "rear propshaft front"],
    "rear.joint_centre": ["the middle of the rear prop", "the centre of the rear propshaft", "rear prop centre",
        "the centre bearing on the rear prop", "rear propshaft middle"],
    "rear.joint_rear": ["the axle end of the rear prop", "the back of the rear prop", "rear prop axle end",
        "the diff end of the rear propshaft", "rear propshaft diff end"],
    "front.joint_front": ["the axle end of the front prop", "the front of the front prop", "front prop axle end",
        "the diff end of the front propshaft", "front propshaft diff end"],
    "front.joint_rear": ["the transfer box end of the front prop", "the back of the front prop",
        "front prop transfer box end", "the rear end of the front propshaft", "front propshaft transfer box end"],
}  # fmt: skip
LONG_ONE_SHAFT = {
    "rear.joint_front": ["the front of the prop", "gearbox end", "the gearbox end of the prop", "propshaft front",
        "front", "the front end of the propshaft"],
    "rear.joint_centre": ["the middle of the prop", "centre", "the centre of the propshaft", "prop centre",
        "middle", "propshaft centre"],
    "rear.joint_rear": ["the back of the prop", "axle end", "the axle end of the propshaft", "diff end", "rear",
        "the diff end of the prop"],
}  # fmt: skip
LONG_STEERING = {
    "steering.joint_upper": ["upper", "top", "upper end", "column end"],
    "steering.joint_lower": ["lower", "bottom", "lower end", "steering box end"],
}  # fmt: skip
ADVISER = AdviserVoice(
    names={
        "u_joint": ["universal joint", "UJ", "U/J", "universal", "UJ spider", "u-joint", "uni joint", "UJ cross",
            "universal joint spider"],
        "cv_joint_outboard": ["outer CV joint", "outer CV", "outboard CV joint", "hub end CV joint", "wheel end CV",
            "outer driveshaft joint", "driveshaft outer CV joint", "outer constant velocity joint",
            "driveshaft joint (outer)"],
        "cv_joint_inboard": ["inner CV joint", "inner CV", "inboard CV joint", "diff end CV joint",
            "inner driveshaft joint", "driveshaft inner CV joint", "inner tripode joint", "inner tripod joint",
            "driveshaft joint (inner)"],
        "cv_boot_outboard": ["outer CV gaiter", "outer driveshaft gaiter", "outer CV boot", "hub end gaiter",
            "wheel end driveshaft boot", "outboard CV gaiter", "driveshaft gaiter (outer)", "outer CV joint boot",
            "outer driveshaft bellows"],
        "cv_boot_inboard": ["inner CV gaiter", "inner driveshaft gaiter", "inner CV boot", "diff end gaiter",
            "diff end driveshaft boot", "inboard CV gaiter", "driveshaft gaiter (inner)", "inner CV joint boot",
            "inner driveshaft bellows"],
        "support_bearing": ["propshaft centre bearing", "centre bearing", "prop carrier bearing",
            "prop centre support bearing", "centre bearing and rubber mount", "propshaft hanger bearing",
            "propshaft steady bearing", "prop intermediate bearing", "prop support bearing"],
        "slip_spline": ["propshaft sliding joint", "prop slider", "propshaft sliding spline", "prop slip joint",
            "prop slip yoke", "splined slider on the propshaft", "sliding yoke", "propshaft sliding yoke",
            "sliding joint of the prop"],
        "steering_joint": ["steering column UJ", "steering column joint", "steering UJ", "steering shaft UJ",
            "steering shaft universal joint", "steering column universal joint", "steering column coupling joint",
            "intermediate steering shaft UJ", "steering joint on the column shaft"],
    },
    vague={
        "cv_joint_outboard": ["CV joint", "CV", "driveshaft joint", "constant velocity joint"],
        "cv_joint_inboard": ["CV joint", "CV", "driveshaft joint", "constant velocity joint"],
        "cv_boot_outboard": ["CV gaiter", "driveshaft gaiter", "CV boot", "driveshaft boot", "driveshaft bellows"],
        "cv_boot_inboard": ["CV gaiter", "driveshaft gaiter", "CV boot", "driveshaft boot", "driveshaft bellows"],
    },
    sides={
        "left": ["nearside", "nearside", "passenger side", "left hand", "kerb side", "near side", "left",
            "passenger's side"],
        "right": ["offside", "offside", "driver's side", "right hand", "drivers side", "off side", "right",
            "driver side"],
        "both": ["both sides", "nearside and offside", "left and right", "near and off side", "both sides"],
    },
    places=LONG_TWO_SHAFTS | LONG_STEERING,
    shafts={"rear": ["rear prop", "rear propshaft"], "front": ["front prop", "front propshaft"]},
    axles=["{p} front axle", "{p} front swivel", "front axle {p}", "{p} front axle shaft"],
    joins=["{p} {n}"],
    half_shafts=["complete driveshaft", "driveshaft assembly complete with both joints", "exchange driveshaft",
        "whole driveshaft with CV joints", "recon driveshaft complete", "driveshaft complete"],
    pairs=["both UJs on the rear prop", "front and rear UJs on the rear propshaft",
        "universal joints at both ends of the rear prop", "pair of UJs, both ends of the rear prop"],
    with_boot=["with gaiter", "and gaiter", "complete with boot", "plus gaiter kit", "and its boot"],
    both_boots=["inner and outer CV gaiters", "inner and outer driveshaft gaiters", "both gaiters, inner and outer,"],
    same=["{n} for the same CV", "CV {n} at the same end", "matching CV {n} to the above"],
    same_side=("same side", "same side"),
    ands=(" and ", " along with ", " plus ", ", "),
)  # fmt: skip
SHORT_TWO_SHAFTS = {
    "rear.joint_front": ["r/prop t/box end", "rear prop frt", "r/prop front end", "rear prop t/box end"],
    "rear.joint_centre": ["rear prop mid", "r/prop ctr", "rear prop centre"],
    "rear.joint_rear": ["rear prop axle end", "r/prop diff end", "rear prop back end", "r/prop axle end"],
    "front.joint_front": ["f/prop axle end", "front prop diff end", "front prop axle end", "f/prop diff end"],
    "front.joint_rear": ["f/prop t/box end", "front prop t/box end", "front prop rear end", "f/prop back end"],
}  # fmt: skip
SHORT_ONE_SHAFT = {
    "rear.joint_front": ["gbox end", "prop front", "g/box end", "front of prop", "prop g/box end"],
    "rear.joint_centre": ["prop centre", "prop mid", "ctr", "middle of prop", "centre"],
    "rear.joint_rear": ["axle end", "diff end", "prop rear", "back of prop", "prop diff end"],
}  # fmt: skip
SHORT_STEERING = {
    "steering.joint_upper": ["upper", "top", "upr"],
    "steering.joint_lower": ["lower", "bottom", "lwr", "strg box end"],
}  # fmt: skip
FITTER = Voice(
    names={
        "u_joint": ["u/j", "uj", "UJ", "univ jt", "uni joint", "universal", "uj spider", "u.j."],
        "cv_joint_outboard": ["outer cv", "cv outer", "o/er cv jt", "cv jt (outer)", "hub end cv", "whl end cv jt",
            "outer d/shaft jt", "outer cv jnt"],
        "cv_joint_inboard": ["inner cv", "cv inner", "i/er cv jt", "cv jt (inner)", "diff end cv", "inner tripod jt",
            "inner d/shaft jt", "inner cv jnt"],
        "cv_boot_outboard": ["outer gaiter", "outer cv gtr", "d/shaft gaiter outer", "outer cv boot", "hub end gaiter",
            "outer d/s boot", "cv boot kit outer", "outer cv gaiter"],
        "cv_boot_inboard": ["inner gaiter", "inner cv gtr", "d/shaft gaiter inner", "inner cv boot", "diff end gaiter",
            "inner d/s boot", "cv boot kit inner", "inner cv gaiter"],
        "support_bearing": ["ctr brg", "prop ctr brg", "centre brg", "prop centre bearing", "prop c/brg",
            "prop carrier brg", "prop steady brg"],
        "slip_spline": ["prop slider", "prop sliding jt", "prop spline", "prop slip jt", "sliding yoke",
            "prop slip yoke"],
        "steering_joint": ["strg col uj", "strg uj", "st/column u/j", "strg shaft jt", "steer col joint",
            "strg shaft uj", "steering uj"],
    },
    vague={
        "cv_joint_outboard": ["cv", "cv jt", "d/shaft jt", "cv joint"],
        "cv_joint_inboard": ["cv", "cv jt", "d/shaft jt", "cv joint"],
        "cv_boot_outboard": ["cv gaiter", "d/shaft gaiter", "cv boot", "d/s boot"],
        "cv_boot_inboard": ["cv gaiter", "d/shaft gaiter", "cv boot", "d/s boot"],
    },
    sides={
        "left": ["n/s", "n/s", "NS", "n/s/f", "nsf", "l/h", "pass side", "kerbside"],
        "right": ["o/s", "o/s", "OS", "o/s/f", "osf", "r/h", "drv side", "drivers"],
        "both": ["n/s + o/s", "both sides", "ns & os", "n/s/f + o/s/f", "l/h & r/h"],
    },
    places=SHORT_TWO_SHAFTS | SHORT_STEERING,
    shafts={"rear": ["rear prop", "r/prop"], "front": ["front prop", "f/prop"]},
    axles=["f/axle {p}", "{p} frt axle", "{p} front swivel", "{p} f/axle shaft"],
    joins=["{p} {n}", "{p} {n}", "{n} {p}", "{n} - {p}", "{p}: {n}", "{n} ({p})"],
    half_shafts=["d/shaft compl", "driveshaft assy", "d/shaft c/w cvs", "exch driveshaft", "d/s complete"],
    pairs=["both ujs rear prop", "u/js x2 rear prop, both ends", "ujs frt + rear, rear prop",
        "2 x uj r/prop, front & rear"],
    with_boot=["c/w gaiter", "+ gaiter", "& boot", "inc boot", "+ boot kit"],
    both_boots=["inner + outer gaiters", "cv gaiters inner & outer", "in/out cv boots"],
    same=["cv {n} same end", "cv {n} to suit above", "same cv {n}"],
    same_side=("same side", "same side"),
    ands=(" + ", " & ", ", ", " and "),
)  # fmt: skip
ADVISER_ONE_SHAFT = replace(
    ADVISER,
    places=LONG_ONE_SHAFT | LONG_STEERING,
    shafts={"rear": ["prop", "propshaft"]},
    pairs=["both UJs on the prop", "front and rear UJs on the propshaft", "universal joints at both ends of the prop"],
)
FITTER_ONE_SHAFT = replace(
    FITTER,
    places=SHORT_ONE_SHAFT | SHORT_STEERING,
    shafts={"rear": ["prop", "propshaft"]},
    pairs=["both prop ujs", "u/js x2 prop, both ends", "ujs frt + rear of prop"],
)
NAMED_AGAIN = {
    "u_joint": ["joint", "UJ"], "cv_joint_outboard": ["joint", "CV"], "cv_joint_inboard": ["joint", "CV"],
    "cv_boot_outboard": ["boot", "gaiter"], "cv_boot_inboard": ["boot", "gaiter"], "support_bearing": ["bearing"],
    "slip_spline": ["slider"], "steering_joint": ["joint", "UJ"], "half_shaft": ["shaft"], "several": ["parts",
        "items"],
}  # fmt: skip


def _book(voice, prefix, symptoms):
    """The phrases of one hand; their names in the module of phrases begin with the prefix."""
    return Phrasebook(
        voice=voice,
        symptoms=symptoms,
        reasons={reason: getattr(said, f"{prefix}{reason.upper()}") for reason in _REASONS},
        unsaid=getattr(said, f"{prefix}UNSAID"),
        idle=getattr(said, f"{prefix}IDLE"),
        other=said.OTHER + said.VISITS,
        short=NAMED_AGAIN,
    )


BARE = {key: [text.removeprefix("a ").removeprefix("the ") for text in texts] for key, texts in said.SYMPTOMS.items()}
#: Hand -> book for vehicles with two propshafts, book for the rest.
HANDS = {
    "adviser": tuple(_book(voice, "", said.SYMPTOMS) for voice in (ADVISER, ADVISER_ONE_SHAFT)),
    "clerk": tuple(_book(voice, "CLERK_", BARE) for voice in (ADVISER, ADVISER_ONE_SHAFT)),
    "fitter": tuple(_book(voice, "TICKET_", BARE) for voice in (FITTER, FITTER_ONE_SHAFT)),
}
LABELS = (
    ("Complaint: {}", "Cause: {}", "Correction: {}"),
    ("Comp - {}.", "Cause - {}.", "Corr - {}."),
    ("Rep: {};", "Fnd: {};", "Rect: {}"),
    ("1C {} /", "2C {} /", "3C {}"),
)
#: How two jobs of one line stand together.
JOINS = {
    "adviser": ["{a}. {b}", "{a}. Also {b}", "1. {a} 2. {b}"],
    "clerk": ["1) {a} 2) {b}", "Job 1 {a} Job 2 {b}"],
    "fitter": ["{a} // {b}", "{a}. {b}", "1) {a} 2) {b}", "{a}; {b}"],
}
CLOSES = ("R/T ok", "Road tested", "Back in service", "Handed back", "Ready for use")


def _labelled(rng, text):
    """Complaint, cause and correction behind their labels, blank ones left out."""
    labels = pick(rng, LABELS)
    cells = [cell.strip() for cell in text.split("//")]
    return " ".join(label.format(cell) for label, cell in zip(labels, cells, strict=False) if cell)


def _clause(rng, hand, job):
    """One job in the words of a hand."""
    two_shafts = any(position.startswith("front.") for position in job.layout)
    ends = {part.component.split("_")[-1] for part in (job.lead, job.refers) if part is not None}
    if job.place == "order" and not job.component and len(ends) > 1:
        # "Same end" would be untrue of the other end of the driveshaft, so the name is given.
        job = replace(job, component=True)
    text = HANDS[hand][0 if two_shafts else 1].clause(rng, job)
    return _labelled(rng, text) if hand == "clerk" and job.kind != "other" else text


def _aside(rng, hand, job):
    """A remark on another part of the vehicle; the clerk makes none."""
    if hand == "clerk":
        return ""
    two_shafts = any(position.startswith("front.") for position in job.layout)
    return HANDS[hand][0 if two_shafts else 1].aside(rng, job, pick(rng, ["later", "later", "look", "grease"]))


def _spelt(rng, text):
    """The text with one of the usual wrong spellings, in some of the lines."""
    held = [word for word in said.HABITS if re.search(rf"\b{word}\b", text)]
    if held and rng.random() < 0.16:
        word = pick(rng, held)
        text = re.sub(rf"\b{word}\b", pick(rng, said.HABITS[word]), text, count=1)
    return text


def _cased(rng, hand, text):
    """The adviser begins with a capital, the clerk likes capitals, fitters write as the keyboard was left."""
    draw = rng.random()
    if draw < {"adviser": 0.06, "clerk": 0.45, "fitter": 0.4}[hand]:
        return text.upper()
    if hand == "fitter" and draw < 0.75:
        return text.lower()
    return re.sub(r"(^|\. )([a-z])", lambda found: found.group(1) + found.group(2).upper(), text)


def words(rng, job):
    """One line of a job card: one or two jobs, now and then with a remark or the usual close."""
    draw = rng.random()
    hand = "adviser" if draw < 0.38 else "clerk" if draw < 0.65 else "fitter"
    text = _clause(rng, hand, job)
    if job.second is not None:
        text = pick(rng, JOINS[hand]).format(a=text, b=_clause(rng, hand, job.second))
    if job.also == "other":
        pair = [text, spin(rng, pick(rng, said.OTHER))]
        text = pick(rng, JOINS[hand]).format(**dict(zip("ab", pair if rng.random() < 0.7 else pair[::-1], strict=True)))
    elif job.also == "look":
        text += pick(rng, [". Rest of driveline checked, ok", ". All other items ok", ". Levels and tyres checked"])
    elif job.kind == "renewal" and rng.random() < 0.2:
        remark = _aside(rng, hand, job) if rng.random() < 0.45 else ""
        text += ". " + (remark or pick(rng, CLOSES))
    return {"text": _cased(rng, hand, _spelt(rng, text.replace("..", ".")))}


MODELS = {
    ("crew_truck", "rear_two_piece"): "7.5t crew cab dropside", ("service_van", "all_wheel"): "LWB panel van AWD",
    ("crew_truck", "rear_two_piece+steering_shaft"): "7.5t forward control crew cab",
    ("field_pickup", "four_wheel_independent"): "Double cab pickup 4WD",
    ("utility_4x4", "four_wheel_solid"): "Hardtop 4x4 beam axles", ("yard_truck", "rear_one_piece"): "Yard shunter",
    ("yard_truck", "rear_one_piece+slip_spline"): "Yard shunter sliding prop", ("town_car",
        "front_half_shafts"): "Small van FWD",
}  # fmt: skip
COLUMNS = {
    "Job card": "order", "Date": "date", "Fleet ref": "unit", "Clock": "odometer", "Details of work": "text",
    "Part ref": "part_number", "Qty": "quantity", "Labour hrs": "hours", "Parts £": "cost",
}  # fmt: skip
#: Headings of the other tables, in the order in which they are given.
HEADINGS = {
    "vehicles": ("Fleet ref", "Description", "Group", "Use", "Garage", "Into service", "Clock in", "Records start",
        "Disposed"),
    "readings": ("Fleet ref", "Date", "Clock"),
    "inspections": ("Fleet ref", "Date", "Clock", "Item", "Result"),
    "ride_height": ("Fleet ref", "Date", "Lift mm", "Remarks"),
    "parts": ("Part ref", "Component", "Group", "Renews", "Price £", "Lead time days", "Superseded by"),
}  # fmt: skip


def write(shop, sheets, folder, messy):
    """Semicolon text, the job cards in two files; messy: titles, pages and blank rows around the lines."""
    options = {"delimiter": ";", "encoding": "cp1252"}
    mess = Mess(titles=("GARAGE MANAGEMENT - JOB CARD LINES", "All garages"), page=45, blanks=2) if messy else CLEAN
    repairs = sheets["repairs"]
    half = len(repairs.rows) // 2
    halves = {"job cards (old).csv": repairs.rows[:half], "job cards (new).csv": repairs.rows[half:]}
    places = []
    for file, rows in halves.items():
        places += write_delimited(folder / file, Sheet(repairs.headings, rows), mess=mess, **options)
    renamed = {"hours": "labour_hours", "cost": "parts_cost"}
    columns = {renamed.get(key, key): heading for heading, key in COLUMNS.items()}
    text = settings_head(shop) + f"\n[tables.repairs]\nfile = {list(halves)}\n".replace("'", '"')
    text += f'date_order = "dmy"\ncolumns = {toml_map(columns)}\n'
    for name, headings in HEADINGS.items():
        write_delimited(folder / f"{name}.csv", Sheet(headings, sheets[name].rows), **options)
        text += f'\n[tables.{name}]\nfile = "{name}.csv"\n' + ('date_order = "dmy"\n' if name != "parts" else "")
        text += f"columns = {toml_map(dict(zip(sheets[name].headings, headings, strict=True)))}\n"
        if name == "vehicles":
            text += f"values.driveline = {toml_map({model: line for (_, line), model in MODELS.items()})}\n"
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


SHOP = Shop(
    name="U",
    words=words,
    repair_columns=COLUMNS,
    models=MODELS,
    unit_names={
        "vehicles": lambda rng, unit: unit.replace("QD-", "WP"),
        "events": lambda rng, unit: unit.replace("QD-", pick(rng, ["WP", "WP", "WP ", "wp", "WP-"])),
    },
    write=write,
    order_name=lambda job: f"{int(job.order):05d}/G",
    distance_unit="mi",
    day=lambda day: day.strftime("%d %b %Y"),
    number=lambda value, places: f"{value:,.{places}f}",
    typos=0.1,
    shares=Shares(reason=0.86, place_full=0.8, component=0.95, numbered=0.35, merge_leads=0.3, also=0.14),
    steering="right",
)
