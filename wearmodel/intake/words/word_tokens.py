"""Repair lines brought to words in one form: abbreviations written out, slips mended, words without meaning dropped.

What is left of a line is short, and many lines come to the same: it is what readings are kept by.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from unicodedata import combining, normalize

from wearmodel.intake.words.job_card_forms import JOB_CARD_WORDS, in_plain_form
from wearmodel.intake.words.labour_names import in_spoken_order
from wearmodel.intake.words.phrase_lists import words_of
from wearmodel.intake.words.prose_order import PROSE_WORDS, in_prose_order
from wearmodel.intake.words.slip_words import MENDED_WORDS
from wearmodel.intake.words.spelling import Speller
from wearmodel.intake.words.translated_order import TRANSLATED_WORDS, in_english_order
from wearmodel.intake.words.word_forms import PASSED_OVER
from wearmodel.intake.words.word_order import ORDER_WORDS, in_usual_order

__all__ = ["SEPARATORS", "UNKNOWN", "WordReader"]

UNKNOWN = "?"
"""Stands for words that mean nothing here but are not idle either."""

SEPARATORS = frozenset((",", ".", "-", "/", ":", "and"))
"""What stands between clauses: `.` ends a sentence, `and` joins, `:` follows a label, the rest only divides."""

_LONGEST_TEXT = 2_000
_MOST_KEPT = 200_000
# A word with whatever joins it to the next, a small number, a mark. Longer numbers and codes fall through.
_TOKEN = re.compile(
    r"(?:no|nr|num|number)\.?\s?[1-8](?![\w.,/:-]?\d)"
    r"|(?:qty|quantity|qnty|quant)\.?\s?[:=]?\s?0?[1-8](?![\w.,/:-]?\d)"
    r"|(?<![\w.,/:-])0?[1-8]\s(?:nos\b\.?|no(?:\.|(?=\s*[,;]))|off\b|pcs?\b\.?|ea\b\.?)"
    r"|[a-z]+(?:['’`/&+\-.][a-z]+)*(?:\d{1,2}(?![\d.,/:-]?\d))?\.?"
    r"|(?<![\w.,/:-])\d{1,2}(?![\d.,/:-]?\d)(?:[a-z]+(?:/[a-z]+)?)?\.?"
    r"|\(\s*(?:x\s*)?\d(?:\s*(?:x|off|nos?|ea|each|pcs?)\.?)?\s*\)"
    r"|\(\s*[a-z/]{1,9}\s*\)"
    r"|//+|\*\*+|\|\|+|[,;:!?()\[\]|\n\r\t=>&+#@~•·¦]|(?<![\w-])-+(?!\d)|[–—]|/|\.(?!\d)"
)
_MARKS = {
    **dict.fromkeys(",;)]|=>", ","),
    **dict.fromkeys("!?.\n\r•·¦", "."),
    **dict.fromkeys("–—\t~([", "-"),
    **dict.fromkeys("&+", "and"),
    ":": ":",
    "/": "/",
    "#": "number",
    "@": "at",
}
_JOINTS = re.compile(r"['’`/&+\-.]")
_JOINED_AS = {"/": " / ", "&": " and ", "+": " and ", ".": " . ", "-": " "}
_NUMBERED = re.compile(r"(.*?[a-z])(\d{1,2})")
_COUNTED = re.compile(r"(\d{1,2})([a-z].*)")
_PHRASE_WORD = re.compile(r"[a-z0-9]+(?:['/&.\-][a-z0-9]+)*")
# `1) boot renewed 2) joint greased`
_LISTED = re.compile(r"(?<![\w(])[1-9]\)")
_COUNT_OFF = re.compile(r"0?([1-8])\s\w+\.?")
_NUMBER_ONE = re.compile(r"n\w*\.?\s?([1-8])")
_OFF = frozenset({"x", "off", "of", "no", "nos", "pc", "pcs", "ea", "each", "qty"})
# A dot after these is part of the abbreviation and ends nothing.
_DOTTED = frozenset(
    words_of(
    """
    fr steer brg brgs brng ctr cntr ctre repl rpl assy le ri
    insp chk jt jts jnt jnts frt rr lh rh univ carr hgr supp mtg no
    nos qty pos rem inst exc adj lub rec approx cust veh tech mech dept appt prev sched maint ft lt rt compl fnd
    rpt      rplc   adv trans diff int ext o s n l r u j c v i b pass drv psgr strg
    exam acc chg mth wk yr
    est ins coll dmg recov rep compl serv svc std dest warr appr eng col interm inc incl inr otr otbd inbd frnt bt
    bts
    ret rtn psgr pssgr univ prop mid fwd upr lwr btm cen outr ctre cntr
    """
)
)
_SHORT_PIECE = 2
_PAIR_OF_LETTERS = 3
# `worn, repl. Road tested`: such an abbreviation may also be the last word of its sentence.
_MAY_END = frozenset(
    words_of(
    """
    repl. rpl. rplc. ren. rnw. exch. chg. insp. pass. sched. svc. serv. warr. inst. rep. recov. adj. lub. exam. chk.
    compl. lh. rh. l/h. r/h. n/s. o/s. lhs. rhs.
    """
    )
)
_OPEN_END = re.compile(r" ¶(?= ?([^.,:/-]*))")
_NAMES_PART = re.compile(r"\b(?:joint|boot|bearing|universal|cv|cross|spider|spline|slip|shaft|yoke|carrier|hanger)\b")
_BEGINS_ANEW = re.compile(
    r"(?:checked|inspected|inspection|visual|looked|right ok|ok|road|test|greased|lubricated|cleaned|also|no"
    r"|returned|back to|r r|"
    r"replaced|renewed|fitted|found|recommended|quoted|advised|needs|required|deferred|monitor|adjusted|tightened|hit|topped|"
    r"changed|reset|customer|driver(?! side))\b"
)
_CLOSED = re.compile(r"\b(?:greased|lubricated|checked|ok|tightened|adjusted|replaced|renewed|r r|fitted"
    r"|changed|cleaned)\b")
_RENEWALS = ("replaced", "renewed", "exchanged", "changed", "installed")


class _PhraseWords(dict[str, tuple[str, ...]]):
    """Word of the lexicon's phrases -> the words it is looked for as: found once for tens of thousands of phrases."""

    def __init__(self, forms: Mapping[str, str]) -> None:
        super().__init__()
        self._forms = forms

    def __missing__(self, word: str) -> tuple[str, ...]:
        form = self._forms.get(word, word)
        # `fixed` is read by the words around it, before phrases are looked for.
        form = "repaired" if form == "fixed" else form
        self[word] = tuple(part for part in form.split(" ") if part not in PASSED_OVER and part != "of")
        return self[word]


