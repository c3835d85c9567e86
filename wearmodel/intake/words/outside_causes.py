"""Parts renewed for other reasons than wear: outside causes, work beside other work, repairs that did not hold.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrases

__all__ = ["OUTSIDE_CAUSES"]

# --- damage from outside

_HITS = """
    hit; hit on; nudged; struck; struck by; hit by; hit with; ran over; run over; drove over; driven over; drove into;
    driven
    into; backed into; reversed into; caught on; caught by; caught in; snagged on; snagged by; clipped; cut
    by; cut on; torn by; torn on; sliced by; slashed by; pierced by; punctured by; split by; damage
    by; damage from; damage due to; damage over; broken by; bent on; bent by; crushed by; wrapped by; contact with;
    collision with; impact with; scraped on; scraped by;
    grounded on; bottomed on; bottomed out on; landed on; dropped into; slid into; slid in; slipped into; fell in; fell
    into; went into; ran into; fouled by; fouled on; torn up by; torn off by; ripped by; ripped up by; ripped off by;
    chewed up by; taken out by;
    knocked off by; smashed by; wiped out by; holed by; burst by; pulled off by; cut up by; shredded by; tangled in;
    jammed by; thrown up by; chewed by; eaten
    by; perforated by; wound round; ran through
    """
_OBJECTS = """
    kerb; log; tree root; root; post; gate; wall; bank; ditch; drain; gully; culvert; step; ramp; loading ramp;
    bridge; sleeper; rail; rails; railway
    line; pothole; pot hole; speed bump; speed hump; hump; speed breaker; divider; median; island; traffic island;
    pallet; wire; fence wire; pavement; footpath; sharp stone; sharp rock; mattress; scrap metal; metal; steel; bar;
    iron; tyre carcass; carcass; tyre tread; tyre piece; hay;
    straw; grass; weeds; vine; vines; scrub; thorn; thorns; crop; stubble; twine; string; net; plastic;
    polythene; tarp; tarpaulin; cloth; sack; carpet; fencing; strap; ratchet strap; chain;
    cow; cows; cattle; calf; sheep; goat; goats; horse; camel; buffalo; elephant; moose; elk; pig; hog; wild boar; dog;
    badger; emu; antelope; kudu; warthog; other vehicle; another vehicle; oncoming vehicle; parked vehicle;
    vehicle; lorry; tractor; loader; digger; object; something; manhole cover;
    ice; snow bank; termite mound; ant hill; anthill; donga; nullah; furrow; contour bank; headland; pillar; pole; lamp
    post; brush; bush; bushes; cane; bamboo; baling wire; baler twine; wrap; silage wrap; cargo net; lashing; cable;
    hose;
    steel plate; plate; angle iron; rebar; nail; spike; glass; bottle; brick; bricks; concrete; slab; cone;
    traffic cone;
    barrel; drum; gas bottle; wheel; wheel chock; chock; jack; ratchet; fence; picket; star picket; stake; stick;
    branch;
    skip; dock; dock leveller; ladder; shrapnel; blast; explosion; mine; bomb; bullet; landslide; train; hole
    """
_CULPRITS = """
    miscreants; miscreant; mob; public; rioters; riot; agitators; protesters; demonstrators; hooligans; yobs; louts;
    kids;
    children; thieves; vandals; intruders; unknown person; unknown persons; persons unknown; third party; 3rd party;
    tow truck; towed vehicle; tow company; towed company; towed; recovery; recovery company; recovery truck; recovery
    vehicle; recovery crew; winch; winching; sling; forklift; other driver; student; trainee driver; learner; learner
    driver; customer; animals; rats; mice; rodents; vermin; dog; dogs; squirrels; martens; marten; possum; monkeys;
    ferry;
    shipper; transporter; car transporter; low loader; haulier; recovery agent; snow plough
    """
_OVERTAXED = """
    overload; over load; over loaded; overweight; over weight; overloading; over loading; excess load; excess weight;
    rash
    driving; rash and negligent; negligent; negligence; negligent driving; driver negligence; operator negligence;
    driver
    error; operator error; mishandling; mishandled; bad driving; rough driving; reckless; reckless driving; careless
    driving; harsh driving; hard driving; clutch dumped; dumped clutch; dumping clutch; shock load; shock loaded; shock
    loading; spun wheels in; joy rider; joyrider; joyriders; hooning; burnouts; burnout; snatch recovery; snatch strap;
    kinetic rope; water wading
    """
_MISHAPS = """
    t boned; rear ended; side swiped; sideswiped; hit and run; roll over; rolled on side; tipped over; toppled;
    capsized;
    jack slipped; fell off jack; dropped off jack; dropped off ramp; dropped off lift; dropped off loading
    ramp; off loading ramp; fell off ramp; fell off trailer; fell off transporter; stone pelting; pelting; stoning;
    stoned;
    arson; mob damage; mob violence; riot damage; bandh; strike damage; war damage; battle damage; mine damage; mine
    strike; blast damage; flood water; flood damage; deep water; deep wading; wading; waded; salt water; sea water;
    tidal;
    in river; in creek; creek crossing; ford crossing; through flood; through water; through river; through creek;
    washed
    out; mud slide; went off road; ran off road; left track; in drain; in gully; into drain; into gully; into river;
    into
    canal; into pond; into lake; into water; into hole; into pot hole; into pothole; into trench; down bank; down
    embankment; over edge; external cause; outside cause; outside force; external force; external impact; outside
    impact;
    fod; f o d; foreign object damage; third party damage; 3rd party damage; collision with other vehicle;
    collision with another vehicle; contact with another vehicle;
    mishap; incident damage; road incident; rtc damage; rta damage; motor accident; vehicle accident; post accident;
    after accident; following accident; following crash; following collision; since accident; write off;
    declared total loss; insurance total loss;
    accidental; accidentally; accidental damage; act god; winching damage; damage winching; winched from; winched out
    of;
    recovery damage; damage on recovery; damage in recovery; damage during recovery; tow damage; towed wrong; towed
    incorrectly; bad towed; poor towed; towed in gear; transport accident; ferry damage; ambush; attack; foreign
    material;
    foreign body; foreign matter; foreign objects; foreign bodies; foreign particle; shunt; shunted; collided with
    """

# --- beside other work

_SPOILT = """
    damage; destroyed; ruined; spoilt; spoiled; distorted; wrecked; scrapped; butchered; mangled; deformed; lost;
    nicked;
    burnt; broken; snapped
    """
_TORN = "torn; split; cut; sheared; cracked; bent"
_TAKING_OFF = """
    removed; dismantled; stripping; separated; separation; extraction; extracting; pressing out; pressed out;
    taking out; taking apart; taking down; taking it off; taking it out; pulling it off; pulling it out; it off; it
    out; it
    apart; disturbing; drifting out; drifting it out; prising; levering; undoing; unbolting; cutting; heating; other
    work;
    shaft removed; removed shaft; removed it; removed joint; removed hub; dismantled shaft; pulling apart; knock it out
    """
_UNDONE = (
    *joined("would not; will not; could not; wont; did not; not", "come off; come out; come apart; come off in one; "
        "come off "
            "in one piece; come off whole; part; be saved; survive", "-; doing above; for above; doing other job"),
    *joined("torched; burnt; burned; ground; gas axed; chopped; hacked; sawn; sliced; blown; lanced; plasma cut; "
        "flame cut",
            "off; out; away; apart; it off; it out", "to get at; to get to; to reach; for access; to clear; to get; "
            "for; -"),
    *joined(_SPOILT, "on; in; during; while; when; by", _TAKING_OFF),
    *joined(_TORN, "in; during; by", _TAKING_OFF),
    *joined(_SPOILT, "-", "it out; it off; it apart; them off; them out; pressing out; pressing it out"),
    *joined("when; while; during", _TAKING_OFF, "damage; broken; torn; split; destroyed; ruined; snapped"),
    *phrases(
        """
        not come off whole; not come off in one; not come apart without; had to be cut; had to cut; cut off to get;
        cut off to; cut off to at; be cut off to at; be cut off; be cut off to;
        cut off for; cut away to; cut away for; cut open to; could not save; beyond saving on removed; not be used
        again; not
        used again; not go back; not fit to go back; not put back; not be put back; not worth putting back; not worth
        put back;
        not worth refitted; not worth reuse; not worth reused; not worth saving; point refitted; no point refitted;
        point put
        back; point putting back; no point; no sense; pointless to refitted; sooner than refitted;
        rather than refitted; instead of refitted; rather than reused; instead of reused; refitted old one; refitted
        old; old
        one back; old back; sacrifice; lost on removed; always replaced when; always renewed when; on every removed;
        must be
        renewed on; must be replaced on; renewed on removed; replaced on removed; once removed; once disturbed; once
        dismantled; once stripped; caps not saved; not be saved
        """
    ),
)
_MAIN_WORK = """
    clutch; gear box; diff; axle; hub; hub bearing; wheel bearing; transmission; engine; seal; oil seal; pinion seal;
    other joint; wishbone; strut; transfer box; subframe; sub frame; exhaust; steering rack; ball joint
    """
_BESIDE = (
    *joined("because of; due to; while doing; while on; when doing; beside", _MAIN_WORK,
            "job; work; changed; swapped; overhaul; repaired; replaced"),
    *joined("while; when; with", _MAIN_WORK, "changed; replaced; renewed; done; removed"),
    *joined("disturbed", "for; by; due to", _MAIN_WORK),
    *joined("had to come; had come; must come", "off; out; down; apart", f"for; anyway; for "
        f"{_MAIN_WORK.replace(';', '; for ')}"),
    *joined("incidental; consequential; ancillary", "to; on", f"-; {_MAIN_WORK}"),
    *joined("to save; saves; saving; save; to avoid; avoid; avoids", "second; second time; further; another; "
            "going; stripping; double; going back; coming back; returning; extra; later",
            "dismantled; labour; job; twice; again; visit; removed; back; in; it again; it twice"),
    *phrases(
        """
        prop already down; shaft already down; shaft already out; shaft already off; had it down; had shaft out; had
        shaft off;
        had shaft down; had prop off; had prop down; had prop out; in bits anyway; in pieces anyway; on bench anyway;
        on floor
        anyway; off vehicle anyway; while exposed; sister joint; twin joint; incidentally;
        part of bigger job; part of larger job; part bigger job; bundled with;
        included with clutch; one labour charge; same strip; same shutdown; as disturbed for
        """
    ),
)  # fmt: skip

# --- a repair that did not hold

_LAST = "previous; last; earlier; prior; recently"
_WORK = "repaired; fitted; fitment; work; job; replaced; installation; installed; renewed; fitted one; replaced one"
_PARTS = """
    joint; boot; bearing; u joint; universal joint; cv joint; one; part; cross; unit; one fitted; part fitted; joint
    fitted;
    boot fitted; bearing fitted; cross fitted; fitted joint; fitted boot; fitted cross; fitted bearing; fitted part
    """
_BADLY = """
    defective; faulty; bad; poor; incorrect; wrong; not seated; not correct; not right; spurious; substandard; fake; not
    last; not lasted; not hold; not held; again; duff
    """
_NO_GOOD = f"""
    {_BADLY}; failed; loose; no good; leaking; noise; seized; split; torn; broken; fault; tight; came loose; let go;
    gave up;
    gave way; gone; collapsed
    """
_FASTENERS = "circlip; clip; snap ring; clamp; band; strap; bolt; bolts; cap; caps; retainer; lock ring"
_UNFIT = """
    fitted; secured; secure; fastened; clipped; bolted; locked; seated; installed; tightened; done up; located;
    engaged; crimped; clamped; torqued; fully home; in groove;
    correctly fitted; properly fitted; fitted properly; fitted correctly; put in; put on
    """
_HALF_DONE = """
    fitted dry; assembled dry; built dry; put in dry; put together dry; assembled without greased; fitted without
    greased; no
    greased put in; no greased added; not greased by us; not greased last time; dry last time; over tightened; under
    tightened;
    overtightened; undertightened; not torqued; trapped on fitted; trapped when fitted; trapped at fitted; trapped
    during
    fitted; pinched on fitted; pinched at fitted; pinched when fitted; twisted on fitted; twisted when fitted; damage on
    fitted; damage when fitted; damage at fitted; damage during fitted; damage while fitted; damage on installed;
    damage during
    installed; nicked on fitted; askew; fitted askew; fitted skew; not lined up; lined up wrong; untightened; left
    untightened;
    at last fitted; at last fitment; at last repaired; at last replaced; since last repaired; since last fitted; since
    replaced; since renewed; since repaired; since fitted; since installed; since we fitted; after last repaired; from
    last
    repaired; from last time; same as last time; same as last month; same as last week; same complaint as last; same
    problem
    as last; same complaint as before; same noise as before; same noise as last; same fault as last; same fault as
    before;
    same defect again; same noise again; same complaint again; repaired not hold; repaired not held; not last; not
    last long;
    not lasted; short life; short lived; infant; day one; from day one; day 1; from day 1; never right; never been
    right; not
    right since; weeks old; days old; week old; hours old; revisit; re visit; re do; re work; recheck job; re check job;
    recheck our; checked our; our job; our own job; our last; our last job; our last work; our previous; our previous
    job; our
    previous repaired; our previous work; by previous workshop; by previous garage; by last garage; fitted by other
    garage;
    fitted by another garage; fitted by other workshop; by last workshop; by last mechanic; by previous mechanic; by
    previous
    fitter; second time; third time; fourth time; second attempt; third attempt; second go; third go; third failed;
    second one
    in; third one in; re replaced; re renewed; re changed; re exchanged; re repaired; replaced twice; renewed twice;
    changed twice;
    repeatedly; repetitive; repetitive failed; repetition; spurious; spurious part; spurious joint; counterfeit; fake;
    fake
    part; pirate part; substandard part; sub standard part; mismatched; mis
    supplied; mis picked; mispicked; bad batch; faulty batch; defective batch; batch fault; qc fault; build fault;
    factory fault; factory defect; within warranty; inside warranty; covered by warranty;
    labour warranty; our warranty; own warranty; at no cost; at our expense; our expense; own expense; rectified
    free; replaced free; renewed free; fitted free; changed free; not charged; charge to workshop; charged to workshop;
    chargeable to workshop; internal rework; go back job; bounce back; boomerang; bounced back; post repaired failed;
    improper
    repaired; improper work; improper assembly; improper repaired; defective fitted; defective workmanship; negligent
    workmanship;
    sloppy workmanship; shoddy; careless fitted; careless workmanship; fitted error; fitted fault; supplied wrong;
    wrong from
    stores; failed after fitted; lasted days; lasted weeks; lasted only; only lasted; barely lasted; hardly lasted;
    lasted no
    time; yet again; not long fitted; not long replaced; not long in; wrong type
    """
_COMEBACK = (
    *joined(_LAST, _WORK, _NO_GOOD),
    *joined(_LAST, _PARTS, _BADLY),
    *joined("bad; poor; incorrect; wrong; faulty; defective; failed; improper", _LAST, _WORK),
    *joined(_FASTENERS, "not; never; not been; not properly; not fully; not correctly; wrongly; badly", _UNFIT),
    *joined(_FASTENERS, "left off; left out; left loose; forgotten; missed; omitted; untightened; left untightened"),
    *joined("fitted; replaced; renewed; changed; done; installed; put in; supplied; repaired; assembled; "
        "built", "last week; last month; "
            "yesterday; other day; days before; few days before; only last week; only last month; just last week; by "
            "us earlier"),
    *joined("fitted; supplied; installed", "earlier; last time; last visit"),
    *joined("after; since; from", "yesterday; recent; last weeks; last months; our; previous; last; earlier; prior",
            "repaired; work; job; fitted; replaced"),
    *joined("earlier; recently; newly; wrongly", "fitted; installed"),
    *joined("defective; broken; bad; loose; noise; knock; failed; tight; leaking; seized; dud; clunk", "from new; "
        "when new;"
            " from supply; as supplied; out of box; out box; from store; from stores; when supplied; on supply; from "
            "day one"),
    *phrases(_HALF_DONE),
)  # fmt: skip

OUTSIDE_CAUSES: Mapping[str, tuple[str, ...]] = {
    "damage": (
        *joined(_HITS, _OBJECTS),
        *joined(
            "damage by; broken by; cut by; bent by; hit by; split by; torn by; destroyed by; caused by; damage "
            "caused by",
            _CULPRITS,
        ),
        *joined(_CULPRITS, "damage; damage by"),
        *joined(
            "wire; wires; fence wire; rope; chain; strap; branch; stick; rock; stone; debris; plastic; net",
            "cut; torn; "
            "caught; wrapped; hit; split; pierced; through; round; around; in; punctured; jammed; broken; wound",
        ),
        *phrases("damage; damage found; high centred; high centre; crime; crime number; crime ref; police number; "
            "police ref; "
                 "criminal damage; recharge; rechargeable; bill hirer; bill to hirer; bill to firm; charge driver; "
                 "charge hirer; "
                 "insurance job; insurance work; insurance claim; "
                 "knock in; "
                 "knock off by; run over by; towing damage; transit damage; shipping damage; delivery damage; "
                 "water damage; "
                 "heat damage; fire damage; melted on exhaust; melted by; melted from; exhaust blowing on; "
                 "burnt through by"),
        *phrases(_OVERTAXED),
        *phrases(_MISHAPS),
    ),
    "undone": _UNDONE,
    "collateral": _BESIDE,
    "comeback": _COMEBACK,
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
