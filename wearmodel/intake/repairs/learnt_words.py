"""Lines read with the words a shop's own coded lines teach, where they are read better for it."""

from dataclasses import dataclass, replace

from wearmodel.intake.learning.shop_words import CodedLines, ShopWords, reason_check, reason_words, renewal_words
from wearmodel.intake.repairs.line_readings import FOR_REVIEW, LineReading
from wearmodel.intake.repairs.repair_lines import LineKnowledge
from wearmodel.intake.tables.typed_tables import TypedTable
from wearmodel.intake.values.plain_text import plain
from wearmodel.questions import Answer

__all__ = ["TaughtKnowledge", "shop_word_notes", "with_checked_reason", "with_learnt_words"]

_SHOWN = 8
#: From this chance on a reason that coded lines suggest speaks against another one that words give.
_LIKELY = 0.9


@dataclass(frozen=True)
class TaughtKnowledge:
    """Knowledge with the shop's own words in it.

    Parameters
    ----------
    known : LineKnowledge
        The same where nothing was learnt.
    words : ShopWords
        What was learnt.
    conflicts : float
        Share of coded wordings whose words still give another reason than the coded one.
    """

    known: LineKnowledge
    words: ShopWords
    conflicts: float


def with_learnt_words(known: LineKnowledge, lines: CodedLines) -> TaughtKnowledge:
    """Learn the shop's own words from the lines it has coded.

    Parameters
    ----------
    known : LineKnowledge
        Words of the trade and of `fleet.toml`.
    lines : CodedLines
        Lines the shop has coded.

    Returns
    -------
    TaughtKnowledge
        Words for reasons are kept only where coded lines agree better with them.
    """
    words = ShopWords(renewal_words(lines, lexicon=known.lexicon))
    taught = known.with_shop_words(words) if words.renewal else known
    check = reason_check(lines, lexicon=taught.lexicon)
    if reasons := reason_words(lines, lexicon=taught.lexicon):
        trial = taught.with_shop_words(ShopWords(reasons=reasons))
        better = reason_check(lines, lexicon=trial.lexicon)
        if better.right > check.right:
            return TaughtKnowledge(trial, replace(words, reasons=reasons), better.wrong)
    return TaughtKnowledge(taught, words, check.wrong)


def with_checked_reason(reading: LineReading, code: str, probability: float, *, threshold: float) -> LineReading:
    """A used line whose words give one reason, where coded lines with such words say another.

    Parameters
    ----------
    reading : LineReading
        As read from its words.
    code : str
        Reason coded lines suggest.
    probability : float
        Chance that it is right; NaN where there is none.
    threshold : float
        Chance from which on it is used.

    Returns
    -------
    LineReading
        With the shop's own reason where that is sure, waiting where it is likely, else as it was.
    """
    if code in ("", reading.reason) or not probability >= _LIKELY:
        return reading
    if probability >= threshold:
        told = tuple(f"reason {code}" if text.startswith("reason ") else text for text in reading.from_text)
        return replace(reading, reason=code, from_text=told, learnt=reading.learnt | {"reason"})
    problem = f"reads as {reading.reason}, while coded lines with such words say {code}"
    suggestion = Answer(work="renewed", component=reading.component, position=reading.position, reason=code)
    return replace(
        reading, verdict="waiting", column="text", problem=problem, action=FOR_REVIEW, suggestion=suggestion,
        open_reason=True, from_text=(), candidates=(), further=(),
    )  # fmt: skip


def shop_word_notes(repairs: TypedTable, words: ShopWords) -> list[str]:
    """Sentences on what was learnt, and how to set it right.

    Parameters
    ----------
    repairs : TypedTable
        The table, for its name.
    words : ShopWords
        What was learnt.

    Returns
    -------
    list of str
        None where nothing was.
    """
    where = f"{repairs.raw.label}, column {repairs.raw.heading('text')}"
    notes: list[str] = []
    if words.renewal:
        shown = ", ".join(f"{plain(word)!r} ({count} wordings)" for word, count in list(words.renewal.items())[:_SHOWN])
        notes.append(
            f"{where}: took {shown} to say that a part was renewed, as coded lines use it; if that is wrong, put "
            "what the word stands for under [lexicon.words] in fleet.toml."
        )
    if words.reasons:
        shown = ", ".join(f"{plain(word)!r} for {reason}" for word, reason in list(words.reasons.items())[:_SHOWN])
        more = f" and {len(words.reasons) - _SHOWN} more" if len(words.reasons) > _SHOWN else ""
        notes.append(
            f"{where}: took {shown}{more}, as coded lines use the words; if that is wrong, list them under "
            "[lexicon.reasons] in fleet.toml."
        )
    return notes
