"""Why a part was renewed, as a technician tells it in whole sentences.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrase_table, phrases

__all__ = ["TOLD_REASONS"]

_COUNTS = ("1", "2", "3", "4", "5", "6", "8", "two", "three", "four", "five", "six", "eight", "ten", "few", "couple")
_SPANS = ("years", "months", "weeks", "seasons", "services", "km", "miles", "hours")
_OUTCOMES = "broken; failed; let go; lets go; goes; gives up; gives out"

# What may be told of a failure on the road, and of any drive.
_ON_THE_MOVE = """
    on road; off road; under load; on load; under power; at speed; at motorway speed; at highway speed; at cruising
    speed; on take off; on take up; when turning; on full turning; when driving; while driving; in traffic; in use;
    during
    use; in operation; during operation; in service; in serviced; out on road; on run; on trip; on tour; came in;
    came in
    with; came in for; under way; on motorway; on highway; on freeway; en route; on route; in field; user; user unit;
    crew;
    unexpected; felt; haul road
    """
# What is told of a repair that did not hold, and of much else.
_AS_BEFORE = """
    second time; third time; second go; third go; second attempt; third attempt; wrong; incorrect; incorrectly; wrongly;
    crooked; squint; warranty; in warranty; no charge; repeat; repeated; from supplier; from vendor; upside down; not
    located; not home; previous part; not locked; not clipped; again already; back after; customer back; vehicle back;
    left loose; left off; left out; wrong way; last job; credit note; poor part; misalignment; internal charge;
    post repaired
    """

_TOLD: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "failed": """
            had let go; has let go; let go completely; all over road; gave up ghost; no longer turning; all to bits;
            fell to bits; nothing left; lunched; lunched itself; chewed out; spat it; gone to powder
            """,
        "noticed": """
            flogging around; flogging about; flogging round; flogging in; flogging under; flogging; thrashing;
            thrashing around; slapping; slapping around; jumping around; flailing; banging around; howls; sings;
            wails; drones; hums; black muck; black gunk; black goo; muck flung; muck thrown; gunk; smell burnt; smell
            burning; smell hot; burnt greased; burning greased; getting worse by day; getting worse every day; getting
            louder; worse by day; getting worse all time; clangs; clanging; buzzes; knocks around
            """,
        "worn": """
            on last legs; last legs; on last leg; flogged out; flogged right out; hammered out; nearly finished;
            nearly done; nearly gone; near end; almost through; almost gone; not got long; not long left; not much
            left; seen better days; had its day; had better days; not pass it with; not pass with; will not pass with;
            would not pass with; not pass it like; greased like tar; greased dried; greased dried out; greased dry;
            greased hard; greased gone hard; greased gritty; greased black; greased milky; greased watery; greased
            full; greased contaminated; greased burnt; not run it another; not run another; not trust it; not send it
            out
            """,
        "look": """
            pdi; pdi checked; pre delivery; at pre delivery; during pdi; turning up at service; test sheet; on test
            sheet; yearly checked; yearly inspection; picked up on; picked up at; picked up during; picked up when;
            blue slip checked
            """,
        "planned": """
            boss wants; boss wants these; office wants; on list for month; on list for week; on list for year; on list
            for service; on list month; on list week; on list today; on list for; still good but due; ready for
            season; before anything goes; not waiting for; fleet policy; as fleet policy; customer schedule
            """,
        "collateral": """
            it in road; it in way; they in way; shaft in way; joint in way; in way of; silly not to; daft not to; rude
            not to; extra to above; on top of other; along with other work; along with other job; on way back in; on
            way back; on way back together; on way back up; going back together; on reassembly; at reassembly; while
            going back; before it went back; to go with it; to go with; for sake of it; with everything out; with it
            all apart; for good measure; came new with it; comes new with it; come new with it
            """,
        "damage": """
            took to it; hit and run; dragged out; dragged backwards; winched out; bogged; snatched out; fence wire;
            wire round shaft; wire around; wire round; rope round; twine round; string round; cord round; chain round;
            netting round; through scrub; high centred; assessor; per assessor; expert report; expertise report; per
            expertise
            """,
        "comeback": """
            stuff up; our stuff up; stuffed it up; mucked it up; botched it; put in crooked; put it in crooked; put on
            crooked; apprentice put; put it in wrong; put them in wrong; replaced once more; renewed once more;
            changed once more; fitted once more
            """,
        "silent": """
            cheap insurance; as insurance; no argument; quiet as mouse; quiet as church mouse; right as rain; ok now;
            good
            as gold; ok as gold; no other issues; no other problems; no other defects; no other faults
            """,
        "perhaps": f"{_ON_THE_MOVE}; {_AS_BEFORE}",
    }
)
_TESTS = """
    mot; mot test; roadworthy; rego; cof; wof; cvip; cvi; nct; psv; psv test; hgv test; annual test;
    annual inspection; state
    inspection; dot inspection; dot; safety; safety inspection; pmi; pm inspection; inspection; test; ministry test;
    vosa; dvsa;
    pre trip; pre use checked; walkaround; walk round; yearly; annual; six weekly; pit inspection; blue slip;
    pink slip; tuv;
    brake test; tester; examiner; inspector
    """
_PERIODS = "month; monthly; week; weekly; day; yearly; year; hour; km; mile"
_EVENTS = "checked; inspection; pm; look over; going over"
_HOLDS = (
    "failed; breakdown; fault; broken; problems; trouble; road failed; road breakdown; roadside breakdown; "
    "it failed"
)
_BY_BOOK = """
    planned; scheduled; book; planner; sheet; plan; maintenance planned; maintenance scheduled; service planned; service
    scheduled; programme; list; manual; interval; matrix; chart; pm sheet; pm scheduled; handbook; system; computer;
    tracker
    """
_REACHED = """
    kays; miles; km; mileage; limit; interval; distance; replaced miles; changed miles; replaced km; replaced interval;
    life; target; mark; hours; service life; replaced point
    """
_APART = (
    "apart; pulled apart; dismantled; off; out; removed; disturbed; split; opened; parted; undone; separated; "
    "taken off"
)
_COUNTED_WORK: Mapping[str, tuple[str, ...]] = {
    "look": (
        *joined("; ".join(_COUNTS), _PERIODS, _EVENTS),
        *joined("advisory; advised; noted; seen; flagged; recorded; carried over; deferred; reported; listed",
                "from; at; on; since", "last; previous", "year; mot; test; service; inspection; visit; pm; time; "
                "one; -"),
        *joined(_TESTS, "failed; fails; failed for; failed on; failed due to; failed with; reject; rejected; "
                "rejected for; defect; "
                "defects; points; prep; preparation; repaired; rectified; work; list; sheet; remark; advisory"),
        *joined("failed; failed at; failed on; failed for; knocked back at; knocked back on; refused at; "
                "no pass at; prep for; "
                "ready for; to pass; for; at; on; during", _TESTS),
    ),
    "service": joined("while; when; during; at", "doing; carried out; on; performing; -", "pm; service; a service; "
            "b service; "
                      "c service; oil service; lubrication service; scheduled pm; pm a; pm b; pm c; pm service"),
    "in_use": (
        *joined("breakdown; roadside; call out; recovery; road call; service call", "attended; attended to; visit; "
                "attendance"),
        *joined("attended; attended to; attend", "roadside; breakdown; vehicle on road; call out"),
        *phrases("in bush; from bush; service call to; call to; sent out to; mobile to; called to; went out to; "
                "quit on; quit out"),
    ),
    "planned": (
        *joined("ahead; in advance; in front; prior to; to prevent; to avoid; to forestall; avoiding; preventing; "
                "head off; "
                "to head off; to stop; to save; save", _HOLDS),
        *joined(_BY_BOOK, "states; calls for; called for; calls for it; requires; states to; wants; specifies; "
                "asks for; shows; "
                "dictates; demands"),
        *joined("called for on; called for in; called for by; called up on; called up by; according to; like; in line "
                "with; to; from; off; going by; as", _BY_BOOK),
        *joined("at; on; to; by", "recommended; specified; set; prescribed; required; scheduled; planned; "
                "advised", "hours; hour; interval; "
                "intervals; mileage; km; miles; time; distance; age; life"),
        *joined("hit; hits; reached; reaching; clocked; clocked up; up to; got up to; come up to; over; "
                "past", _REACHED),
        *joined("up on; came up on; comes up on; come up on; falls on; fell on; due on; listed on; shown on", _BY_BOOK),
        *joined("time; time was; hours; kays; km; miles; life; mileage; months; years; date", "up; up on; up for; "
                "ran out; "
                "run out; expired"),
        *joined("renewed; replaced; changed; fitted", "on", "kilometres; km; kays; miles; mileage; hours; time; "
                "age; date; distance",
                "only; alone; -"),
        *joined("old; old one; old part; old ones; removed part", "ok; still ok; serviceable; fine; not bad; "
                "not worn; still "
                "usable; kept for spare; kept as spare; kept; was ok; quite ok; within limits"),
    ),
    "collateral": (
        *joined("once; after; when", "it; them; -", _APART),
        *joined("once; after; when; as; since; while", "main; other; rest; big; bigger; above",
                "job; work; repaired; part", "-; was done; done; on; apart"),
        *joined("needs; required", "it; them; -", "apart; out; off; removed; dismantled; down; opened"),
        *joined("repl; replaced; renewed; done; fitted; changed", "with", "rest; rest job; other job; main job; "
                "other repaired; other work; other part"),
        *joined("tore; torn; split; cut; broken; damage; bent; snapped; ruined; cracked", "coming off; coming out; "
                "coming apart; going back; going on"),
        *joined("used again; reused; put back; refitted", "once; after; when", _APART),
    ),
    "damage": (
        *joined("went; ran; drove; slid; slipped; fell; rolled; skidded; dropped; tipped; reversed", "off; over; "
                "down; into",
                "road; track; culvert; bridge; edge; bank; ramp; trailer; embankment; ditch; drain; gully; kerb; "
                "rail; drop; creek; "
                "verge; shoulder; log; drum; bollard; washout; rut; hole; ledge; step; grid; cattle grid"),
        *joined("hit; struck; clipped; clobbered; bellied on; bellied it on; grounded on; bottomed on; "
                "bottomed out on; landed on; "
                "hung up on; caught on; drove over; ran over; went over; rode over; driven over; run over", "drum; "
                "bollard; washout; rut; grid; ledge; "
                "step; log; logs; stump; rock; rocks; kerb; island; speed hump; hump; pot hole; pothole; roo; "
                "kangaroo; wombat; cow; "
                "deer; bullock; pallet; lumber; timber; plank; bar; star picket; picket; stake; post; manhole; "
                "tyre; gator; "
                "debris; object; something; road debris; tree; branch; bank; boulder; culvert; barrier; wall; gate"),
        *joined("body shop; bodyshop; insurance; collision; crash repaired; panel shop; smash repaired; accident",
                "quoted; estimate; job; work; repaired; claim; assessment"),
        *joined("towed co; towed company; recovery co; car wash; tyre shop; tyre fitter; carrier; transporter; "
                "loader; forklift; "
                "valet; previous owner", "damage; damage it; broken; bent; destroyed; split; torn; hit"),
        *joined("bill; billed; charge; invoice; claim from; claim against", "towed co; tow co; insurance; driver; "
                "third party; carrier; "
                "hirer; insurer; recovery"),
    ),
    "failed": joined("went; gone; gave", "out; out on it; on it; out on us; on us; on him; on driver; up on driver; "
            "out on driver"),
    "worn": (
        *joined("felt; feel; feeling; found; had; with; noticed", "play; movement; slack; slop; roughness; notch; "
                "notchiness; worn; "
                "loose"),
        *joined("greased", "gone; all gone; missing; escaped; leaked out; dried up"),
    ),
    "noticed": (
        *joined("leaving; pulling out; pulling away from; backing out", "dock; yard; stop; kerb; bay; lights; "
                "junction"),
        *joined("bouncing; hopping; wallowing; slapping; dancing", "-; shaft; at speed; on road"),
    ),
    "silent": (
        *joined("no; no driver; no customer; without; nil; nothing; none", "fault reported; faults reported; "
                "defect reported; defects "
                "reported; problem reported; problems reported; reported; complaint; complaints; complaint reported"),
        *joined("passed; pass; passes; went through; got through; through; retest", "second time; first time; "
                "2nd time; retest; ok; "
                "inspection after; test after; after; next time"),
        *phrases("foot down; put foot down; boot down; head down; slow down; slowing down; changing down; "
                "change down; shift down; "
                 "going down; coming down; went off; goes off; turned off; switched off; on and off power; "
                 "on off power"),
        *joined("no further; no more; no longer any; without further; no residual; no remaining", "noise; "
                "vibration; clunk; knock; click; "
                "squeak; rumble; shudder; complaint; complaints; problem; problems; issue; issues; leaking; leaks; "
                "symptoms; play; "
                "concern; concerns; trouble; fault; faults; grinding; rattle"),
        *joined("with; by; under; on; after; -", "customer; driver; owner; management; fleet; manager; office; "
                "supervisor; client; boss",
                "approval; approved; authorisation; authority; consent; agreement; permission; go ahead"),
        *joined("with; under; on; after; had", "approval; approved; authorisation; authority; consent; permission"),
        *joined("retest; recheck; rechecked; re test; retested; retest done", "ok; passed; clear; good; fine"),
        *joined("same side", "line above; as line above; as above line; as line before; as previous line; "
                "as last line; as line 1; as "
                "line 2"),
        *joined("loading; at; to; in; on; backed to; backing to; against", "loading dock; dock door; dock bay"),
        *joined("back on; back to; out on; returned to; ready for; fit for; good for; safe for; put back on; "
                "put back to",
                "road; run; route; service; duty; work; site; job; line; fleet; driver; customer; use; traffic"),
    ),
}  # fmt: skip
_BEFORE = tuple(f"before {outcome}" for outcome in _OUTCOMES.split("; "))
_BEFORE += tuple(f"before {who} {outcome}" for who in ("it", "they") for outcome in _OUTCOMES.split("; "))
_SEEING = tuple(
    f"{begin} {how}"
    for begin in ("seeing", "seeing it", "seeing as", "seeing as it", "seeing how it", "seeing they", "with it")
    for how in ("out", "off", "apart", "stripped", "down", "open", "accessible", "there", "on bench", "opened")
)
_EVERY = tuple(f"every {count} {span}" for count in _COUNTS for span in _SPANS)
TOLD_REASONS: Mapping[str, tuple[str, ...]] = {
    **_TOLD,
    **{hint: (*_TOLD.get(hint, ()), *phrases) for hint, phrases in _COUNTED_WORK.items()},
    "planned": (*_TOLD["planned"], *_BEFORE, *_EVERY, *_COUNTED_WORK["planned"]),
    "collateral": (*_TOLD["collateral"], *_SEEING, *_COUNTED_WORK["collateral"]),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
