"""Turns of phrase that are put in other words before a text is read word by word.

They hold figures, single letters or words that are passed over later, so that no phrase of the lexicon can tell them.
Common practice of workshops, no source.
"""

import re

from wearmodel.intake.words.dialect_turns import DIALECT_TURNS
from wearmodel.intake.words.job_card_forms import numbered_with_brackets
from wearmodel.intake.words.story_turns import STORY_TURNS
from wearmodel.intake.words.turns import Turn, turn

__all__ = ["rewritten"]

_COUNT = r"(?:\d{1,3}|an?|one|two|three|four|five|six|ten|a few|few|(?:a )?couple of|some)"
_SPAN = rf"(?:{_COUNT} (?:days?|weeks?|wks?)|(?:[1-6]|an?|one|two|three|few|a few|couple of) (?:months?|mths?))"


def _turn(*marks: str, pattern: str, instead: str) -> Turn:
    """A turn of phrase in texts as written, in whatever letters."""
    return turn(*marks, steps=[(re.compile(pattern, re.IGNORECASE), instead)])


_TURNS = (
    *DIALECT_TURNS,
    *STORY_TURNS,
    # `front dr shaft`: the driver has no shaft.
    _turn(
        "dr s", "dr. s", "drv s", "drv. s", "dr l", "drv l",
        pattern=r"\b(?:dr|drv|drvg)\.? ?(?=(?:sha?ft|sft|line)s?\b)", instead="drive ",
    ),
    # `bearing - driveshaft, rear`: a parts list names the shaft first, then which.
    _turn(
        "(dr", "(prop",
        pattern=r"\((?:the )?(drive ?shaft|drive ?line|prop ?shaft), (front|rear)\)",
        instead=r"(\2 \1)",
    ),
    # `came apart mid-shift`: no middle of anything.
    _turn(
        "mid",
        pattern=r"\bmid[- ]?(?:shift|route|run|trip|job|journey|haul|load|tour|delivery|round|harvest|race|stage)\b",
        instead=" in use ",
    ),
    # `6 mo check`
    _turn(
        " mo ", "-mo ", "mth", "month", "wk", "week", "day",
        pattern=r"\b(?:\d{1,3}|two|three|four|six|eight|ten|twelve|ninety|thirty|sixty)[- ]?(?:mos?|mths?"
            r"|months?|wks?|weeks?|days?)"
        r"\.?(?:ly)?[- ](?=(?:safety )?(?:check|chk|insp|look|exam))",
        instead="periodic ",
    ),
    # `schedule R&R rear joint`: as the first word of a sentence it tells of work to come.
    _turn(
        "schedule ",
        pattern=r"(?:^|(?<=[;.,/-] ))(?:re)?schedule (?=(?:to )?(?:r ?& ?r|r/r|replace |change |install |renew ))",
        instead="later ",
    ),
    # `clamp we put on came loose`: our own work.
    _turn(
        "we ",
        pattern=r"\bwe (?:had )?(?:just )?(?:put (?:in|on)|fitted|installed|did|replaced|changed|renewed)"
        r"(?: it| them)? (?=(?:came|failed|last|fell|slipped|let|broke|was|had|before|previously|earlier|not|never"
        r"|too)\b)",
        instead="fitted by us ",
    ),
    # `hose replaced, leak; renew boot`: work after a semicolon, where other work stands before it, begins anew.
    _turn(
        "; ",
        pattern=r"(?<=[a-z0-9)])(?<!;); (?=(?:r ?& ?r|r/r|renew|replace|install|fit|put in|change|chg|swap|grease|check"
        r"|svc|order|shoot|look over|schedule|later)\b)",
        instead=". ",
    ),
    # `found worn, R & R. Rear joint greased`
    _turn("r & r", "r and r", pattern=r"\br ?(?:&|\+|and) ?r\b", instead="R&R"),
    # `joint (front flange)`: where the joint is, and no flange.
    _turn("flange)", pattern=r"\((front|rear|cent(?:re|er)) flange\)", instead=r"(\1)"),
    # `d. & r. joint for gearbox job`: dismantled and refitted.
    _turn("& r", "&r", "+ r", "and r", pattern=r"\bd\.? ?(?:&|\+|and) ?r\b\.?", instead=" removed and refitted "),
    # `s. & f. new boot`: single letters that only together are words.
    _turn("&", "+", " and ", pattern=r"\bs\.? ?(?:&|\+|and) ?f\b\.?", instead=" supplied and fitted "),
    # `renewed w/ boot`: the stroke is part of the word and divides nothing.
    _turn("w/ ", pattern=r"\bw/(?=\s)", instead="with"),
    # `he's right`: no side.
    _turn(
        "right",
        pattern=r"\b(?:he|she|they|customer|driver|operator|boss|tester)(?:'s|'re| is| was| are| were) "
        r"(?:dead |quite )?right(?=[.,;:!?]| about| and |$)",
        instead="",
    ),
    # `did the boot` is work, `did squeak` is not.
    _turn(
        "did ",
        pattern=r"\bdid (?=(?:ds|ps|d/s|p/s|rf|lf|r/f|l/f|rt|lt|lr|rr|otr|inr|outbd|inbd|ob|ib|bt|fr|frt|ctr|nsf"
            r"|osf|nsr|osr|ns|os|o/er|i/er"
        r"|univ|top|bottom|lower|upper|curb|kerb|street|off|near|offside|nearside|lhs|rhs|the|both|all|a|its|it's|new|other|that|those|these|[on]/?s|[lr]/?h|left|right|uj|cv|"
        r"it too|u-?joint|u/j|joint|boots?|inner|outer|inside|outside|rear|front|cent(?:er|re)|carrier|hanger"
        r"|slip|steering|prop|"
        r"prop ?shaft|drive ?shaft|drive ?line|universal|uni|support|wheel|diff|bearing|axle|near|off|driver"
        r"|passenger)s?\b)",
        instead="done ",
    ),
    # `boot (driver's) split`
    _turn("(driver", "(pass", pattern=r"\((driver|passenger|pass)(?:'?s)?\)", instead=r" \1 side "),
    _turn(
        "r's",
        pattern=r"(?<=[,-] )(driver|passenger)'s(?= ?(?:[.,;/]|$|repl|renew|chang|fit|worn|split|torn|burst"
            r"|let go|gone|bent|play|"
        r"failed|broken|seized|loose|perished|cracked|done|new))",
        instead=r"\1 side",
    ),
    # `R/side b/down`, `s/f at r/side`: no right side.
    _turn(
        "r/side",
        pattern=r"\br/?side (?=b/?d|break|repair|rep\b|call|assist|attend|recov)", instead="roadside ",
    ),
    _turn(
        "r/side",
        pattern=r"\b(s/f|attended|stuck|stranded|stopped|broken? down|recovered|called out)( at| on| by| to| from)? "
        r"r/side\b",
        instead=r"\1\2 roadside",
    ),
    # `Cleaned up & RT`: road tested, and no right side.
    _turn(
        " rt",
        pattern=r"(?:(?<=[.;/] )|(?<=[.;/,] [&+] )|(?<=[a-z]{3} and )|(?<=[a-z] up & )|(?<=[a-z]{4} & ))rt"
        r"(?=[ ,]*(?:ok|okay|good|fine|no (?:other|noise|vib|issue|prob|concern)|& ver|and ver|verif|passed"
        r"|after|[./;]|$))|(?<=, )rt(?=,? (?:ok|good)\b)",
        instead="road test",
    ),
    # `jerk while changing gear`: nothing was changed.
    _turn(
        "changing gear", "changing up", "changing down", "shifting gear", "changing direction",
        "change gear", "changes gear",
        pattern=r"\b(?:while |when |on |during |after )?(?:changing|shifting|changes?) (?:gears?|up|down|direction)\b",
        instead="on shift",
    ),
    # `joint they fitted has failed`: another workshop's work.
    _turn(
        "they ",
        pattern=r"\bthey (?:had |have |just |only )*(?:fitted|put (?:in|on)|replaced|changed|installed|supplied"
            r"|did|used)\b",
        instead="fitted by them",
    ),
    # `Activity: replace. Item: joint`: a form that names the work before the part.
    _turn(
        ": repl", ": renew", ": chang", ": exch", ": fit", ": install", ": swap",
        pattern=r"\b(?:activity|action|work|task|operation|job|repair)(?: type| code| done| performed)?: ?"
        r"(replac\w*|repl|renew\w*|chang\w*|exch\w*|fit\w*|install\w*|swap\w*)[.,;] ?(?:item|part|component|unit"
        r"|object)s?(?: name)?: ?",
        instead=r"\1 ",
    ),
    _turn(
        ": no", ": nil", ": n/a", ": -",
        pattern=r"\b(?:remarks?|comments?|notes?|other|further work|follow[- ]?up|extras?"
            r"|observations?): ?(?:none|nil|no|n/a|-)\b",
        instead="",
    ),
    # `install new joint when it comes in`
    _turn(
        "when ",
        pattern=r"\b(?:install|fit|replace|renew|change|swap|r ?& ?r|do|put in)\b (?=[^.;/]{3,90}?\bwhen "
        r"(?:it|they|the|new|parts?|kits?|stock|one|these|\w+ part)\b[^.;/]{0,20}\b(?:comes?|arrives?|lands?|here"
        r"|in|available|delivered|shows?)\b)",
        instead="to be replaced ",
    ),
    # `left the crew stranded`: no left side.
    _turn(
        "left ",
        pattern=r"\bleft (?:(?:the|a|our|my|his|her) )?(?:crew|vehicle|van|truck|bus|wagon|lorry|ute|car"
            r"|passengers|customer"
        r"|client|operator|him|her|me|us|them|it|stranded|standing|sitting|driver(?= (?:strand|stuck|at|on|by"
        r"|beside|wait|in))"
        r"|unit|stuck|immobile|blocking)\b",
        instead="",
    ),
    # `renewed before next hire`: when it went out again is no work put off.
    _turn(
        "before ", " prior to ",
        pattern=r"\b(replaced|renewed|fitted|changed|swapped|installed|rnwd|rpl|repl|repld|exchanged|done"
            r"|new (?:one|part|item)s? (?:in|on"
        r"|fitted)),? (?:and \w+ )?(?:before|prior to) (?:the |its |her |it |was |being )*(?:next|return\w*|going"
        r"|goes|went|release"
        r"|released|leaving|left|dispatch|despatch|hand\w*|going|sent|issue|re-?issue)\b(?:(?! [2-9]\))[^.;/])*",
        instead=r"\1",
    ),
    # `1C noise / 2C joint worn / 3C renewed`: the columns of complaint, cause and correction.
    _turn("c ", pattern=r"(?:^|(?<=[/.;] )|(?<=\d\) ))[1-4]c:? (?=\S)", instead=". "),
    # `off/on for access, same one`
    _turn("off/on", "on/off", pattern=r"\b(?:off/on|on/off)\b(?! (?:power|throttle|load|gas|accel|the))",
        instead="off and on"),
    # `outer d/s boot`: between the end and the boot it is the shaft, not the driver's side.
    _turn(
        "d/s", "ds ",
        pattern=r"\b(outer|inner|o/er|i/er|inr|otr|outboard|inboard|wheel end|diff end|hub end|[no]/?s(?:/?f)?"
            r"|[lr]/?h|near ?side|off ?side"
        r"|left|right) d/?s (?=(?:boot|bt|gaiter|gtr|joint|jt|jnt|cv|bellow|compl|assy|assembl|shaft)\w*)",
        instead=r"\1 driveshaft ",
    ),
    _turn(
        "d/s compl", "d/s assy", "d/s ass", "exch d/s", "recon d/s", "ds compl",
        pattern=r"\bd/?s (?=(?:compl|assy|assembl)\w*)|(?<=exch )d/?s\b|(?<=recon )d/?s\b",
        instead="driveshaft ",
    ),
    # `joint - drivers`, `strike drivers: hub end boot`: a seat named for its side.
    _turn(
        " driver", " pass",
        pattern=r"(?<=[-(,] )(?:drivers|driver's|driver)(?=(?: \+| and| &| c/w| with|[:,;)]|\.(?! ?side)|$| rpl"
            r"| repl| rnwd"
            r"| renew| gone| broke"
        r"| goosed| knackered| worn| split| torn| failed| seized| u/s| done))|\b(?:drivers|driver's)(?=: )",
        instead="driver side",
    ),
    _turn(
        " pass",
        pattern=r"(?<=[-(,] )(?:passengers|passenger's|pass)(?=(?: \+| and| &| c/w| with|[:,;)]|\.(?! ?side)|$"
            r"| rpl| repl"
            r"| rnwd| renew| gone| broke"
        r"| goosed| knackered| worn| split| torn| failed| seized| u/s| done))|\b(?:passengers|passenger's)(?=: )",
        instead="passenger side",
    ),
    # `refused on inner boot, wear`: an examiner's word, not a customer's.
    _turn(
        "refus",
        pattern=r"(?<!customer )(?<!owner )(?<!client )(?<!driver )(?<!they )\brefus(?:ed|al|es) (?:on|for|due to"
            r"|because of|over)\b",
        instead=" failed inspection on ",
    ),
    # `recovery agent dragged it out and wrecked the joint`: others did the harm.
    _turn(
        "recover", "tow", "vandal", "thie", "hirer", "loader", "tractor", "contractor", "third party", "another ",
        pattern=r"\b((?:(?:recover\w*|tow(?:ing)?|salvage|breakdown|removal|hire|ferry|rail|haulage) (?:agents?"
            r"|compan(?:y|ies)|crew|trucks?"
        r"|firms?|contractors?|m[ae]n|people|boys|lads|operators?|drivers?|guys?|outfit|mob)|vandals?|thie(?:f|ves)|yobs|kids|youths|hirer|towie|towies"
        r"|loader|tractor|contractors?|third party|another (?:driver|vehicle|truck))\b"
        r"[^.;/]{0,60}?\b)(?:wrecked|damaged|broke|tore|bent|smashed|split|cut|ripped|slashed|ruined|destroyed"
        r"|crushed|busted|snapped)(?: up| off)? "
        r"(?=(?:the |its |a |our |both |her )*\w)",
        instead=r"\1 damage by . ",
    ),
    # `destroyed the boot removing the part beside it`
    _turn(
        "moving", "mantling", "racting", "ressing", "ripping", "tting",
        pattern=r"\b(wreck|damag|destroy|ruin|spoil|spoilt|broke|tore|split|ripp|snapp|smash|mangle|nick|pierc"
            r"|punctur)(\w*) ([^.;]{3,60}?) "
        r"(?:when |while |whilst |in |on |during )?(?:removing|dismantling|extracting|pressing|stripping"
        r"|separating|parting|drifting|splitting|fitting|refitting)\b"
        r"(?= (?:the |a |other |old |adj|neigh|main|part|joint|shaft|hub|it|out))",
        instead=r"\1\2 \3 on removal .",
    ),
    # `body vibration`: what shakes is no part that was worked on.
    _turn(
        " vib", " shak", " shud", " jud", " shiv", " trem",
        pattern=r"\b(?:under ?body|body|cabin|cab|floor|chassis|seat|dash(?:board)?|mirrors?|pedals?|vehicle|bonnet)"
        r"(?:'s)? (?:floor )?(?=vibrat|shak|shudder|judder|shiver|trembl)",
        instead="",
    ),
    # `on checking joint found defective`: how it was found, and no work.
    _turn(
        "hecking ", "nspecting ", "pening ", "mantling ", "tripping ",
        pattern=r"\b(?:up)?(?:on|after) (?:checking|inspecting|opening|dismantling|stripping)(?: of| up"
            r"| the vehicle| vehicle)?,? "
        r"(?=[^.]{2,80}\bfound\b|we )",
        instead="",
    ),
    # `CV boot issued and fixed`: a part drawn from stores.
    _turn(
        "issued",
        pattern=r"\bissued (?=.{0,40}\b(?:fix|fit|install|replac|renew|chang))",
        instead="supplied ",
    ),
    # `open item: R&R boot`: the word `item` is passed over.
    _turn(
        " item",
        pattern=r"\b(?:open|pending|carry[- ]?over|follow[- ]?up|snag|to[- ]?do|deferred|outstanding|backlog)(?:ed)? "
        r"(?:items?|list)(?= ?[:,\-])",
        instead="outstanding ",
    ),
    # `other job, worn on check`: a record of its own.
    _turn(
        "other ", "separate ", "second ", "next j", "unrelated ",
        pattern=r"(?<=[.;,/&-] )(?:(?:and|also|then) )?(?:the )?(?:other|separate|second|another|next|different"
            r"|2nd|unrelated) "
        r"(?:job|item|defect|complaint|repair|issue|fault)(?: was)? ?[,:;-]",
        instead="// ",
    ),
    # `failed 2 weeks after we fitted it`
    _turn(
        "after ", "since ",
        pattern=rf"\b(?:only |just |barely |about )*{_SPAN} (?:after|since|from) (?:we |our |last |being "
            rf"|it was |the |being )*"
        r"(?:fitted|fitting|fitment|replaced|replacement|install\w*|repair\w*|renew\w*|change\w*|did it"
        r"|we did it|job)\b",
        instead=" after our repair ",
    ),
    # `wrecked the joint getting the other part out`: it broke while other work was done.
    _turn(
        "etting ", "aking ", "ulling ", "moving ", "ressing ",
        pattern=r"\b(wreck|damag|destroy|ruin|spoil|broke|tore|split|cut|ripp|snapp|smash|buggere|stuff|mangle"
            r"|bent)(\w*) (.{3,60}?)"
        r"(?:when |while |whilst |in )?(?:getting|taking|pulling|pressing|prising|knocking|levering|removing"
        r"|stripping|cutting"
        r"|drifting|driving) (?:[a-z]+ ){0,4}?(?:off|out|apart|free|down)\b(?! of)",
        instead=r"\1\2 \3 on removal",
    ),
    # `bolts had worked loose, did them up again`
    _turn(
        " up",
        pattern=r"\b(?:did|done|do|doing|nipped|pulled|wound) (?:it|them|those|these|the bolts|bolts"
            r"|all)? ?(?:back )?up(?: again| tight)?\b",
        instead="tightened",
    ),
    # `found changeover CV shaft gone, new fitted`: how a whole shaft is sold.
    _turn(
        "changeover ", "change-over ",
        pattern=r"\bchange[- ]?over (?=(?:(?:cv|drive|half|axle) ?(?:axle |drive )?shaft|driveshaft|halfshaft"
            r"|cv axle)\b"
        r".*\b(?:fitted|new|replaced|renewed|repl|in)\b)",
        instead="complete ",
    ),
    # `hit u-joint with grease gun`
    _turn(
        "gun",
        pattern=r"\b(?:hit|shot|gave|give|did) (.{3,60}?) (?:w/|with|using) (?:a |the )?(?:grease|lube) ?gun\b",
        instead=r"greased \1",
    ),
    # `every 60 000 km`, `at the 100k`, `100k item`: the figure is of a plan.
    _turn(
        "every ", "each ",
        pattern=r"\b(?:every|each) \d[\d ,.]{1,9} ?(?:k|kms?|miles?|mi|hrs?|hours?)\b", instead=" every km ",
    ),
    _turn("at the ", pattern=r"\bat the \d[\d ,.]{0,8} ?k(?:ms?)?\b", instead=" at interval "),
    _turn(
        "k ", "km ", "kms ",
        pattern=r"\b\d[\d.,]{1,8} ?k(?:ms?)? (?=item|task|job|interval|change|replace|renew)", instead=" interval ",
    ),
    # `2 lakh km`: a number.
    _turn("lakh", pattern=r"\b\d[\d.,]* ?lakhs?\b", instead=""),
    # `fitted 3 weeks ago`, `only lasted ten days`, `third one this month`: a repair that did not hold.
    _turn(
        " ago", " back", " before", " earlier", " pr",
        pattern=r"\b(fitted|replaced|renewed|changed|done|installed|repaired|put in|fixed|repl\.?|inst\.?"
            r"|instld|rplcd|r ?[&/] ?r(?:'?d)?)"
        rf"(?: (?:only|just|about|barely|some|under|less than))* {_SPAN} "
        r"(?:ago|back|before|earlier|previous|previously|prior)\b",
        instead=r" \1 last week ",
    ),
    _turn(
        "lasted",
        pattern=r"\b(?:only )?lasted (?:only |just |about |barely |for |less than |under )*"
        rf"{_COUNT} (?:days?|weeks?|months?|hours?|trips?)\b",
        instead=" not lasted ",
    ),
    _turn(
        " in ", "this", "within", "since",
        pattern=r"\b(?:second|third|fourth|2nd|3rd|4th) (?=(?:[a-z/]+ ){1,4}(?:in|within|this|since) "
        rf"(?:the |last |past |under )*(?:{_COUNT} )?(?:days|weeks?|wks|months?|mths)\b)",
        instead=" repeat ",
    ),
    # `destroyed getting the joint off`: it broke while other work was done.
    _turn(
        "ing ",
        pattern=r"\b(damaged?|destroyed|broken|broke|torn|tore|split|ruined|spoilt|wrecked|cut|ripped|snapped)"
        r"(?: when| while| whilst| in| on| by| during)? "
        r"(?:getting|taking|pulling|pressing|prising|knocking|levering|removing)"
        r" (?:[a-z]+ ){0,4}?(?:off|out|apart)\b(?! of)",
        instead=r"\1 on removal",
    ),
    # `came in the kit with the bearing`: the word itself is passed over, what it tells is not.
    _turn(
        " kit",
        pattern=r"\b(?:(?:came|comes|come|supplied|included|incl|new|was|is|were|are|as part) )?(?:in|of) "
        r"(?:the |a |same )*kit\b",
        instead=" came with it ",
    ),
)  # fmt: skip

