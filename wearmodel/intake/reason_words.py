"""Why a part was renewed, in a workshop's words, and what symptoms of the trade point to.

Phrases and what they point to are common practice of the trade, no source, but where the comment says otherwise.
"""

from collections.abc import Mapping

from wearmodel.intake.phrase_lists import phrase_table

__all__ = ["REASON_HINTS", "SYMPTOMS", "SYMPTOM_EVIDENCE"]

REASON_HINTS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "failed": """
            failed; broken; seized; snapped; sheared; collapsed; disintegrated; came apart; come apart; coming
            apart; fell apart; fallen apart; falling apart; broken up; let go; gone; blown; separated; fell out;
            fallen out; dropped out; pulled apart; destroyed; exploded; shattered; locked solid; locked up;
            locked; solid; parted; detached; spun out; given up; gave out; gave way; gave up; unserviceable;
            defective; shot; knackered; burnt out; burned out; overheated; stuck; jammed; popped out; came off;
            come off; wrecked; dead; bust; busted; broken apart; siezed solid; twisted off; smashed; broken
            down; scrap; threw u joint; needle bearing missing; frozen; froze; failed in service; failed in use;
            failed on road; road failed
            """,
        "noticed": """
            vibration; noise; clunk; click; knock; grinding; squeal; squeak; rumble; rattle; shudder; knocking
            badly; metallic noise; out balance
            """,
        "in_use": """
            breakdown; broken down; roadside; road side; road call; roadcall; service call; call out; callout;
            towed; towed in; recovered; stranded; lost drive; no drive; loss drive; lost all drive; on road;
            under load; limped; in service failed; came in noise; limp home; immobile; immobilised; wont move;
            would not move; not move; non runner; vor; off road; on motorway; on highway; en route; during trip;
            mid route; reported; complaint; customer states; states; driver states; heard; customer complaint;
            driver reported; driver complaint; customer reported; c o noise; c o vibration; c o clunk; c o
            click; c o knock; c o shudder; c o rumble; c o squeak; c o grinding; driver heard; felt; at speed;
            on take off; on take up; when turning; on full turning; driver noticed; operator noticed; customer
            noticed; when driving; while driving; drivers noted; driver found; out on road; brought in; customer
            found; came in; came in with; emergency; unscheduled; on job; on site; write up; driver write up;
            defect card; driver defect; driver fault; defect report; fault report; driver report; fault
            reported; in traffic; lost power wheels; road failed; road breakdown; unplanned; defect sheet;
            breakdown recovered; breakdown call; called out; failed on road
            """,
        "worn": """
            worn; worn out; play; excess play; condemned on inspection; condemned at inspection; condemned at
            service; mot advised; advised mot; greased all over; greased over; loose; slack; torn; split;
            perished; cracked; leaking; thrown greased; greased thrown; greased leaking; leaking greased; rough;
            dry; notchy; at limit; beyond limit; beyond service limit; over service limit; past service limit;
            service limit; out limit; over limit; burst; rusted; pitted; condemned; contaminated; stiff;
            binding; tight spots; hardened; past limit; missing; outside limit; out spec; beyond spec; out
            tolerance; beyond tolerance; weak; sagging; soft; tired; bulging; chafed; rubbed through; greased
            everywhere; greased lost; lost greased; losing greased; no greased; greased out; water in; water
            ingress; brittle; fatigued; lack lubricated; no lubricated; worn beyond limit; ropey; past best;
            high spots; failed inspection; failed mot; failed at inspection; failed test; failed safety
            inspection; failed annual; failed annual inspection; failed checked; failed service inspection; mot
            failed; inspection failed; failed roadworthy; failed pm inspection; failed safety checked; wear and
            torn; worn and torn; wear tear; fair worn and torn; flogged; stretched; deformed; rotted; rotten;
            stiff in one plane; notched; greased on wheel; damage boot; below limit; not within limit; not
            within spec; open; lips; marginal; flat spots; advisory
            """,
        "look": """
            on inspection; at inspection; during inspection; inspection found; found inspection; inspection;
            annual inspection; safety inspection; safety checked; annual checked; mot; on mot; at mot; mot
            advised; advised mot; annual test; annual; found inspected; found on inspected; found at inspected;
            on inspected; at inspected; during inspected; walk round; walkround; walk around; walkaround; pre
            trip; pretrip; daily checked; vehicle checked; under vehicle checked; multi point; six weekly; 8
            weekly; 6 weekly; pmi; condemned on inspection; condemned at inspection; condemned; health checked;
            roadworthy; found on checked; found at checked; found during checked; at checked over; checked over;
            first use checked; routine inspection; scheduled inspection; planned inspection; state inspection;
            dot inspection; periodic inspection; pm inspection; service inspection; spotted; quarterly
            inspection; tech found; inspected found; weekly checked; monthly checked; pre delivery inspection;
            pre mot; vosa; safety test; road worthy; ramp checked; on ramp; on lift; during pm checked; visual;
            visual inspection; visual checked; at pre trip; preuse checked; audit
            """,
        "service": """
            at service; on service; during service; in service bay; at pm; on pm; during pm; at pm service;
            service found; found service; pm found; found pm; found at service; found on service; found during
            service; found at pm; found during pm; found on pm; while servicing; whilst servicing; during
            serviced; at scheduled service; during scheduled service; at routine service; during routine
            service; routine service; scheduled service; planned service; b service; c service; major service;
            minor service; annual service; full service; interim service; pm service; pm b; pm c; b pm; service
            checked; during maintenance; at maintenance; during routine maintenance; routine maintenance;
            scheduled maintenance; during scheduled maintenance; lube service; oil service; on lube; during
            serviced vehicle; service due; service; with service; pm; whilst in service; in for service; in for
            pm; serviced; condemned at service; during planned maintenance; at planned maintenance; inspection
            service; greased service; at greased; while greased; during greased; on greased
            """,
        "planned": """
            planned; scheduled; preventive; interval; routine; by mileage; at mileage; mileage due; due mileage;
            due by mileage; due on mileage; mileage interval; life expired; service replaced; planned replaced;
            scheduled replaced; precaution; as precaution; precautionary; campaign; programme; program; time
            expired; lifed; life limit; due replaced; preventive replaced; planned maintenance; preventive
            maintenance; scheduled renewed; planned renewed; planned changed; scheduled changed; routine
            replaced; routine changed; routine renewed; at interval; mid life; midlife; refurb; refurbishment;
            fleet policy; policy; time based; age based; hours due; due hours; reached mileage; reached
            interval; end life; service life; reached life; on age; due to age; before failed; before it failed;
            due on hours; due on time; due at mileage; avoid failed; avoid breakdown; prevent failed; prevent
            breakdown; as scheduled; as planned; to scheduled; on scheduled; pm replaced; pm renewed; pm
            changed; preventive changed; preventive renewed; service scheduled; maintenance scheduled;
            maintenance plan; planned maintenance replaced; scheduled maintenance replaced; cyclic; forecast;
            time changed; life changed; scheduled component; component life; age replaced; prior failed; in
            advance; recall; upgrade; upgraded; overhaul interval; change out interval; hard time; high mileage;
            interval replaced; interval changed; periodic; periodic replaced; annual replaced; major service
            replaced; maintenance scheduled replaced; not failed; no fault replaced; wear out limit
            """,
        "collateral": """
            collateral; while in there; while at it; at it; while out; while apart; while open; at same time; at
            same time as; same time as; whilst apart; whilst out; whilst off; while off; whilst there; same
            time; renewed along with; replaced along with; while shaft out; whilst shaft out; while shaft off;
            with shaft out; while half shaft out; while prop shaft out; while prop shaft off; with prop shaft
            out; whilst prop shaft out; whilst prop out; while prop out; while drive shaft out; whilst drive
            shaft out; with drive shaft out; shaft out; shaft off; along with; together with; with above; as
            well; anyway; for access; while access; while down; whilst down; while in area; whilst in area; in
            same go; while doing; whilst doing; while replaced; whilst replaced; when replaced; as matter of
            course; matter of course; while stripped; while dismantled; whilst dismantled; when dismantled;
            while removed; whilst removed; while joint out; whilst joint out; with joint; with new joint;
            because joint replaced; due to joint replaced; since apart; since out; since open; had it apart;
            good measure; while there; in conjunction; conjunction with; same job; already apart; already out;
            already off; already removed; already dismantled; consequential; as set; disturbed; while shaft
            apart; destroyed on removed; damage on removed; damage during removed; damage removed; while axle
            out; with axle out; while shaft on bench; on bench; while shaft removed; with shaft removed; with
            shaft off; with half shaft out; whilst half shaft out; accompanying; to suit; with other; alongside;
            while on ramp; whilst on ramp; while accessible; with prop shaft off; with prop shaft down; while
            prop shaft down; renewed as well; shaft apart; while driveline down; while drive line down; drive
            line down; with drive line down; in with; because of access; while we in there; while we were in
            there
            """,
        "damage": """
            accident; crash; crashed; collision; stolen; theft; vandalised; vandalism; vandalized; flood;
            flooded; kerb strike; hit kerb; kerbed; struck kerb; hit debris; debris; by debris; accident
            repaired; crash repaired; collision repaired; road debris; debris strike; crash damage; accident
            damage; collision damage; impact damage; impact; third party; thrown by road debris; hit rock; rock
            strike; struck rock; hit pothole; pothole; pothole damage; ran over; run over; driven over; hit
            deer; animal strike; grounded; grounding; grounding damage; bottomed out; fire; fire damage; hit
            object; struck object; struck debris; off road excursion; ditch; in ditch; rolled over; rollover;
            rolled; jack damage; malicious; insurance; insurance claim; insurance job; wire wrapped; rope
            wrapped; wrapped around; wrapped round; wrapped; damage by; damage by debris; misuse; abuse; driver
            abuse; cut by; hit by; struck by; damage in accident; damage in crash; kerb damage; kerb impact;
            bump damage; wreck; wreck damage; damage in wreck; strike damage; towing damage; damage by towed;
            forklift; hit; bent in accident; storm damage; water damage
            """,
        "comeback": """
            come back; rework; reworked; refitted wrong; redone; redo; wrong part; wrong part fitted; wrongly
            fitted; fitted wrong; fitted wrongly; incorrectly fitted; fitted incorrectly; bad fitted; poor
            fitted; poorly fitted; fitted poorly; wrong fitted; faulty fitted; failed fitted; incorrect fitted;
            repeat job; repeat repaired; repeat; warranty; not fitted right; not fitted correctly; not fitted
            properly; installed wrong; wrongly installed; incorrectly installed; installed incorrectly; not
            installed correctly; not installed properly; improper fitted; improperly fitted; improper installed;
            improperly installed; badly installed; badly fitted; workshop error; workshop fault; fitter error;
            tech error; previous repaired; last repaired; returned under; re done; repeat failed; fitted last
            time; wrong joint fitted; wrong boot; wrong size; wrong joint; wrong bearing; wrong fit; incorrect
            part; poor workmanship; workmanship; bad install; misassembled; misfitted; mis fitted; assembled
            wrong; back again; returned with same; same fault again; again after last; clips not tightened;
            circlip not seated; not seated; circlip not fitted; installation error; installed error; fitted
            error; fitted backwards; installed backwards; fitted back to front; recently fitted; recently
            replaced; recently installed; fitted last week; replaced last week; replaced last month; fitted last
            month; defective new; new part faulty; new part failed; new part defective; faulty new; rejob; under
            warranty; warranty claim; warranty replaced; second time; manufacturing fault; defective from box;
            faulty from new; failed from new; out phase; wrong phase
            """,
    }
)
"""Hint -> phrases. `failed`, `worn`, `planned`, `collateral`, `damage` and `comeback` are reasons; `noticed`
and `in_use` tell that it was noticed on the road, `look` and `service` that it was met at an inspection or a service.
"""