class WordReader(dict[str, str]):
    """Token as written -> the words it is read as, found on first sight and kept.

    Parameters
    ----------
    forms : mapping of str to str
        Other spellings -> form.
    phrases : iterable of str
        Every phrase of the lexicon: its words are known.
    """

    def __init__(self, forms: Mapping[str, str], *, phrases: Iterable[str]) -> None:
        super().__init__()
        self._forms = dict(forms)
        self._ordered: dict[str, str] = {}
        self._of_phrase = _PhraseWords(self._forms)
        known = set(" ".join(phrases).casefold().split())
        known |= {word for form in self._forms.values() for word in form.split()}
        known |= {"x", *SEPARATORS, *ORDER_WORDS, *PROSE_WORDS, *TRANSLATED_WORDS, *JOB_CARD_WORDS}
        known -= PASSED_OVER
        self._known = frozenset(known)
        every = {**{word: word for word in known}, **self._forms}
        self._speller = Speller(every)
        # Only words of weight are looked for in words run together: `overcome` is one word.
        self._strong = frozenset(w for w in every if w in MENDED_WORDS or w in _RUN_TOGETHER)

    def words(self, text: str) -> str:
        """The words of a text in one form, with a space between them; marks are words of their own."""
        text = text[:_LONGEST_TEXT].casefold()
        if not text.isascii():
            text = "".join(c for c in normalize("NFKD", text) if not combining(c))  # `arri\u00e8re`
        if "\\" in text:
            text = text.replace("\\", "/")  # `L\H`
        if text.startswith("1)"):
            text = _LISTED.sub(". ", text)
        tokens = _TOKEN.findall(text)
        found = " ".join(filter(None, map(self.__getitem__, tokens)))
        ordered = self._ordered.get(found)
        if ordered is None:
            ended = _OPEN_END.sub(_with_end, found) if "¶" in found else found
            ordered = in_usual_order(in_prose_order(in_spoken_order(in_english_order(in_plain_form(ended)))))
            if len(self._ordered) < _MOST_KEPT:
                self._ordered[found] = ordered
        return ordered

    def phrase(self, text: str) -> tuple[str, ...]:
        """The words of a phrase of the lexicon, each in its form; no slips are looked for."""
        return tuple(chain.from_iterable(map(self._of_phrase.__getitem__, _PHRASE_WORD.findall(text.casefold()))))

    def __missing__(self, token: str) -> str:
        """Read a token for the first time."""
        read = self._read(token)
        if len(self) < _MOST_KEPT:
            self[token] = read
        return read

    def _read(self, token: str) -> str:
        if token in _MARKS:
            return _MARKS[token]
        if token[0] in "/*|":
            return "."  # `front joint renewed // rear joint greased`: a new job
        if token.startswith("("):
            counted = "".join(c for c in token if c.isdigit())
            if not counted and len(token.strip("( )")) == 1:
                return "."  # one of a list: `(a) boot renewed (b) mirror replaced`
            read = f"x {_number(counted)}" if counted else self._word(token.strip("( )"))
            if read in ("left", "right"):
                return f"{read} side"  # `boot (left) on the way out`
            return f"- {read} ," if read in _APART else read
        if not token.isascii() and not token.isalpha():
            token = token.replace("’", "'").replace("`", "'")
        if token.startswith("-"):
            return "-"
        if token[0] == "q" and token[-1].isdigit():
            return f"{token[-1]} x"
        if numbered := _NUMBER_ONE.fullmatch(token):
            return f"number {numbered[1]}"
        if off := _COUNT_OFF.fullmatch(token):
            return f"{off[1]} x"
        if token in _MAY_END:
            return f"{self._word(token[:-1])} ¶"
        word = token.removesuffix(".")
        if word == token or not word:
            return self._word(word)
        read = self._word(word)
        is_abbreviation = word in _DOTTED or read.endswith(" x") or ("." in word and word.replace(".", "") != word)
        return read if is_abbreviation else f"{read} .".strip()

    def _word(self, word: str) -> str:
        """What a word is read as; empty where it is idle."""
        known = self._known_form(word)
        if known is not None:
            return known
        if counted := _COUNTED.fullmatch(word):
            return self._counted(counted[1], counted[2])
        if numbered := _NUMBERED.fullmatch(word):
            head = self._word(numbered[1])
            return f"{head} {_number(numbered[2])}" if head and head != UNKNOWN else head
        if word.isdigit():
            return _number(word)
        if _JOINTS.search(word):
            return self._joined(word)
        if form := self._speller.form(word):
            return form
        if pair := self._speller.parts(word, self._strong):
            return " ".join(filter(None, (self._word(piece) for piece in pair)))
        return UNKNOWN if len(word) > 1 else ""

    def _known_form(self, word: str) -> str | None:
        if word in PASSED_OVER:
            return ""
        return self._forms.get(word) or (word if word in self._known else None)

    def _counted(self, number: str, rest: str) -> str:
        """`2x`, `2off`, `3ujs`, `1st`."""
        if rest in _OFF:
            return f"{_number(number)} x"
        read = self._word(rest) if len(rest) > 1 else ""
        return UNKNOWN if read in ("", UNKNOWN) else f"{_number(number)} {read}"

    def _mended_end(self, pieces: Sequence[str]) -> str:
        """The form of an abbreviation of two pieces whose second is misspelt; empty where there is none."""
        end = self._speller.form(pieces[1]) if len(pieces) == _SHORT_PIECE else ""
        return (self._known_form(pieces[0] + end) or "") if end else ""

    def _joined(self, word: str) -> str:
        """A word of several pieces: an abbreviation with marks in it, or words joined."""
        pieces = [piece for piece in _JOINTS.split(word) if piece]
        if all(len(piece) <= _SHORT_PIECE for piece in pieces) or "." in word or "'" in word:
            closed = self._known_form("".join(pieces))
            if closed is not None:
                return closed
        if "'" in word:
            return self._word(word.partition("'")[0])
        if "-" in word and (closed := self._known_form(word.replace("-", ""))) is not None:
            return closed
        if len(pieces[0]) == 1 and (form := self._speller.form("".join(pieces)) or self._mended_end(pieces)):
            return form  # `u-jonit`, `p/shaaft`
        marks = _JOINTS.findall(word)
        read: list[str] = []
        while pieces:
            # `o/s/inner`: what is known as it stands goes first.
            size = next((n for n in range(len(pieces) - 1, 1, -1) if self._known_form("/".join(pieces[:n]))), 1)
            read.append(self._word("/".join(pieces[:size])))
            if len(word) == _PAIR_OF_LETTERS and read[-1] in ("", UNKNOWN):
                return UNKNOWN  # `d/x` is an abbreviation of nobody knows what, `l` in it no left
            is_short = size > 1 or (marks[:1] == ["."] and pieces[0] in _DOTTED)  # `fr.prop`
            read += [" " if is_short else _JOINED_AS.get(mark, " ") for mark in marks[size - 1 : size]]
            del pieces[:size], marks[:size]
        return " ".join("".join(read).split())


