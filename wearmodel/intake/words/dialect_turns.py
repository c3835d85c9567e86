"""Turns of phrase of workshops far apart, put in other words before a text is read word by word.

Names of parts as dictation or another tongue leaves them, papers that refuse a vehicle, work said without the word for
it. Common practice of workshops, no source.
"""

import re

from wearmodel.intake.words.turns import Turn, turn

__all__ = ["DIALECT_TURNS"]


def _turn(*marks: str, pattern: str, instead: str, beside: tuple[str, ...] = ()) -> Turn:
    """A turn of phrase in texts as written, in whatever letters."""
    return turn(*marks, steps=[(re.compile(pattern, re.IGNORECASE), instead)], beside=beside)


_END = r"(?:in(?:ner|side|board)|out(?:er|side|board))"
_SIDE = r"(?:left|right|l/?h/?f?|r/?h/?f?|lf|rf|n/?s/?f?|o/?s/?f?|driver'?s?|passenger'?s?|near ?side|off ?side)"
_COLUMN = r"(?:steer\w*|strg|stg) (?:col\w*|shaft|shft|stem|spindle)"

_NAMES = (
    # `you joint`, `hang her bearing`: as a dictation hears them.
    _turn("you joint", "you jt", pattern=r"\byou (?=(?:joint|jt)s?\b)", instead="u-"),
    _turn("hangar b", "hang her b", pattern=r"\bhang(?:ar| her) (?=bearing|brg|bracket)", instead="hanger "),
    _turn("half sh", pattern=r"\bhalf shift(?=s?\b)", instead="half shaft"),
    _turn("ax el", pattern=r"\bax els?\b", instead="axle"),
    _turn("slip", "slid", pattern=r"\b(?:slip|slid|slide|sliding|slipp) (?:y[ko]|yolk|yoak|yok|yoke|fork)s?\b",
          instead="slip yoke"),
    _turn("slip", "slid", pattern=r"\b(?:slip|sliding) (?:portion|element)\b", instead="slip joint"),
    _turn(
        " u ", " u,", " u.",
        pattern=r"\b(rear|front|pinion|output|centre|center|transfer|diff) u(?=[,.;:]| (?:new|turns|repl\w*|renew\w*"
        r"|chang\w*|worn|shot|dry|seized|loose|done|out|in|was|is|has|had|bad|and|w/)\b)",
        instead=r"\1 u-joint",
    ),
    _turn("x-joint", "xjoint", "x joint", "x-jt", pattern=r"\bx[- ]?(?=(?:joint|jt)s?\b)", instead="u-"),
    # `knuckle on steer column`, `column top knuckle`: the joint of the column, and no steering knuckle.
    _turn(
        "knuckle",
        pattern=rf"\bknuckle(?: joint| piece| cross| coupl\w+)? (?:on |of |at |in )?(?:the )?(?={_COLUMN}\b)",
        instead="joint of ",
    ),
    _turn(
        "knuckle",
        pattern=r"\b((?:col\w*|steer\w* (?:shaft|col\w*))) (top|upper|lower|bottom|inter\w*) knuckle\b",
        instead=r"\2 steering column joint",
    ),
    _turn(
        "knuckle", pattern=r"\b(top|upper|lower|bottom) (?:steer\w*|strg|stg) knuckle\b",
        instead=r"\1 steering column joint",
    ),
    # `joint of the direction`: the steering, as French and Spanish have it.
    _turn(
        "direction",
        pattern=r"\b(joint|universal|cross\w*(?: ?piece)?|column|shaft|bar|cardan|coupling|uj)s? "
        r"(?:of |in )?(?:the )?direction\b",
        instead=r"steering \1",
    ),
    _turn("direction", pattern=r"\bdirection (?=column|shaft|joint|bar|cardan|universal|cross)", instead="steering "),
    # `dust cover of the outer joint`, `axle inside rubber`, `cv bot`.
    _turn(
        " of ",
        pattern=rf"\b(?:dust |rubber )+(?:cover|cap|sleeve|protector)s? of (?:the )?({_END})? ?(?:cv )?joint\b",
        instead=r"\1 cv boot",
    ),
    _turn("rubber", pattern=rf"\b(?:drive |half )?(?:axle|shaft) ({_END}) rubbers?\b", instead=r"\1 cv boot"),
    _turn("cv b", pattern=r"\bcv (?:bot|bute|boat|bout|bote)s?\b", instead="cv boot"),
    # `axle cover torn`, `inner jacket`: the boot of a half shaft.
    _turn(
        "cover", "jacket", "sleeve",
        pattern=rf"\b((?:{_SIDE} )?(?:{_END}|axle|half ?shaft|drive ?shaft|cv)(?: {_SIDE})?) "
        r"(?:dust |rubber )?(?:cover|jacket|sleeve)s?\b(?! (?:plate|bolt|nut|gasket|yoke|bearing|spring))"
        r"(?=[^.;]{0,40}\b(?:torn|tear\w*|tore|split|burst|rip\w*|crack\w*|cut|perish\w*|greas\w+|leak\w*|bite|bitten"
        r"|hole\w*|open|porous|brittle)\b)",
        instead=r"\1 cv boot",
    ),
    _turn("jacket", pattern=rf"\b({_END}|axle|cv)(?: axle| cv)? jackets?\b", instead=r"\1 cv boot"),
    _turn(
        "cover", "sleeve",
        pattern=rf"(?<!dust )\b(?:cover|sleeve)s? (?=(?:{_SIDE} )?{_END}\b)"
        r"(?!.*\b(?:slip|slid\w*|spline\w*|telesc\w*|muff|panel|mirror|door|seat)\b)",
        instead="cv boot ",
    ),
    _turn("rubber ", pattern=rf"\brubbers? (?=(?:of the |of |on the )?(?:{_SIDE} )?{_END}\b)", instead="cv rubber "),
    _turn("dust guard", pattern=rf"\bdust guards?\b(?=.*\b(?:{_END}|axle|shaft|palier|box)\b)", instead="cv boot"),
    # `outer head clicking`: of a half shaft.
    _turn(
        "head",
        pattern=rf"\b({_END}) (?:both )?heads?\b(?! (?:light|lamp|gasket|bolt))",
        instead=r"\1 cv joint",
    ),
    _turn("hoe", pattern=rf"\bhoe(?:s|zen) (?=(?:of |on )?(?:{_SIDE} )?{_END}\b)", instead="cv boot "),
    _turn("hoe", pattern=rf"\b({_END}) hoe(?:s|zen)\b", instead=r"\1 cv boot"),
    # `support of the transmission tree`: of the propeller shaft, as several tongues name a shaft.
    _turn(" tree", pattern=r"\b(?:transmission|propeller|drive|cardan) trees?\b", instead="prop shaft"),
    _turn(" tree", pattern=r"\bsupport of (?:the )?tree\b|\btree support\b", instead="prop shaft support"),
    # `c/b renewed, prop shaft vibrates`: beside a driveline's words no circuit breaker.
    _turn(
        "c/b", "c.b",
        pattern=r"\bc[./]b\b\.?(?=.*\b(?:prop|shaft|shft|u/?j|joint|rubber|hanger|clutch|tail ?shaft|drive ?line)\w*)"
        r"|(?<=prop )c[./]b\b\.?|(?<=shaft )c[./]b\b\.?",
        instead="centre bearing",
    ),
)

