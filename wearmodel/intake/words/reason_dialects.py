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

REASON_DIALECTS: Mapping[str, tuple[str, ...]] = {
    "planned": (
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
    "worn": joined("worn", "up to; to; near; nearly to", "limit; limits; max; maximum"),
    "look": (
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
        *joined("fitted; done; repaired; replaced; installed; renewed; changed", "by; at; in", _OTHERS),
        *joined("outside; outside garage; outside workshop; contractor; dealer; subcontractor; vendor", "job; work; "
                "repaired; fitted", "not ok; not good; no good; bad; failed; wrong; defective; poor; not satisfactory"),
        *phrases("back charge; back charged; back charge to; debit to workshop; job rejected; rejected our job; "
                 "repaired rejected; repaired not successful; job not successful; previous repaired not successful; "
                 "job not proper; not done proper; not done properly; not fitted proper; not proper fitted; "
                 "duplicate; duplicate part; duplicate quality; local made; "
                 "fitted loose; complaint repeated; complaint repeat; complaint again; again complaint; "
                 "again same; again same complaint; again came; again failed; again broken; again bad; again loose; "
                 "again noise; job repeated; repeat job; repeated job; re opened job"),
    ),
    "damage": (
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
        *joined(_PEOPLE, "complained; reported; says; refused to drive"),
        *joined("site; site engineer; engineer; camp; security; controller; control; transport", "informed; called; told"),
        *joined("brought; came; received; shifted; arrived", "by; on; with", "low bed; lowbed; recovery; recovery "
                "van; recovery truck; crane; trailer; towing; tow truck; flat bed; wrecker; rope; tow bar; car carrier"),
        *phrases("service truck sent; mobile team sent; mobile service sent; mechanic sent to site; attended at site; "
                 "attended on site; attended on road; repaired at site; changed at site; replaced at site; "
                 "fitted at site; changed on road side; not safe to run; not safe to drive; off road at; "
                 "vehicle stopped; vehicle not moving; not moving; not pulling; "
                 "no pulling; engine racing only; only engine racing; stopped on road; stopped on highway"),
    ),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
