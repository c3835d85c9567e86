"""What was done, in a workshop's words, and the small words that tell how its clauses hang together.

Common practice of the trade, no source.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.intake.phrase_lists import phrase_table

__all__ = ["DEEDS", "MARKS", "NUMBER_WORDS"]

DEEDS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "renewed": """
            replaced; renewed; fitted; changed; new; installed; swapped; exchanged; r r; r and r; removed and
            replaced; removed replaced; removed and renewed; supplied; put in; put on; service replaced; planned
            replaced; scheduled replaced; renewed along with; replaced along with; supplied and fitted; supplied
            fitted; removed and fitted new; new one; new ones; new fitted; fitted new; cut off and replaced;
            changed out; swapped out; replaced with new; replaced new; changed over; remove and replaced;
            preventive replaced; routine replaced; routine changed; routine renewed; scheduled renewed;
            scheduled changed; planned renewed; planned changed; pm replaced; pm renewed; pm changed; preventive
            changed; preventive renewed; interval replaced; interval changed; periodic replaced; annual
            replaced; age replaced; time changed; life changed; planned maintenance replaced; scheduled
            maintenance replaced; renewed as well; redone; redo; wrongly fitted replaced; warranty replaced; no
            fault replaced; major service replaced; had to be replaced; maintenance scheduled replaced; pressed
            in; pressed in new; threw in; slung in; popped in; new in; refitted with new; refitted new;
            installed new; replaced as needed; replaced as required; replaced if needs; renewed as required;
            replaced where required; fitted as required; authorised replaced; required and fitted; needed and
            fitted
            """,
        "complained_or_changed": "c o",
        "looked": """
            inspected; checked; looked at; test; road test; measured; investigated; looked over; diagnosed;
            checked over; inspected and checked; checked for; inspected for; listened; assessed
            """,
        "ok": """
            ok; no fault; no fault found; nff; no problem; no problems; no issue; no issues; all ok; within
            limit; within spec; in spec; within tolerance; passed; no further; in order; no defective; no
            action; no action required; no fault seen; no sign; no abnormal; ntf; no fault evident; no trouble
            found; all clear; no repaired required; no work required; no excess; not required; no replaced
            required; no replaced; acceptable; no concern; no concerns; not needed; no needs; no remedial; tight
            and secure; secure; no worn; in ok condition; no replaced needs; not faulty; npf; no defects;
            nothing found; not failed; nothing wrong; in good order; in good condition; unable to reproduce
            """,
        "tended": """
            greased; lubricated; tightened; adjusted; cleaned; serviced; balanced; straightened; resealed;
            sealed; secured; reclipped; refilled; topped up; sprayed; realigned; aligned; greased up; greased
            all; painted; welded; filled with greased; wd40; oiled; shimmed; re secured; resecured; refastened;
            reclamped; re clamped; replaced not required; replaced not needs; replaced not necessary; renewed
            not required; no needs to replaced; no needs replaced; no needs to renewed; not needs to replaced;
            not replaced; not renewed; not changed; not fitted; without replaced; turned round; turned around;
            re phased; rephased
            """,
        "opened": """
            previously replaced; previously fitted; previously renewed; previously changed; replaced previously;
            ordered last visit; ordered last time; previously ordered; removed; refitted; dismantled; r i;
            removed and refitted; removed and installed; removed for access; opened; exposed; removed refitted;
            reset; marked; taken off; taken out; took off; took out; put back; refitted old; jacked; raised;
            drained
            """,
        "later": """
            to be replaced; to be renewed; to be changed; to be fitted; be replaced; be renewed; be changed; be
            fitted; needs; required; recommended; advised; monitor; due for; due replaced; will be; quoted;
            quoted for; should be; should replaced; on order; ordered; not yet; awaiting; next service; next
            visit; next pm; next inspection; at next; by next; before next; deferred; declined; not authorised;
            not authorized; not approved; not yet replaced; watch; keep eye; keep eye on; keep watch; keep
            under; observe; observation; starting to; beginning to; early signs; under observation; not done;
            no time; book in; booked in; rebook; re book; will needs; will return; to return; to follow; back
            order; backorder; backordered; outstanding; suggested; soon; attention soon; future; in future;
            later; later date; another day; due soon; will replaced; to do; ordered in; order new; order up;
            waiting for; waiting on; on hold; parked; left for; next time; no stock; not in stock; out stock;
            pending; approval; not replaced yet; needs attention; re check; recheck; re inspect; reinspect; re
            examine; to be done; must be; could do with; wants; wanting; due; if worse; gets worse; until;
            schedule in; scheduled for; planned for; cancelled; plan to; left until; to watch; would not; not
            carried out; without part; no spare; to order; to be ordered; shortly; in near future; follow up;
            requested; please; to monitor; life left; ok for now; to next; till next; for next; refer to; see
            next; in few weeks; unavailable; not available; obsolete
            """,
        "mended": """
            repaired; done; carried out; seen to; dealt with; cured; resolved; corrected; completed; repaired as
            needs; refurbished; attended to; addressed; took care; taken care; investigated and repaired
            """,
        "purpose": """
            to replaced; to renewed; to changed; to fitted; for replaced; for renewed; for changed; to
            installed; to swapped; to r r
            """,
    }
)
"""What was done: `renewed`; `looked` at, found `ok`, `tended` without renewing; `opened` for other work; left for
`later`; `mended`, which does not say how; `purpose`, which says what other work was for; `complained_or_changed`, an
abbreviation that stands for either.
"""

MARKS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "blame": """
            from; because; because of; due to; as; near; around; area; suspect; suspected; possible; possibly;
            maybe; probably; likely; appears; caused by; coming from; owing to; reason; thought; seems; think;
            related to
            """,
        "found": """
            found; diagnosed as; traced to; traced; isolated to; turned out; confirmed; revealed; showed;
            discovered; identified; identified as; tracked down to; pinpointed; pinpointed to; verified; diag
            """,
        "with": """
            along with; together with; in conjunction with; conjunction with; with; renewed along with; replaced
            along with
            """,
        "away": "out; off; apart; down; open",
        "beside": """
            had; during; at same time as; same time as; after; following; without; instead of; instead; like; next to;
            beside; behind; prior; before; while; whilst; when; while replaced; whilst replaced; when replaced;
            while doing; whilst doing; after replaced; following replaced; since
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
    }
)
"""Small words that tell how clauses hang together -> phrases."""

NUMBER_WORDS: Mapping[str, int] = MappingProxyType(
    {
        "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8, "both": 2, "pair": 2, "pair of": 2,
        "couple": 2, "couple of": 2,
    }
)
"""Words of number -> how many."""