_PAPERS = (
    # `tester refused, cleared`: it did not pass.
    _turn(
        "refus",
        pattern=r"\b(tester|examiner|inspector|mot|checker|test|inspection|ministry|station|vosa|dot|tuv|rto)(?: man)? "
        r"refused(?: it| her| vehicle)?\b",
        instead=r"\1 rejected",
    ),
    _turn("refus", pattern=r"\b(?:refused|rejected) by (?:the )?(checker|tester|examiner|inspector|mot|test)\b",
          instead=r"rejected at \1"),
    # `driver refused the van`: it could not be driven.
    _turn(
        "refus",
        pattern=r"\b(?:driver|drv|drvr|operator|crew|op) refused (?:to (?:drive|take)|the|van|bus|truck|vehicle|it"
        r"|unit|wagon)\b(?: \w+)?",
        instead="driver reported fault",
    ),
    # `refuse lorry`: it collects refuse and refuses nothing.
    _turn("refuse", pattern=r"\brefuse (?=\d|truck|lorry|wagon|vehicle|veh\b|collect|cart|rear|body|fleet|tender|unit"
          r"|packer|compactor|side)|^refuse:? ", instead="vehicle "),
    # `accident est 5501`: the number of a paper.
    _turn(" est", pattern=r"\best(?:imate|\.)? ?(?:#|no\.?)? ?\d{2,}\b", instead=""),
    _turn("believe", "if you", pattern=r"\b(?:believe it or not|would you believe(?: it)?|if you please)\b",
          instead=""),
)

_WORK = (
    # `a second-hand one dropped in`, `S/hand section in`: a part off another vehicle is a renewal too.
    _turn(
        "hand ", "hand", "used", "recon", "reman",
        pattern=r"\b(?:second|2nd|s/)[ -]?hand (?:one |unit |part |item |section |shaft |joint |yoke )?"
        r"(?:dropped |put |fitted |went |slotted |bolted )?in\b",
        instead="new one in",
    ),
    # `boot split and greasing the exhaust`: what it did, and no work.
    _turn(
        "greasing",
        pattern=r"\bgreasing (?:up |all over )?(?:the |its |my )?(?=exhaust|floor|tyre|tire|wheel|rim|disc|brake"
        r"|underside|inner arch|arch|spring|strut|road|drive ?way|yard|everything)",
        instead="grease thrown on ",
    ),
    # `went to grease it, won't take`: no grease went in.
    _turn(
        "grease",
        pattern=r"\bwent (?:to|tae) (?:grease|lube) (?:the |it\b)?",
        instead="on lubrication check ",
    ),
    _turn(
        "grease", "lube", "take",
        pattern=r"\b(?:will not|won'?t|winnae|wouldn'?t|did not|didn'?t|refuses? to) take (?:any |the )?"
        r"(?:grease|lube)\b",
        instead="dry",
    ),
)

DIALECT_TURNS: tuple[Turn, ...] = (*_NAMES, *_PAPERS, *_WORK)
"""In the order they are put."""
