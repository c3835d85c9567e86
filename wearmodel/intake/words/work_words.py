"""What was done, in a workshop's words, and the small words that tell how its clauses hang together.

Common practice of the trade, no source.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.intake.words.phrase_lists import joined, phrase_table
from wearmodel.intake.words.told_work import TOLD_DEEDS

__all__ = ["DEEDS", "MARKS", "NUMBER_WORDS"]

_DEEDS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "renewed": """
            replaced; renewed; fitted; changed; new; installed; swapped; exchanged; r r; r and r; removed and
            replaced; removed replaced; removed and renewed; supplied; put in; put on; service replaced; planned
            replaced; scheduled replaced; renewed along with; replaced along with; supplied and fitted; supplied
            fitted; removed and fitted new; new one; new ones; new fitted; fitted new; cut off and replaced; changed
            out; swapped out; replaced with new; replaced new; changed over; remove and replaced; preventive replaced;
            routine replaced; routine changed; routine renewed; scheduled renewed; scheduled changed; planned renewed;
            planned changed; pm replaced; pm renewed; pm changed; preventive changed; preventive renewed; interval
            replaced; interval changed; periodic replaced; annual replaced; age replaced; time changed; life changed;
            planned maintenance replaced; scheduled maintenance replaced; renewed as well; redone; redo; wrongly
            fitted replaced; warranty replaced; no fault replaced; major service replaced; had to be replaced;
            maintenance scheduled replaced; pressed in; pressed in new; threw in; slung in; popped in; new in;
            refitted with new; refitted new; installed new; replaced as needed; replaced as required; replaced if
            needs; renewed as required; replaced where required; fitted as required; authorised replaced; required and
            fitted; needed and fitted; thrown in; chucked in; chucked new; chucked new one in; chucked one in; banged
            in; dropped in new; stuck in; stuck new one in; put new; put new one in; new one in; new one on; new on;
            put right one in; put correct one in; put in right one; fitted correct; replaced it; supplied and
            installed; supplied and put; installed new one; repeat repaired; repeated repaired; new part fitted;
            thrown in with; replaced concurrently; renewed concurrently; put new one on; whacked in; slotted in;
            popped new one in; done too; done as well; done at same time; done same time; both done; done also; also
            done; tapped in; tapped new one in; squeezed in; squeezed new in; pushed in; driven in;
            hammered in; new put; another one fitted; another fitted; installed another; another installed; fitted
            another; another one; another new one; new given; mounted new; new mounted; now in; put new in; new one
            put; put both joints in; done new; new for old; swapped for new; swapped with new; substituted; other one
            fitted; went ahead and installed; went ahead and replaced; rotated out; rotated in; right one in; correct
            one in; good one in; right part fitted; correct part fitted; right part in; correct part in; new ones in;
            new ones on
            """,
        "complained_or_changed": "c o",
        "looked": """
            inspected; checked; looked at; test; road test; measured; investigated; looked over; diagnosed; checked
            over; inspected and checked; checked for; inspected for; listened; assessed; inspection; looked into;
            investigated and road test; diagnosis; examined; serviced
            """,
        "ok": """
            ok; no fault; no fault found; nff; no problem; no problems; no issue; no issues; all ok; within limit;
            within spec; in spec; within tolerance; passed; no further; in order; no defective; no action; no action
            required; no fault seen; no sign; no abnormal; ntf; no fault evident; no trouble found; all clear; no
            repaired required; no work required; no excess; not required; no replaced required; no replaced;
            acceptable; no concern; no concerns; not needed; no needs; no remedial; tight and secure; secure; no worn;
            in ok condition; no replaced needs; not faulty; npf; no defects; nothing found; not failed; nothing wrong;
            in good order; in good condition; unable to reproduce; none found; none seen; none; nil found; none
            evident; none noted; none apparent; nil play; zero play; all tight; all secure; all serviceable; all good;
            remains serviceable; serviceable; satisfactory; as new; like new; still good; passed inspection; passed
            test; no leak; no leaks
            """,
        "tended": """
            greased; lubricated; tightened; adjusted; cleaned; balanced; straightened; resealed; sealed; secured;
            reclipped; refilled; topped up; sprayed; realigned; aligned; greased up; greased all; painted; welded;
            filled with greased; wd40; oiled; shimmed; re secured; resecured; refastened; reclamped; re clamped;
            replaced not required; replaced not needs; replaced not necessary; renewed not required; no needs to
            replaced; no needs replaced; no needs to renewed; not needs to replaced; not replaced; not renewed; not
            changed; not fitted; not installed; not swapped; not exchanged; not supplied; without replaced; re phased;
            rephased; nipped up;
            nipped; nip up; pinched up; pinched; snugged; snugged up; pumped; pumped up; shot of greased; re greased;
            topped; bolts tight; torque checked; freed; freed off; freed up; de rusted; wire brushed; touched up; re
            bolted; rebolted; clipped back; pushed back; repositioned; re seated; reseated; tie wrapped; cable tied;
            taped; siliconed; glued; bonded; reused; retained; undisturbed; not disturbed; polished; dressed; left
            alone; left in place; untouched; without findings; no findings; re used; put back on; reattached; re
            attached; skimmed; machined; resurfaced; trued; turned down; dressed; filed; faced; rewelded; re welded;
            bled; flushed; reset; calibrated; updated; relearned
            """,
        "opened": """
            done last time; replaced last year; done last year; previously done; done previously; done before; was
            done last; previously replaced; previously fitted; previously renewed; previously changed; replaced
            previously; ordered last visit; ordered last time; previously ordered; removed; refitted; dismantled; r i;
            removed and refitted; removed and installed; removed for access; opened; exposed; removed refitted; reset;
            marked; taken off; taken out; took off; took out; put back; refitted old; jacked; raised; drained; off and
            back on; off and on; on and off; out and back in; out and in; out and back; off and back; off for access;
            out for access; down for access; off for access and refitted; removed for access and refitted; removed for
            access and installed; removed and installed for access; dismantled and refitted; dismantled and
            reassembled; removed and reassembled; taken down; brought down; lifted out; slid out; drawn out; un
            coupled; uncoupled; coupled up; recoupled; re coupled; swung aside; moved aside; hung up; put on lift; put
            on hoist; put on ramp; put on ramps; put on stands; put on jack; put on jacks; put on axle stands; put on
            pit; put up on lift; put up on hoist; put up on ramp; put up on ramps; put up on stands; put up on jack;
            put up on jacks; put up on axle stands; put up on pit; put in bay; put over pit; put in workshop; put in
            gear; put on road; put on charge
            """,
        "later": """
            to be replaced; to be renewed; to be changed; to be fitted; be replaced; be renewed; be changed; be
            fitted; monitor; to observed; be observed; to be observed; will be; should be; should replaced; not yet;
            awaiting; next service; next visit; next
            pm; next inspection; at next; by next; before next; deferred; declined; not authorised; not authorized;
            not approved; not yet replaced; watch; keep eye; keep eye on; keep watch; keep under; observe;
            observation; starting to; started to; beginning to; begun to; early signs; early stages;
            under observation; not done; no time; rebook; re
            book; will return; to return; to follow; back order; backorder; backordered; outstanding; soon; attention
            soon; in future; later; later date; another day; due soon; will replaced; to do; ordered in; order new;
            order up; waiting for; waiting on; on hold; parked for now; parked until; will do; will fit;
            will changed; left for; next time; no stock; not in stock; out
            stock; pending; approval pending; approval awaited; approval needed; approval required; approval due;
            approval requested; approval sought; approval asked; approval to come; waiting
            approval; waiting for approval; subject to approval; needs approval; no approval; for approved;
            needs approved; awaiting approved; not yet approved; not replaced
            yet; re inspect; reinspect; re examine; to be done; if worse; gets worse; until; schedule in; scheduled
            for; planned for; plan to; left until; to watch; would not; not carried out; without part; no spare; to
            order; to be ordered; order part; order parts; returned to stores; returned to stock; returned to shelf;
            back to stores; back to stock; back on shelf; back in stock; job cancelled; cancelled; credited; credit
            note; returned unused; quoted only; report only; reported only; shortly; in near future; follow up; to
            monitor; life left; ok for now; to next; till next; for next; refer to; see next; in few weeks;
            unavailable; not available; will needs replaced; will needs soon; getting worse; deferred
            defect; demand raised; parts demanded; parts ordered; scheduled next; plan next; not now; leave; leave for
            now; leave till; run till; carry forward; carried forward; carried over; carry over; next month; next
            week; next year; next time in; next stop; next in; next maintenance; next pmi; next mot; next a service;
            next inspection due; on next; be done; be looked at; be watched; be monitored; look at next; to be
            advised; authorisation; awaiting approved; pending approved; awaits; parts awaited; due in; at customer
            request not; no go ahead; not go ahead; went without; would like; want to; would need; will require; will
            be required; will be needed; wants watching; watch item; note for; noted for; for future; flagged for;
            flagged for next; flag for; told driver; told customer; recommended replaced; recommend soon;
            estimate given; priced; price
            given; prices; pricing; order placed; orders placed; placed order; put on order; order raised; raised
            order; orders raised; po raised; requisition raised; requisitioned; to follow on; part needed ordered; on
            order now; placed on order; sent for; waiting parts; waiting part; waiting for parts; awaiting parts;
            booked in for replaced; booked in for renewed; booked in for fitted; booked in for changed; booked in for
            new; booked in for repaired; booked for replaced; booked for renewed; booked for fitted; booked for
            changed; booked for new; booked for repaired; booked in to replaced; booked in to renewed; booked in to
            fitted; booked in to changed; booked in to new; booked in to repaired; booked to replaced; booked to
            renewed; booked to fitted; booked to changed; booked to new; booked to repaired; recheck at; recheck next;
            recheck in; recheck on; to recheck; re check at; re check next; re check in; recheck soon; recheck later;
            recheck after; will recheck
            """,
        "mended": """
            repaired; overhauled; done; carried out; seen to; dealt with; cured; resolved; corrected; completed;
            repaired as
            needs; refurbished; reworked; rework; re worked; attended to; addressed; took care; taken care;
            investigated and repaired
            """,
        "purpose": """
            to replaced; to renewed; to changed; to fitted; for replaced; for renewed; for changed; to installed; to
            swapped; to r r
            """,
        "needed": """
            needs; required; due; wants; wanting; needs attention; requires attention; attention required; needs
            doing; flagged; needs work; wants doing; wants replaced; could do with; due for; booked in; book in;
            ordered; on
            order; ordered in; advisory; recommended; advised; quoted; quoted for; suggested; advised driver; advised
            customer; will needs; due for replaced; must be; advised mot; mot advised; recommended; advised; quoted;
            quoted for; suggested; advised driver; advised customer
            """,
    }
)
_LATER = joined(
    "when; once; as soon as",
    "it; they; part; parts; new one; stock; delivery; joint; boot; bearing; order; kit",
    "comes in; come in; comes; arrives; arrive; lands; gets here; get here; available; turns up; shows up; delivered; "
    "in stock; here",
)
DEEDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        deed: tuple(dict.fromkeys((*told, *(_LATER if deed == "later" else ()), *TOLD_DEEDS.get(deed, ()))))
        for deed, told in _DEEDS.items()
    }
)
"""What was done: `renewed`; `looked` at, found `ok`, `tended` without renewing; `opened` for other work; left for
`later`, or `needed`, which may have been done then; `mended`, which does not say how; `purpose`, which says what other
work was for; `complained_or_changed`, an abbreviation that stands for either.
"""

MARKS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "blame": """
            from; because; because of; due to; as; near; around; area; suspect; suspected; possible; possibly;
            maybe; probably; likely; appears; caused by; coming from; owing to; reason; thought; seems; think;
            related to; to do with; something in
            """,
        "found": """
            found; diagnosed as; traced to; traced; isolated to; turned out; confirmed; revealed; showed;
            discovered; identified; identified as; tracked down to; pinpointed; pinpointed to; verified; diag;
            root cause; cause; cause of; culprit; source; to blame; at fault; narrowed down to; pin pointed;
            tracked to; diagnosed; diagnosed to; diag to; saw; seen; came down to; boiled down to; put down to; turned
            out to be; turns out to be; found to be; proved to be; pointed to; pointing to; led to; narrowed to
            """,
        "with": """
            along with; together with; in conjunction with; conjunction with; with; renewed along with;
            replaced along with
            """,
        "away": "out; off; apart; down; open",
        "beside": """
            had; during; at same time as; same time as; after; following; without; instead of; instead; like;
            next to; beside; behind; prior; before; while; whilst; when; while replaced; whilst replaced; when
            replaced; while doing; whilst doing; after replaced; following replaced; since
            """,
        "at": "on; in; at; for; to; under; into; by; through; against; between",
        "again": "again",
        "or": "or; and or",
        "not": "no; not; without; never; neither; nor",
        "free": """
            sign; signs; visible; evidence; excess; undue; any; unusual; obvious; abnormal; further; more
            """,
        "one": "one; 1",
        "except": "except; but not; apart from; other than",
        "all_parts": "both; all",
        "same_work": "ditto; likewise; same again",
        "other_side": "other side; opposite side; other; opposite",
        "rest": """
            rest; remaining; remainder; everything else; all else; all others; others; other joints; other
            boots; rest of drive line
            """,
    }
)
"""Small words that tell how clauses hang together -> phrases."""

NUMBER_WORDS: Mapping[str, int] = MappingProxyType(
    {
        "two": 2,
        "three": 3,
        "four": 4,
        "five": 5,
        "six": 6,
        "eight": 8,
        "both": 2,
        "pair": 2,
        "pair of": 2,
        "couple": 2,
        "couple of": 2,
    }
)
"""Words of number -> how many."""
