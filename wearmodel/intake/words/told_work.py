"""What was done, as it is told in whole sentences and on job cards: beside the phrases of `work_words`.

Common practice of the trade, no source. Phrases are made of a few words each, in every combination.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrases

__all__ = ["TOLD_DEEDS"]

_RENEW = (
    "replaced; renewed; changed; fitted; swapped; exchanged; installed; put in; put new; put new in; "
    "fitted new; r r"
)
_THING = "one; ones; part; bits; bit"
_PLANS = "order; stock; shelf; back order; backorder"

_RENEWED = (
    *joined(
        "had to; ended up; decided to; opted to; elected to; proceeded to; managed to; able to; forced to; sense to; "
        "best to; went on to; obliged to; authorised to; approved to; agreed to; told to; asked to",
        _RENEW,
    ),
    *joined(_RENEW, "to pass; and passed; and tested; and road test; and returned to service"),
    *joined("new; fresh; better; proper; replaced; correct; right; another; good", _THING, "in; on; fitted; put in; "
            "put "
            "on; installed; went in; going in; went on; goes in; now in; now on; supplied and fitted; slotted in"),
    *joined("went in; in went; received; treated to; gave it", "new; fresh", f"-; {_THING}"),
    *joined("swapped; changed; exchanged; traded", "for", "new; another; fresh; good", f"-; {_THING}"),
    *joined("carried out; completed; undertook; effected", "replaced; renewed; changed; exchanged"),
    *joined("replaced; renewed; changed; exchanged; fitted", "carried out; completed; done; effected; complete"),
    *joined("out with; off with", "old", "and in with; in with; on with; and on with", "new"),
    *joined("removed; removed and; taken out and; taken off and; cut off and; opened and", "new; new one; new ones; "
            "new part; new parts; another; another one; replaced; replacement", "fitted; installed; put in; "
            "put on; in; on"),
    *joined("replaced; renewed; changed; exchanged", "with; by; to; for", "new; new one; new ones; new part; "
            "genuine one; fresh; fresh one; good one; proper one"),
    *joined("spare; spare one; spare unit; spare part; replacement; stock item; exchange unit", "fitted; "
            "installed; put in; "
            "put on; used"),
    *joined("fitted; installed; put in; put on; used", "spare; spare one; spare unit; replacement; exchange unit"),
    *phrases("upgraded; upgraded to; traded out; subbed; subbed in; swapt; new pressed; new bearing pressed; "
            "new pressed in; "
             "old out new in; old off new on; old out and new in; old one out new one in; out with old; now replaced; "
             "duly replaced; duly renewed; duly fitted; binned and replaced; scrapped and replaced; "
             "junked and replaced; "
             "drawn from stores and fitted; drawn and fitted; picked up and fitted; collected and fitted; ordered and "
             "fitted; order and fitted; ordered and replaced; ordered and installed; arrived and fitted; came in and "
             "fitted; ordered in and fitted; quoted and fitted; quoted and replaced; authorised and fitted; authorised "
             "and replaced; approved and fitted; approved and replaced; advised and replaced; advised and fitted; "
             "recommended and replaced; required and replaced; needs replaced done; replaced one for one; "
             "cut off old and fitted new; "
             "cut old off and fitted new; replaced outright; renewed outright; "
             "replaced like for like; renewed like for like; changed like for like; fitted like for like"),
)  # fmt: skip
_LATER = (
    *joined("material request; lpo; indent; demand; requisition; purchase request; stores request; "
            "parts request", "raised; placed; "
            "submitted; sent; put in; given; logged"),
    *phrases("on list; put on list; added to list; added to defect list; to be scheduled; to be booked; to be "
             "arranged; tbd; intend to replaced; intend to; hope to; owner to decide; to come in "
             "for; back ordered; carried forward; to see to; see to next; nothing done; no work done; "
             "no work carried out"),
    *joined("open; outstanding; pending; deferred; carry over; carried over; follow up; snag; backlog; to do",
            "work; job; jobs; list; defect; defects; repaired"),
    *joined("not", "done; replaced; renewed; fitted; changed; carried out; actioned; completed; attended; "
            "installed", "today; yet; this time; this visit; now; as yet; at time; for now"),
    *joined("no; no part; no parts; none; not; nothing; no joint; no boot; no bearing; no new; zero", "in; on; at",
            "stock; shelf; stores; hand"),
    *joined("hold off; held off; holding off; put off; putting off; leave it; left it; leaving it; hang on; hung on; "
            "hold over; held over; holding over; stand over; stood over; let it go; wait; waiting; left; "
                    "carried", "till; until; to; for now; "
            "this time; for time being; over to; for next"),
    *joined("see out; last out; do; get through; see it through; make it to; good till; ok till; ok until; good until",
            "month; week; season; winter; summer; year; next; next service; next pm; service; next visit"),
    *joined("do; replaced; renew; renewed; changed; fitted; r r; swapped; book in; rebook; return; "
            "come back", "when; once; as soon as",
            "time; time permits; convenient; quiet; stock; available; budget; approved; parts in; part in; parts here; "
            "it comes back; it is back; workshop quiet; slot; bay free"),
    *phrases("rescheduled; re scheduled; schedule for; put on list; on to do list; added to list; added to snag list; "
             "on watch; on watch list; watch list; watchlist; not time; not time to; ran out time; monitor only; "
             "run as is; running as is; sent out as is; "
             "went out as is; left as is for now; customer to decide; customer will decide; customer to think; "
             "customer thinking; owner to decide; "
             "decision pending; no authority; authority sought; awaiting authority; authority awaited; "
             "awaiting go ahead; "
             "no approved; no approved yet; customer declined; declined by customer; customer declines; "
             "owner declined; "
             "client declined; customer not want; customer refused; not today; seek approved; to quote; quote given; "
             "bring back for; to come back for; coming back for; coming in for; booked in next; rebooked for; "
             "booked for next"),
)  # fmt: skip
_OPENED = (
    *joined("off; out; down", "and on; and back on; and back in; and back up; on; back on", "for access; "
            "to access; for clutch; "
            "for gear box; for other job; for other work; to get at; for diff; for engine; same one; same"),
    *joined("off and on; out and in; down and up; on and off", "-; for access", "same one; same part; same joint; "
            "same; again"),
    *joined("same; old", "one; ones; joint; boot; bearing; shaft; part; unit", "refitted; went back; goes back; "
            "put back; "
            "back in; back on; fitted back; used; used again; reused; ok to go back"),
)  # fmt: skip
_NEEDED = (
    *joined("down for", "replaced; renewed; changed; fitted; exchanged; swapped"),
    *joined("in need of; due a; calls for; called for; could use; crying out for", "replaced; renewed; new"),
)

_TENDED = (
    *joined("routine; periodic; scheduled; regular; weekly; monthly; normal; usual; general; full; pm; service; "
            "planned; "
            "annual; daily; seasonal; quarterly", "greased; lubricated; greased up; greased round; lubricated service"),
    *joined("grease gun; greased gun; grease; greased; oil", "to; put to; put through; pushed through; through; "
            "into; run "
            "through", "-; all"),
    *joined("greased; lubricated; tightened; adjusted; cleaned; topped up; retorqued; torque; balanced",
            "done; carried out; completed; job done; work done; only; only done; only carried out"),
    *joined("greased; lubricated", "filled; applied; pumped; given; put; added; injected; shot"),
    *joined("filled; applied; pumped; put; added; injected", "greased; lubricated"),
    *joined("nothing; no part; no new part; no spares; none", "replaced; renewed; fitted; changed; "
            "used; installed; needed; required; consumed"),
    *joined("no; without", "new part; part used; part fitted; spares used; renewed; replaced"),
    *joined("put; fitted; refitted; installed; went", "same; old", "one; ones; part; joint; boot; bearing",
            "back; back in; back on; again"),
    *joined("same; old", "one; ones; part; joint; boot; bearing",
            "back; back in; back on; refitted; put back; went back; went back in; went back on; reused; retained; "
                    "back on car"),
    *joined("did; done; nipped; pulled; wound; snugged; tightened; bolted", "it up; them up; up again; it up again; "
            "them up "
            "again; up tight; back up"),
)  # fmt: skip
_OK = (
    *joined("ok; tight; secure; sound", "for another while; for another service; for another year; "
            "for another month; for "
            "another season; for now; at this time; for age; for mileage; for year; all round; throughout; "
                    "and tight; and "
            "secure; and quiet; and dry"),
    *joined("no; without; nil; not much; hardly any; negligible; minimal; little", "worn to speak of; "
            "play to speak of; "
            "discernible play; perceptible play; measurable play; measurable worn; detectable play; significant play; "
            "significant worn; harm; harm done; issues found; issue found; problem found; problems found; "
                    "defects found; "
            "defect found; faults found; findings; worn found; play found; play felt; play detected; worn seen; "
                    "worn visible"),
    *joined("could not; unable to; not able to; cannot", "duplicate; replicate; reproduce; verify; fault; "
            "find fault; find "
            "anything; hear; hear it; hear anything; confirm; detect"),
    *phrases("nfa; no further action needed; tight no worn; npf; nff; nfd; cnd; ndf; no trouble; within allowed; "
            "within wear limit; within limits; "
            "inside limits; "
             "well within limits; nothing to report; nothing needed; nothing required; nothing done; nothing doing; "
             "nothing to do; "
             "no attention needed; no attention required; in limits; no adverse; no adverse findings; passed ok; "
             "all passed"),
)  # fmt: skip

TOLD_DEEDS: Mapping[str, tuple[str, ...]] = {
    "renewed": _RENEWED, "later": _LATER, "needed": _NEEDED, "opened": _OPENED, "tended": _TENDED, "ok": _OK,
}  # fmt: skip
"""What was done -> phrases, as in `wearmodel.intake.words.work_words.DEEDS`."""
