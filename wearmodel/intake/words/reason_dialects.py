"""Why a part was renewed, as it is told on the job cards of other countries: the Gulf, India, Africa, the Pacific.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrases

__all__ = ["REASON_DIALECTS"]

_BY_PLAN = "as; as in; in; on; from; off; under; according to"
_PLANNERS = """
    pm; ppm; service; maintenance; preventive maintenance; maker; makers; manufacturer; manufacturers; maker's; oem;
    planned; planning; annual; periodic
    """
_SHEETS = """
    chart; list; schedule; scheduled; table; calendar; matrix; programme; planner; plan; planned; policy; requirement;
    guideline; guidelines; instruction; instructions; recommended; dept; department; office
    """
_TRAVELLED = "km; kilometre; kilometres; mileage; hours; hour; miles; distance; running; running km; service km"
_HEAT = "welding; weld; welding spark; welding work; spark; sparks; gas torch; torch; grinder; exhaust; fire; heat"
_OTHERS = """
    them; other garage; other workshop; outside; outside garage; outside workshop; outside mechanic; outside contractor;
    outside party; outside vendor; contractor; subcontractor; vendor; dealer; agent; agency; local garage; previous
    garage; previous workshop; other shop; last shop; road side mechanic; roadside mechanic; tyre shop; third party
    """
_WRONG_USE = """
    pulling; towed; driving; use; operation; gear; loading; lifting; jacking; handling; parking; reversing; lashing;
    tying; slinging; winching; recovery; recovered
    """
_REFIT = """
    assembling; assembly; reassembling; refitted; fixing back; fitted back; putting back; boxing up; closing; box up
    """
_MAIN = "above; above job; main job; main work; other job; other part; other work; same job; main part; above work"
_PEOPLE = """
    driver; operator; customer; client; user; site; site engineer; engineer; foreman; supervisor; crew; owner; hirer;
    camp; controller; control; transport; traffic; duty officer; security; guard
    """
_FINDERS = "mechanic; technician; fitter; foreman; inspector; supervisor; examiner; electrician; greaser; service man"
_BEFORE_TROUBLE = """
    breakdown; breaking; breaking down; failing; failed on road; it breaks; it breaks down; it failed; it lets go;
    it gives trouble; giving trouble; trouble; it fails; it gets worse; getting worse; it goes; a breakdown; anything
    happens; leaking; it leaks; total failed; complete failed
    """

_SEEN_AT_LOOK = (
    *joined("spotted; noticed; seen; picked up; identified; caught; discovered; observed; flagged; found", "by",
        "tech; "
            "technician; mechanic; fitter; inspector; tester; examiner; apprentice; workshop; garage; us; foreman"),
    *joined("spotted; noticed; seen; picked up; identified; caught; discovered; observed; flagged", "at; on; "
            "during; in; "
            "while on; by", "inspection; checked; service; pm; pmi; mot; test; annual; lift; ramp; pit; hoist; mpi; "
            "vhc; safety checked; routine checked; walk round; walkaround; dot; brakes; brake job; oil changed; "
            "oil service; tyre changed; wash; docking; pre trip"),
)  # fmt: skip
_DROPPED = "removed; lowered; taken down; came out; came down; dismantled; taken off; taken out; moved"

_UNITS = """
    clutch; gear box; diff; transmission; engine; axle; hub; transfer box; transfer case; wheel bearing; flywheel; seal
    """

REASON_DIALECTS: Mapping[str, tuple[str, ...]] = {
    "seen": _SEEN_AT_LOOK,
    "undone": (
        *joined("fell apart; came apart; broken; split; torn; cracked; collapsed; fell to bits; disintegrated; snapped",
                "when; while; as; once", "shaft; prop shaft; prop; it; drive shaft; axle", _DROPPED),
    ),
    "planned": (
        *phrases("rotable changed; rotable change; rotable; pre season; as manufacturer; lease contract; "
                 "maintenance contract; predicted replaced; predicted; forecast replaced; "
                 "oil analysis; condition forecast; half life; mid life; midlife; mid life refresh; refurb programme; "
                 "refurbishment programme; overhaul programme; life of type; block change; block changed; "
                 "bulk changed; bulk "
                 "replaced; blanket replaced"),
        *joined("time; life; date; age; service life; life span; mileage; hours", "expired; ex; exceeded; finished; "
                "up; run out; ran out; over"),
        *joined("mileage; km; hours; time; date; set; scheduled; fixed; agreed; laid down", "changed; mileage; "
                "replaced mileage; changed mileage; replaced point"),
        *joined("fleet; depot; company; head office; maker; makers; manufacturer; workshop; engineering; technical; "
                "standing", "instruction; instructions; bulletin; directive; notice; order; policy; campaign; memo",
                "to replaced; to renewed; to changed; to fitted; -"),
        *joined("in; called in; booked in; came in; brought in; here", "for", "planned; scheduled; programmed; "
                "routine; "
                "periodic", "changed; replaced; renewed; renewal; exchanged"),
        *joined("end; at end", "scheduled; service; planned; working; useful; design; set; fixed", "mileage; life; "
                "hours; distance; interval"),
        *joined(_BY_PLAN, _PLANNERS, _SHEETS),
        *joined("as; on; in; according to", "-", "service list; pm list; changing list; due list; replaced list; "
                "life list; due km; due hours; due date; due mileage; planning; planner; programme"),
        *joined(_TRAVELLED, "done; done for; completed; completed for; finished; due; due for; "
                "reached; reached for"),
        *joined("due", "by; on; at", "km; hours; hour; mileage; miles; date; time; age"),
        *joined("contract; warranty; client; customer; insurance; legal; statutory", "requirement; requirements"),
        *joined("all vehicle; same model; all same model; fleet; every vehicle", "changed; changing; "
                "replaced; campaign; programme"),
        *joined("old; old one; old part; removed part; removed one; old unit", "good; was good; still good; not bad; "
                "kept for standby; kept standby; no defect; not defective; no fault; had no fault; in good condition"),
    ),
    "failed": phrases(
        """
        flew apart; came away; came away from; stopped working; spun; chewed; mashed; ground to dust;
        ground away; turned to powder; powdered; no needles left; no rollers left; dislodged; displaced; out of
        yoke; came out of yoke; bad order; inop; non functional; not functional; malfunctioned; malfunction; pounded
        out; ruined; perforated; smashed to bits; smashed to pieces; mangled up inside; mangled inside; flogged to bits;
        blown to bits; broken clean; clean broken; broken clean off; no drive through it; nipped up solid; ran dry;
        run dry; ran hot; starved of oil; unserviceable condition; beyond redemption;
        shelled; shelled out; spun bearing; blew up; blew out; blew to bits; came to bits; come to bits; clapped; crook;
        lunched itself; threw its needles; walked out cap; cap walked out; caps walked out; cup walked out; cup spun;
        no longer serviceable; no longer turning; no longer holding; no longer usable; no longer safe; not serviceable;
        run dry and broken; gone west; gone phut; gone to lunch; gone to god; gone to pieces; gone kaput; gone for good;
        gone out; had its chips; had bomb; given up ghost; thrown in towel; kicked bucket; bit dust; bought farm;
        clapped out; cream crackered; done in; conked; packed it up; packed in on; worked its way out; fell to pieces;
        pulled itself apart; tore itself apart; torn itself apart; ripped itself apart; shook itself apart; beat itself
        to death; egged out; wallowed out; hogged out; chewed itself up; ate itself; eaten itself; seized up solid;
        siezed; locked tight; stopped turning; not turning; will not turning; let go in; let go with; let go again
        """
    ),
    "worn": (
        *joined("worn", "up to; to; near; nearly to", "limit; limits; max; maximum"),
        *joined("worn; bad; loose; perished; cracked; tired; deteriorated", "enough to", "do; replaced; renewed; "
                "changed; "
                "warrant replaced; need doing; fail; act on; be done"),
        *joined("now", "worn; perished; cracked; split; needs doing; needs replaced; due replaced"),
        *joined("lift; play; movement; slack; slop; float; rock", "in it; found; felt; measured; present; "
                "evident; on test"),
        *phrases("tight at service; sticking at service; borderline; close to limit; near limit; near limits; "
                "close to limits; "
                 "on limit; near end life; starved of greased; starved greased; sticky; graunchy; crunchy; lumpy; "
                 "gritty feel; rough to turning; rough to turn; rough by hand; rough when turned; not smooth; "
                 "suspect joint; "
                 "showing rust; rust dust; rust powder; rust bleeding; rust round caps; red dust; bleeding rust; seal "
                 "lip gone; seals damage; seals torn; seals perished; seals leaking; "
                 "on condition; condition based; condition monitoring; "
                 "beyond economic repaired; beyond adjusted; beyond use limit; past wear limit; into wear limit; "
                 "time served; aged; age related; age hardened; gone brittle; gone stiff; going hard; going brittle; "
                 "starting to split; starting to crack; beginning to split; beginning to crack; splits starting; "
                 "cracks starting; showing cracks; showing play; showing wear; showing signs wear; signs of wear; "
                 "sign of wear; signs wear"),
    ),
    "look": (
        *_SEEN_AT_LOOK,
        *joined("mpi; vhc; dvi; multi point inspection; courtesy inspection; digital inspection; static checked; "
                "fleet checked; "
                "fleet inspection; docking; docking checked; docking inspection; schedule docking; body checked; "
                "chassis "
                "checked; brake checked; axle checked; shaker; shaker plate; play detector; rolling road; lane test",
                "-"),
        *joined("hire; off hire; rental; return; hire return; end of hire; handover; hand over; shift; shift change; "
                "take over; takeover; first use; daily walk round; driver daily; yard; gate; dock; security; pre load; "
                "trailer; damage; arrival; lease return; end of lease; fuel bay; washbay; wash bay",
                "checked; inspection; check sheet; look over; return checked"),
        *joined("while; when; during", "on; up on; over; in; in for; at", "ramp; lift; hoist; pit; stands; "
                "axle stands; jack; four poster", "-; for tyres; for brakes; for exhaust; for service; "
                "for oil changed; "
                "for other work; for mot; for inspection"),
        *joined("in; here; booked in; came in; brought in", "for", "tyres; tyre; brakes; service only; service; "
                "oil changed; wash; mot; mot prep; inspection; tracking; alignment; seasonal checked", "only; -"),
        *joined("noticed; seen; found; spotted; observed", "worn; split; torn; perished; loose", "on; at; "
                "while on; during",
                "lift; ramp; hoist; pit; service; inspection; checked; pmi; mot"),
        *joined("technician; mechanic; fitter; tech; examiner; tester; inspector; workshop", "advises; advised; "
                "recommended; marked up; flagged; red lined; wrote up"),
        *joined("marked; marked up; marked as; marked down; listed; tagged; flagged", "worn; bad; defective; failed; "
                "advisory", "by", "inspector; tester; examiner; technician; fitter; foreman"),
        *joined("advisory; advisories; advised; amber; red; noted", "from; on; at; off", "last; previous; recent; "
                "earlier; this", "inspection; pmi; mot; service; visit; test; checked; report; sheet"),
        *joined("4; 5; 6; 7; 8; 9; 10; 12; 13; 15; 26; two; four; six; eight; ten; twelve; thirteen; twenty six",
                "week; weeks; weekly; month; monthly; wkly", "checked; inspection; safety checked; pmi; pm; sheet; "
                "service inspection"),
        *joined("client; client hse; third party; 3rd party; qc", "inspection; audit; examination"),
        *joined("site; site entry; site gate; gate pass; hse; safety; "
                "half annual; half yearly; yearly passing; yearly; municipality; traffic police; government; "
                "mulkiya; registration; istimara; permit; operator's licence; licensing; licence; fitness; "
                "testing station; depot; pre mobilisation; mobilisation; demobilisation; pre entry; weekly; "
                "six monthly; 3 monthly; 6 monthly; three monthly; quarterly; monthly; fortnightly; routine",
                "inspection; checked; passing; passing inspection; audit; test; examination"),
        *joined("failed in; rejected in; rejected at; rejected by; not passed; failed to pass; to pass; refused by; "
                "stopped by; not accepted by; not accepted in; not accepted at",
                "passing; inspection; test; municipality; site; client; inspector; examiner; police; licensing; "
                "licence; testing station; fitness; registration; hse; safety; safety officer"),
        *joined(_FINDERS, "found; noticed; observed; saw; spotted; picked up; reported", "during service; "
                "at service; on checked; during checked; on inspection; during inspection; while greased; "
                "while servicing; on routine; on routine checked; at time of service; while doing service"),
        *phrases("to get sticker; for sticker; for gate pass; not allowed in site; not allowed on site; "
                 "inspection point; inspection report point; checked list point; point no; "
                 "snag list; snag sheet; defect list from inspection"),
    ),
    "silent": (
        *phrases("corrective maintenance; corrective; reactive maintenance; running maintenance; maintenance work; "
                 "maintenance job; general maintenance; general repaired; general work; work shop job"),
        *joined("no; nil; without; zero; none", "driver; drivers; customer; operator; crew; user; reported; other; "
                "further; hirer", "defect; defects; fault; faults; complaint; complaints; reports; concern; concerns; "
                "snags; issues; problems; comment; comments"),
        *joined("nothing", "reported; complained; wrong; wrong with old; found wrong; amiss; untoward; wrong found; "
                "wrong with it; wrong w old; wrong with old one; noted by driver; from driver"),
        *joined("with; on; under; by; after; awaiting no; had", "authority; auth; sign off; signature; "
                "supervisor agreement; order number; po; purchase order; job number; verbal"),
        *joined("authorised; approved; agreed; cleared; signed off; ok; okayed; sanctioned", "by; with; from; through",
                "transport; transport office; office; control; controller; customer; hirer; owner; fleet; manager; "
                "management; foreman; supervisor; head office; depot; boss; engineer; planner; lease company; client; "
                "insurance; driver"),
        *joined("lift off; lifting off; lift off throttle; off throttle; lifts off; back off; backing off; let off; "
                "ease off; come off throttle; on overrun; on over run; coming off power", "-"),
        *joined("washed off; washed down; wiped down; cleaned off; steam cleaned; pressure washed", "-"),
        *joined("noise; vibration; fault; knock; clunk; symptom; complaint; concern", "gone; cured; cleared; sorted; "
                "solved; eliminated; away; disappeared; resolved; no longer present; now gone; fixed"),
        *joined("hirer; customer; driver; owner; operator", "collecting; collected; to collect; picking up; "
                "coming for; "
                "waiting; away; happy; informed; notified; advised ready"),
        *phrases("staked type; staked in; staked joint; staked u joint; staked cap; staked caps; all sound; "
                "sounds ok; sound ok; sounds fine; runs sound; sound condition; now quiet"),
        *joined("before", _BEFORE_TROUBLE),
        *joined("as; as per; on; after; under; by; with; against; for", "-; insurance; client; customer; "
                "management; fleet; site; head office; assessor; manager; owner; workshop manager; foreman; verbal; "
                "email; phone; telephone; written", "approval; approved; authorisation; go ahead; ok; instruction; "
                "advice; consent"),
        *joined("approval; authorisation; authority", "received; given; obtained; granted; taken; no; number; ref; "
                "attached; by phone; by email; ok; code"),
        *joined("no; nil", "defect; defects; fault; faults; complaint; complaints; problem", "in; with; on; from",
                "old; old one; removed; removed part; old part"),
        *joined("job; complaint; complaints; call; problem; work; work order; order; card; ticket", "closed; solved; "
                "attended; cleared; finished; over; completed"),
    ),
    "comeback": (
        *phrases("qc failed; failed qc; qc reject; rejected by qc; recurring; recurrence; reoccurrence; "
                 "re occurrence; re occurred; reoccurred; recurred; re occurring; reoccurring; customer returned; "
                 "faulty part "
                 "supplied; faulty supplied; repeat offender; repeater; repeat write up; third one; 3rd one; "
                 "second one "
                 "in; fourth one; another one gone; chronic; chronic repeat; same joint again; same boot again; same "
                 "bearing again; again this month; again this week; again this year"),
        *joined("from; off; since", "previous; last; earlier; recent; our last; our previous", "card; job; "
                "job card; ticket; visit; work; work order; order; repaired; fitted; fitment; invoice; attempt; "
                "rebuilt"),
        *joined("returned; back; came back; come back; in again; back in; returned to us; returning", "within; inside; "
                "after; in", "week; weeks; month; days; day; hours; fortnight; few days; couple days; couple weeks; "
                "two days; two weeks; three days; 2 days; 3 days; 2 weeks; 3 weeks; same week; same day; same month"),
        *joined("second; third; 2nd; repeat", "attempt; go; try; bite; time round; time around; time we",
                "-; at it; at job"),
        *joined("not; never", "pulled tight; crimped; nipped up; clipped; seated; pressed home; fully home; tightened; "
                "torqued; engaged; locked", "-; by us; last time; when fitted; when we fitted; at last visit"),
        *joined("clip; clamp; circlip; band; strap; snap ring; retainer", "missing; left off; left out; not fitted; "
                "forgotten; omitted; loose", "since; from; after; by; at", "our; last; last repaired; our last; "
                "our repaired; our job; last job; last visit; previous; previous repaired"),
        *joined("wrong; incorrect; mixed up; mis matched; mismatched", "part; parts; item; kit; joint; boot; "
                "bearing; one; "
                "size; series; type; length", "fitted; used; supplied; put in; installed; issued; ordered; last time; "
                "last month; last week; last visit; by us; picked"),
        *joined("claim; credit; refund", "sent; made; raised; lodged; submitted; put in; requested; to; with; from",
                "supplier; to supplier; on supplier; with supplier; manufacturer; to manufacturer; factors; factor; "
                "to factors"),
        *phrases("ours no charge; ours n c; our cock up; our boo boo; our bad; our shout; our slip up; on us; "
                "on house; "
                 "workshop to pay; workshop absorbs; no bill; not billed; not invoiced; no invoice; nc; n c; at no "
                 "cost; written off to workshop; workshop account; goodwill job; faulty from new; faulty new; "
                 "faulty out of box; defective on arrival; doa; bad from new; not up to job; did not last; "
                 "not last long; "
                 "lasted a week; lasted a month; lasted a fortnight; lasted five minutes; same again; "
                 "here we go again; "
                 "back again; round again; redone; done over; do over; done again"),
        *joined("fitted; done; repaired; replaced; installed; renewed; changed", "by; at; in", _OTHERS),
        *joined("outside; outside garage; outside workshop; contractor; dealer; subcontractor; vendor", "job; work; "
                "repaired; fitted",
                "not up to standard; not up to scratch; not up to it; not held; not hold; " "not ok; not good; "
                "no good; bad; failed; wrong; defective; poor; not satisfactory"),
        *phrases("back charge; back charged; back charge to; debit to workshop; job rejected; rejected our job; "
                 "repaired rejected; repaired not successful; job not successful; previous repaired not successful; "
                 "job not proper; not done proper; not done properly; not fitted proper; not proper fitted; "
                 "local made part; "
                 "fitted loose; complaint repeated; complaint repeat; complaint again; again complaint; "
                 "again same; again same complaint; again came; again failed; again broken; again bad; again loose; "
                 "again noise; job repeated; repeat job; repeated job; re opened job"),
    ),
    "damage": (
        *phrases("rti; rti damage; road traffic incident; object on road; object in road; debris in road; "
                "debris on road; "
                 "driver at fault; at fault accident; blameworthy; tyre took out; blown tyre took out; "
                 "tyre let go and; "
                 "delaminated tyre; tread separation; retread came off; ran over wire; ran over rope; "
                 "picked up wire; picked "
                 "up rope; picked up chain; picked up strap; picked up plastic; picked up cable"),
        *joined("at; to; charged to; recharge to; recharged to; billed to; bill; invoice", "their; hirer; third party; "
                "recovery; recovery company; contractor; contractors; culprit; other party; tow company; agent",
                "cost; expense; insurers; insurance"),
        *phrases("at their cost; at their expense; at his cost; at their insurance"),
        *joined("incident; crime; police; claim; insurance; accident; damage; crash; collision", "number; ref; "
                "reference; "
                "report; reports; log; form; claim; file; number on file", "-"),
        *joined("went; gone; ran; slid; came; put; driven; drove; rolled; fell; slipped", "off; into; in; over; "
                "through; down",
                "track; ditch; road; dyke; gutter; verge; field; hedge; fence; gate; wall; trench; pothole; bog; "
                "stream; "
                "burn; loch; river; donga; drift; sluit; nullah; wadi; ravine; embankment; barrier; armco; guard rail; "
                "snow bank; culvert; dip; washaway; cattle grid; grid; bunker"),
        *joined("debris; rock; stone; stump; kerb; pothole; animal; deer; kangaroo; roo; bird; tyre; bolt; "
                "branch; log; pole; "
                "object; ice; wood; timber; chain; wire; rope; cable; metal; steel", "strike; strikes; struck; "
                "impact; hit; "
                "damage; thrown up; flicked up; kicked up; wrapped; caught"),
        *joined("vandal; vandals; theft; attempted theft; break in; arson; sabotage; malicious; hirer; misuse; abuse; "
                "driver; operator; customer; third party; storm; flood; fire; hail; rodent; rat; mouse; squirrel; "
                "possum; monkey; baboon; dog; cattle; cow; goat", "damage; damage by; damages"),
        *phrases("recharge job; recharge to; chargeable damage; broken in process; damage in process; "
                 "bent in process; hit and run; dragged out; dragged it out; pulled out of mud; snigged out; towed out "
                 "backwards; bottomed out; grounded out; beached; bellied out; high sided; jack knifed; jackknifed"),
        *joined("burnt; melted; scorched; singed; holed; burned", "by; with; from; due to; in", _HEAT),
        *joined("wrong; improper; incorrect; careless; bad; rough", _WRONG_USE),
        *joined("damage; broken; bent; torn", "by; due to; from; in", "wrong; improper; careless; rash; rough",
                _WRONG_USE),
        *joined("cost; charge; charged; recover; recovered; deduct; debited; debit", "to; from", "driver; operator; "
                "site; hirer; insurance; user; contractor"),
        *phrases("driver charged; operator charged; debit note; driver penalty; driver fine; stuck in sand; "
                 "stuck in mud; fell in trench; fell in pit; fell in ditch; in toppling; toppling; police report; "
                 "police case; insurance survey; surveyor; insurance surveyor"),
    ),
    "collateral": (
        *joined("with; during; at; because of; due to; while at", _UNITS, "job; overhauled; swap; rebuilt"),
        *joined("during; because of; due to", _UNITS, "replaced; changed; removed; removal; r r; exchanged"),
        *joined("with; came with; included with; supplied with", "exchanged; rebuilt; new; overhauled; recon",
                "diff; gear "
                "box; transmission; axle; engine; transfer box; hub; unit"),
        *joined("as; in", "pair; pairs; set; sets; matched pair; matched set", "-; with other; with front; with rear; "
                "with mate; both sides"),
        *joined("consequence; consequential; knock on; result; resulting; arising; following", "of; from; to; "
                "on", "above; "
                "main; main job; other work; clutch job; gear box job; diff job"),
        *joined("as part", "-", "shaft repaired; shaft overhauled; prop repaired; prop overhauled; axle overhauled; "
                "diff overhauled; gear box overhauled; hub overhauled; swivel overhauled"),
        *phrases("while convenient; as convenient; convenient time; good time to; good time do it; handy "
                 "time; made sense to; made sense"),
        *joined("while; when; as; since; with; seeing; because", "it; they; everything; job; lot; all; -", "in "
                "bits; in pieces; "
                "apart; stripped; stripped out; opened up; down; all apart; in bits anyway; all in bits"),
        *joined("new; replaced; renewed; fitted; done", "also", "all in bits; in bits; all apart; "
                "apart"),
        *joined("came; come; comes; came away; came out; pulled", "off; away; out; apart", "with; along with",
                "other; other part; "
                "other parts; main part; main job; it; joint; shaft; hub; rest"),
        *joined("on; at; during; for; in", "rebuild; rebuilt; re build; reassembly; re assembly; reassemble; build up; "
                "building up; going together; refit"),
        *joined("not; could not be; cannot be; will not; would not", "refitted; refittable; used again; reused; "
                "go back; "
                "be refitted; be reused; go back on; seal again", "after; with; on; once; following", "above; "
                "main job; "
                "other job; dismantled; removed; other work"),
        *joined("see", "item above; above item; line above; job above; item 1; above line; above; line 1; job 1; "
                "main item",
                "-"),
        *phrases("as above and"),
        *joined("one", "use only; use only part; shot part; trip part; time part"),
        *joined("for; on; at; during; while; in; at time of; when", _REFIT, "-", _MAIN),
        *joined("while; when; during; at time of", "assembling; reassembling; fixing back; boxing up; putting back; "
                "closing up; box up"),
        *joined("already; same; in same", "opened; opening; dismantled; dismantling; strip down"),
        *joined("opened; removed; dismantled; down; out; stripped", "already; for other work; for other job; "
                "for main job; for above; for above job"),
        *joined("along; together; same time; issued along", "with main; with main part; with above; with main job; "
                "with other job; with other part; with above line"),
        *joined("linked to; related to; part of; goes with; refer; see; with; under", "above line; above job; "
                "main job; main line; main work; job above; line above; other line; previous line; same job card"),
        *phrases("to avoid opening again; avoid opening again; avoid dismantled again; avoid second dismantled; "
                 "extra item for above; extra for above; no additional labour; no extra labour; labour in main job; "
                 "labour in above; changed as set; changed as a set"),
    ),
    "noticed": (
        *joined("not returned; not returning; not coming back; does not return; not self centring; hard to return",
                "after turning; to centre; after turn; on its own; by itself"),
        *joined("steering", "not returned; not returning; not coming back; not free; hard; very hard; free play"),
    ),
    "in_use": (
        *joined("wrecker; hook; low loader; flatbed; tow truck; rollback; tilt tray; recovery", "in; call; job; "
                "called; "
                "attended"),
        *joined("trouble; shop; road; field; night; roadside; assist", "call; call in; called; service; service call; "
                "job"),
        *joined("urgent; emergency; forced; unplanned; unscheduled; breakdown; running; roadside; corrective",
                "repaired; "
                "work; job; repaired job; stop; defect; removed; failed; work order"),
        *joined("vehicle; bus; truck; unit; changed; pulled; taken; took; came; off", "off", "route; run; service; "
                "road; job; line"),
        *phrases("bus changed; bus change over; missed trip; missed trips; lost trip; lost trips; trip lost; "
                "trip cancelled; "
                 "service failed; service failure; off road; on tow; under tow; on a rope; deadlined; deadline"),
        *joined("total; complete; sudden; full; partial", "loss", "drive; of drive; power to wheels; all drive; "
                "transmission"),
        *joined("crew; driver; operator; hirer; customer; owner; passengers; vehicle; bus; van; truck; gang; "
                "squad; team",
                "stuck; stranded; stranded at; left stranded; immobile; rang in; phoned in; radioed in; rang; phoned; "
                "radioed; reckons; reckon; moaning; moans; grumbling; unhappy; not happy; on phone; called up"),
        *joined("vehicle; driver; crew; bus; van; truck", "cannot be used; cannot use; not usable; cannot be driven; "
                "cannot drive; could not be driven; could not drive; undriveable; not driveable; not drivable"),
        *joined("came in; come in; brought in; arrived; turned up; limped in; rolled in; crawled in; drove in; "
                "driven in",
                "making; with; sounding; complaining; grinding; knocking; clunking; shaking; howling; on",
                "racket; noise; "
                "din; knock; clunk; vibration; hook; rope; back; back of; low loader; trailer; float; "
                "transporter; wrecker"),
        *joined("fitter; mechanic; tech; technician; van; mobile; mobile fitter; patrol; rescue; service; road service",
                "attended; out; sent; sent out; called; called out; despatched; dispatched; out to it; went out; "
                "on site"),
        *joined("defect; driver; drivers; vor; operator; crew", "book; card; sheet; pad; note; slip; report; "
                "log; entry; def; defect; form; app; message; email"),
        *joined("def", "book; card; sheet; pad; rep; bk; note"),
        *joined(_PEOPLE, "complained; reported; says; refused to drive"),
        *joined("site; site engineer; engineer; camp; security; controller; control; transport", "informed; "
                "called; told"),
        *joined("brought; came; received; shifted; arrived", "by; on; with", "low bed; lowbed; recovery; recovery "
                "van; recovery truck; crane; trailer; towing; tow truck; flat bed; wrecker; rope; tow bar; "
                "car carrier"),
        *phrases("service truck sent; mobile team sent; mobile service sent; mechanic sent to site; attended at site; "
                 "attended on site; attended on road; not safe to run; not safe to drive; off road at; "
                 "vehicle stopped; vehicle not moving; not moving; not pulling; "
                 "no pulling; engine racing only; only engine racing; stopped on road; stopped on highway"),
    ),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