# An occasion in brackets is told of all parts before it: `replaced bearing, joint (breakdown)`; `joint rear (prop)` is
# no joint of a rear shaft.
_APART = frozenset(
    words_of(
        """
        breakdown planned scheduled interval service inspection warranty accident routine preventive periodic collision
        roadside mot roadworthy annual repeat rework insurance recall maintenance programme campaign damage abuse prop
        """
    )
)
_RUN_TOGETHER = frozenset(
    words_of(
    """
    uj ujs cv lh rh os ns new ok brg brgs prop boot half left right rear both worn torn split play loose repl
     insp frt ctr carr axle slip yoke assy kit
    """
)
)


def _with_end(found: "re.Match[str]") -> str:
    """What the dot of an abbreviation comes to: it ends a sentence that named its part, or before other work."""
    record, after = found.string[: found.start()].rpartition(" / ")[2], found[1]
    ends = not after.strip() or _BEGINS_ANEW.match(after) is not None
    if not ends and record.endswith(_RENEWALS):
        told, _, last = record.rpartition(" ")[0].rpartition(" . ")
        is_named = _NAMES_PART.search(last) or (_NAMES_PART.search(told) and not _CLOSED.search(told))
        ends = bool(is_named) or not _NAMES_PART.search(after)
    return " ." if ends else ""


def _number(digits: str) -> str:
    """A number small enough to count parts with."""
    number = int(digits)
    return str(number) if 1 <= number <= 8 else UNKNOWN
