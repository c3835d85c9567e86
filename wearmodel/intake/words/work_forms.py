"""How a workshop spells what was done and what a part was like, and the form each spelling is read as.

Common practice of workshops on both sides of the Atlantic and further south, no source.
"""

from collections.abc import Mapping

__all__ = ["CONDITION_WORDS", "WORK_WORDS"]

WORK_WORDS: Mapping[str, str] = {
    "replaced": (
        "replace rep'd repd replaces replacing replacement replacements repl rplcd rplc repl'd replcd rpl rpl'd rpld "
        "repld rplacd replc replc'd re-placed rplcmt rplmt replmt replmnt rplce rplcd' rplacmt replcmnt replcmt repls "
        "rplaced replaed repalced relaced replacd rpled rpls"
    ),
    "renewed": (
        "renew renews renewing renewal renewals rnw rnwd rnw'd renwd re-new re-newed renewd ren ren'd renwl rnwl "
        "renw'd renew'd rnewd renu renued renewall"
    ),
    "fitted": "fit fits fitting fitment ftd fitd ft'd fttd fittd f'td ftted fited fiitted",
    "changed": (
        "change changes changing chgd chg chg'd chngd chng chngd' chgs cha'd changd chnaged chagned chanegd "
        "change-out changed-out changeout changeouts "
        "change-outs c/out changeover change-over"
    ),
    "installed": (
        "install installs installing installation inst'd instld instl instd instal inst insta'd instl'd instlld"
    ),
    "swapped": (
        "swap swaps swapping swopped swop swops swopping swaped swap-out swapout swopd swpd swp swapd interchanged "
        "interchange interchanging"
    ),
    "supplied": "supply supplies supplying provided provide provides providing furnished suppld",
    "chucked": "chuck chucking bunged whacked slapped banged-in",
    "exchanged": (
        "exchange exchanges exchanging exch exch'd exchg exchgd exchd xchange xchanged xchg xchgd excg excgd exchnged "
        "substituted substitute substituting subst"
    ),
    "removed": "dismount dismounts dismounted dismounting demounted demount demounting unmounted remove removes "
    "removing removal rem rem'd rmvd rmv rmv'd remvd rmved",
    "r r": "r&r r/r r+r rnr r-r r&r'd r&r's r&red r&rd",
    "c o": "c/o",
    "r i": "r&i r/i r+i",
    "refitted": (
        "refit refits refitting re-fit re-fitted re-fitting reinstalled reinstall reinstalling re-installed "
        "reassembled reassemble reassembly re-assembled reconnected reconnect refixed refitment rebuilt-up rehung"
    ),
    "dismantled": (
        "disassembly dismantlement teardown tear-down stripdown strip-down dismantle dismantling strip stripped "
        "stripping disconnected disconnect disassembled disassemble unbolted dropped drop dropping pulled "
        "withdrawn"
    ),
    "lubricated": "lubed lube lubes lubing lubrication lubricate lubricating lub lub'd lubd lubrication's",
    "greased": (
        "grease greases greasing grsd grs grsed regreased re-greased regrease re-grease repacked re-packed repack "
        "grease'd grsg"
    ),
    "inspected": "inspect inspects inspecting insp'd inspd inspctd examined examine examining examd",
    "inspection": "revision revisions inspections inspectn inspn insp'n insp insps exam exams examination examinations",
    "checked": "check checks checking chk chks chkd chk'd chckd ckd ck ck'd check'd",
    "tightened": (
        "tighten tightens tightening retightened re-tightened retighten torqued torque re-torqued retorqued retorque"
    ),
    "adjusted": "adjust adjusts adjusting adjustment adj adj'd adjd readjusted re-adjusted",
    "cleaned": "clean cleans cleaning clnd",
    "serviced": "servicing svcd srvcd",
    "service": "services svc serv srvc srv svce",
    "repaired": (
        "rect rect'd rectn repair repairs repairing rprd rpr rpr'd rep reps rectified rectify rectification "
        "mended mend sorted attended "
        "rebuilt rebuild rebuilding reconditioned remedied remedy"
    ),
    "overhauled": "overhaul o/hauled o'hauled overhauling",
    # Repaired in some countries, fitted in others: the words around it tell.
    "fixed": "fix fixes fixing fixd fxd fixt",
    "done": "completed cmpltd cmpl'd",
    "returned": "rtn rtnd ret ret'd retd rtn'd returning",
    "back to service": "rts rtts bts'd",
    "opportunity": "oppo opportunistic opportunistically",
    "also": "too additionally",
    "additional": "addl add'l add addition extra",
    "vehicle": "veh vehs vehicles vehicle's truck trucks trk van vans lorry lorries bus",
    "programme": "program programs programmes programmed programming prog progr progs",
    "expired": "exp expd exp'd expiry expires expiring",
    "insurance": "ins insur insurers insurer",
    "warranty": (
        "warr w/ty wty wrty wnty wrnty warrty warrenty warranties g'tee gtee g/tee guarantee guaranteed guaranty"
    ),
    "standard": "std stds standards",
    "previous": "prev previously",
    "labour": "labor lab labours",
    "hour": "hr hrs hours",
    "km": "kms kilometre kilometres kilometer kilometers klm klms",
    "miles": "mile",
    "workshop": "w/shop wshop",
    "while": "whilst",
    "steering wheel": "s/wheel swheel",
    "foc": "f.o.c f/o/c",
    "no charge": "n/c",
    "no good": "n/g",
    "approved": "appr appr'd approve apprd authorised authorized",
    "reusable": "re-usable reuseable re-useable",
    "reused": "re-used reuse re-use",
    "according": "acc",
    "annual": "yrly annually yearly ann",
    "roadworthy": "roadworthiness rwc",
    "mot": "mots mot's m.o.t premot",
    "required": "require requires requiring reqd req'd req rqd reqs req's",
    "needs": "need needing needed nds nd need's",
    "recommended": "recommend recommends recommending recommendation recommendations recom recomm rcmd recmd",
    "advised": "advise advises advising adv advice adv'd advsd",
    "advisory": "advisories advis",
    "monitor": "monitored monitoring mntr",
    "supplied and fitted": "s/f s+f",
    "spec": "specification specifications specs",
    "back order": "b/o",
    "carry forward": "c/fwd c/fwd'd cfwd c/fd c-fwd",
    "deferred": "def'd defrd defer defers deferring postponed postpone",
    "declined": "decline declines refused refuse",
    "quoted": "quote quotes quoting quotation estimate estimates estimated est estd",
    "ordered": "ordering order'd",
    "awaiting": "await awaits a/w",
    "next": "nxt",
    "suggested": "suggest suggests suggesting",
    "please": "pls plz kindly",
    "no": "nr nil zero nae nay",
    "nothing": "nowt nuthin nothin nuffin nuffink zilch",
    "something": "summat sumthin somethin",
    "without": "w/o",
    "with": "w w/ wth c/w wi wi'",
    "because": "bcos bc becos caused causing b/c",
    "and": "n plus",
    ",": "then but whereas",
    "ok": "okay oke okey ok'd oked satis satisfactory serviceable fine good a-ok",
    "again": "agn",
    "both": "bth",
    "pair": "pairs prs pr",
    "one": "single",
    "two": "twin",
    "not": "didn't didnt couldn't couldnt wasn't wasnt isn't isnt weren't won't wont cannot can't cant don't dont",
    "test": "tested tests testing",
    "diagnosed": "diag'd diagd dx'd",
    "until": "til till 'til",
    "spat": "spit spits spitting",
    "road test": "roadtest roadtested road-test road-tested r/t r/tested",
}
"""Form -> other spellings of what was done, and of small words."""

