"""Turns of phrase of why and how a part was renewed, put in other words before a text is read word by word.

Vehicles named for their calling, people of the workshop who say something, things wound round a shaft, homely words of
renewing, shafts that were out for other work. Common practice of workshops, no source.
"""

import re

from wearmodel.intake.words.turns import Turn, turn

__all__ = ["STORY_TURNS"]


def _turn(*marks: str, pattern: str, instead: str) -> Turn:
    """A turn of phrase in texts as written, in whatever letters."""
    return turn(*marks, steps=[(re.compile(pattern, re.IGNORECASE), instead)])


_VEHICLES = r"(?:van|truck|trk|cab|bus|tray|ute|wagon|vehicle|veh|carrier|lorry|pick-?up|car|unit|tug|tractor)"
_STAFF = r"(?:techs?|technician|mechanic|mech|fitter|foreman|inspector|tester|examiner|charge ?hand)"
_OFFICE = (
    r"(?:boss|office|manager|supervisor|book(?:let)?|manual|standard|chart|list|check ?list|schedule|planner|programme)"
)
_STRANDS = (
    r"(?:cord|cable|rope|wire|strap(?:ping)?|string|twine|webbing|hose|shrink wrap|wrap|netting|net|tarp|chain|tape"
    r"|plastic|carpet|cloth|rag|hay|straw|vines?|fencing|lashing|strop|sacking|barbed wire)"
)
_ROUND = r"(?:(?:it|them)self |up |itself |up in |round |around |roon |about |in |on |onto |into )*"
_TAKEN = (
    r"(?:prop(?:shaft)?|(?:drive|tail|half|prop|cardan)? ?shaft|drive ?line|(?:gear|transfer)? ?box|transmission"
    r"|trans|transfer case|t-?case|engine|motor|eng|clutch|diff|axle|hub|strut|subframe|lower arm|knuckle|everything"
    r"|it all)"
)
_OUT = r"(?:off|out|down|apart|open|in bits|in pieces|on (?:the )?bench|to bits)"

_CALLINGS = (
    # `crew van, boot split`: a vehicle for crews, and nobody of a crew told anything.
    _turn("crew ", pattern=rf"\bcrew (?={_VEHICLES}s?\b)", instead=""),
    _turn(
        "tow", "recovery ", "rescue ", "wrecker",
        pattern=rf"^\W*(?:\w+ )?(?:tow(?:ing)?|recovery|rescue|breakdown|wrecker) {_VEHICLES}\b(?=,? ?[\d:,(–-])",
        instead="vehicle",
    ),
    # `Engine 4: joint worn`: its call sign.
    _turn(
        "rescue", "engine", "medic", "tender", "ladder", "brush", "fire", "crash", "pump",
        pattern=r"^\W*(?:rescue|engine|medic|tender|ladder|brush|fire|crash|pump) ?#?\d+\b",
        instead="vehicle",
    ),
    _turn(
        "forklift", "fork lift", "tree ", "fish ", "log ", "animal ", "horse", "flood ", "fod ", "bird ", "fire ",
        pattern=r"\b(?:fork ?lift|tree|fish|log|animal|horse|flood|fod|bird|fire)[ -]"
        r"(?:planter|surgeon|farm|trailer|puller|rescue|warden|patrol|sweep|walk|bin|control|van|truck|lorry|box|dept"
        r"|department|ambulance|yard|depot|shed)\w*",
        instead="vehicle",
    ),
    # `hit by reversing wagon`, `knocked in by a boulder`: what did it is no part, whatever it is called.
    _turn(
        " by ",
        pattern=r"\b(?:hit|struck|clipped|rammed|bumped|run (?:over|into)|driven (?:over|into)|backed into|smashed"
        r"|nudged|knocked (?:in|off|out|about|over)|ripped(?: off| out)?|torn off|crushed|pierced|punctured|speared"
        r"|snagged|side ?swiped|rear ?ended|gouged|dented|squashed|flattened|dragged|chained)"
        r" by (?!hand|us\b|our|fitter|mechanic|tech|shop|previous"
        r"|last|other (?:shop|garage)|apprentice|dealer|vendor|contractor)(?:(?:an?|the|some|another) )?[a-z]+",
        instead="accident damage",
    ),
    # `clicks turning into dock`: a platform for loading, and no service.
    _turn(
        "dock",
        pattern=r"\b((?:turn|pull|back|swing|com|go|revers|driv|nos|creep|crawl|manoeuvr|maneuver)ing"
        r"(?: in| up| on| out| off| away)?"
        r" ?(?:to|from|of|at|off)?) (?:the |a )?(?:dock|bay)s?(?: door| \d+)?\b",
        instead=r"\1 yard",
    ),
    # `loading dock leveller`, `backing into the bay`: where it was heard.
    _turn("dock", "bay", pattern=r"\bloading (?:dock|bay)(?: level\w+| door| ramp)?\b", instead="yard"),
    _turn(
        "backing", "reversing",
        pattern=r"\b(?:backing|reversing) in(?:to|) (?:the |a |my |his )?(?:bay|yard|dock|spot|space|shed|garage"
        r"|drive ?way|parking|slot|stand)\b",
        instead="reversing",
    ),
    _turn(
        " like a", pattern=r"\blike an? (?:nest|bag|box|sack|tin|bucket|can)(?: (?:of|o|full of)'? \w+)?",
        instead="",
    ),
    _turn(" stone", pattern=r"\b(hard|stiff|solid|tight) (?:like|as) (?:a )?stone\b|\bkm stone(?: \d+)?",
          instead=r"\1"),
    _turn("bend", pattern=r"\b(?:in|on|through|round|into|at) (?:the |every |each |tight |sharp )*bends?\b",
          instead="on turns"),
    _turn(
        " rock", pattern=r"\b(perceptible|slight|visible|noticeable|has|some|got|had|excess\w*|spline|much) rock\b",
        instead=r"\1 play",
    ),
    _turn("hit", pattern=r"\bhit(?:ting)? (?:noise|sound)s?\b", instead="knock noise"),
    _turn("rta ", pattern=r"\brta (?=passing|inspection|test|check|fitness)", instead="roadworthy "),
    _turn("bush", pattern=r"\b(rubber|bearing|cent(?:re|er)) bush(?: is| was)? damaged\b", instead=r"\1 bush worn"),
)