# Letters that several marks share: a text without them holds none of those marks.
_SHARED = (
    "dr", "ng", "th", "te", "si", "nd ", "mo ", "(p", "km", "id", "we", "ch", " sh", " 2", ": ", " pr",
    "/o", "d/s", "ds ", " pass", "tow", "ract", "wash",
)  # fmt: skip


def _gated() -> tuple[tuple[str, tuple[tuple[str, int], ...]], ...]:
    """Shared letters, or a mark of its own, with the marks that hold them and the numbers of their turns."""
    found: dict[str, list[tuple[str, int]]] = {}
    for number, one in enumerate(_TURNS):
        for mark in one.marks:
            gate = next((letters for letters in _SHARED if letters in mark), mark)
            found.setdefault(gate, []).append((mark, number))
    return tuple((gate, tuple(marks)) for gate, marks in found.items())


_GATED = _gated()


def rewritten(text: str) -> str:
    """The text with such turns of phrase in plain words.

    Parameters
    ----------
    text : str
        As written.

    Returns
    -------
    str
        In the same letters where nothing was found.

    Examples
    --------
    >>> rewritten("LH boot replaced, only fitted 3 weeks ago")
    'LH boot replaced, only  fitted last week '
    """
    text = numbered_with_brackets(text)
    folded = text.casefold()
    # A million different texts come by here: most hold no mark at all.
    numbers = [number for gate, marks in _GATED if gate in folded for mark, number in marks if mark in folded]
    for number in sorted(set(numbers)) if numbers else ():
        text = _TURNS[number].put(text)
    return text
