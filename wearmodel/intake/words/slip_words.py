"""Words worth mending when they are misspelt, and ordinary words near them that are no slips."""

from wearmodel.intake.words.phrase_lists import words_of

__all__ = ["GUARDED_WORDS", "MENDED_WORDS"]

MENDED_WORDS: frozenset[str] = frozenset(
    words_of(
    """
    transfer joint joints ujoint ujoints boot inside outside right behind between middle pinion wheel universal
    universals bearing bearings gaiter gaiters bellows boots shaft shafts propshaft propshafts propeller
    propellor driveshaft driveshafts halfshaft halfshafts driveline carrier support supports centre center
    hanger constant velocity tripod spline splines splined sliding spider cardan trunnion steering column
    intermediate coupling mounting rubber outer inner inboard outboard front driver drivers passenger offside
    nearside kerbside curbside upper lower replaced replace replaces replacing replacement replacements renewed
    renewing renewal fitted installed install installing swapped exchanged changed greased greasing lubricated
    lubrication inspected inspection checked tightened adjusted serviced repaired required recommended recommend
    advised monitor awaiting supplied seized seizing broken snapped sheared collapsed disintegrated failed
    failure clunk clunking clunks clicking knocking squeak squeaking squeal squealing rumbling rumble grinding
    vibration vibrations vibrating shudder shuddering judder noisy noise excess excessive excessively cracked
    cracking perished leaking rusted corroded pitted contaminated condemned thrown notchy accident collision
    damage damaged scheduled preventive preventative precaution planned maintenance routine interval breakdown
    recovered customer reported reports complaint complains complained warranty broke whilst while above apart
    access additional again insurance rework repeat disassembly removal destroyed rejected overhaul programme
    roadworthy nothing apprentice
    expired mileage stripped defective faulty monthly annual workshop chucked comeback collateral removed
    refitted dismantled complete assembly differential gearbox transmission grease bellow cross crosses propellor
    driver's passenger's replacements exchange fitment fitting tripode housing hangers wheel axles flange knocked
    renew renews provided codriver conductor unijoint unijoints tailshaft tailshafts couplings journal plummer pillow
    cushion steady
    knuckle knuckles telescopic plunging wrecked rollover vandalism programmed exploded shattered detached
    perishing splitting shredded slinging stuffed rattling squealing shuddering wobble wobbling shimmy thumping
    banging popping smashed smash crushed wreck crash impact
    """
)
)
"""Words that slips are mended towards."""

GUARDED_WORDS: frozenset[str] = frozenset(
    words_of(
    """
    bloke white whole whale accept accepts aport abode annul manual faulted repeal bolt bolts booty boost robot
    root roots insider insiders insides outsider outsiders outsides tight light night rights bright righty
    adapting adjudged adjuster adviser advisers assemble assembler auditing availing awarding backed baring
    beading beaming beatdown beating beatings behaving berating better blaring bleating board boarding boards
    boat boats bolted boobs booked booking books booms boost boosts booth booths booty bottom bouts broad broker
    building cackling canter cardigan cardin carjacking carman carrie carries cartier centro chanced changer
    changers chanted chaplains charged checker checkered checkers cheeked chucked chuckled chunk chunks clank
    climbing clinching clink clipping clocking clubbing clung coaching coalition coated collared collated
    collation collusion compete competed competes compiling complacent complainant complexes compliant complied
    complies concerned condensed condoned consonant constance constancy constantin constantly constraint
    consultant contestant convened coughing coursing courting courtside cracker crackers crackhead crackling
    cradling crafting cramming cramping cranked cranking crashing crawling creaking customary delivers
    ripper rigged impart impacted crush crushes crusher smashing slash slashed clash crass brash trash wreak creak
    compact
    thumbing bonging bagging banking hopping mopping shrouded popped staffed stuffer splatting rustling rattled
    differentially differentiate diver divers drawing drier drifters drillers drinkers drivel drives enchanted
    excels excesses exchanger exchangers exchanges exclusive exclusively expensive expressive extensive
    extensively fabled filed filter fisted fitter fitters foiled front frost gainer garter gear gearing general
    gleaming glitters granting grasping greasy greening greeting grieving grilling grinning gripping grossing
    grunting guessing hager hander hangar hanged hangover hearing hunger infected infection infer infernal
    inflected inflection injected injection innes inserted insertion installer installers instill instilled
    instilling integral inter intermediary internal interpol interwar joins joists leaching leading leaning
    leanings leaping learning leasing leaving letter loner loosens loser lover lowery lowes morning moulding
    mountain mountains mounties mourning mouthing moving noire noose norse notch offsite oster otter ouster
    outbound outed outing paint panned parishes parked patted persisted petted pitied planed planner planners
    planted plated point points polished potted precautions predation preventing prevention print propelled
    punished pupper ramble rambling ramblings rated rebooted receding recorded reformed regained relating
    relaxing relaying remained remover renaming rendered rendering reneged renewable renowned repainted repaying
    repealed repealing repeating repented replayed replaying replicas replying reportedly reporter reporters
    reposted rerouted resisted resorted resorts rested retained retorted retorts reverted reviewed reviewing
    revolted revolved robber rotated routinely routines routing rubbery rubble ruble rushed rustling saline
    saplings scheduler scudder seaports seared severing shalt shared shearer sheathed sheeting shift shifts
    shoulder shredder siding sized sizing skidding sledding sleeping slicing slider slimming slitting smeared
    smearing snapper sneaking sneering snider sobering speaking speared speeding spicer spidey spine spines
    splice spliced splicing splint splinter splinters splints sprained sprinted spyder staff starring started
    steaming stemming stepping sterling stirring stopped streaking striding stuff stupider supplier suppliers
    supplies supported supporter supporters supposed supposes survived swamped swearing sweeping tearing tested
    throw universalism universalist universally universe upped veracity vibrational vibrator vibrators violating
    violation violations warrant warranted warrants washed wearing worked below bellowed fellow mellow yellow billow
    across crass cress crows crowns crosse crossed crossing gross grass dross wheels wheel's whee while housed hosing
    hearings mousing rousing hoisting flanged flanges flank fitments exchequer provides providers axle's sitting
    """
)
)
"""Ordinary words that are never taken for a slip, nor for two words run together."""