_TOLD = (
    # `tech says it is worn`: found in the workshop.
    _turn(
        " sa", " sed", "stat", "reckon", " recommended",
        pattern=rf"\b{_STAFF} (?:says?|said|sed|stat(?:es?|ed)|reckon(?:s|ed)?|recommended|wrote)(?: that| it)?\b",
        instead="found",
    ),
    _turn(
        " sa", " sed", "stat",
        pattern=rf"\b({_OFFICE}) (?:says?|said|sed|states?|stated)(?: that| so| to| it)?\b",
        instead=r"\1",
    ),
    _turn(
        "sa", "ok",
        pattern=r"\b(?:customer|cust|client|owner|boss) (?:said|says|sed|gave)(?: to)?:? (?:the )?"
        r"(?:go ahead|ok|okay|yes|fine|do it|do|change it|carry on)\b",
        instead="",
    ),
    _turn(
        "report", "rpt",
        pattern=r"\b(inspection|test|mot|service|vehicle test) (?:cent(?:re|er)|station|bay|lane)(?:'s)? (?:report|rpt)"
        r"(?:ed|s)?:?",
        instead=r"\1 sheet ",
    ),
    _turn("vand", pattern=r"\bvand(?:al\w*)?\.? (?:rpt|report)\b", instead="vandalism "),
    _turn("def", pattern=r"\bdef(?:ect)? (?:code|no\.?|#)(?= ?[\w:=])|\bdef(?:ect)? (?=\d{2,})", instead=""),
    # `oil seal leak`: nothing of a boot.
    _turn(
        "leak",
        pattern=r"\b(oil|seal|fuel|diesel|coolant|water|fluid|hyd\w*|box|pump|rack|air|brake|gearbox|transmission|trans"
        r"|engine|sump|gasket|hose|pipe|tank|rear main|pinion)(?: seal| oil| fluid)? leak(?:s|ing|age|ed|in')?\b",
        instead=r"\1",
    ),
    _turn(
        "too ",
        pattern=r"\btoo (?=much|tight|loose|worn|dry|far|bad|long|old|late|hard|hot|big|great|slack|stiff|thin|little)",
        instead="",
    ),
    _turn("vehicle back", pattern=r"\bvehicle back (?:at )?(?=\d)", instead=""),
    # `new axle due to popping noise`: the new one makes no noise.
    _turn(
        "new ",
        pattern=r"(?:^|(?<=[.,:/-] ))new (?=(?:[\w/-]+ ){1,8}?(?:due to|because|cause|cos|for|after|cured?|stops?"
        r"|stopped"
        r"|fix(?:es|ed)?|as)\b[^.;]*\b(?:nois\w+|vib\w*|click\w*|clunk\w*|fail\w*|fault\w*|knock\w*)\b)",
        instead="replaced ",
    ),
)

