"""What other lines teach about a fleet's lines: those it has coded itself, and the lines of the trade that ship.

They fill in what the words leave open where they are sure enough, and suggest answers where they are not.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from wearmodel.intake.learning.learnt_codes import LearntCodes
from wearmodel.intake.learning.trade_reader import SEVERAL, UNSAID, View, load_trade_reader
from wearmodel.intake.repairs.line_readings import LineReading
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.words.repair_text import Wording
from wearmodel.questions import Answer

__all__ = ["LineTeachers", "guess", "trade_views"]

_Mask = npt.NDArray[np.bool_]
_Texts = npt.NDArray[np.object_]
_Chances = npt.NDArray[np.float64]

_NUMBER = re.compile(r"[0-9]+")
_NO_CODES = (SEVERAL, UNSAID)
#: From this chance on the trade's lines are not overruled by a suggestion of coded lines.
_LIKELY = 0.8


@dataclass(frozen=True, eq=False)
class LineTeachers:
    """What other lines say of every row.

    Parameters
    ----------
    component, reason : LearntCodes
        Of whichever teacher is surer.
    own : dict of str to ndarray of bool
        `component`, `reason`: whether that is the fleet's own coded lines.
    renewal_chance : ndarray, shape (n_rows,)
        Chance that something was renewed; 0 where lines of the trade say otherwise or were not asked.
    views : ndarray of object
        What lines of the trade say; None where they were not asked.
    """

    component: LearntCodes
    reason: LearntCodes
    own: dict[str, _Mask]
    renewal_chance: _Chances
    views: _Texts

    @classmethod
    def of(
        cls, own: dict[str, LearntCodes], views: _Texts, *, options: Sequence[frozenset[str]], torn: _Mask
    ) -> "LineTeachers":
        """Both teachers put together.

        Parameters
        ----------
        own : dict of str to LearntCodes
            `component`, `reason`: of the fleet's coded lines.
        views : ndarray of object
            Of `trade_views`.
        options : sequence of frozenset of str
            Components the words leave, of each row; empty where they leave any.
        torn : ndarray of bool, shape (n_rows,)
            Whether the words of a row hint at several reasons.
        """
        joined: dict[str, LearntCodes] = {}
        is_own: dict[str, _Mask] = {}
        # What a line renewed, and why, is not asked of those who would say that it renewed nothing.
        chances_of_renewal = [view.deed_chance if view and view.deed == "renewed" else 0.0 for view in views]
        renewal_chance = np.array(chances_of_renewal, dtype=np.float64)
        is_renewal = renewal_chance >= _LIKELY
        # Which end of a shaft is a matter of what was written, not of what is mostly written.
        is_end = np.array([len(of_row) > 1 and _is_one_family(of_row) for of_row in options], dtype=bool)
        # Nor is what is mostly written a judge of words that contradict each other.
        is_barred = {"component": is_end, "reason": np.asarray(torn, dtype=bool)}
        for name in ("component", "reason"):
            codes = np.array([getattr(view, name) if view else "" for view in views], dtype=object)
            codes[np.isin(codes, _NO_CODES) | ~is_renewal | is_barred[name]] = ""
            chances = np.array([getattr(view, f"{name}_chance") if view else 0.0 for view in views], dtype=np.float64)
            joined[name], is_own[name] = _surer(own[name], codes, np.where(codes == "", 0.0, chances))
        return cls(joined["component"], joined["reason"], is_own, renewal_chance, views)

    def source(self, name: str, row: int) -> tuple[float, str]:
        """How sure something is, and from where: for the note on a row.

        Parameters
        ----------
        name : str
            `component`, `reason` or `work`.
        row : int
            Place of the row.
        """
        if name == "work":
            return float(self.renewal_chance[row]), "lines of the trade"
        chance = float(getattr(self, name).probability[row])
        return chance, "this fleet's coded lines" if self.own[name][row] else "lines of the trade"


def _is_one_family(codes: frozenset[str]) -> bool:
    return len({code.rpartition("_")[0] for code in codes}) == 1


def _surer(own: LearntCodes, codes: _Texts, chances: _Chances) -> tuple[LearntCodes, _Mask]:
    """Of two suggestions the surer; no sure one where they differ and both are likely."""
    known = np.nan_to_num(own.probability)
    differ = (own.codes != codes) & (own.codes != "") & (codes != "")
    first = (known >= chances) & (own.codes != "")
    probability = np.where(first, known, chances)
    other = np.where(first, chances, known)
    probability = np.where(differ, np.minimum(probability, 1.0 - other), probability)
    found = np.where(first, own.codes, codes)
    return LearntCodes(found, np.where(found == "", np.nan, probability)), first


def trade_views(texts: _Texts, numbers: _Texts, wordings: dict[int, Wording], *, wanted: _Mask) -> _Texts:
    """What lines of the trade say of some rows.

    Parameters
    ----------
    texts : ndarray of object, shape (n_rows,)
        As written.
    numbers : ndarray of object, shape (n_rows,)
        Number of each row's wording.
    wordings : dict of int to Wording
        By number.
    wanted : ndarray of bool, shape (n_rows,)
        Which rows.

    Returns
    -------
    ndarray of object
        `View` of each wanted row with a text, else None.
    """
    views = np.full(len(texts), None, dtype=object)
    rows = np.flatnonzero(wanted & (texts != ""))
    if not len(rows):
        return views
    reader = load_trade_reader()
    # A number counts as a number, whichever it is: order numbers do not make every line another one.
    alike = np.array([_NUMBER.sub("0", text) for text in texts[rows].tolist()], dtype=object)
    views[rows] = map_distinct(
        lambda text, number: reader.view(str(text), wordings[number]), alike, numbers[rows]
    )
    return views


def guess(teachers: LineTeachers, row: int, reading: LineReading) -> tuple[Answer, float]:
    """What other lines suggest for a row that waits, and the chance that it is right.

    Parameters
    ----------
    teachers : LineTeachers
        Of every row.
    row : int
        Place of the row.
    reading : LineReading
        How it was read.
    """
    view: View | None = teachers.views[row]
    if view and view.deed != "renewed" and view.deed_chance >= _LIKELY and reading.open_deed:
        return Answer(work="not renewed" if view.deed == "idle" else "other"), view.deed_chance
    name = "component" if reading.open_component else "reason"
    learnt: LearntCodes = getattr(teachers, name)
    code = str(learnt.codes[row])
    allowed = reading.options if name == "component" else reading.hints
    if not code or (allowed and code not in allowed) or ";" in reading.suggestion.component:
        return reading.suggestion, float("nan")
    return replace(reading.suggestion, **{name: code}), float(learnt.probability[row])
