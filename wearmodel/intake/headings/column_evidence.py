"""What the cells of a column say about which column it is, whatever its heading.

At most 2,000 rows, spread over the table, are looked at, and each distinct text once.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS
from wearmodel.intake.tables.schema import FINDINGS, REASONS
from wearmodel.intake.values.date_parsing import parse_dates, parse_months
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.name_index import NameIndex, build_name_index, name_key
from wearmodel.intake.values.number_parsing import BLANK_MARKS, parse_numbers
from wearmodel.intake.words.repair_text import Lexicon, build_lexicon, wording

__all__ = ["SAMPLED_ROWS", "ColumnContext", "column_evidence", "known_evidence", "sampled_rows"]

SAMPLED_ROWS = 2_000
"""Most rows of a table that are looked at."""

_RUNNING = 0.95
_MOST_WORDINGS = 100
_MOST_PLACES = 200
_LONGEST_LOOKED_AT = 400
_SERIAL = re.compile(r"\d{5}(\.\d+)?", re.ASCII)
_FIRST_SERIAL, _LAST_SERIAL = 32_874.0, 54_789.0  # 1990 to 2049
_MONTH = re.compile(
    r"\d{4}[-/. ]\d{1,2}|(19|20)\d{2}(0[1-9]|1[0-2])|\d{1,2}[-/. ]\d{4}|[A-Za-z]{3,9}\.?[-/., ]*\d{2,4}"
)
_CODE = re.compile(r"[^\W_]+([-_/. #][^\W_]+){0,4}")
_DECIMALS = re.compile(r".*\d[.,]\d{2}\D{0,4}", re.ASCII)
_WORDS = re.compile(r"[^\W\d_]{2,}")
_UNIT_BEHIND = re.compile(r"(?<=\d)\s*(km|kms|mi|miles|hrs|h)\.?$", re.IGNORECASE)
_SOUND = frozenset({"ok", "okay", "good", "pass", "passed", "fine", "fair", "poor", "bad", "fail", "worn", "failed"})
_Texts = npt.NDArray[np.object_]
_Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class ColumnContext:
    """What is known already when a column is looked at.

    Parameters
    ----------
    units : NameIndex or None
        Names of the vehicles table; None where it is not known yet.
    parts : NameIndex or None
        Part numbers of the parts table; None where there is none.
    layouts : mapping
        Known driveline layouts.
    labels : mapping of str to str
        Component code -> label.
    row_units : numpy.ndarray of object or None
        The unit of each row, where it is known: odometers grow unit by unit.
    row_dates : numpy.ndarray of datetime64 or None
        The date of each row, where it is known.
    """

    units: NameIndex | None = None
    parts: NameIndex | None = None
    layouts: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: LAYOUTS)
    labels: Mapping[str, str] = field(default_factory=lambda: COMPONENTS)
    row_units: _Texts | None = None
    row_dates: npt.NDArray[np.datetime64] | None = None


def sampled_rows(count: int) -> npt.NDArray[np.intp]:
    """Places of the rows that are looked at, spread evenly over a table.

    Parameters
    ----------
    count : int
        Rows of the table.

    Returns
    -------
    numpy.ndarray
        At most 2,000 places, ascending.
    """
    if count <= SAMPLED_ROWS:
        return np.arange(count)
    return np.linspace(0, count - 1, SAMPLED_ROWS).astype(np.intp)


def column_evidence(
    values: Sequence[str] | _Texts, *, context: ColumnContext | None = None
) -> Mapping[str, float]:
    """How well the cells of a column fit each kind of content.

    Parameters
    ----------
    values : sequence of str
        Cells of the column, all of the table or of a sample.
    context : ColumnContext, optional
        What is known already.

    Returns
    -------
    mapping of str to float
        Kind -> fit, 0 to 1. Kinds: `filled` (share of cells not blank), `distinct` (distinct texts a filled
        cell), `date`, `month`, `number`, `money`, `odometer`, `code` (short names and numbers), `digits`
        (with a digit in them), `unit`, `part_number`, `driveline`, `position`, `component`, `reason`,
        `finding`, `prose` (wording of several words), `text` (prose that names driveline parts),
        `category` (few short words that come again and again).

    Examples
    --------
    >>> evidence = column_evidence(["2024-03-01", "2024-03-09", ""])
    >>> evidence["date"], evidence["number"], round(evidence["filled"], 2)
    (1.0, 0.0, 0.67)
    """
    known = context or ColumnContext()
    column = _sampled(values)
    evidence = dict.fromkeys(_KINDS, 0.0)
    if column is None:
        return MappingProxyType(evidence)
    evidence["filled"] = column.filled
    evidence["distinct"] = column.unlike
    evidence |= {kind: measure(column, known) for kind, measure in _MEASURES.items()}
    if max(evidence["date"], evidence["number"]) < 0.9:
        evidence |= {kind: measure(column, known) for kind, measure in _WORD_MEASURES.items()}
    return known_evidence(values, evidence, context=known)


def known_evidence(
    values: Sequence[str] | _Texts, evidence: Mapping[str, float], *, context: ColumnContext
) -> Mapping[str, float]:
    """The evidence of a column in the light of what has become known since.

    Parameters
    ----------
    values : sequence of str
        Cells of the column, the same as before.
    evidence : mapping of str to float
        As from `column_evidence`.
    context : ColumnContext
        What is known now: units, part numbers, and the unit and date of each row.

    Returns
    -------
    mapping of str to float
        With `unit`, `part_number` and `odometer` measured anew.
    """
    found = dict(evidence)
    column = _sampled(values)
    if column is not None:
        found["unit"] = _known_share(column, context.units)
        found["part_number"] = _known_share(column, context.parts)
        found["odometer"] = _odometer(values, found["number"], context)
        found["order"] = _order(values, found, context)
    return MappingProxyType(found)


@dataclass(frozen=True)
class _Distinct:
    """Distinct filled texts of a column and the share of rows each has."""

    texts: _Texts
    shares: npt.NDArray[np.float64]
    filled: float = 1.0
    unlike: float = 1.0
    total: int = 0

    def share(self, test: Callable[[str], object]) -> float:
        """Share of the rows whose text passes a test."""
        return self.of(np.array([bool(test(str(text))) for text in self.texts], dtype=bool))

    def of(self, mask: _Mask) -> float:
        """Share of the rows of some distinct texts."""
        return round(float(self.shares[mask].sum()), 9)

    def commonest(self, count: int) -> "_Distinct":
        """The commonest texts alone."""
        first = np.argsort(-self.shares, kind="stable")[:count]
        return _Distinct(self.texts[first], self.shares[first] / self.shares[first].sum())


def _sampled(values: Sequence[str] | _Texts) -> _Distinct | None:
    """The distinct filled texts of a sample; None of an empty column."""
    cells = np.asarray(values, dtype=object)[sampled_rows(len(values))]
    codes, distinct = pd.factorize(cells)
    counts = np.bincount(codes, minlength=len(distinct))
    texts = np.array([" ".join(str(text)[:_LONGEST_LOOKED_AT].split()) for text in distinct], dtype=object)
    filled = np.array([str(text).casefold() not in BLANK_MARKS for text in texts], dtype=bool)
    total = int(counts[filled].sum())
    if total == 0:
        return None
    shares = counts[filled] / total
    return _Distinct(texts[filled], shares, total / len(cells), int(filled.sum()) / total, total)


def _date(column: _Distinct, _: ColumnContext) -> float:
    """Share of dates; bare day numbers count half, and only where every cell is one."""
    serial = np.array([bool(_SERIAL.fullmatch(str(text))) for text in column.texts], dtype=bool)
    if serial.all():
        numbers = column.texts.astype(float)
        return 0.6 if bool(((numbers >= _FIRST_SERIAL) & (numbers <= _LAST_SERIAL)).all()) else 0.0
    return column.of(~parse_dates(column.texts).bad & ~serial)


def _month(column: _Distinct, _: ColumnContext) -> float:
    parsed = parse_months(column.texts)
    written = np.array([bool(_MONTH.fullmatch(str(text))) for text in column.texts], dtype=bool)
    dates = parse_dates(column.texts)
    days = pd.DatetimeIndex(dates.values)
    at_edge = (days.day == 1) | (days.is_month_end)
    return column.of(~parsed.bad & (written | (~dates.bad & at_edge)))


def _number(column: _Distinct, _: ColumnContext) -> float:
    bare = np.array([_UNIT_BEHIND.sub("", str(text)) for text in column.texts], dtype=object)
    return column.of(~parse_numbers(bare).bad)


def _money(column: _Distinct, _: ColumnContext) -> float:
    """Share of amounts; whole numbers throughout count less, they may be anything."""
    amounts = column.of(~parse_numbers(column.texts, is_money=True).bad)
    return amounts if column.share(_DECIMALS.fullmatch) > 0.1 else 0.6 * amounts


def _odometer(values: Sequence[str] | _Texts, number: float, known: ColumnContext) -> float:
    """Share of numbers that grow, unit by unit, where units and dates are known."""
    if number < 0.6:
        return 0.0
    places = sampled_rows(len(values))
    cells = np.asarray(values, dtype=object)[places]
    figures = parse_numbers(map_distinct(lambda text: _UNIT_BEHIND.sub("", str(text).strip()), cells)).values
    typical = float(np.nanmedian(figures))
    if not np.isfinite(typical) or typical < 300.0 or np.nanmin(figures) < -1.0:
        return 0.0
    if known.row_units is None or known.row_dates is None or len(known.row_units) != len(values):
        return 0.5 * number
    rows = pd.DataFrame({"unit": known.row_units[places], "date": known.row_dates[places], "figure": figures})
    rows = rows[rows["unit"] != ""].dropna().sort_values("date", kind="stable")
    steps = rows.groupby("unit", sort=False)["figure"].diff().dropna()
    later = rows.groupby("unit", sort=False)["date"].diff().reindex(steps.index) > pd.Timedelta(0)
    steps = steps[later]
    if len(steps) < 5:
        return 0.5 * number
    # What grows from row to row whatever the unit, is a running number of orders.
    if rows["unit"].nunique() > 2 and float((rows["figure"].diff().dropna() >= 0.0).mean()) > _RUNNING:
        return 0.0
    growing = float((steps >= 0.0).mean())
    return number * min(max((growing - 0.5) / 0.4, 0.0), 1.0)


def _order(values: Sequence[str] | _Texts, evidence: Mapping[str, float], known: ColumnContext) -> float:
    """Share of codes with digits that each belong to one unit, where units are known."""
    foreign = max(evidence[kind] for kind in ("unit", "part_number", "date", "odometer"))
    fit = evidence["code"] * evidence["digits"] * (1.0 - foreign) * (1.0 if evidence["distinct"] > 0.2 else 0.6)
    if fit == 0.0 or known.row_units is None or len(known.row_units) != len(values):
        return fit * 0.9
    places = sampled_rows(len(values))
    rows = pd.DataFrame({"code": np.asarray(values, dtype=object)[places], "unit": known.row_units[places]})
    rows = rows[(rows["code"] != "") & (rows["unit"] != "")]
    return fit * float((rows.groupby("code")["unit"].transform("nunique") == 1).mean()) if len(rows) else 0.0


def _code(column: _Distinct, _: ColumnContext) -> float:
    return column.share(lambda text: len(text) <= 24 and _CODE.fullmatch(text))


def _digits(column: _Distinct, _: ColumnContext) -> float:
    return column.share(lambda text: any(c.isdigit() for c in text))


def _known_share(column: _Distinct, index: NameIndex | None) -> float:
    return 0.0 if index is None else column.share(index.known)


def _driveline(column: _Distinct, known: ColumnContext) -> float:
    index = build_name_index(known.layouts)
    return column.share(lambda text: all(index.known(part.strip()) for part in text.split("+")))


def _position(column: _Distinct, known: ColumnContext) -> float:
    positions = [position for layout in known.layouts.values() for position in layout]
    index = build_name_index(positions)
    lexicon = _lexicon(tuple(known.labels.items()))

    def is_place(text: str) -> bool:
        if index.known(text):
            return True
        if len(text) > 40:
            return False
        words = wording(text, lexicon=lexicon)
        # Inboard and outboard alone are part of a component's name.
        return bool(words.places - {"inboard", "outboard"}) and not words.reason and not words.deed

    return column.commonest(_MOST_WORDINGS).share(is_place) if len(column.texts) <= _MOST_PLACES else 0.0


def _component(column: _Distinct, known: ColumnContext) -> float:
    keys = {name_key(name) for pair in known.labels.items() for name in pair}
    lexicon = _lexicon(tuple(known.labels.items()))

    def is_component(text: str) -> bool:
        if name_key(text) in keys or len(text) > 40:
            return name_key(text) in keys
        words = wording(text, lexicon=lexicon)
        return len(words.parts) == 1 and not words.reason and not words.deed

    few = 1.0 if len(column.texts) <= 60 else 0.5
    return few * column.commonest(_MOST_WORDINGS).share(is_component)


def _coded(column: _Distinct, known: ColumnContext, words: Sequence[str]) -> float:
    """Share of short words that are, or mean, one of some canonical words."""
    lexicon = _lexicon(tuple(known.labels.items()))

    def is_known(text: str) -> bool:
        if text.casefold() in words or len(text) > 30:
            return text.casefold() in words
        meant = wording(text, lexicon=lexicon)
        return not meant.parts and meant.reason in words

    return column.share(is_known) if len(column.texts) <= 40 else 0.0


def _reason(column: _Distinct, known: ColumnContext) -> float:
    return _coded(column, known, REASONS)


def _finding(column: _Distinct, known: ColumnContext) -> float:
    sound = column.share(lambda text: text.casefold() in _SOUND)
    return max(_coded(column, known, FINDINGS), sound)


def _prose(column: _Distinct, _: ColumnContext) -> float:
    return column.share(lambda text: sum(1 for word in text.split() if _WORDS.search(word)) >= 3)


def _text(column: _Distinct, known: ColumnContext) -> float:
    prose = _prose(column, known)
    if prose < 0.2:
        return 0.0
    lexicon = _lexicon(tuple(known.labels.items()))
    driveline = column.commonest(_MOST_WORDINGS).share(lambda text: wording(text, lexicon=lexicon).parts)
    return min(prose + 0.2, 1.0) * (0.6 + 0.4 * min(driveline / 0.05, 1.0))


def _category(column: _Distinct, _: ColumnContext) -> float:
    """Share of short texts, where a few come again and again."""
    short = column.share(lambda text: len(text) <= 30)
    return short if len(column.texts) <= max(2, min(60, column.total // 3)) else 0.0


@cache
def _lexicon(labels: tuple[tuple[str, str], ...]) -> Lexicon:
    return build_lexicon(dict(labels))


_MEASURES: Mapping[str, Callable[[_Distinct, ColumnContext], float]] = MappingProxyType(
    {
        "date": _date,
        "month": _month,
        "number": _number,
        "money": _money,
        "code": _code,
        "digits": _digits,
        "category": _category,
    }
)
_WORD_MEASURES: Mapping[str, Callable[[_Distinct, ColumnContext], float]] = MappingProxyType(
    {
        "driveline": _driveline,
        "position": _position,
        "component": _component,
        "reason": _reason,
        "finding": _finding,
        "prose": _prose,
        "text": _text,
    }
)
_KINDS = ("filled", "distinct", *_MEASURES, *_WORD_MEASURES, "unit", "part_number", "odometer", "order")