_BY_OTHERS = (
    # `rope wound round the shaft`.
    _turn(
        "wound", "wrap", "rapped", "tangl", "balled", "twist",
        pattern=rf"\b{_STRANDS}\b(?: \w+){{0,4}}? (?:(?:was|got|had|is|were) )?(?:wound|wrapp?\w*|rapped|tangl\w*"
        rf"|balled|twisted) {_ROUND}",
        instead="wire wrapped round ",
    ),
    # `dog chewed the boot`.
    _turn(
        "chew", " ate", "eat", "gnaw", " bit", "nibbl",
        pattern=r"\b(?:dogs?|cats?|rats?|mouse|mice|rodents?|marten|possum|fox|squirrels?|goats?|sheep|cows?|calf|pigs?"
        r"|badger|porcupine|animals?|critters?|vermin)(?: has| have| had| been)? ?(?:chew\w*|ate|eaten?|eats?|gnaw\w*"
        r"|bit(?:es?|ten)?|nibbl\w*)(?: at| on| through)?\b",
        instead="chewed by rats ",
    ),
)

_BY_THINGS = (
    _turn(
        "nail", "spike", "stick", "root", "branch", "rod ",
        pattern=r"\b(?:nail|spike|stick|root|branch)(?: \w+)? (?:thru|through|thro)\b",
        instead="pierced by stick",
    ),
    _turn("slash", pattern=r"\bslashed\b(?! by| on)", instead="vandalism"),
)

_RENEWING = (
    # `stuck a new one on`, `threw a joint at it`: homely words of renewing.
    _turn(
        "new", "another",
        pattern=r"\b(?:whacked|banged|slung|bunged|slapped|chucked|lobbed|popped|dropped|shoved|stuck|hammered|knocked"
        r"|threw|slid|slipped|bolted|pressed|stuffed|flung|hung|whipped|plonked|tapped|gave (?:it|her|him)|gev it)"
        r" (?:in |on )?(?:(?:a|an|the|its|up|two|both|2|some) )*(?:brand )?(?:new|another)\b",
        instead="fitted new",
    ),
    # `play at service. Joint in.`, `seized, did it`: the last word of a line.
    _turn(
        " in",
        pattern=r"(?<=[.,;:–-] )(?:(?:both|new|cross|joint|bearing|brg|boot|yoke|uj|u/j|uni|kit|spider|section)s? )?in"
        r"(?: she goes| they go)?[.!]?$",
        instead="new one in",
    ),
    _turn("did ", pattern=r"\bdid (?:it|'?em|them|'?er|both)[.!]?$", instead="done"),
    _turn("threw", pattern=r"\bthrew (?:a |an |some )((?:[\w/-]+ ){1,4})at (?:it|her|him)\b", instead=r"fitted new \1"),
)

_TOGETHER = (
    # `seeing the prop was out`, `because gearbox was down`.
    _turn(
        "as ", "since ", "when ", "while ", "seeing ", "because ", "cos ", "whilst ", "wile ", "wen ",
        pattern=rf"\b(?:as|since|when|wen|while|whilst|wile|with|seeing(?: as| that| how)?|because|cos|becos)(?: of)? "
        rf"(?:the |his |its |it's |our )?(?:whole |rear |front )?{_TAKEN} (?:was|were|is|being|had to (?:come|be)"
        rf"|has to come|all|came|already)(?: already| all| being)? {_OUT}\b(?! of (?:balance|line|true|shape))",
        instead="while shaft was out",
    ),
    _turn(
        "seeing ", "since ",
        pattern=rf"\b(?:seeing|since)(?: as| that| how)? (?:it(?:'s| is| was)?|its|they(?:'re| were)?|we had it)"
        rf"(?: all| already| was| were)* {_OUT}\b",
        instead="while shaft was out",
    ),
    _turn("in bits", "in pieces", pattern=rf"\b({_TAKEN}) (?:was|is|were|being) (?:all |already )?in (?:bits|pieces)\b",
          instead=r"\1 was apart"),
    _turn(" passing", pattern=r"\b(renewed|replaced|changed|fitted|done|swapped) in passing\b",
          instead=r"\1 at same time"),
)

