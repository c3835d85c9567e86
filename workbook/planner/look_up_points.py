"""The curve looked up on the sheet "Life curves", point by point: the rows behind its charts, live."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import gamma, gammainc

from wearmodel.survival import weibull
from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.curve_laws import LookedUp

__all__ = ["LEAST_VARIANCE", "CurvePoints", "pace_formula", "write_curve_points"]

Array = NDArray[np.float64]
Cells = Mapping[str, Array]

_POINTS = 61
#: Round distances between points, as multiples of a power of ten.
_ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
#: Share failed at the end of the charts.
_SHOWN = 0.95
#: Below this variance vehicles count as alike: formulas would lose digits.
LEAST_VARIANCE = 1e-6


@dataclass(frozen=True)
class CurvePoints:
    """Rows of the curve: the first is the age asked for, the others are evenly spaced from 0 on."""

    place: Place
    frame: pd.DataFrame
    step: float


def _curve_formulas(z: float) -> "tuple[dict[str, str], dict[str, Callable[[Cells], Array]]]":
    """Columns of a row of the curve: formulas, and the same computed for cached values."""
    v, k = "{frailty_variance}", "{shape}"
    alike = f"{v}<={LEAST_VARIANCE:.6f}"
    steps = {1: "(-{shape}*{part})", 2: "({shape}*LN({age}/{scale})*{part})", 3: "({part}-1)"}
    names = {(1, 1): "scale_scale", (1, 2): "scale_shape", (1, 3): "scale_frailty", (2, 2): "shape_shape",
             (2, 3): "shape_frailty", (3, 3): "frailty_frailty"}  # fmt: skip
    square = "+".join(
        f"{'' if i == j else '2*'}{steps[i]}*{steps[j]}*{{{name}}}" for (i, j), name in names.items()
    )
    live = "IF(ISNUMBER({shape}),"
    formulas = {
        "spent": f'={live}({{age}}/{{scale}})^{k},"")',
        "hazard": f'={live}IF({alike},{{spent}},LN(1+{v}*{{spent}})/{v}),"")',
        "part": f'={live}IF(OR({alike},{{spent}}=0),1,{v}*{{spent}}/(1+{v}*{{spent}})/LN(1+{v}*{{spent}})),"")',
        "half": f'={live}IF({{age}}>0,{z!r}*SQRT(MAX({square},0)),0),"")',
        "good": f'={live}EXP(-{{hazard}}),"")',
        "low": f'={live}EXP(-{{hazard}}*EXP({{half}})),"")',
        "high": f'={live}EXP(-{{hazard}}*EXP(-{{half}})),"")',
        "height": f'={live}{{high}}-{{low}},"")',
        "factory": f'=IF(ISNUMBER({{factory_shape}}),EXP(-IF({alike},({{age}}/{{factory_scale}})^{{factory_shape}},'
        f'LN(1+{v}*({{age}}/{{factory_scale}})^{{factory_shape}})/{v})),"")',
        "cost": '=IF(AND(COUNT({shape},{planned},{failed})=3,{age}>0),'
        f"1000*{pace_formula(v, k)}*({{planned}}*EXP(-{{spent}})+{{failed}}*(1-EXP(-{{spent}})))"
        '/({scale}*EXP(GAMMALN(1+1/{shape}))*_xlfn.GAMMA.DIST({spent},1/{shape},1,TRUE)),"")',
    }  # fmt: skip

    def part(c: Cells) -> Array:
        mixed = _variance(c) * c["spent"]
        return np.where(mixed > 0, mixed / (1 + mixed) / np.log1p(mixed), 1.0)

    def half(c: Cells) -> Array:
        steep = c["shape"] * c["part"]
        slopes = {1: -steep, 2: steep * np.log(c["age"] / c["scale"]), 3: c["part"] - 1}
        total = sum((1 if i == j else 2) * slopes[i] * slopes[j] * c[name] for (i, j), name in names.items())
        return np.where(c["age"] > 0, z * np.sqrt(np.maximum(total, 0.0)), 0.0)

    def cost(c: Cells) -> Array:
        good = np.exp(-c["spent"])
        reached = c["scale"] * gamma(1 + 1 / c["shape"]) * gammainc(1 / c["shape"], c["spent"])
        paid = c["planned"] * good + c["failed"] * (1 - good)
        return np.where(c["age"] > 0, 1000 * weibull.mean_pace(c["shape"], _variance(c)) * paid / reached, np.nan)

    values: dict[str, Callable[[Cells], Array]] = {
        "spent": lambda c: (c["age"] / c["scale"]) ** c["shape"],
        "hazard": lambda c: weibull.cumulative_hazard(
            c["age"], shape=c["shape"], scale=c["scale"], variance=_variance(c)
        ),
        "part": part,
        "half": half,
        "good": lambda c: np.exp(-c["hazard"]),
        "low": lambda c: np.exp(-c["hazard"] * np.exp(c["half"])),
        "high": lambda c: np.exp(-c["hazard"] * np.exp(-c["half"])),
        "height": lambda c: c["high"] - c["low"],
        "factory": lambda c: weibull.survival(
            c["age"], shape=c["factory_shape"], scale=c["factory_scale"], variance=_variance(c)
        ),
        "cost": cost,
    }
    return formulas, values


def _variance(cells: Cells) -> Array:
    return np.where(cells["frailty_variance"] > LEAST_VARIANCE, cells["frailty_variance"], 0.0)


def pace_formula(variance: str, shape: str) -> str:
    """Mean over vehicles of how fast they wear, as a formula.

    Parameters
    ----------
    variance, shape : str
        Cells of the variance of the frailty and of the Weibull shape.

    Returns
    -------
    str
        Without the equals sign.
    """
    return (
        f"IF({variance}>{LEAST_VARIANCE:.6f},{variance}^(1/{shape})"
        f"*EXP(GAMMALN(1/{variance}+1/{shape})-GAMMALN(1/{variance})),1)"
    )


def _write_step(book: Book, found: LookedUp) -> "tuple[str, float]":
    """Round distance between points of the charts: its cell, and what stands in it."""
    data = book.pages["Chart data"]
    v = "{frailty_variance}"
    gone = f"IF({v}<={LEAST_VARIANCE:.6f},-LN(1-{_SHOWN}),((1-{_SHOWN})^(-{v})-1)/{v})"
    exact = f'=IF(ISNUMBER({{shape}}),{{scale}}*{gone}^(1/{{shape}})/{_POINTS - 1},"")'.format_map(found.cells)
    at = Place(data.name, data.row, data.row + 1, {"step": 1})
    size = "{0}/10^INT(LOG10({0}))".format(at.cell("step", 0))
    rounded = f"{_ROUND[-1]:g}"
    for multiple in reversed(_ROUND[:-1]):
        rounded = f"IF({size}<={multiple:g},{multiple:g},{rounded})"
    formula = '=IF(ISNUMBER({0}),10^INT(LOG10({0}))*{1},"")'.format(at.cell("step", 0), rounded)
    needed = step = math.nan
    if math.isfinite(found.values["shape"]):
        variance = found.values["frailty_variance"]
        longest = weibull.life_at(
            _SHOWN, shape=found.values["shape"], scale=found.values["scale"],
            variance=variance if variance > LEAST_VARIANCE else 0.0,
        )  # fmt: skip
        needed = float(longest) / (_POINTS - 1)
        base = 10.0 ** math.floor(math.log10(needed))
        step = next(multiple for multiple in _ROUND if needed / base <= multiple) * base
    for label, live, value in (
        ("Distance between points", exact, needed), ("The same as a round number", formula, step),
    ):  # fmt: skip
        data.put(data.row, 0, label)
        data.put_formula(data.row, 1, live, cached=value, kind="distance")
        data.row += 1
    return at.cell("step", 1), step


def write_curve_points(book: Book, found: LookedUp, *, age_cell: str, age: float) -> CurvePoints:
    """Write the rows on the sheet of chart data.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    found : LookedUp
        The law looked up.
    age_cell : str
        Cell of the age asked for.
    age : float
        What stands in it [distance].

    Returns
    -------
    CurvePoints
    """
    data = book.pages["Chart data"]
    data.heading("The curve looked up on the sheet Life curves")
    step_cell, step = _write_step(book, found)
    numbers = np.array([np.nan, *range(_POINTS)])
    cells: dict[str, Array] = {name: np.full(len(numbers), value) for name, value in found.values.items()}
    cells["age"] = np.where(np.isnan(numbers), age, numbers * step)
    formulas, values = _curve_formulas(NormalDist().inv_cdf(0.5 + book.plan.model.confidence / 2.0))
    with np.errstate(all="ignore"):
        for name, value in values.items():
            cells[name] = np.asarray(value(cells), dtype=float)
    ages = [f"N({age_cell})", *(f'IF(ISNUMBER({step_cell}),{i}*{step_cell},"")' for i in range(_POINTS))]
    money, unit = book.words.currency, book.words.distance
    headers = {
        "spent": ("Hazard spent by a usual vehicle", "decimal3"), "hazard": ("Hazard over vehicles", "decimal3"),
        "part": ("Share of its slope", "decimal3"), "half": ("Half the band of its log", "decimal3"),
        "good": ("Still good", "decimal3"), "low": ("Low", "decimal3"), "high": ("High", "decimal3"),
        "height": ("High less low", "decimal3"), "factory": ("Still good at factory height", "decimal3"),
        "cost": (f"Cost when replaced at this age ({money} per 1000 {unit})", "money2"),
    }  # fmt: skip
    columns = [
        Column("age", f"Age ({unit})", "distance", "live", "={age_formula}"),
        *(Column(name, header, kind, "live", formulas[name]) for name, (header, kind) in headers.items()),
    ]
    references = [{**found.cells, "age_formula": age} for age in ages]
    frame = pd.DataFrame({column.name: cells[column.name] for column in columns})
    place = data.table(frame, columns, references=references)
    data.row += 1
    return CurvePoints(place, frame, step)
