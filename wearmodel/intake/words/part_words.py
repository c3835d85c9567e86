"""The parts a workshop names: those of a driveline, words that tell which one is meant, and everything else.

A part is named by a phrase of its own (`centre bearing`, `tripod joint`), or by a head (`boot`) with words beside it
that tell whose it is (`cv`, `half shaft`, `outboard`). Names are common practice of the trade, no source.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrase_table, phrases, words_of

__all__ = ["ACCESSORIES", "FOREIGN_PARTS", "HEADS", "MODIFIERS", "NEIGHBOURS", "PARTS", "PART_FAMILIES"]

PART_FAMILIES: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "cv_joint": "cv_joint_outboard; cv_joint_inboard",
        "cv_boot": "cv_boot_outboard; cv_boot_inboard",
        "shaft_joint": "u_joint; cv_joint_outboard; cv_joint_inboard",
        "any_joint": "u_joint; cv_joint_outboard; cv_joint_inboard",
    }
)
"""Names that leave several components -> those components: `drive shaft` is the propeller shaft in some countries, a
half shaft in others, so that its joint may be either.
"""

PARTS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "u_joint": """
            u joint; u j; u jt; universal joint; universal; universal j; cardan joint; joint cross; cross joint; joint
            spider; cross and bearing; cross bearing; spider joint; spider; cross; u joint cross; u joint spider;
            spider and bearing; cross and cap; cross and caps; universal cross and cap; universal cross and
            caps; universal cross; spider and caps; cross caps; cross and cups; universal cross and cups; cross and
            roller; u type joint; cross shaft joint; trunnion cross; prop
            joint; prop shaft joint; double cardan joint; double cardan; drive line joint; knuckle cross; cross head;
            universal coupling; universal spider; universal cross; cardan cross; cardan; joint universal; uj joint;
            u joint bearing; universal joint bearing; universal bearing; journal cross; cross journal; joint journal;
            u joint journal; universal journal; cross piece; joint cross bearing; cross joint
            bearing; bearing cross; star joint; joint star; universal star; universal knuckle; u bearing; u cross; uc
            joint;
            universal joint spider; universal joint cross; universal joint cross bearing; joint cross and bearing
            """,
        "cv_joint": """
            cv joint; c v joint; constant velocity joint; constant velocity; cv j; c v; velocity joint; cv
            driveshaft joint; half shaft joint; cv jt; homokinetic joint; cv head; cv knuckle; cv unit; cv drive joint;
            cv axle joint; cv shaft joint; half axle joint; side shaft joint; constant velocity unit;
            constant velocity universal joint; cv universal joint; constant velocity universal
            """,
        "cv_boot": """
            respective boot; matching boot; accompanying boot; adjacent boot; boot on same shaft; corresponding boot;
            relevant boot; concerned boot; associated boot; related
            boot; adjoining boot; boot to suit; boot to match; boot to go with; boot same joint; same joint boot; boot
            for
            same joint; boot on same joint; boot for above; boot above; boot for same; boot this joint; boot that joint;
            cv rubber; cv joint rubber; cv axle rubber; drive shaft rubber; half shaft rubber; axle shaft rubber; cv
            cover; cv joint cover; cv dust cover; cv rubber cover; cv sleeve; cv dust sleeve; outboard rubber; inboard
            rubber; rubber outboard; rubber inboard; drive shaft dust cover; half shaft dust cover; axle shaft dust
            cover; drive shaft cover; half shaft cover; drive axle dust cover; cv protector; cv dust protector; cv
            dust boot; drive shaft dust boot; half shaft dust boot; axle shaft dust boot; drive axle rubber; outboard
            dust cover; inboard dust cover; wheel side rubber; gear box side rubber; diff side rubber; cv joint dust
            cover; cv joint dust boot; cv joint protector; outboard dust boot; inboard dust boot; drive shaft rubber
            cover; half shaft rubber cover; axle shaft rubber cover; axle rubber cover; axle dust cover; cv rubber
            dust cover
            """,
        "cv_joint_outboard": """
            ball type joint; fixed joint; fixed cv; wheel side joint; ball type cv; rzeppa; rzeppa joint; fixed
            cv joint; bell joint
            """,
        "cv_joint_inboard": """
            tripod joint; tripod; plunging joint; plunge joint; plunge cv; tripod cv; plunging cv; tripod cv
            joint; plunge cv joint; plunging cv joint; pot joint; tripod spider; tripod bearing; tripod roller;
            trilobe; trilobe joint; tri lobe joint; tri lobe; doj; d o joint; cross groove joint; cross groove cv;
            tripod
            star; tripod cross; triple roller joint; three roller joint;  plunging
            spider; sliding cv; sliding cv joint; tripod cup; plunger joint; plunge type joint; plunging type joint;
            cup joint; roller joint; tripod housing; double offset joint; cv cup inboard; inboard cv cup; inboard
            cup; inboard pot; pot inboard; inboard cv pot; pot
            """,
        "support_bearing": """
            support bearing; centre bearing; centre support bearing; centre support; carrier bearing; hanger
            bearing; prop bearing; prop shaft bearing; centre mount; centre mount bearing; prop shaft support;
            prop support; drive line bearing; centre carrier; centre carrier bearing; centre hanger; steady
            bearing; centre steady bearing; intermediate bearing; mount bearing; centre bearing mount; centre
            bearing support; shaft support bearing; prop shaft mount; shaft hanger; support mount; centre
            bearing carrier; bearing support; shaft carrier; shaft steady; bearing hanger; hanger; bearing
            carrier; drive line support; prop carrier; pillow block; pillow bearing; plummer block; centre
            bearing rubber; centre bearing assembly; centre shaft bearing; carrier support; support carrier;
            carrier mount; centre drive shaft bearing; bearing centre; drive shaft support; drive shaft carrier;
            drive shaft hanger; shaft support; drive shaft centre support; centre brace bearing;
            centre bush; prop shaft centre bush; prop shaft bush; centre bearing bush; cardan support; cardan
            bearing; support cardan; cardan centre bearing; prop shaft centre mount; prop centre mount; centre joint
            bearing; centre block; bearing block; centre hanger bearing; centre rubber; prop shaft rubber; prop rubber;
            prop shaft centre rubber; centre bearing cushion; centre cushion; rubber cushion bearing; bearing cushion;
            cushion bearing; jack shaft bearing; jack shaft carrier; jack shaft hanger; jack shaft
            support bearing; intermediate support; intermediate support
            bearing; intermediate shaft bearing; intermediate shaft support bearing; coupling shaft bearing; coupling
            shaft support; coupling shaft support bearing; bearing cradle; cradle bearing; suspension bearing; split
            shaft bearing; prop shaft hanger; prop hanger; prop shaft carrier; prop shaft steady; prop steady; steady
            centre bearing; centre support mount; rubber bearing; rubber mount bearing; centre pillow block; pillow
            block bearing; plummer bearing; centre hanging bearing; drive line hanger; drive line carrier; tail shaft
            support; tail shaft hanger; tail shaft centre; prop shaft centre support bearing; centre bearing housing;
            centre bearing bracket; shaft support mount; bearing assembly centre; bearing rubber; prop shaft centre
            support; prop centre support; prop centre bearing; prop shaft centre bearing; drive shaft centre bearing
            """,
        "slip_spline": """
            slip spline; slip yoke; slip joint; spline yoke; spline shaft; slip shaft; slip section; shaft spline;
            prop spline; prop shaft spline; slip stub; spline slip; spline sleeve; slip sleeve; slip member; slip and
            spline; drive shaft spline; spline joint; slip tube; spline; sleeve yoke; telescopic joint; telescopic
            section; slip coupling; slip piece; slip piece cardan; slip part; yoke slip; joint slip; slip stub shaft;
            muff coupling; slip half; slip and stub; slip yoke and stub; slip assembly; slip end; slip joint spline;
            slip shaft
            spline
            """,
        "steering_joint": """
            steering joint; steering shaft joint; steering u joint; steering shaft u joint; steering coupling;
            steering column joint; steering column u joint; intermediate shaft joint; steering universal joint;
            steering shaft universal joint; steering universal; steering shaft knuckle joint; shaft knuckle joint;
            column joint; column u joint; steering knuckle joint; intermediate steering shaft joint; column coupling;
            steering column coupling; steering shaft coupling; intermediate shaft u joint; steering cardan; steering
            cardan joint; column universal joint; coupling joint; steering coupling joint; lower coupling; upper
            coupling; lower coupling joint; upper coupling joint; coupling steering; coupling steering column;
            steering shaft knuckle; column knuckle; steering column knuckle; column shaft joint; column spider;
            steering spider;
            steering cross; column cross; steering shaft cross; steering shaft spider; steering shaft universal;
            coupling column; column coupling joint; lower column coupling; upper column coupling
            """,
    }
)
"""Component (or family of components) -> phrases that name it without more."""

HEADS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "joint": "joint",
        "boot": "boot",
        "bearing": "bearing",
    }
)
"""Words that need another beside them to be a part of a driveline."""

MODIFIERS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "cv": "cv",
        "half": """
            half shaft; cv axle; cv shaft; cv half shaft; cv drive shaft; cv axle shaft; output shaft; drive axle;
            half axle; side
            shaft; drive half shaft; driving axle; cv drive axle; cv half axle; wheel shaft
            """,
        "axle_shaft": "axle shaft; front axle shaft; steering axle shaft",
        "stub": "stub axle; stub shaft",
        "axle": "axle shaft; axle; front axle; live axle; front live axle; live front axle; steering axle; "
                "front steering axle",
        "drive": "drive shaft; jack shaft; transfer shaft; driving shaft",
        "prop": """
            prop shaft; prop; cardan shaft; drive line; tail shaft; transmission shaft; coupling shaft; centre
            shaft; centre drive shaft; prop tube
            """,
        "steer": """
            steering shaft; steering column; intermediate steering shaft; intermediate steering;
            intermediate shaft; steering intermediate shaft; column shaft;
            steering; column
            """,
        "shaft": "shaft; complete shaft; shaft assembly",
        "support": "support; mount; steady",
        "carrier": "carrier",
    }
)
"""Words that tell whose a joint, boot or bearing is; the shafts among them are no part by themselves."""

ACCESSORIES: tuple[str, ...] = (
    "grease nipple",
    "grease fitting",
    "grease zerk",
    "grease point",
    "needle bearing",
    "needle roller",
    "bearing cup",
    "needles",
    "bearing cap",
    "trunnion",
    "cup",
    "cups",
    *words_of(
        """
    bolt bolts nut nuts clamp clamps clip clips strap straps circlip circlips cap caps nipple nipples zerk seal
    seals gasket gaskets bracket brackets housing flange flanges lid lids latch strut struts light lights lamp
    lamps carpet floor mat liner hinge hinges spring springs retainer retainers snapring ring rings screw screws
    washer washers shield cover covers band bands yoke plate plates stud studs hub hardware
    """
    ),
)
"""Small things that belong to a part; after its name they are what was worked on, not the part."""

_FOREIGN_PHRASES = """
    slack adjuster; slack adjusters; brake chamber; brake cam; s cam; brake adjuster; belt tensioner;
    first aid; ball joint; balljoint; track rod; tie rod; drag link; rack boot; rack and pinion; steering rack; steering
    box; steering pump; steering wheel; steering gear; steering arm; steering damper; steering fluid; steering
    lock; steering hose; power steering; passengerside pump; passengerside fluid; passengerside hose;
    passengerside belt; passengerside rack; wheel bearing; hub bearing; pilot bearing; release bearing; thrust
    bearing; clutch bearing; pinion bearing; axle bearing; throwout bearing; diff bearing; diff carrier; diff
    carrier bearing; carrier bearing diff; axle carrier bearing; tensioner bearing; alternator bearing; gear box
    bearing; shaft bearing gear box; input shaft bearing; output shaft bearing; gear box output bearing;
    transmission output bearing; output bearing; main shaft; layshaft bearing; cam shaft; camshaft; crank shaft;
    crankshaft; rocker shaft; balance shaft; half shaft seal; half shaft bearing; drive shaft seal; axle shaft
    seal; axle seal; output shaft seal; axle shaft bearing; drive belt; boot lid; boot lock; boot floor; boot
    light; boot lamp; boot strut; boot latch; boot carpet; boot liner; boot switch; boot hinge; boot release;
    boot mat; boot door; boot handle; boot button; boot area leak; boot space; tow hitch boot; gear lever boot;
    gear boot; gear stick boot; shifter boot; shift boot; handbrake boot; brake boot; caliper boot; shock boot;
    strut boot; dust boot; steering boot; steering rack boot; rack end boot; inboard tie rod boot; outboard tie rod
    boot; steering column boot; column boot; wheel side bearing; wheel end bearing; hub side bearing; selector
    boot; ball joint boot; hand brake boot; tie rod boot; track rod boot; transmission mount;
    engine mount; gear box mount; exhaust mount; body mount; cab mount; shock mount; strut mount; radiator
    mount; radiator support; diff mount; axle mount; spring hanger; exhaust hanger; spring mount; spare wheel
    carrier; spare carrier; load carrier; roof carrier; mirror mount; suspension joint; exhaust joint; manifold
    joint; expansion joint; pipe joint; hose joint; hydraulic joint; rose joint; joint compound; joint sealant;
    air line joint; water joint; elbow joint; swivel joint; flexi joint; flex joint; body joint; panel joint;
    lap joint; slip door; slip ring; slip clutch; slip differential; limited slip; limited slip diff; belt slip;
    wheel slip; clutch slip; bell crank; bellcrank; bearing buddy; wooden prop; roof prop; bonnet prop; hood
    prop; prop stand; prop rod; timber prop; prop up; cab prop; boat prop; tailgate prop; bed prop; cv
    carburettor; jump pack; jump start; boot disk; software boot; computer boot; boot up; wheel clamp boot;
    safety boot; work boot; boots issued; spring shackle; u bolt; cross member; crossmember; cross beam; cross
    brace; cross shaft; spark plug boot; plug boot; hose boot; turbo boot; battery boot; terminal boot; pto
    pump; engine bearing; big end bearing; main bearing; fan bearing; idler bearing; pulley bearing; water pump
    bearing; king pin bearing; kingpin bearing; hub carrier; swivel pin; front axle seal; rear axle seal; rear
    axle oil; front axle oil; axle oil; axle breather; axle stop; axle weight; axle alignment; axle tracking;
    rear axle pads; tag axle; axle brake; hole saw; torque converter; spline drive bit; spider gear; cross pin;
    diff spider; spider gears; steering u bolt; constant mesh; front prop stand; oil seal; pinion seal; input
    seal; lip seal; cross over pipe; cross over; universal clamp; universal bulb; universal remote; universal
    wiper; universal charger; steering angle sensor; support arm; support frame; support bracket exhaust; road
    spring; air spring; hanger bracket exhaust; customer support; tech support; lumbar support
    """

_FOREIGN_WORDS = """
    abs accelerator actuator adblue adhesive aerial airbag airbags aircon air alarm alignment alternator antenna
    antifreeze antiroll arm arms ashtray audio axlestands badge balance balanced balancing ball bar bars battery
    batteries beacon bed belt belts bleed bleeder blade blades blower body bodywork bonnet booster box brake
    brakes braking bulb bulbs bumper bus-bar bush bushes bushing bushings button cab cabin cable cables cage
    caliper calipers callipers cam camber camera canopy carburettor catalyst catalytic caster chain charger
    charging chassis clutch coil coils compressor condenser connector console converter coolant cooler cowl
    crane cylinder cylinders damper dampers dash dashboard decal diesel disc discs disk disks door doors drum
    drums dpf duct ecu egr electrical element exhaust extinguisher fan fans fender fenders filter filters
    flasher fluid fluids flywheel fog fork fuel fuse fuses gauge gearlever gearstick glass glow glazing grille
    guard gutter handbrake handle hazard header headlamp headlamps headlight headlights heater hinge hitch hood
    horn hose hoses hub hubs hydraulic hydraulics idler ignition immobiliser indicator indicators injector
    injectors intake intercooler interior jack keys kingpin ladder lamp lamps leaf lever lift-gate light
    lights lining linings link links loom manifold marker master mat mats mirror mirrors module motor mudflap
    mudflaps mudguard muffler number-plate oil oils paint painted panel panels parking pedal pipe pipes piston
    plug plugs plate plates pollen pump pumps puncture pulley pulleys pads pad radiator radiators radio rack ram
    ramp refrigerant regulator relay relays reflector reservoir rim rims rocker rod rods rotor rotors roof sash
    screen screens screenwash seat seatbelt seats sensor sensors shackle shackles shock shocks shoe shoes
    shifter silencer slave socket solenoid spare spark speaker speedo spoiler spring springs sprocket starter
    stereo strut struts subframe sump sunroof suspension switch switches tachograph tacho tailgate tailift
    tail-lift tank tanks tappet tensioner thermostat throttle timing tow-bar towbar tracking track trailer trim
    tube turbo tyre tyres tire tires tread upholstery valve valves vacuum wash washer washers water wheel wheels
    windscreen windshield window windows winch wing wiper wipers wiring wire wires wishbone wishbones hinges
    latch gearknob tarp tarpaulin tipper hopper sweeper brush plough plow mower deck bodylift canister fanbelt
    hubcap hydrolic webasto tachometer lube-truck gasoline petrol gas exhausts tailpipe manifolds intercoolers
    dipstick headgasket gaskets gasket headliner cassette flatbed winchrope rope chains
    """

_OTHER_DRIVES = joined(
    "pto; power take off; auger; mower; spreader; salter; sander; baler; chipper; mixer; generator; compressor; "
    "blower; conveyor; winch; fan; water pump; hydraulic pump; feed",
    "-; drive; shaft; drive shaft; drive line; prop shaft; prop; output; input",
    "u joint; universal joint; universal; cross; joint; coupling; yoke; support bearing; carrier bearing; slip yoke",
)
"""Joints of shafts that drive a machine on the vehicle, not the vehicle."""

FOREIGN_PARTS: tuple[str, ...] = (
    *phrases(_FOREIGN_PHRASES),
    *_OTHER_DRIVES,
    *phrases("centre pin; centre bolt; spring pack; leaf pack; spring pin; spring centre bolt"),
    *words_of(_FOREIGN_WORDS),
)
"""Parts that are none of a driveline, and work on them."""

NEIGHBOURS: Mapping[str, tuple[str, ...]] = phrase_table(
    {
        "": "gear; gears; engine; pto; low gear; high gear; reverse gear; first gear; top gear",
        "drive_end": "gear box; transmission; transaxle",
        "transfer_end": "transfer box; transfer; transfer case; transfer gear box; drop box",
        "diff_end": "diff; front diff; rear diff; back diff; pinion; final drive",
    }
)
"""What a driveline lies between, by the end of the shaft that it tells: often named for a place or a moment, seldom
what was worked on.
"""