_OTHER_WORK = (
    r"(?:diff\w*|rear axle|pinion|crown wheel|clutch|gear ?box|box|trans|transmission|hub|wheel|ball joint|king ?pins?"
    r"|swivel|steering (?:box|rack)|axle|shaft|lower arm|strut|subframe|engine|motor|eng|exhaust|tie rod|knuckle"
    r"|tail ?housing|retarder|transfer(?: case)?|t-?case|oil)"
)
_WITH_OTHERS = (
    # `renewed with the gearbox seal job`, `upon diff replacement`.
    _turn(
        "with ", "w/", "upon ", "during ", "at ", "accompany ",
        pattern=rf"\b(?:with|w/|upon|during|at|accompany\w*) ?(?:the |a |new )?{_OTHER_WORK}(?: (?:oil|seal|bearing"
        r"|mount|housing|bush|kit|joint))* (?:job|swap|change|overhaul|o/?h|replacement|rebuild|repair|r&r|r\.?o\.?"
        r"|renewal|exchange|drop)s?\b",
        instead="while shaft was out",
    ),
    _turn(
        "same ", "along", "sake", "package",
        pattern=r"\bin (?:the )?same op(?:eration)?\b|\bduring (?:the )?same (?:work|job)\b"
        r"|(?<=replaced )along(?=[.,;]|$)|(?<=renewed )along(?=[.,;]|$)|(?<=changed )along(?=[.,;]|$)"
        r"|(?<=then )taken along\b"
        r"|\bfor (?:the )?sake of (?:\w+ )?(?:minutes|hour|labour|bolts)\b|\bsame shaft (?:opened|stripped|apart)\b",
        instead="at same time",
    ),
)

_BY_PLAN = (
    # `500 hr kit`, `60k package`, `2000h change`: by the distance or the time.
    _turn(
        "kit", "package", "change", "replacement",
        pattern=r"\b\d[\d,.]* ?(?:hr|hrs|h|hours?|kms?|miles?|weeks?|wks?|months?|years?|yrs?|k|k ?kms?|k miles?)[ -]"
        r"(?:(?:u|uj|cross|boot|joint|service|engine|scheduled) )?(?:kits?|packages?|change ?out|change|replacement)\b",
        instead="interval replacement",
    ),
    _turn(
        " tsb", "circular", "bulletin", "camp ", "mod ", "modification",
        pattern=r"\b(?:as )?per (?:depot |ho |head office |service |technical |factory )*(?:tsb|circular|bulletin"
        r"|instruction)\b(?: no)?(?: [\d/]+\w?)?|\bcamp(?:aign)? [\d/]+(?: (?:closed|done|complete\w*))?"
        r"|\bmod(?:ification)? (?:instr\w* )?\d[\w/-]*(?: embodied)?",
        instead="campaign",
    ),
    # `changed per checklist`, `whether it needed it or not`.
    _turn(
        " per ", "as in", "as table",
        pattern=r"\b(?:as )?per (?:the |our |their |oem |pm |maker'?s |fleet |client |service )*(?:check ?list|schedule"
        r"|programme|program|plan|contract|policy|circular|matrix|chart|book(?:let)?|manual|interval)\b",
        instead="as scheduled",
    ),
    _turn(
        " chart", " list",
        pattern=r"\b(?:as|cos|because|since) (?:it'?s|they'?re|it was|they were|is|was) on (?:the |our )?"
        r"(?:wall ?|fleet |[\d,]+k? ?(?:km|mile|hr|hour)? ?)*(?:chart|list|planner|programme|schedule)\b",
        instead="as scheduled",
    ),
    _turn(
        "whether ",
        pattern=r"\bwhether (?:it |they |them |needs? |needed |needin\w* |is |was |are |were |bad |worn |due |it's )*"
        r"or no(?:t|o)?\b",
        instead="as scheduled",
    ),
    _turn("regardless", pattern=r"\bregardless(?: of (?:condition|state|wear))?\b", instead="as scheduled"),
)

STORY_TURNS: tuple[Turn, ...] = (
    *_CALLINGS, *_TOLD, *_BY_OTHERS, *_BY_THINGS, *_RENEWING, *_TOGETHER, *_WITH_OTHERS, *_BY_PLAN,
)  # fmt: skip
"""In the order they are put."""