SYMPTOMS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "clunk": "clunk; knock; squeak",
        "click": "click",
        "shudder": "shudder; vibration; rumble",
        "boot_open": """
            torn; split; cracked; perished; burst; leaking; thrown; greased thrown; thrown greased; greased
            leaking; leaking greased; greased everywhere; greased lost; lost greased; losing greased;
            contaminated; chafed; hardened; brittle; missing; open; rubbed through; greased out
            """,
        "take_up": """
            take up; take off; on take off; on take up; engaging; pulling away; pulling off; moving off; setting
            off; into drive; into reverse; into gear; in gear; in to gear; drive to reverse; drive and reverse;
            reverse to drive; direction changed; gear changed; from standstill; from stop; from rest; on off
            throttle; on and off throttle; taking off; shift into; drive take up; starting off; moving away;
            pull away; move off; reverse; when put in gear; put in gear; shifted; shifting; shift
            """,
        "turn": """
            turning; full turning; on turning; when turning; on full turning; tight turning; left turning; right
            turning; in turning; u turning; full steering
            """,
        "middle": """
            centre; under floor; under cab; under seat; beneath floor; mid; under centre; from underneath; under
            vehicle; through floor; in floor
            """,
    }
)
"""What is heard, felt or seen, and when -> phrases."""

# Clunk engaging a gear and squeak on take-off: universal joint; clicking under power in a tight turn: outboard CV
# joint; shudder from mid-vehicle: support bearing; grease thrown, crack or split: boot.
SYMPTOM_EVIDENCE: tuple[tuple[str, str, str], ...] = (
    ("click", "turn", "cv_joint_outboard"),
    ("clunk", "take_up", "u_joint"),
    ("shudder", "middle", "support_bearing"),
    ("shudder", "take_up", "support_bearing"),
)
"""Symptom, moment or place of it, component it points to. Evidence among candidates, never a component by itself."""
