"""Why a part was renewed, in a workshop's words.

Common practice of the trade, no source.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.intake.words.occasion_words import OCCASION_WORDS
from wearmodel.intake.words.outside_causes import OUTSIDE_CAUSES
from wearmodel.intake.words.phrase_lists import phrase_table
from wearmodel.intake.words.plain_signs import PLAIN_SIGNS
from wearmodel.intake.words.reason_dialects import REASON_DIALECTS
from wearmodel.intake.words.reason_families import REASON_FAMILIES
from wearmodel.intake.words.symptom_words import STRAY_GREASE
from wearmodel.intake.words.told_reasons import TOLD_REASONS

__all__ = ["REASON_HINTS"]

_HINTS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "failed": """
            leaking; binding; has had it; have had it; well had it;
            failed; broken; seized; snapped; sheared; collapsed; disintegrated; came apart; come apart; coming apart;
            fell apart; fallen apart; falling apart; broken up; let go; gone; blown; separated; fell out; fallen out;
            pulled apart; destroyed; exploded; shattered; locked solid; locked up; locked; parted;
            detached; spun out; given up; gave out; gave way; gave up; unserviceable; defective; shot; knackered; burnt
            out; burned out; overheated; stuck; jammed; popped out; came off; come off; wrecked; dead; bust; busted;
            broken apart; siezed solid; twisted off; smashed; broken down; scrap; threw u joint; needle bearing
            missing; frozen; froze; failed in service; failed in use; failed on road; road failed; packed up; packed
            in; given out; gone bang; died; carked it; spat out; spat rollers; conked out; kaput; toast; cactus;
            munted; stuffed; rooted; buggered; shagged; wasted; finished; done for; torn off; broken off;
            snapped off; sheared off; ripped off; fell off; fallen off; come adrift; adrift; came undone; unusable; not
            usable; beyond use; no longer works; not working; inoperative; inoperable; burst open; ripped open; flew
            off; cap missing; cap gone; bearing gone; rollers gone; rollers out; needles gone; needle out; split in
            two; broken in two; broken through; welded solid; rusted solid; rusted up; broken joint; defunct; faulty
            part; no lubricated seized; bound up; bound solid; trashed; cooked; in bits; to bits; in halves; in pieces;
            to pieces; in two; jumped out; walked out; walking out; had dropped; dropped on road; dropped on highway;
            lost on road; sound coming; blew; blown apart; let loose; letting go; failing; worked loose; came loose;
            dud; junk; junked; trash; rubbish; garbage; scrap iron; fried; toasted; stripped spline
            """,
        "noticed": """
            vibration; noise; clunk; click; knock; grinding; squeal; squeak; rumble; rattle; shudder; knocking badly;
            metallic noise; out balance; cracking noise; noise cracked; crunching; metal on metal; steering stiff;
            stiff steering; steering heavy; heavy steering; steering sticks; steering stuck; steering binds; steering
            binding; steering notchy; steering jerky; steering jerks; steering goes stiff; steering tight; tight
            steering; steering loose; loose steering; steering lumpy; steering wheel stiff; play in steering; steering
            play; stiff to turning; hits tunnel; hit tunnel; hitting tunnel; hits floor; hit floor; hitting floor;
            bump; jerk; jerky; surge; snatch; shaft out balance; shaft out line; shaft out true; out true; imbalance;
            not balanced; wobble; metallic; bumping; greased under vehicle; greased on inside; greased thrown; thrown
            greased; greased leaking; leaking greased; greased everywhere; greased lost; lost greased; losing greased;
            loss greased; loses greased; greased coming out; greased out; greased all over; greased over; greased
            flying; greased escaping; greased splattered; greased spilled; throwing greased; spitting greased; greased
            spat; greased visible; greased dripping; greased mess; greased trail; greased spots; spots on driveway;
            greased on driveway; greased on floor; greased on ground; drips on driveway; drips on floor; spots on
            floor; lubricant loss; oil on wheel; sticks under load; sticking under torque; shaft sticking; stuck under
            load; resonance; pulsation; pulsing; scraping; scrape; singing; buzzing; whistling; noise from; noise when;
            noise on; prop out balance; prop out line; prop out true; sound from; loud sound; strange sound; abnormal
            sound; sound stopped; sound gone; bag nails; racket; cracking on; cracking at; cracking in; cracking when;
            cracking from; cracking under; cracking during; cracking sound; cracking noises; cracks on turning; cracks
            when turning; cracks in turning; cracks at full turning; notchy steering; lumpy steering; rough steering;
            steering rough; play steering wheel; play at steering wheel; play in steering wheel; play on steering
            wheel; free play at steering wheel; tight on turning; tight on full turning; tight to turning; tight when
            turning; stiff on turning; stiff when turning; stiff at full turning; binding on turning; binding when
            turning; sticks on turning; snatching on turning; grabbing; kicking; kicks; feels rough; feels loose; feels
            stiff; feels notchy; feels tight; feels heavy; feels lumpy; feels gritty; feels vague; rough feel;
            drumming; pinging; ping; clatter; clattering; chatter; chattering; binding steering; slop in steering;
            sloppy steering; slack in steering; slack steering; binding in turning; binding in turn; binding in tight
            turning; binds in turning; tight in turning; flopping; flapping; whipping; whip; burning smell; burnt
            smell; burning greased smell; greased smell; hot smell; smell; smells; smell of greased; smell burning;
            smoke; smoking; hot hub
            """,
        "in_use": """
            breakdown; broken down; roadside; road side; road call; roadcall; service call; call out; callout; towed;
            towed in; recovered; stranded; lost drive; no drive; loss drive; lost all drive; on road; under load;
            limped; in service failed; came in noise; limp home; immobile; immobilised; wont move; would not move; not
            move; non runner; vor; off road; on motorway; on highway; en route; during trip; mid route; reported;
            complaint; customer states; states; driver states; heard; customer complaint; driver reported; driver
            complaint; customer reported; c o noise; c o vibration; c o clunk; c o click; c o knock; c o shudder; c o
            rumble; c o squeak; c o grinding; driver heard; felt; at speed; on take off; on take up; when turning; on
            full turning; driver noticed; operator noticed; customer noticed; when driving; while driving; drivers
            noted; driver found; out on road; brought in; customer found; came in; came in with; emergency;
            unscheduled; write up; driver write up; defect card; driver defect; driver fault; defect report; fault
            report; driver report; fault reported; in traffic; lost power wheels; road failed; road breakdown;
            unplanned; defect sheet; breakdown recovered; breakdown call; called out; failed on road; vehicle down;
            unit down; down on road; no move; not drive; stopped on; haul road; on freeway; on route; on run; during
            run; on trip; on tour; in service; in use; during use; in operation; during operation; in field; field
            call; field callout; field service; crew; crew reported; crew noticed; user; user unit; user reported; user
            complaint; operator reported; responded to; road side assist; roadside assist; recovery;
            recovered from; recovered to; towed to; broken on road; left stranded; brought in by; driver noted; driver
            called; driver complained; driver advised of; repaired by driver; customer repaired; driver repaired;
            repaired by customer; operator repaired; repaired by operator; reported by driver; reported by customer;
            reported by operator; driver write ups; gripe; squawk; snag; snag reported; night call; weekend call; would
            not drive; lost drive on; on journey; on delivery; under way; limped back; limped home; drive lost; no go;
            dead on road; died on road; under power; at motorway speed; at highway speed; at cruising speed; customer
            brought in; customer in with; customer came in; complained by; on load; came back from road; fitter called
            out; attended breakdown; attended roadside; assistance; defect book; driver defect card; driver sheet;
            drivers defect; vehicle defect; trip sheet; trip report; drive fault; non start drive; ad hoc; unexpected;
            sudden; suddenly; emergency repaired; in serviced; failed in serviced; failed on site; failed on job;
            breakdown on site; broken down on site; booked in for; booked in with; booked with; booked for; booked in
            by driver; came in for; in for noise; in with noise; in for vibration; in with vibration; advised by
            driver; advised by customer; advised by owner; advised by operator; informed by driver; told by driver;
            told by customer; driver advised; driver advises; customer advised of; presented with; arrived with; drove
            in with; driven in with; driver note; driver notes; driver comment; driver comments; driver remark; driver
            remarks; crew note; customer note; customer remark; operator note; note from driver; drivers sheet; driver
            slip
            """,
        "worn": """
            over limit;
            worn; worn out; play; excess play; loose; slack; torn; split; perished; cracked; rough; dry;
            notchy; at limit; beyond limit; beyond service limit; over service limit; past service limit; service
            limit; out limit; burst; rusted; pitted; condemned; contaminated; stiff; tight spots;
            hardened; past limit; missing; outside limit; out spec; beyond spec; out tolerance; beyond tolerance; weak;
            sagging; soft; tired; bulging; chafed; rubbed through; no greased; water in; water ingress; brittle;
            fatigued; lack lubricated; no lubricated; worn beyond limit; ropey; past best; high spots; wear and torn;
            worn and torn; wear tear; fair worn and torn; flogged; stretched; deformed; rotted; rotten; stiff in one
            plane; notched; below limit; not within limit; not within spec; marginal; flat spots; rejected; reject;
            rejected on; knock back; not pass; would not pass; will not pass; failed to pass; below standard; under
            standard; below spec; below standards; substandard; not up to standard; not to standard; past it; past use;
            on way out; out standard; tagged; red tagged; tagged out; written up for worn; beyond repaired; beyond wear
            limit; wear limit; at wear limit; wear at limit; worn at limit; outside tolerance; outside spec; out
            limits; excess; excess clearance; excess wear; high wear; worn past limit; past limits; beyond limits; over
            tolerance; past its best; weather cracked; frayed; hole; abraded; dried out; gone hard; gone soft; wearing;
            ovalled; elongated; grooved; stepped; indented; galled; blued; scuffed; inspection reject; reject
            inspection; not roadworthy; did not meet; not within tolerance; not within limits; out tolerances;
            deteriorated; deterioration; wear and play; radial play; axial play; end float; advanced wear; well worn;
            half worn; badly worn; part worn; worn thin; worn through; measured out; shaft out spec; shaft out
            tolerance; shaft out limit; shaft out standard; shaft out round; prop out spec; prop out tolerance; prop
            out limit; prop out standard; prop out round; would not take greased; not take greased; will not take
            greased; not taking greased; refuses greased; greased will not enter; no greased getting through; tight in
            one plane; tight in one direction; tight one way; tight spot; stiff one way; stiff in one direction; stiff
            in places; red mark; red marked; marked on inspection; clearance; big clearance; too much clearance; too
            big clearance; up and down; hard spot; hard spots; porous; spongy; felt notchy; felt rough; felt loose;
            felt stiff; felt worn; felt dry; felt slack; like tar; greased like; greased like tar; greased like water;
            greased gone hard; greased gone off; greased black; greased dried; greased dried up; greased thick; greased
            milky; greased rusted; greased contaminated; greased watery; greased full of water; walked; oval; oblong;
            degraded; cracking
            """,
        "look": """
            on inspection; at inspection; during inspection; inspection; annual inspection; safety inspection; safety
            checked; annual checked; mot; on mot; at mot; annual test; annual; on inspected; at inspected; during
            inspected; walk round; walkround; walk around; walkaround; pre trip; pretrip; daily checked; vehicle
            checked; under vehicle checked; multi point; six weekly; 8 weekly; 6 weekly; pmi; health checked;
            roadworthy; at checked over; first use checked; routine inspection; scheduled inspection; planned
            inspection; state inspection; dot inspection; periodic inspection; pm inspection; service inspection;
            spotted; quarterly inspection; weekly checked; monthly checked; pre delivery inspection; pre mot; vosa;
            safety test; road worthy; ramp checked; on ramp; on lift; during pm checked; visual; visual inspection;
            visual checked; at pre trip; preuse checked; audit; reject; rejected; knock back; tagged; red tagged;
            roadworthy test; roadworthy checked; roadworthy inspection; roadworthy examination; rego inspection; rego
            checked; rego; wof; cof; cvip; pink slip; blue slip; tuv; hu; apk; mfk; itv; state test; statutory
            inspection; statutory test; statutory checked; technical inspection; technical control; government
            inspection; council inspection; annual test checked; annual examination; pre issue inspection; pre use
            inspection; pre inspection; in inspection; intake inspection; arrival inspection; acceptance inspection;
            site inspection; site checked; quarterly checked; half yearly checked; six monthly checked; monthly
            inspection; weekly inspection; daily inspection; fortnightly checked; fortnightly inspection; seasonal
            inspection; seasonal checked; winter checked; summer checked; holiday checked; courtesy checked; free
            checked; vehicle health checked; health inspection; inspection lane; inspection pit; on pit; over pit; on
            hoist; on jack; on ramps; inspection sheet; inspection report; inspection defect; inspection defect sheet;
            inspection defect report; inspection write up; inspector; inspector remark; inspector found; inspector
            reported; tester; examiner; pmi sheet; pmi rectified; pmi defect; pmi report; mot prep; mot work; prep for
            mot; for mot; test prep; pre test; tyre changed; tyre change; at tyre changed; seen at; seen during; seen
            on; seen when; noticed during inspection; noticed at service; noticed on service; noticed during service;
            noticed while; condemned at tests; test station; at test; on test; examination; looked over found;
            walkaround checked; control visit; wheels off; with wheels off; noticed at washing; noticed on ramp;
            noticed on dock; noticed in bay; noticed on pit; spotted by; seen by tester; advised by; advisory; last
            advised; advised earlier; safety failed; test failed; failed test; failed elsewhere; wrote up; general
            checked; warranty inspection; warranty checked; at washing; when washing; multipoint; points checked; point
            inspection; point checked; check sheet; checked sheet; checklist; checked list; mot advised; advised mot;
            advised at mot; advised on mot; advised at test; advised at inspection; advised at service; advised on
            service; advised last inspection; caught on inspection; caught at inspection; caught at service; caught
            during inspection; caught on service; caught at pm; caught on pm; caught on pm inspection; caught during
            pm; caught in time
            """,
        "service": """
            at service; on service; during service; in service bay; at pm; on pm; during pm; at pm service; while
            servicing; during serviced; at scheduled service; during scheduled service; at routine service; during
            routine service; routine service; scheduled service; planned service; b service; c service; major service;
            minor service; annual service; full service; interim service; pm service; pm b; pm c; b pm; service
            checked; during maintenance; at maintenance; during routine maintenance; routine maintenance; scheduled
            maintenance; during scheduled maintenance; oil service; during serviced vehicle; service due; service; with
            service; pm; while in service; in for service; in for pm; serviced; during planned maintenance; at planned
            maintenance; inspection service; greased service; at greased; while greased; during greased; on greased;
            at oil changed; during oil changed; on oil changed; while oil changed; with oil changed; for oil changed;
            in for oil changed; pm visit; interim; level 1 service; level 2 service; lof; lubrication service;
            maintenance visit; in for maintenance; maintenance; with pm; regular service; monthly service; weekly
            service; yearly service; quarterly service; service visit; greased round; in pm; during routine lubricated;
            routine lubricated; at lubricated; during lubricated; while lubricated; during routine greased; routine
            greased; lubricated service; scheduled lubricated; scheduled greased; when greased; when lubricated; on
            lubricated; dock; on dock; in dock; wk dock; week dock; weekly dock; docking; service dock
            """,
        "planned": """
            planned; scheduled; preventive; interval; routine; by mileage; at mileage; mileage due; due mileage; due by
            mileage; due on mileage; mileage interval; life expired; service replaced; planned replaced; scheduled
            replaced; precaution; as precaution; precautionary; campaign; programme; program; time expired; lifed; life
            limit; due replaced; due scheduled; due per scheduled; due by scheduled; due on scheduled; due interval;
            due per interval; due at interval; due by hour; due by age; preventive replaced; planned maintenance;
            preventive maintenance; scheduled renewed; planned renewed; planned changed; scheduled changed; routine
            replaced; routine changed; routine renewed; at interval; mid life; midlife; refurb; refurbishment; fleet
            policy; policy; time based; age based; hours due; due hours; reached mileage; reached interval; service
            life; reached life; on age; due to age; before failed; before it failed; due on hours; due on time; due at
            mileage; avoid failed; avoid breakdown; prevent failed; prevent breakdown; as scheduled; as planned; to
            scheduled; on scheduled; pm replaced; pm renewed; pm changed; preventive changed; preventive renewed;
            service scheduled; maintenance scheduled; maintenance plan; planned maintenance replaced; scheduled
            maintenance replaced; cyclic; time changed; life changed; scheduled component; component life; age
            replaced; prior failed; recall; overhaul interval; change out interval; hard time; high mileage; interval
            replaced; interval changed; periodic; periodic replaced; annual replaced; major service replaced;
            maintenance scheduled replaced; not failed; no fault replaced; wear out limit; according to scheduled;
            according to maintenance planned; according to planned; maintenance planned; to planned; by miles; by km;
            by hours; by distance; by age; by kilometres; by kms; due by miles; due by distance; due by hours; due by
            km; due by date; due by time; due on distance; due on miles; due on km; due on age; due at miles; due at
            distance; due as scheduled; due under scheduled; due now by mileage; mileage reached; km reached; hours
            reached; life reached; life limit reached; limit reached; interval reached; target reached; reached limit;
            reached hours; reached km; reached miles; reached age; life cycle; lifecycle; life cycled; programmed;
            programmed replaced; programme replaced; fleet programme; fleet replaced; fleet planned; mandatory;
            mandatory replaced; component exchanged; planned component exchanged; scheduled component exchanged;
            component changed; hour changed; hours changed; hr changed; hrs changed; hour replaced; hours replaced; hr
            replaced; km replaced; kms replaced; mile replaced; miles replaced; km changed; mile changed; expired;
            shelf life; yearly changed over; annual changed over; annual changed; yearly changed; seasonal changed;
            seasonal replaced; pre season; pre season replaced; pre emptive; proactive; preventive maintenance
            replaced; campaign changed; campaign replaced; fleet campaign; block replaced; block changed; batch
            changed; batch replaced; group replaced; rotable exchange; fixed time; fixed interval; set
            interval; set mileage; at set mileage; preset; contract maintenance; maintenance contract; age limit; age
            related replaced; mileage limit; milestone; on condition of mileage; before season; before winter; before
            summer; refit programme; refurbishment programme; overhaul programme; major overhaul; planned overhaul;
            scheduled overhaul; scheduled exchanged; planned exchanged; scheduled install; scheduled fitted; planned
            fitted; scheduled work; planned work; planned job; scheduled job; routine maintenance replaced; routine
            job; replaced by interval; replaced at interval; replaced on hours; replaced on mileage; on calendar;
            calendar; policy replaced; company policy; precautionary replaced; no complaint preventive; forecast
            replaced; forward planned; in advance of failed; upgrade campaign; km task; hour task; miles task; hours
            task; km job; hour job; km interval; hour interval; miles interval; km service replaced; task scheduled;
            age related; time related; mileage related; due; according to service planned; service planned; as service
            planned; by planned; every year; every service; every dock; every overhaul; every km; every hours; half
            life; at half life; prophylactic; prophylactically; bulletin; service bulletin; by chassis; by chassis
            number; lifed item; life item; warranty campaign; warranty recall; recall campaign; fleet rule; year rule;
            yr rule; age rule; due same; for sale; on mileage; on km; on hours; on distance; on years; prop overhaul;
            overhaul at; every other service; every second service; every 1 years; every 1 months; every 2 years; every
            2 months; every 3 years; every 3 months; every 4 years; every 4 months; every 5 years; every 5 months;
            every 6 years; every 6 months; every 7 years; every 7 months; every 8 years; every 8 months; serviceable on
            removed; ok on removed; good on removed; serviceable when removed; ok when removed; ok on dismantled;
            serviceable on dismantled; whether needs or not; whether needs it or not; whether it needs it or not;
            regardless of condition; regardless condition; irrespective of condition; service plan item; planned item;
            on k; on clock; by the book; at book life; book life; on kays; prep season; season prep;
            harvest prep; pre harvest; winter prep; summer prep; pre winter; pre summer; winterising; maintenance due;
            service due replaced; planner; per planner; rotated out
            """,
        "collateral": """
            collateral; while in there; while at it; while out; while apart; while open; at same time; at same time as;
            same time as; while off; same time; while shaft out; while shaft off; with shaft out; while half shaft out;
            while prop shaft out; while prop shaft off; with prop shaft out; while prop out; while drive shaft out;
            with drive shaft out; shaft out; shaft off; with above; anyway; for access; while access; while down; while
            in area; in same go; while doing; while replaced; when replaced; as matter of course; matter of course;
            while stripped; while dismantled; when dismantled; while removed; while joint out; because joint replaced;
            due to joint replaced; since apart; since out; since open; had it apart; good measure; while there; same
            job; already apart; already out; already off; already removed; already dismantled; consequential; as set;
            disturbed; as matching; to match; matching pair; renewed with it; replaced with it; fitted with it; changed
            with it; done with it; new with it; comes with it; came with it; supplied with it; supplied with joint;
            supplied with new joint; supplied with shaft; came with joint; comes with joint; came with bearing; came
            with shaft; renewed together; replaced together; changed together; while shaft apart; while axle out; with
            axle out; while shaft on bench; on bench; while shaft removed; with shaft removed; with shaft off; with
            half shaft out; with other; alongside; while accessible; with prop shaft off; with prop
            shaft down; while prop shaft down; renewed as well; shaft apart; while driveline down; while drive line
            down; drive line down; with drive line down; because of access; at it anyway; due to access; due
            access; since access; access open; same labour; same operation; same labour operation; same repaired; with
            same repaired; in course of repaired; course repaired; course job; in course of; as part repaired; part
            repaired; part same job; part of repaired; above job; with above job; above repaired; above work; with
            above repaired; done with above; main job; with main job; main repaired; with main repaired; preceding
            task; preceding job; preceding repaired; previous line; related repaired; related work; associated work;
            associated repaired; additional work; additional repaired; as additional work; extra work; add on; addon;
            knock on work; consequential work; follow on; with rest; one out all out; with others; not reusable; not re
            usable; not reused; not re used; not be reused; could not be reused; not reuse; cannot reuse; non reusable;
            single use; one time use; not refittable; not refitted usable; sacrificed; sacrificial; for other job;
            other job; for other work; due to dismantled; because of dismantled; due to removed; due to disassembly;
            dismantled anyway; removed anyway; off anyway; out anyway; apart anyway; down anyway; open anyway; had to
            come off; had to come out; as disturbed; as stripped; torn down; already torn down; already open; already
            down; already stripped; already disturbed; while assembly removed; while unit removed; convenience;
            opportunity; opportune; opportunistic; at this opportunity; no extra labour; no additional labour; no
            labour; labour overlap; overlapping labour; labour overlapping; to save labour; saves labour; save labour;
            advisable with above; advised with above; required with above; needs with above; recommended with above;
            included with above; in conjunction with above; in conjunction with preceding; in conjunction with main; in
            conjunction with other; in conjunction with job; in conjunction with repaired; combined with above; as set
            with; set with preceding; in same operation; same strip down; same opportunity; by way; with main; with
            preceding; preceding; related; associated; concurrently; concurrent; concurrently with; simultaneously;
            simultaneous; during same dismantled; same dismantled; same disassembly; during disassembly; thrown in
            with; cannot be reused; bought along; in main task; main task; included in main; labour included; labour
            included in; not be refitted; could not refitted; not refitted; other repaired; for other repaired; for
            another job; another job; other work; easier while; easier to while; easier to done while; sooner now;
            saves coming back; save coming back; save taking; saves taking; went ahead and; to save later; with line;
            with line a; with line b; with line 1; with line above; conjunction with line; in conjunction with line;
            line above; overlap labour; labour overlap with; required by dismantled; needs by dismantled; required for
            dismantled; recommended while dismantled; advised while dismantled; recommended while apart; required by
            access; needs for access; required for access; included with main; included with line; included with
            repaired; included with job; included in repaired; included in job; part main repaired; combined with line;
            combination with above; combination with line; same line; same operation as; same teardown; done with line;
            done with main; do while in there
            """,
        "also": "also; too; as well; additional; extra; likewise also",
        "damage": """
            on fire; by fire; in fire; bush fire; caught fire; tree fell; fallen tree; by forklift;
            accident; crash; crashed; collision; stolen; theft; vandalised; vandalism; vandalized; flood; flooded; kerb
            strike; hit kerb; kerbed; struck kerb; hit debris; debris; by debris; accident repaired; crash repaired;
            collision repaired; road debris; debris strike; crash damage; accident damage; collision damage; impact
            damage; impact; third party; thrown by road debris; hit rock; rock strike; struck rock; hit pothole;
            pothole; pothole damage; ran over; run over; driven over; hit deer; animal strike; grounded; grounding;
            grounding damage; bottomed out; fire damage; hit object; struck object; struck debris; off road
            excursion; ditch; in ditch; rolled over; rollover; rolled; jack damage; malicious; insurance; insurance
            claim; insurance job; wire wrapped; rope wrapped; wrapped around; wrapped round; wrapped; damage by; damage
            by debris; misuse; abuse; driver abuse; cut by; hit by; struck by; damage in accident; damage in crash;
            kerb damage; kerb impact; bump damage; wreck; wreck damage; damage in wreck; strike damage; towing damage;
            damage by towed; bent in accident; storm damage; water damage; stump; tree stump; branch;
            tree branch; by branch; by stick; stick; fence; gatepost; bollard; barrier; guard rail; rock; rocks; stone;
            boulder; by stone; struck by stone; kangaroo; roo; wombat; deer; boar; pot hole; hit
            kerbside; mounted kerb; over kerb; against kerb; kerbing; loading dock; ramp edge; backed over; backed
            into; reversed over; reversed into; reversing accident; drove over; drove through; drove into; driven into;
            driven through; ditched; ditched vehicle; jumped ditch; overturned; rolled vehicle; vehicle overturned;
            jack knife; jackknife; jackknifed; rammed; thief; thieves; grounded on; went in to cab; snagged; snagged
            on; went through; staked; speared; wrapped in; rope; cable wrapped; strap wrapped; chain wrapped;
            baler twine; twine; fencing wire; smashed; panel job; panel repaired; panel shop; body repaired; body
            damage; body shop; bodyshop; bent; dented; crushed; squashed; cut through; sliced; punctured by; torn by;
            ripped by; split by; broken by; cracked by; scraped by; scraped on; external damage; outside damage;
            foreign object; road damage; obstacle; hit obstacle; hit stump; hit tree; hit branch; hit log; hit
            something; hit animal; struck stump; struck tree; struck obstacle; struck; hitting; hitting rock; hitting
            kerb; run into; ran into; crash claim; insured; insurance repaired; insurance estimated; insurance
            approved; third party claim; towing accident; operator abuse; misused; overloaded; overloading; vandal;
            vandals; attempted theft; theft damage; fire damaged; flooding; drowned; immersed; submerged; water
            crossing; river crossing; hail; landslip; rockfall; rock fall; traffic accident; road accident; side
            impact; rear ended; rear end collision; bull bar hit; attacked; shot at; sabotage; board of inquiry; rope
            caught; catalytic theft; hit on; hit while; hit during; tyre debris; debris damage; rodent; rodents; rat;
            rats; mouse; fox; squirrel; gnawed; in transport; in transit; transit damage; transport damage; fork
            truck; fork lift; strapping; strapping band; low loader; rebar; caught on stump; caught on kerb; caught on
            rock; caught on tree; caught on wire; caught on fence; prang; pranged; clipped it; clipped by; clipped
            kerb; clipped post; clipped gate; mangled; bellied; bellied out; beached; windrow; washed off road;
            washed off crossing; washed off causeway; washed off track; washed away;
            rolled in; rolled into; into bank; hit bank; embankment; culvert; cattle grid; cattle guard; trench;
            manhole; rutted; washout; fence post; star picket; picket; chargeable; chargeable to driver; recharge;
            rechargeable; recharge to driver; course damage; training damage; exercise damage; site damage; operator
            damage; driver damage; yard damage; depot damage; loading damage; shipping damage; trail damage; off road
            damage; bush damage; stump damage; rock damage; stone damage; frost damage; malicious damage; damage
            report; damage claim; damage job; damage repaired; damage in; damage when; damage while; damage from;
            damage after; damage on; according repaired; according damage; according claim; tractor hit; trailer hit;
            gouged; ran through; ran off; run off; left road; left carriageway; off carriageway; spun off; slid off;
            skidded into; hit barrier; hit wall; bird strike; tyre blowout; blowout damage; blow out damage; wheel came
            off; dropped wheel in; dropped into; fell into; sabotaged; barbed wire; netting; plastic wrapped; loader
            hit; hit loader; digger hit; excavator hit; loader clipped; digger clipped; loader clipped it; reversing
            into; backing into; reversed in
            """,
        "comeback": """
            come back; rework; reworked; refitted wrong; redone; redo; wrong part; wrong part fitted; wrongly fitted;
            fitted wrong; fitted wrongly; incorrectly fitted; fitted incorrectly; bad fitted; poor fitted; poorly
            fitted; fitted poorly; wrong fitted; faulty fitted; failed fitted; incorrect fitted; repeat job; repeat
            repaired; repeat; warranty; not fitted right; not fitted correctly; not fitted properly; installed wrong;
            wrongly installed; incorrectly installed; installed incorrectly; not installed correctly; not installed
            properly; improper fitted; improperly fitted; improper installed; improperly installed; badly installed;
            badly fitted; workshop error; workshop fault; fitter error; tech error; previous repaired; last repaired;
            returned under; re done; repeat failed; fitted last time; wrong joint fitted; wrong boot; wrong size; wrong
            joint; wrong bearing; wrong fit; incorrect part; poor workmanship; workmanship; bad install; misassembled;
            misfitted; mis fitted; assembled wrong; back again; returned with same; same fault again; again after last;
            clips not tightened; circlip not seated; not seated; circlip not fitted; installation error; installed
            error; fitted error; fitted backwards; installed backwards; fitted back to front; fitted last week;
            replaced last week; replaced last month; fitted last month; defective new; new part faulty; new part
            failed; new part defective; faulty new; rejob; under warranty; warranty claim; warranty replaced;
            manufacturing fault; defective from box; faulty from new; failed from new; out phase; wrong phase; wrong;
            incorrect; incorrectly; wrongly; our fault; our error; our mistake; our work; our repaired; our fitted; our
            fitted mistake; own work; own error; own fault; own fitted; after our; after our repaired; returned after;
            returned after repaired; returned after our repaired; complaint about our; about our repaired; free charge;
            no charge; foc; at our cost; our cost; own cost; workshop cost; goodwill; on warranty; in warranty;
            repaired warranty; warranty job; warranty work; warranty repaired; warrantied; warrantee; guarantee; under
            guarantee; guarantee claim; brought back again; brought back by customer; brought back by driver;
            vehicle back; customer back; back after; came back;
            back in again; back to us; comes back; last week repaired; previous fitted; previous job; previous part;
            previous part faulty; previously fitted wrong; prior repaired; prior job; earlier repaired; earlier job;
            before wrong; repeated; repeat fault; repeat complaint; repeated repaired; repeat visit; return visit;
            return visit for same repaired; returned for same; returned with same repaired; re repaired; re repair; not
            done up; not done up right; not tightened; left loose; left off; not clipped; failed again; broken again;
            noise again; again noise; knock again; vibration again; leaking again; split again; torn again; loose
            again; replaced again; renewed again; changed again; fitted again; again replaced; again renewed; exchanged
            again; swapped again; seized again; gone again; worn again already; again already; shortly after fitted;
            soon after fitted; days after fitted; weeks after fitted; week after fitted; month after fitted; only
            weeks; only fitted; just fitted; just replaced; just changed; just renewed; new part bad;
            new part broken; new part noise; new joint failed; new boot failed; new bearing failed; new one failed; new
            one faulty; new one bad; new one noise; replaced part failed; replaced part bad; bad new; faulty from
            stores; failed from stores; from stores faulty; out box; bad out box; dud part; dud new; failed
            from box; faulty supply; supplier fault; supplied faulty; material fault; material defect; manufacturing
            defect; defect report on new; early failed; premature failed; infant failed; badly before; badly fitted
            before; installed badly; fitted badly; poorly done; bad job; bodged; botched; bad workmanship; poor job;
            fitted in error; install error; tech mistake; mechanic error; mechanic mistake; mechanic fault; technician
            error; fitter mistake; assembly error; assembly mistake; snap ring out; snap ring not; snap ring left;
            circlip out; clip left off; misaligned on; misalignment; second failed; same
            problem again; re opened; reopened; policy adjustment; concern persisted; fault persists; noise persists;
            recently fitted; recently replaced; recently installed; misalign; soon after replaced; months after fitted;
            shortly after replaced; return job; returned job; returned work; return work; after repaired; repeat
            defective; repeat defect; repeat defects; misfit; days after repaired; weeks after repaired; days after
            replaced; weeks after replaced; come undone again; poor part; poor part fitted; bad part fitted; inferior
            part; wrong spec part; put in wrong; put in backwards; put in wrong way; put in last time; fitted by us;
            replaced by us; renewed by us; changed by us; installed by us; done by us; by us; by ourselves; fitted by
            our; replaced by our; changed by our; our installed; our installation; our own; after fitted it; since
            fitted it; internal charge; workshop pays; same joint replaced; same boot replaced; same bearing replaced;
            pressed in wrong; workmanship issue; workmanship problem; skewiff; squint; crooked; cross threaded; put in
            crooked; fitted squint; fitted crooked; fitted skewiff; pressed in squint; pressed in crooked; not square;
            fitted off centre; upside down; wrong way round; wrong way; back to front; bad repaired; poor repaired;
            faulty repaired; bad rebuilt; from vendor; from supplier; supplier faulty; claim on supplier; claim on
            support; credit requested; credit note; credit claimed; returned to supplier; back to supplier; returned to
            vendor; returned to manufacturer; no changed; last job; from last job; after last job; not sitting
            straight; not sitting right; not sat right; not located; not locked; not clipped in; not pressed home; not
            fully home; not home; not tightened up; finger tight; ex contractor; contractor repaired; contractor fault;
            sublet fault; after contractor; warranted
            """,
        "silent": """
            returned to service; return to service; back in service; back to service; put back in service; placed in
            service; ready for service; released to service; release to service; returned for service; back into
            service; no complaint; no driver complaint; no customer complaint; no complaints; without complaint; states
            none; states no; states nothing; see attached; as report; no reported; not reported; service brake; service
            brakes; fit for service; cleared for service; self service; service body; service manual; service bulletin;
            service desk; in service date; no charge for; no accident; no damage; no collision; no impact; warranty
            expired; out warranty; not warranty; no warranty; test fee; mot test fee; mot fee; mot done; mot passed;
            mot pass; every time; as above; same side as above; side as above; same as above; as preceding; same side
            as preceding; side as preceding; same side as previous; same side as main; no customer concern; no concern;
            no customer concerns; no driver concern; customer approved; approved by customer; approval received;
            approval given; approval obtained; approval granted; got approval; has approval; with approval; approval
            from; customer agreed; customer accepted; customer ok; ok by customer; ok customer; driver approved; owner
            approved; noise gone; noise gone after repaired; gone after repaired; ok after repaired; test after
            repaired; road test after repaired; test ok after repaired; checked after repaired; verified after
            repaired; confirmed after repaired; no noise after repaired; quiet after repaired; noise eliminated;
            vibration gone; vibration gone after repaired; vibration eliminated; concern gone after repaired; repaired
            verified; same side as line; same side as line a; side as line; whether needs or not
            """,
        "bad": """
            bad; no good; not good; not good enough; poor; poor condition; bad condition; no use; not ok; unacceptable;
            unsatisfactory; not satisfactory; not acceptable; gone bad; went bad; going bad; bad shape; rough shape;
            poor shape; in bad way; questionable; inferior; not fit; unfit; unsafe; unroadworthy; dangerous; scruffy;
            not safe; no longer usable
            """,
        "undone": """
            destroyed on removed; damage on removed; damage during removed; damage removed; not survive; destroyed by
            removed; destroyed during removed; destroyed in removed; destroyed removed; destroyed by dismantled;
            destroyed on dismantled; destroyed during dismantled; destroyed when dismantled; dismantled destroyed;
            removed destroyed; damage on dismantled; damage by dismantled; damage when dismantled; damage when removed;
            damage by removed; damage during dismantled; damage in dismantled; damage in removed; dismantled damage;
            removed damage; broken on removed; broken during removed; broken when removed; broken on dismantled; broken
            when dismantled; broken dismantled; broken removed; torn on removed; torn during removed; torn on
            dismantled; split on removed; cut on removed; cut off to removed; getting it off; taking it off; taking
            apart; taking it apart; pulling apart; pulling it apart; in strip down; on strip down; during
            strip down; on dismantled; during dismantled; by dismantled; on removed; in disassembly; in tear down; in
            teardown; it off; pressing out; when pressed out; while removed it; while pressing; not survive removed;
            not survive dismantled; did not survive; could not be saved; not salvageable; not saved; during removed; in
            removed; by removed; during removed for; while removed for
            """,
    }
)
_FURTHER: tuple[Mapping[str, tuple[str, ...]], ...] = (
    TOLD_REASONS, REASON_FAMILIES, REASON_DIALECTS, OUTSIDE_CAUSES, OCCASION_WORDS,
    PLAIN_SIGNS,
    {"noticed": STRAY_GREASE},
)  # fmt: skip
REASON_HINTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        hint: tuple(p for table in (_HINTS, *_FURTHER) for p in table.get(hint, ()))
        for hint in dict.fromkeys((*_HINTS, *TOLD_REASONS, *REASON_DIALECTS))
    }
)
"""Hint -> phrases.

`failed`, `worn`, `planned`, `collateral`, `damage` and `comeback` are reasons. `noticed` and `in_use` tell that it was
noticed on the road, `look` and `service` that it was met at an inspection or a service; `bad` is failed or worn, as the
occasion says; `undone`: it broke while other work was done; `also`: it was done besides, if no more is said; `silent`
tells nothing, and keeps the words in it from telling anything. `perhaps` goes with a hint that is too weak by itself.
"""
