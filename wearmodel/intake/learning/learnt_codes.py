"""What a fleet's own coded lines suggest for the lines whose words leave a code open."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

__all__ = ["LearntCodes", "learnt_codes"]

_Mask = npt.NDArray[np.bool_]
_Texts = npt.NDArray[np.object_]


@dataclass(frozen=True, eq=False)
class LearntCodes:
    """Suggestions for some rows.

    Parameters
    ----------
    codes : numpy.ndarray of object, shape (n_rows,)
        Suggested code; empty where there is none.
    probability : numpy.ndarray, shape (n_rows,)
        Chance that it is right; NaN where there is none.
    """

    codes: _Texts
    probability: npt.NDArray[np.float64]

    def trusted(self, threshold: float) -> _Texts:
        """The codes that may be used without asking; empty where the chance is below the threshold."""
        return np.where(np.nan_to_num(self.probability) >= threshold, self.codes, "")


def learnt_codes(texts: _Texts, codes: _Texts, *, coded: _Mask, wanted: _Mask, known: Sequence[str]) -> LearntCodes:
    """Learn from coded rows, and suggest codes for others.

    Parameters
    ----------
    texts : numpy.ndarray of object, shape (n_rows,)
        Free text of every row.
    codes : numpy.ndarray of object, shape (n_rows,)
        Canonical code of every row.
    coded : numpy.ndarray of bool
        Rows whose code the shop filled in itself.
    wanted : numpy.ndarray of bool
        Rows that need a code.
    known : sequence of str
        Codes that may be learnt.

    Returns
    -------
    LearntCodes
        Of every row; empty throughout where there are too few coded rows to learn from.
    """
    found = np.full(len(texts), "", dtype=object)
    chance = np.full(len(texts), np.nan)
    is_known = np.array([code in known for code in codes], dtype=bool) if len(codes) else np.zeros(0, dtype=bool)
    from_rows = coded & is_known & (texts != "")
    of_rows = wanted & (texts != "")
    if not from_rows.any() or not of_rows.any():
        return LearntCodes(found, chance)
    # Here and not above: it takes a second to load what only some folders need.
    from wearmodel.intake.learning.repair_classifier import fit_line_classifier

    classifier = fit_line_classifier(texts[from_rows], codes[from_rows])
    if classifier is not None:
        suggestions = classifier.suggest(texts[of_rows])
        found[of_rows] = suggestions.label
        chance[of_rows] = suggestions.probability
    return LearntCodes(found, chance)