CONDITION_WORDS: Mapping[str, str] = {
    "broken": "break breaks broke breaking brkn brk brok breakage",
    "breakdown": "breakdowns break-down break-downs b/down b/d brkdwn brkdown bdown",
    "failed": "fail fails failing failure failures fld faulty f/d",
    "unscheduled": "unsched unsched'd unschd unsch unscheduled unplnd",
    "fault": "defct defet faults flt defect defects",
    "defective": "def",
    "seized": "seize seizes seizing siezed seizure szd siezd sezed seized-up siezing sieze siezes ceased ceazed "
    "seazed ceized sized-up",
    "knackered": (
        "goosed banjaxed gubbed borked jiggered crocked banjoed grenaded hooped hosed stonkered boogered b'gered "
        "bolloxed "
        "kippered wallered wallowed phut donged vrot stukkend nackered naked-up fubar fubared u/sed bolloxd hammered "
        "jacked mullered"
    ),
    "snapped": "snap snaps snapping",
    "sheared": "shear shears shearing shered",
    "collapsed": "collapse collapses collapsing",
    "disintegrated": "disintegrate disintegrating",
    "clunk": (
        "clank clanking clanks clanky clunkety kerchunk clunking clunks clunky clunked clonk clonking clonks thud "
        "thudding thump thumping bang banging bangs "
        "clunck"
    ),
    "click": (
        "tac-tac tic-tac tic-tic clac-clac clac klack klacken tiktik taktak chikchik toktok clicking clicks "
        "clicked clicky clicketing clacking clack ticking tick popping "
        "pop pops clik cliking "
        "clickety"
    ),
    "knock": "katkat khatkhat dhakdhak khadkhad thakthak gadgad knocking knocks knocked knocky nocking",
    "squeak": (
        "creak creaking creaks creaky creaked squeaking squeaks squeaky squeaked chirping chirp chirps squeek squeeking"
    ),
    "squeal": "squealing squeals squealed screech screeching screeches",
    "rumble": (
        "rumbling rumbles rumbly droning drone drumming humming hum hums grumbling grumbles grumble whirring "
        "whirr growling growl growls howl howling whine whining whines roaring roar moaning groaning groan"
    ),
    "grinding": "grind grinds grindy graunch graunching grating",
    "rattle": (
        "rattling rattles rattly rattled clatter clattering clatters tinkle tinkling tinkles chatter chattering "
        "jangle jangling"
    ),
    "vibration": "vibrating vibrations vibrates vibrate vibe vibes vib vibs vibr vibrated vibs'",
    "shudder": (
        "shiver shivering shivers shivery quivering quivers trembling trembles tremors juddery shuddery wobbly shaky "
        "shakey shimmying shuddering shudders judder juddering judders shaking shakes shimmy wobble wobbling wobbles "
        "shake"
    ),
    "noise": (
        "awaaz awaz avaz awaaj awaj racket din screaming screams wailing noisy noises noisey noisily nois nvh noisier"
    ),
    "worn": "warn worne wear wears wearing wore worne wornout worn-out wrn w/out woren",
    "road": "rd rds rd's",
    "roadside": "r'side",
    "play": "slop sloppy slackness looseness freeplay free-play lash backlash movement",
    "loose": "loosened loosening",
    "excess": "excessive xs x/s excessively xcess xsive",
    "torn": "tear tears tore tearing ripped rip rips ripping shredded holed hole",
    "split": "splits splitting",
    "cracked": "crack cracks crk crkd fractured fracture",
    "perished": (
        "delaminated perish perishing dryrot dry-rot dry-rotted weathered deteriorated deteriorating degraded crumbling"
    ),
    "burst": "bursting punctured",
    "leaking": (
        "sweating sweats sweated spewing spews dribbling dribbles leak leaks leaky leaked lkg leakage weeping seeping "
        "seep seeps oozing"
    ),
    "thrown": "throwing throws threw slung slinging flung flinging sling slings spraying",
    "rusted": "rust rusty rusting corroded corrosion",
    "pitted": "pitting brinelled brinelling spalled scored scoring galled",
    "rough": "roughness gritty gravelly",
    "condemned": "condemn cond'd condemning",
    "contaminated": "contamination",
    "accident": "accidents rta rtc",
    "collision": "collisions collided",
    "damage": "damaged damages dmg dmgd dmg'd",
    "scheduled": "schedule schedules sched sched'd schd scheduling",
    "preventive": "preventative prevent prev preventively pre-emptive preemptive proactive proactively preventatively",
    "planned": "plan plnd",
    "periodic": "periodical periodically",
    "maintenance": "maint mtce mntnce mtnce",
    "interval": "intervals",
    "reported": "report reports reporting rptd rpt rpts rep'td",
    "complaint": "complaints complains complain complained complaining cmplt comp's",
    "customer": "cust customers customer's cust's custs client owner operator operators oper opr",
    "states": "stated state says said stating reckons",
    "heard": "hears hear audible",
    "noticed": "notices notice noticeable noticable",
    "towed": "towde toewd twoed tow tows towing",
    "recovered": "recovery recover recoveries recov recovd recov'd",
    "engaging": "engage engages engaged engagement selecting selected select",
    "turning": "turn turns turned cornering corners corner lock roundabout roundabouts manoeuvring full-lock",
    "acceleration": "accelerating accelerate accelerates accel",
    "take off": "takeoff take-off pulling-away pull-away moving-off move-off setting-off pull-off pulling-off",
    "take up": "takeup take-up",
    "crunching": "crunch crunches crunched crunchy",
    "scraping": "scrape scrapes scraped",
    "bump": "bumps bumping bumped jolt jolts jolting",
    "jerk": "jerks jerking jerked jerky snatching snatches snatch snatchy",
    "rejected": "rejn rejtd reject rejects rejecting rejection rej rej'd rejctd",
    "tagged": "tag tagging red-tagged",
    "struck": "strike strikes striking",
    "hit": "hits hitting",
    "bent": "bend buckled buckle",
    "smashed": "smash smashes smashing",
    "overturned": "overturn overturning rolled-over",
    "stump": "stumps",
    "branch": "branches",
    "rock": "rocks boulder boulders",
    "rope": "ropes roping",
    "died": "die dies dying",
    "stuffed": "stuffs",
    "stiff": "stiffness stiffening stiffly",
    "binding": "binds bind",
    "sticking": "sticks",
    "destroyed": "destroy destroys destroying dest destr destroied",
    "missing": "msg",
    "unserviceable": "u/s",
    "mileage": "milage",
    "found": "fnd find finds finding noted",
    "come back": "comeback come-back comebacks came-back",
}
"""Form -> other spellings of what a part was like, and of how that was noticed."""
