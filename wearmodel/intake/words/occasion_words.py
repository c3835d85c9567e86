"""Why a part was renewed, told by what went before or came of it: calls, papers, loads, agents, the work beside it.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrases

__all__ = ["OCCASION_WORDS"]

_PEOPLE = "driver; crew; customer; operator; user; owner; passenger; operatofleet; client"

# --- in use

_RESCUERS = (
    "service vehicle; service van; service unit; breakdown vehicle; breakdown van; mobile unit; mobile fitter; mobile "
    "mechanic; mobile workshop; road crew; road fitter; field mechanic; field fitter; field technician; duty fitter; "
    "duty mechanic; fitter; mechanic; tech; technician; assistance; recovery; wrecker; tow vehicle; tow; patrol; rescue"
)
_CALLED = "sent out; sent; called out; called; dispatched; despatched; went out; attended; needed on road; summoned"
_WAYS = (
    "road; access road; forest road; forest track; logging road; haul road; farm road; farm track; dirt road; gravel "
    "road; site road; back road; mine road; country road; main road; ring road; track; trail; grade; hill; line job; "
    "expressway; turnpike; interstate; bypass; dual carriageway; carriageway; bridge; tunnel; pass; corridor; landing; "
    "right of way; job site; jobsite; worksite; work site; site; way home; way out; way in; way to job; way back; job; "
    "outskirts; lot; ramp; parkway"
)
_STOPPED = (
    "died; dead; failed; let go; gave out; gave up; quit; broken; broken down; stopped; seized; locked up; lost drive; "
    "came apart; snapped; stranded"
)
# A vehicle that whoever drives it will not take out, or has to hand in.
_REFUSED = (
    *joined("declined; rejected; parked; parked up; grounded; sidelined; turned down; stood down; sent back; "
        "handed back; "
            "handed in; red tagged; tagged out; downed; stopped; pulled; held; taken off; swapped; dumped; abandoned",
            "by", "driver; drivers; operator; crew; hirer; relief driver; shift driver"),
    *joined("driver; drivers; operator; crew; relief driver", "declined; declines; rejected; refuses; parked; "
        "parked up; "
            "grounded; sidelined; turned down; handed back; sent back; stopped; pulled over with; gave up on; "
            "wont drive; "
            "not drive; not take; wont take; will not take; would not take; tagged out; red tagged; swapped; dumped",
            "vehicle; unit; it; to drive; to take it; to go out"),
    *joined("swapped; changed over; switched; transferred; moved", "to; for; on to; over to",
            "spare; spare vehicle; spare unit; loaner; loan vehicle; another vehicle; other vehicle; back up vehicle"),
    *joined("put in; ran; used; sent; given; took", "spare; spare vehicle; spare unit; loaner; loan vehicle; "
        "relief vehicle"),
    *joined("pulled; taken; took; removed; withdrawn; stopped; stood down; came", "from; out; off",
            "route; line; run; roster; rota; traffic; schedule; diagram; circulation"),
)  # fmt: skip
_IN_USE = (
    *_REFUSED,
    *joined(_RESCUERS, _CALLED),
    *joined("vehicle; unit; machine; rig; tractor", "dead; died; quit; stopped; down; stuck", "on; at; in; -", _WAYS),
    *joined(_STOPPED, "on; along; down; at", _WAYS),
    *joined(_PEOPLE, "called it in; phoned it in; radioed it in; rang it in; wrote it up; wrote up; writes up; wrote in"
            "; turned in; put in card; put it on sheet; says; mentions; thinks; suspects; hears; feels; insists"),
    *joined("called in; called it in; phoned in; radioed in; written up; turned in; flagged", "by; from", _PEOPLE),
    *joined("pulling; hauling; towing; climbing; hauling load; pulling load; carrying", "trailer; load; loads; grade; "
            "up grade; up hill; uphill; hill; heavy load; logs; timber; stone; material"),
    *phrases(
        """
        call in; callin; storm duty; storm duty breakdown; deadlined; dead lined; deadlined by driver; out service
        by driver; came in on hook; came in on rope; came in on trailer; came in on lowboy; came on flatbed; on
        rollback;
        brought in on trailer; lost drive on; coasted to stop; rolled to stop; coasted in; abandoned on road; crew
        waiting; crew stranded; job stopped; work stopped; not make it back; not make it home; not get home; not get
        back; came home on; repaired on site; repaired in field; field repaired; on site repaired; line side repaired;
        wayside; at way side; at wayside; on call; standby call; out hours call; vehicle wont pull; no pull; not pull
        """
    ),
)  # fmt: skip

# --- failed

_FAILED = (
    *phrases("wiped out; cleaned out; grenaded; self destructed; came unglued; cratered; pancaked; smoked; "
        "roached; "
             "let loose; goosed; banjaxed; mullered; borked; nackered; kippered; bollocksed; jiggered; cattled; "
             "snookered; "
             "melted; melted down; gone to bits; went pop; went bang; went phut; "
             ""
             "turned to dust; met its maker; given in; done its dash; rs; ratted; "
             "tatters; "
             "in tatters; in ribbons; to ribbons; to shreds; in shreds; fell off; parted company; came in two"),
    *joined("quit; quits; quit on; bit the dust; bit dust; called it quits; threw in towel; gave way; came to bits; "
            "fell to pieces; went to pieces; gone to pieces; went home; spun out; blew up; blew out; seized up; "
            "seized tight; "
            "locked up tight; burnt up; burned up; wrung off; twisted in two; came in two; pulled in two; toasted"),
    *joined("spat; threw; lost; dropped; shed; popped; flung; blew", "cap; caps; cup; needles; rollers; bearing cup; "
            "bearing cap; needle bearing"),
)  # fmt: skip

# --- noticed at a look

_SHEETS = (
    "write up; writeup; written up; sheet; report; card; defect; squawk; snag; finding; findings; note; remark; "
    "job; work; action"
)
_LOOKS = (
    "inspection; pm; pmi; annual; mot; service; quarterly checked; monthly checked; weekly checked; annual inspection; "
    "quarterly inspection; monthly inspection; weekly inspection; audit; safety checked; safety inspection; pre trip; "
    "walk round; walkaround; annual checked; periodic checked; preseason checked; pre season checked; pre season "
    "inspection; preseason inspection; last pm; last inspection; last service; last pmi; lift inspection"
)
_LOOKED = (
    *joined(_SHEETS, "from; at; by; per; during; off; arising from; as", _LOOKS),
    *joined("follow up; followup; carry over; carried over; left over", "from; of; to; after; on",
            f"{_LOOKS}; -"),
    *joined("marked; written; written up; listed; noted; recorded; flagged; scored", "worn; bad; poor; torn; split; "
            "loose; marginal"),
    *joined("seen; noticed; noted; found; spotted; caught; picked up", "on; at; during; in; while on",
            "lift; hoist; ramp; pit; jack; stands; walkaround; walk round; tyre job; oil changed; brake job; "
            "alignment; tyre rotation; wash; rack; bay"),
    *phrases(
        """
        while on lift; while on hoist; while on ramp; while up on lift; whilst up on ramp; weather checked; preseason
        inspection; pre season inspection; preseason checked; pre season checked; season prep inspection; prep
        inspection; winter prep inspection; spring inspection; fall inspection; autumn inspection; summer inspection;
        annual inspection; quarterly pm; bi annual; semi
        annual; biannual; annual pm inspection; six month inspection; spotted on walkaround
        """
    ),
)  # fmt: skip
_WORN = phrases(
    """
    weather checked; weatherchecked; weathercracked; shows wear; showing wear; shows its age; showing age; shows age;
    showing cracks; shows cracks; seen its day; worn past; wore past limit; bad wear; badly wear; wear showing; wear
    evident; past limit; wear bars; worn beyond; near limits
    """
)

# --- planned

_ITEMS = "pm; pm a; pm b; pm c; pm d; a pm; b pm; c pm; pmi; pms; maintenance; calendar; mileage; km; hours; hour"
_PLANNED = (
    *joined(_ITEMS, "scheduled; task; line; changed out; programme; interval"),
    *joined("reached; hit; at; over; passed", "changed; changed out; replaced; renewed; retirement; overhaul; "
            "lifed; exchange", "miles; mileage; km; hours; interval; point; age; date; time; limit"),
    *joined("mileage; hours; life cycle; age; calendar", "changed; changed over; changed out"),
    *joined("before; pre; ahead of; for; prior to", "storm season; winter storm season; plough season; fire season; "
            "logging season; thaw; break up; breakup; hurricane season; planting; calving; lambing; ski season; "
            "hay season; cane season; mustering; dry; wet; big job; long job; long haul"),
    *phrases(
        """
        on interval; at its interval; as routine; old one still ok; old one ok; old still ok; old part ok; old one not
        bad; old one still serviceable;
        nothing wrong with old; nothing wrong with old one; nothing wrong old; replaced by book; by manual;
        as manual; by the clock; changed out by; life cycle replaced programme; replacement programme;
        renewal programme; half life overhaul; planned swap
        """
    ),
)  # fmt: skip

# --- beside other work

_HAD = "had it; had; with; since; while; because; seeing"
_THING = "it; them; shaft; prop; prop shaft; drive shaft; axle; hub; half shaft; drive line; side; knuckle; everything"
_APART = "torn down; apart; stripped down; in bits; in pieces; opened up"
_GOING = "back in; back on; back; in again; on again"
_COLLATERAL = (
    *joined(_HAD, _THING, _APART, "-; anyway; already"),
    *joined("torn down; stripped down; opened up", "anyway; already"),
    *joined("already", "torn down; opened up; in bits; on bench; down; in pieces"),
    *joined("not going; never going; no way; wont go; not go; not worth putting; no sense putting; not putting; not put"
            "; why put", _GOING),
    *joined("came; comes; come", "out with; off with", "bad part; bad one; old one; other part; joint; shaft; "
            "other; assembly; failed part; main part"),
    *joined("cut; had to cut", "it off; off", "to get at; to get to; to reach; for access"),
    *joined("with; along with; alongside; during; in; on", "main; above; first; other; big; larger; primary",
            "repaired; job; work; task; item"),
    *joined("no; without; zero; not", "extra; additional; added; more", "labour; time; hours; charge for labour"),
    *joined("renewed; replaced; changed; done; fitted", "while; since; as", "we were in there; in there; there; at it; "
            "in that far; that far in"),
    *phrases(
        """
        in that far; while that far in; that far in; that far down; comes with other job; comes with job; goes with
        other job; goes with job; goes with above; part and parcel; as they come; as pair with; always done together;
        do together; done together; to do together; shop practice; workshop practice; practice here; house rule;
        replaced both while; along for ride; same trip in; while mechanic there; while fitter there
        """
    ),
)  # fmt: skip

# --- damage from outside

_LOADS = (
    "load; chain; strap; log; logs; pipe; pipes; pole; boom; plate; drum; reel; beam; cable; wire; tarp; rope; coil"
)
_DAMAGED = (
    *joined(_LOADS, "came off; fell off; slid off; rolled off; shifted; came loose and; slipped off; dropped on; "
            "fell on; landed on; rolled under; rolled on; rolled into; came through; went through; swung into; got into"
            "; wound up in; got caught in; caught up in; tangled in"),
    *joined("stub; stick; stump; branch; rock; stone; bar; limb; sapling; root; wire; rod; bolt; spike; steel; log; "
            "debris; scrub; brush; picket; timber; tine", "poked; poked hole; poked through; punched; punched hole; "
            "holed; put hole; knocked hole; ripped; tore; torn; came up; flew up; kicked up; jabbed; went up; "
            "took out; took off; rolled; cut into; sliced; speared"),
    *joined("backed over; backed on to; backed onto; drove onto; reversed over; drove over; ran over; hung up on; high "
            "centred on; hung on; stuck on; dropped on; straddled; ran on to; crawled over",
            "rock; rock pile; rocks; log; stump; berm; bank; kerb; debris; spoil; pile; rubble; culvert; rail; windrow;"
            " root; ledge; boulder; timber"),
    *joined("damage; collision damage; accident damage; impact damage; crash damage", "to"),
    *joined("winched; pulled; dragged; snatched; yanked; towed", "out", "ditch; mud; bog; creek; snow; sand; hole; "
            "swamp"
            "; field; soft ground; snow bank; drain"),
    *joined("winched; dragged; snatched; yanked", "out"),
    *joined("wound up; wound; wrapped up; tangled up; caught up; caught; balled up", "in; on; around; round; into",
            "drive line; drive shaft; prop shaft; prop; shaft; joint; u joint; axle; half shaft; cv"),
    *phrases(
        """
        poked hole; guy wire; storm damage; in storm; by storm; during storm; due to storm; after storm; storm hit;
        storm blew; limb on; tow chain; by tow chain; by chain; by cable; by winch; by forks; operator damage; crew
        damage; operator hit; driver hit; log rolled; rolled under vehicle; rolled under
        """
    ),
)  # fmt: skip

# --- a repair that did not hold

_COMEBACK = phrases(
    """
    rework at no charge; at pressed in crooked; fitted by us loose; from last work order; last work order; previous work
    order; from last work; from last; bad out of; bad new out; defective out of box;
    defective out of; bad from shelf; put in last; pressed in last; put in not long ago; on last visit; done wrong;
    not done right; not put in right; not pressed in; not seated right; not torqued; not bottomed; started walking
    """
)

# --- words that tell nothing

_SILENT = (
    *joined("no; not; without; never; nil", "complaint; complaints; reported; report; reports; defect; defects; fault; "
            "concern; noise; write up; call; symptom; symptoms", "from; by", _PEOPLE),
    *joined("back to; returned to; released to; ready for; ready to; handed to; turned over to; given back to; "
            "out to", "crew; work; go; roll; route; operator; driver; user; duty; road; yard; line; garage"),
    *joined("fire; storm; flood; crash; accident", "engine; vehicle; service; crew; station; brigade; appliance; "
            "tender; "
            "unit; season; response; work; call; call out; duty; investigation unit; pump"),
    *joined("crew; driver; operator; customer", "needs vehicle; waiting on vehicle; happy"),
)  # fmt: skip

OCCASION_WORDS: Mapping[str, tuple[str, ...]] = {
    "in_use": _IN_USE,
    "failed": _FAILED,
    "look": _LOOKED,
    "worn": _WORN,
    "planned": _PLANNED,
    "collateral": _COLLATERAL,
    "damage": _DAMAGED,
    "comeback": _COMEBACK,
    "silent": tuple(p for p in _SILENT if p not in _IN_USE),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
