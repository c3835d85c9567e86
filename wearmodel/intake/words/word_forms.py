"""How a workshop spells its words: the other spellings, abbreviations and endings of each, and the form it is read as.

Abbreviations are common practice of workshops on both sides of the Atlantic, no source. Slips of the pen are not
listed here but where they are short; `wearmodel.intake.words.spelling` finds the longer ones.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.intake.words.work_forms import CONDITION_WORDS, WORK_WORDS

__all__ = ["PASSED_OVER", "WORD_FORMS"]

_PARTS: Mapping[str, str] = {
    "new boot": "booted reboot rebooted re-boot re-booted rebooting",
    "joint": "yoint yoints joints jnt jnts jt jts jnt's jiont joit jont jint joimt jonit joinnt joinr joinst joimts",
    "bearing": "baring barings beering bearings brg brgs brng brngs brg's bering berings bearin beairng",
    "boot": "boots bt bts bots booot boott botts boos gaiter gaiters gaitor gaitors gaitter gator gators bellow "
    "bellows boot's manchette manchettes soufflet soufflets manschette manschetten achsmanschette faltenbalg fuelle "
    "fuelles cuffia cuffie stofhoes aandrijfashoes ashoes coifa coifas sanfona sanfonas guardapolvo guardapolvos "
    "manchet manchets manchetten cuff cuffs gtr gtrs gaither gaithers gaitr concertina concertinas",
    "shaft": "schaft schafts shafts shft shfts sft saft shaf shfat",
    "co driver": (
        "codriver co-driver co-drv co-drvr codrv co/driver co-drier co-drvier co-driver's codrivers co-drivers c/driver"
    ),
    "half shaft": "palier paliers semieixo semieje semiasse "
    "semi-axle semi-axles semiaxle semiaxles semi-axis h/shft h/shfts hshft h-shft halfshaft "
    "halfshafts h/shaft h/shafts h-shaft h-shafts half-shaft "
    "half-shafts hshaft hshafts",
    "half shaft joint": "antriebsgelenk",
    "drive shaft": "antriebswelle aandrijfas d/shft d/shfts dshft d-shft driveshaft driveshafts d/shaft d/shafts "
    "d-shaft d-shafts dshaft dshafts drive-shaft drive-shafts driveshft drvshft drvshaft drv-shaft drvsft d/sft "
    "dr/shaft dr-shaft "
    "driveshat driveshafft driveshaf",
    "prop shaft": "p/shft p/shfts pshft p-shft t/shft tshft propshaft propshafts p/shaft p/shafts p-shaft p-shafts "
    "pshaft pshafts prop-shaft prop-shafts t/shaft t/shafts tshaft tshafts t-shaft t-shafts propellershaft "
    "propellershafts propshft tailshaft tailshafts t/s tail-shaft cardanshaft cardan-shaft gelenkwelle kardanwelle "
    "cardanas prop/shaft p/sft prop/sft pr/shaft prop-shft propsft",
    "prop": "props propeller propellor",
    "rear prop": "r/prop r-prop rprop rr/prop rear-prop r/propshaft r/p-shaft r/pshaft rpropshaft r/shaft rr/shaft "
    "rear/prop r/prp",
    "front prop": "f/prop f-prop fprop ft/prop frt/prop front-prop f/propshaft f/p-shaft f/pshaft fpropshaft "
    "front/prop "
    "fr/prop f/prp",
    "front axle": "f/axle f/axl frt/axle ft/axle front-axle f/ax",
    "rear axle": "r/axle r/axl rr/axle rear-axle r/ax",
    "front diff": "f/diff frt/diff ft/diff",
    "rear diff": "r/diff rr/diff",
    "steering column": "st/column st/col str/column str/col s/column s/col strg/col steer/col stg/col",
    "axle": "axles axel axels axl axls",
    "axle shaft": "axleshaft axleshafts axle-shaft axle-shafts",
    "drive line": "driveline drivelines drive-line drivetrain drive-train d/line d/train d/l d/ln dline drvln "
    "drvline drvtrain "
    "d-line d-l",
    "u joint": "ujoint ujoints uj ujs u/j u/js u/j's uj's u.j u.js u.j's ujt ujts ujnt ujnts u/jt u/jts u-jt u-jts "
    "u-joint u-joints u/joint u/joints u-j u-js u-jnt u-jnts u/jnt u/jnts uni-joint uni-joints unijoint unijoints "
    "u'joint",
    "universal joint": "kreuzgelenk kreuzgelenke kardangelenk kruiskoppeling",
    "universal": "univ unv univl universals uni unis",
    "cardan": "hooke hookes hooke's cardans kardan",
    "cross piece": "crosspiece crosspieces cross-piece cross-pieces",
    "cross": "crosses crosshead crossheads croisillon croisillons cruceta crucetas crociera crociere kreuz",
    "spider": "spiders",
    "cv": "cvs c/v c/vs cv's c.v c-v",
    "cv joint": "homokinet homokinetisch homokineet homocinetique homocinetiques homocinetica gleichlaufgelenk "
    "homocinetic homocinetics homocinetico omocinetico omocinetici "
    "homokinetics cvj "
    "cvjs cvj's cvjt cvjts cvjnt cvjnts cvjoint cvjoints cv-joint cv-joints homokinetic",
    "velocity": "vel veloc",
    "constant": "const",
    "tripod": "tricet tricets trizeta trizetas triceta tripode tripods tri-pod tulip tripot",
    "sleeve": "sleeves",
    "spline": "splines splined",
    "yoke": "yokes yolk yoak",
    "slip": "sliding slipping slidy",
    "slip piece": "slider sliders schiebestueck schiebestuck slip-piece",
    "incl": "including inc inclusive includes",
    "slip joint": "slip-joint slipjoint slip-joints",
    "slip yoke": "slip-yoke slipyoke slip-yokes",
    "steering": "strg stg strng steer",
    "column": "col clmn",
    "intermediate": "intermed interm",
    "support": "supp suppt supports sprt spt supporting",
    "carrier": "carr carriers crr",
    "hanger": "hgr hngr hangers hgrs hanging",
    "mount": "mounting mountings mnt mntg mounts mtg",
    "rubber": "rubbers rbr insulator insulators",
    "bracket": "bkt brkt brackets",
    "complete": "compl",
    "assembly": "assy assys ass'y assm asm assemblies assembly's",
    "diff": "differential diffs differentials",
    "gear box": "g/b gearbox g/box gbox gearboxes gear-box",
    "transfer box": "transferbox t/box tcase t/case transfer-case transfer-box t-case xfer-case xfercase xcase x-case "
    "tfr-case tfrcase transfercase",
    "transfer": "xfer xfr trnsfr tfr trf tfer t/fer trans'fer tsfr",
    "transmission": "trans tranny xmsn transm trans'n",
    "centre bearing": "mittellager zwischenlager c/brg c/brgs c/bearing c/brng cbrg ctrbrg c-brg",
    "exhaust": "exh exhst",
    "support bearing": "csb c.s.b",
    "wheel bearing": "w/brg w/brgs w/bearing w/bearings wbrg wbrgs w-brg w-brgs whlbrg whl/brg wh/brg w/brng",
    "wheel cylinder": "w/cyl w/cyls wcyl whl/cyl",
}

_PLACES: Mapping[str, str] = {
    "centre": "center centers centres central ctr cntr cntre ctre centr middle mid midshaft mid-shaft mid-prop "
    "mid-section midship mid-ship midpoint ctrl",
    "left": "le linke linker gauche izquierda izquierdo sinistra sinistro sx lfet leftt lef elft lh l/h lhs l/h/s "
    "l.h l.h.s "
    "l/hand l/s lft lt l-h left-hand lefthand lside l/side lh's left's left-side lh-side",
    "right": "ri rechts rechte rechter droite droit dx derecha derecho destra destro rigt rigth rihgt rgiht riht "
    "rh r/h rhs "
    "r/h/s r.h r.h.s r/hand r/s rgt rght rt r-h right-hand righthand rside r/side rh's right-side rh-side",
    "left and right": "l&r l+r lh&rh lh+rh",
    "front and rear": "f&r f+r fr&rr",
    "inboard and outboard": "i/o i&o i+o in&out in/out",
    "wheel": "whl whel weel wheell wheal",
    "side": "sides sd",
    "end": "ends",
    "left front": "lf l/f lhf l/h/f lh/f fl f/l flh f/l/h l.f f.l left-front front-left l-f lh-front front-lh",
    "right front": "rf r/f rhf r/h/f rh/f frh f/r/h r.f right-front front-right r-f rh-front front-rh",
    "left rear": "lr lhr l/h/r rl r/l rlh left-rear rear-left l-r",
    "right rear": "rhr r/h/r rrh right-rear rear-right",
    "left outboard": "lho l/h/o lh/o lfo lhfo l/h/outer lh-outer left-outer",
    "right outboard": "rho r/h/o rh/o rfo rhfo r/h/outer rh-outer right-outer",
    "nearside outboard": "n/s/o nso ns/o n/so",
    "offside outboard": "o/s/o oso os/o o/so",
    "nearside inboard": "n/s/i nsi ns/i n/si",
    "offside inboard": "o/s/i osi os/i o/si",
    "left inboard": "lhi l/h/i lh/i lfi lhfi lh-inner left-inner",
    "right inboard": "rhi r/h/i rh/i rfi rhfi rh-inner right-inner",
    "offside": "o/s os o/side o.s off-side oside o-s",
    "nearside": "n/s ns n/side n.s near-side nside n-s",
    "offside front": "osf o/s/f o/sf f/o/s fos o.s.f o/s-front",
    "nearside front": "nsf n/s/f n/sf f/n/s fns n.s.f n/s-front",
    "offside rear": "osr o/s/r o/sr r/o/s o.s.r",
    "nearside rear": "nsr n/s/r n/sr r/n/s n.s.r",
    "driverside": "ds d/s d.s dside d/side driver-side drivers-side driver's-side driversside drivers'-side drv-side",
    "passengerside": "ps p/s p.s pside p/side passenger-side passengers-side passenger's-side pass-side psngr-side",
    "driver": "dvr dvrs dvr's diver's divers' drivers driver's drivers' drv drvr drvrs drvr's drv's",
    "passenger": "passengers passenger's passengers' psgr pssgr psngr pax passgr",
    "kerb": "curb kerbs curbs",
    "kerbside": "curbside kerb-side curb-side",
    "front": (
        "font fron vorne vorn vordere vorderes avant delantera delantero anteriore frnt fornt forn frotn frnot "
        "fronnt frot frt "
        "fnt frnt ft fwd forward forwards fronts"
    ),
    "rear": "hinten hintere hinteres arriere trasera trasero posteriore raer rearr reer rr rearmost rears rearward aft "
    "r/end",
    "fr": "f/r",
    "outboard": "auter oute aussen exterieur exterieure outer out-board otr outr o/b ob outers outter o/bd obd "
    "outerside o/board "
    "o/brd o/bord otbd outbd outbrd outbord o/er outa oboard oter ouer o/ter o/tr outermost outside-end",
    "inboard": "iner innen interieur interieure inner in-board inr innr i/b ib inners i/bd ibd innermost i/board i/brd "
    "i/bord inbd inbrd inbord i/er inna iboard iner innner inne i/ner i/nr",
    "upper": "uppr upr top",
    "lower": "lwr bottom btm bot",
    "first": "1st",
    "second": "2nd",
    "third": "3rd",
    "fourth": "4th",
}

#: Words without meaning here; they are passed over as if they were not there.
_IDLE = """
    a an the this that these those its is are was were been being am has have having very quite slightly severe
    severely heavily completely totally partly some their his her my we they he she you still kit kits genuine
    greasable greaseable
    oem oe aftermarket quality parts pt pts items item units car cars pickup per which who whose what style does
    did got get getting approx about existing original reman remanufactured recon pattern works wo ro posn
    location handed basis upon onto itself s t d so however therefore make makes made using op ops
    performed perform performs performing pfmd
"""

WORD_FORMS: Mapping[str, str] = MappingProxyType(
    {
        word: form
        for table in (_PARTS, _PLACES, WORK_WORDS, CONDITION_WORDS)
        for form, words in table.items()
        for word in words.split()
    }
)
"""Other spellings -> the form used in the phrases of the lexicon; a form may be of several words."""

PASSED_OVER: frozenset[str] = frozenset(_IDLE.split())
"""Words without meaning, unless a phrase of the lexicon holds them."""
