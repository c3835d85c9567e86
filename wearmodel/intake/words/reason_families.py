"""Why a part was renewed: phrases of the trade that are made of a few words each, in every combination.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrases

__all__ = ["REASON_FAMILIES"]


# --- noticed or failed in use

_PEOPLE = """
    driver; customer; crew; conductor; co driver; user; hirer; renter; farmer; ranger; guide; rider; chauffeur; courier;
    captain; passenger; relief driver; attendant; pilot; drive team; tenant; borrower; member; public
    """
_TELL = """
    reported; complaint; states; noticed; heard; felt; observed; found; mentioned; experienced; alleged;
    described; claims; logged; raised; phoned in; rang in; rang up; radioed in; called in; wrote; wrote up; writes;
    written up; concern;
    concerned about; tells us; told us; entered; feels; feeling; hearing; defect; fault; query; drives in with; heard
    of;
    stopped; stopped for; pulled over; pulled in; could not drive
    """
_TOLD_BY = """
    reported; observed; noticed; heard; felt; found; mentioned; informed; experienced; complaint; raised; written up;
    logged; entered; described; told; phoned in; called in; radioed in; rung in; detected; spotted; seen; fault; defect
    """
_PAPERS = "book; card; sheet; slip; log; log book; diary; chit; message; list; note; complaint; complaint book; entry"
_RUNS = """
    trip; run; journey; tour; route; duty; shift; departure; mission; patrol; voyage; safari; round; service run; school
    run; field trip; training run
    """
_ENDED = """
    cancelled; curtailed; cut short; terminated; abandoned; aborted; lost; missed; late; delayed; suspended; stopped;
    incomplete; not completed; failed; transferred; interrupted
    """
_VEHICLES = """
    vehicle; tractor; machine; unit; coach; rig; ambulance; loader; dumper; tipper; combine; harvester; tanker;
    minibus; tram; taxi; cab; plough; sprayer; buggy; wagon; trailer
    """
_DOWN = """
    down; stopped; stalled; stranded; held up; detained; immobile; out action; disabled; crippled; halted; not moving;
    broken down; would not move; wont move; off road; not move; not drive; would not drive; came to halt; came to stop;
    stopped moving; came to stand; stuck on; lost drive; sidelined; grounded on road; ground to halt; not pulling; towed
    """
_PLACES = """
    field; paddock; road side; roadside; depot; site; farm; camp; bush; outstation; motorway; highway; quarry; mine; pit
    """
_SENT_OUT = joined("sent out; called out; gone out; went out; taken out; attended", "to; in; at; on", _PLACES)
_BROKE_IN = joined(
    "broken; broken up; failed; seized; snapped; sheared; let go; collapsed; gave out; gave way",
    "in; on; at; during",
    "field; paddock; route; road; run; trip; traffic; tour; patrol; work; use; duty; operation; harvest; safari; shift",
)
_MOTIONS = """
    turning; reverse; reversing; acceleration; slow speed; low speed; high speed; speed; pick up; take off; take
    up; load; driving; moving; motion; running; gear; starting; start; braking; bends; bumps; take offs; idle; steering;
    climbing; uphill; downhill; overrun; vehicle; drive; coasting; cruising; pulling; full turning; higher speed
    """
_SOUNDING = (
    *joined("sound", "in; at; on; when; while; during; under; with", _MOTIONS),
    *joined(
        "sound; awaz",
        "from; coming; observed; noticed; reported; heard; complaint; problem; increased; comes; emanating; produced",
    ),
    *joined(
        "abnormal; unusual; heavy; bad; knock; strange; loud; odd; funny; excess; unwanted; peculiar; metallic; "
        "grinding"
        "; hitting; rubbing; clunk; click; rattle; squeak; squeal; rumble; scraping; steering; shaft; prop shaft; u "
        "joint"
        "; cutting; different; whistling; vibration; irregular; cracking; banging; hammering; joint; axle; drive shaft",
        "sound",
    ),
)
_SOUNDS = (
    "tik tak tok kat khat khad khut kut dhak dhad thak thok ghar ghad gad jhan khan kir chik dag dub tap tick "
    "knock"
)
_REPEATED_SOUNDS = tuple(f"{sound} {sound}" for sound in _SOUNDS.split())
_GREASE = joined(
    "greased",
    "sprayed; splashed; spread; flung; sprinkled; smeared; dripping; oozing; running out; splatter; splattering; blown",
    "out; over; on; all over; around; about; everywhere; inside; up; -",
)
_STEERING = (
    *joined("notch; catch; catching; tight spot; kink; jam; jamming; knock; lump; stiffness; vibration; shudder",
             "in; on; at; of", "steering; steering wheel; column; wheel"),
    *joined("play", "in; on; at; of", "steering; steering wheel; column"),
    *joined("steering; steering wheel", "catches; catching; jams; jamming; hard; harsh; knock; rattle; vibration; "
             "hangs; hangs up; not returning; not return; wanders; wandering; vague; kinks; shudder; clunk; click"),
)  # fmt: skip

# --- found at an inspection or a service

_SEEN = """
    found; noticed; observed; seen; checked; inspected; detected; identified; picked up; spotted; revealed; discovered;
    located; condemned; came to notice; tested; noted; recorded; shown up; showed up
    """
_SERVICES = (
    "service; serviced; docking; maintenance; pm; overhaul; schedule maintenance; scheduled maintenance; "
    "cleaning"
)
_FROM_LOOK = joined(
    "from; off; as; after; following; in; at; for; during; on; under; by; through",
    "nct; cvrt; doe; doe test; fitness inspection; fitness test; fitness checked; fc; passing; inspection report"
    "; inspection sheet; inspection list; pmi; pmi sheet; audit; prestart; pre start; parade; condition report"
    "; defect notice; prohibition; depot inspection; depot checked; garage inspection; dvsa; enforcement",
)
_LOOKS = phrases(
    """
    nct; cvrt; doe; doe test; doe prep; hvi; psv test; hgv test; fitness inspection; fitness test; fitness certificate;
    fitness checked; fc work; fc inspection; fc checked; rto inspection; rto passing; passing work; vehicle passing;
    first parade; first parade checked; last parade; parade checked; halt inspection; pre start; prestart; pre start
    checked; prestart checked; post trip; post trip inspection; post trip checked; after trip; gate checked; yard
    checked;
    gate inspection; yard inspection; shop inspection; depot inspection; garage inspection; defect notice; prohibition;
    prohibition notice; delayed prohibition; immediate prohibition; road side inspection; roadside inspection; road side
    checked; roadside checked; enforcement checked; police checked; dvsa; pg9; weigh station inspection; level 1
    inspection; level 2 inspection; level 3 inspection; pre hire inspection; pre hire checked; off hire inspection; off
    hire checked; return inspection; condition report; condition survey; vehicle checked report; vehicle
    inspection report; checked report; stand checked; pre work checked; daily inspection; night inspection;
    night checked; tyre rotation; while doing brakes; while done brakes; when doing brakes; during brake job;
    during brakes; at brake job; on brake job; while on brake job; tyre rotated; during tyre; walk round found
    """
)

# --- worn

_PAST = """
    beyond; over; past; outside; exceeds; exceeding; exceeded; above; below; more than; less than; greater than; higher
    than; out; not within; crossed; crossing; in excess
    """
_NEAR = "reached; at; near; close to; up to; nearing; approaching; to"
_LIMITS = """
    permissible limit; permitted limit; permissible limits; allowable limit; allowable limits; allowed limit; acceptable
    limit; acceptable limits; specified limit; specified limits; prescribed limit; reject limit; rejection limit; scrap
    limit; discard limit; condemning limit; condemnation limit; wear limit; wear limits; max limit; max
    allowed limit; min limit; book limit; workshop limit; manufacturer limit; manufacturers limit; replaced limit; play
    limit; service limits; safe limit; safe limits
    """
_BOUNDS = """
    maximum; max; max play; max allowed; allowed; allowable; permissible; permitted; minimum; criteria; wear tolerance;
    allowance
    """
_WORN = (
    *joined(_PAST, f"{_LIMITS}; {_BOUNDS}"),
    *joined(_NEAR, _LIMITS),
    *joined("scrap; reject; rejection; wear; play; condemning; discard", "limit", "reached; exceeded; crossed; -"),
    *joined("max; max allowed; maximum; allowable; permissible; specified", "exceeded; crossed; -", "limit; play"),
    *phrases(
        """
        crazing; crazed; checking cracks; cracks in folds; cracked in folds; sweating; insecure; saggy; sagged; crumbly;
        crumbled; mushy; hard and cracked; lost its grip; lost preload; lost tension; no life left; sloppy; wobbly
        joint;
        worn on one side; lipped; ridged; rippled; flaking; flaked; spalling; worn flat; has movement;
        unserviceable at inspection; perishing; end of its life; on its way out; getting tired; time
        worn; sun damage; sun cracked; heat cracked; ozone cracked; age cracked; age cracks; cracked with age; perished
        with age; brittle with age; rubber gone; rubber sagged; collapsed rubber; spread rubber; worn to limit
        """
    ),
)

# --- planned

_SPANS = "km; mileage; miles; hour; age; time; distance; life; year; years; month; months; date; calendar; season"
_CHANGES = "replaced; changed; renewed; exchanged; work; job; task; overhaul"
_SET = """
    prescribed; stipulated; target; scheduled; specified; fixed; due; planned; recommended service; laid down;
    mandated; design; overdue; overdue by; overdue on
    """
_PASSED = (
    "completed; done; completion; achieved; attained; crossed; elapsed; covered; up; lapsed; ran out; attained "
    "its"
)
_PLANNED = (
    *joined(_SPANS, "based; wise", f"{_CHANGES}; -"),
    *joined("completion; completing; attaining; reaching; crossing", f"-; {_SET}", _SPANS),
    *joined(_SET, _SPANS, "-; completed; done; completion; attained; crossed; up; limit; interval; reached"),
    *joined("life; service life; age; interval", _PASSED),
    *joined("km; mileage; hours; hour; miles; distance", "achieved; attained; crossed; elapsed; lapsed; ran out; up"),
    *joined("pre; before; ahead of; prior to; for; in readiness for; prep for; in time for", "-; start of; big",
             "deployment; season; rally season; race season; rally; harvest; winter; summer; rains; monsoon; "
             "expedition; long trip; tour season; sowing; seeding; wet season; dry season; holidays; haymaking; "
             "silage; "
             "shearing; campaign season; tourist season; hunting season; ploughing"),
    *phrases(
        """
        annual overhaul; yearly overhaul; winter overhaul; periodic overhaul; seasonal overhaul; general overhaul;
        tbo; tbo
        reached; tbo due; ppm; ppm task; ppm job; ppm work; ppm replaced; ppm changed; time ex; life ex; lifed out;
        life out; time life; time
        out lifed; lifed part; fleet wide; fleetwide; fleet wide changed; fleet wide replaced; shutdown; planned
        shutdown;
        shut down work; shutdown work; shut work; planned outage; turnaround work; overdue; came due; fell due; falls
        due; coming due; due date; date expired;
        date lifed; out date; beyond date; use by; aged out; on safe side; to be safe; to be sure; better safe; peace
        mind;
        peace of mind; as insurance policy; safe than sorry; in advance; beforehand; before time; retrofit; modification
        programme; modification campaign; mod programme; upgrade programme; upgraded under; changed on time; replaced
        on time; renewed on time; year package; month package; maintenance package; service package; km
        package; mile package; k package; plan package; under plan; under programme; from planner; planner job; planner
        item; plan renewed; maintenance programme; preventive programme; predictive; predictive maintenance; planned
        component changed over; change point; changed point; replaced point; scheduled changed point; replaced at
        interval point; service exchange programme; years up; time up; hours up; time due; timed out; kilometre
        interval;
        no defect due; not defective due; no defects due; ok but due; good but due; serviceable but
        due; before due to fail; pro active; anticipatory; anticipated; forestall; head off failed; pre planned;
        unit exchange programme; budgeted; budgeted replaced; year changed; years changed; year replaced; years
        replaced; year task; month task; months task; year job; fleet instruction; standing instruction;
        standing order; technical instruction; service instruction; manufacturer schedule; makers schedule; service
        letter
        """
    ),
)  # fmt: skip

REASON_FAMILIES: Mapping[str, tuple[str, ...]] = {
    "in_use": (
        *joined(_PEOPLE, _TELL),
        *joined(_TOLD_BY, "by; from", _PEOPLE),
        *joined("driver; drivers; customer; crew; trip; duty; defect; operator; user; complaint", _PAPERS),
        *joined(_RUNS, _ENDED),
        *joined("scheduled", "cancelled; curtailed; cut short; terminated; abandoned; aborted; lost"),
        *joined(_VEHICLES, _DOWN),
        *_SENT_OUT,
        *phrases(
            """
            could feel; can feel; could hear; can hear; could be heard; could be felt; urgent job; urgent one; urgent
            call; urgent call out; enroute; on hook; came on hook; came in on hook;
            brought in on; bd; bd call; bd job; break down call; breakdown call out; breakdown callout; recovery truck;
            low loadered in; trailered in; flat bedded; flatbed in; on flatbed; tilt tray; rescue; rescued; mobile
            repaired;
            mobile van; mobile crew; breakdown crew; breakdown van; breakdown truck; fitter sent; mechanic sent; sent
            out
            fitter; sent fitter; in middle field; in middle road; could not continue; could
            not proceed; unable to proceed; unable to continue; not proceed; unable to move; unable to drive; held up on
            road; line failed; road side failed; failed on run; in running; during running; while running; in run; on
            line
            failed; en route failed; changed over on road; substitute vehicle; spare vehicle sent; relief vehicle
            sent; forced outage; forced stop; after hours call; nursed home; nursed in; crawled in; crawled home; off
            the
            run; defect in traffic; on road failed; down on site; down in field
            """
        ),
    ),
    "noticed": (
        *_SOUNDING,
        *_REPEATED_SOUNDS,
        *_GREASE,
        *_STEERING,
        *phrases(
            """
            not self centring; no self centring; wont self centre; wont return; not return to centre;
            hangs up on turning;
            hanger down; hanger on road; shaft hanger down; dragging; drags;
            throbbing; throb; throbs; pulsates; pulsating; lurch; lurching; lurches; hot smell; thrum; twang; running
            hot; hot to touch; red hot; sparks; sparking; noise job
            """
        ),
    ),
    "failed": (*_BROKE_IN, *phrases(
        """
        failed road side; broken up in; chewed up; flogged to death; packed it in; chucked it in; threw it in; dropped
        needles;
        dropped rollers; dropped cap; lost needles; lost rollers; lost cap; shed needles; spat needles; spat cap;
        threw cap;
        threw needles; twisted it off; sheared it off; ripped it off; snapped it off; wrenched it off; tore it off
        """
    )),
    "look": (*joined(_SEEN, "in; at; on; during; while; under", _SERVICES), *_LOOKS, *_FROM_LOOK),
    "worn": _WORN,
    "planned": _PLANNED,
    "silent": (
        *joined("road test; test; test drove; test drive; test driven; test run; drove; driven; sent out; out; run; "
            "ran",
                "at; on; in; under; over", "speed; high speed; low speed; all speeds; highway; motorway; freeway; "
                "road; main "
                "road; load; full load; road test; test; dual carriageway; lock; full turning; turning", "ok; fine; -"),
        *joined("on; for; after; during; in", "road test; test drive; test run"),
        *joined("customer; driver; owner; operator; crew; user", "informed; told; waiting; collected; to collect; to "
            "pay; paid; "
                "pays; signed; happy; satisfied; contacted; notified; supplied; updated; rung; phoned; called to "
                "collect; "
                "informed vehicle ready; to be informed; thanked; picked up; name; number; signature; instructed"),
        *joined("returned to; handed to; handed over to; handed back to; back to; released to; delivered to; "
            "invoiced to; for; "
                "explained to; shown to; given to; charge to; billed to; left for", "customer; driver; operator; "
                "crew; user"),
        *joined("month; months; year; years; day; days; with; full; carries; comes with; km; mile", "warranty"),
        *joined("warranty", "void; given; starts; applies; until; period; terms; card; issued; conditions; remains; "
            "form"),
        *phrases("due back; due out today; due out; due tomorrow; due back in service; taxes due; payment due; "
            "amount due"),
    ),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
