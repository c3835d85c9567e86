"""Why a part was renewed, as a technician tells it in whole sentences.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import phrase_table

__all__ = ["TOLD_REASONS"]

_COUNTS = ("1", "2", "3", "4", "5", "6", "8", "two", "three", "four", "five", "six", "eight", "ten", "few", "couple")
_SPANS = ("years", "months", "weeks", "seasons", "services", "km", "miles", "hours")
_OUTCOMES = "broken; failed; let go; lets go; goes; gives up; gives out"

# What may be told of a failure on the road, and of any drive.
_ON_THE_MOVE = """
    on road; off road; under load; on load; under power; at speed; at motorway speed; at highway speed; at cruising
    speed; on take off; on take up; when turning; on full turning; when driving; while driving; in traffic; in use; during
    use; in operation; during operation; in service; in serviced; out on road; on run; on trip; on tour; came in; came in
    with; came in for; under way; on motorway; on highway; on freeway; en route; on route; in field; user; user unit; crew;
    unexpected; felt; haul road
    """
# What is told of a repair that did not hold, and of much else.
_AS_BEFORE = """
    second time; third time; second go; third go; second attempt; third attempt; wrong; incorrect; incorrectly; wrongly;
    crooked; squint; warranty; in warranty; no charge; repeat; repeated; from supplier; from vendor; upside down; not
    located; not home; previous part; not locked; not clipped; again already; back after; customer back; vehicle back;
    wrong way; last job; credit note; poor part; misalignment; internal charge; post repaired
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
            cheap insurance; as insurance; no argument; quiet as mouse; quiet as church mouse; right as rain; ok now; good
            as gold; ok as gold; no other issues; no other problems; no other defects; no other faults
            """,
        "perhaps": f"{_ON_THE_MOVE}; {_AS_BEFORE}",
    }
)
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
    "planned": (*_TOLD["planned"], *_BEFORE, *_EVERY),
    "collateral": (*_TOLD["collateral"], *_SEEING),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
