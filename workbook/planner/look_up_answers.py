"""The figures of the curve looked up on the sheet "Life curves": chances, lives and costs, live."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from scipy.special import gamma

from wearmodel.survival import weibull
from workbook.planner.book import Book
from workbook.planner.curve_laws import LookedUp
from workbook.planner.look_up_points import LEAST_VARIANCE, CurvePoints, pace_formula
from workbook.planner.page import Page

__all__ = ["write_answers"]

_ALIKE = f"{{frailty_variance}}<={LEAST_VARIANCE:.6f}"


@dataclass(frozen=True)
class _Answer:
    """One figure: a formula whose names stand for the cells of the law and of the choices."""

    label: str
    kind: str
    formula: str
    value: float
    meaning: str = ""
    low: str = ""
    high: str = ""
    bounds: tuple[float, float] = (math.nan, math.nan)


def _spent(age: str) -> str:
    return f"(({age})/{{scale}})^{{shape}}"


def _gone(share: str) -> str:
    """Hazard of a usual vehicle by which a share of all vehicles' parts has failed."""
    return f"IF({_ALIKE},-LN(1-{share}),((1-{share})^(-{{frailty_variance}})-1)/{{frailty_variance}})"


def _further(share: str) -> str:
    """Distance by which a share of the parts of the age asked for has failed."""
    now = _spent("{chosen_age}")
    over = f"IF({_ALIKE},1,1+{{frailty_variance}}*{now})"
    return f"{{scale}}*({now}+{over}*{_gone(share)})^(1/{{shape}})-{{chosen_age}}"


def _law(found: LookedUp) -> dict[str, float]:
    variance = found.values["frailty_variance"]
    return {
        "shape": found.values["shape"], "scale": found.values["scale"],
        "variance": variance if variance > LEAST_VARIANCE else 0.0,
    }  # fmt: skip


def _chances(found: LookedUp, chosen: Mapping[str, float], points: CurvePoints) -> list[_Answer]:
    law, place, first = _law(found), points.place, points.frame.iloc[0]
    more = f"({_spent('{chosen_age}+{chosen_ahead}')}-{_spent('{chosen_age}')})"
    v = "{frailty_variance}"
    hazard = f"IF({_ALIKE},{more},LN(1+{v}*{more}/(1+{v}*{_spent('{chosen_age}')}))/{v})"
    return [
        _Answer("A new part is still good at this age (%)", "percent", place.cell("good", 0), float(first["good"]),
                "Share of parts that reach the age.", place.cell("low", 0), place.cell("high", 0),
                (float(first["low"]), float(first["high"]))),
        _Answer("A part of this age fails in the distance ahead (%)", "percent", f"1-EXP(-{hazard})",
                float(weibull.fail_within(chosen["age"], chosen["ahead"], **law)),
                "Chance, of a part that is good today."),
    ]  # fmt: skip


def _band(book: Book, found: LookedUp, share: float) -> "tuple[str, float]":
    """Factor between a life and the ends of its band (delta method), as a formula and as it is now."""
    z = NormalDist().inv_cdf(0.5 + book.plan.model.confidence / 2.0)
    v = "{frailty_variance}"
    burnt = f"({v}*-LN(1-{{chosen_share}}))"
    steps = {
        "scale": "1",
        "shape": f"(-LN({_gone('{chosen_share}')})/{{shape}})",
        "frailty": f"IF({_ALIKE},0,({burnt}*EXP({burnt})/(EXP({burnt})-1)-1)/{{shape}})",
    }
    names = list(steps)
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i:]]
    square = "+".join(f"{'' if a == b else '2*'}{steps[a]}*{steps[b]}*{{{a}_{b}}}" for a, b in pairs)
    law = _law(found)
    if not math.isfinite(law["shape"]):
        return f"EXP({z!r}*SQRT(MAX({square},0)))", math.nan
    slopes = dict(
        zip(names, weibull.log_life_slopes(share, shape=law["shape"], variance=law["variance"]), strict=True)
    )
    total = sum((1 if a == b else 2) * slopes[a] * slopes[b] * found.values[f"{a}_{b}"] for a, b in pairs)
    return f"EXP({z!r}*SQRT(MAX({square},0)))", float(np.exp(z * np.sqrt(max(total, 0.0))))


def _lives(book: Book, found: LookedUp, chosen: Mapping[str, float]) -> list[_Answer]:
    law, unit = _law(found), book.words.distance
    formula = f"{{scale}}*{_gone('{chosen_share}')}^(1/{{shape}})"
    life = float(weibull.life_at(chosen["share"], **law))
    factor, now = _band(book, found, chosen["share"])
    v, k = "{frailty_variance}", "{shape}"
    mean = (
        f"IF({_ALIKE},{{scale}}*EXP(GAMMALN(1+1/{k})),IF({v}<{k},{{scale}}*EXP(GAMMALN(1+1/{k})+GAMMALN(1/{v}-1/{k})"
        f'-GAMMALN(1/{v}))*{v}^(-1/{k}),""))'
    )
    mean_now = float(weibull.mean_life(**law))
    return [
        _Answer(f"The share chosen has failed by ({unit})", "distance", formula, life,
                "Life of a new part that so many do not reach.", f"({formula})/{factor}", f"({formula})*{factor}",
                (life / now, life * now)),
        _Answer(f"Half of the parts of this age fail within ({unit})", "distance", _further("0.5"),
                float(weibull.remaining(chosen["age"], fraction=0.5, **law)), "Median of the remaining life."),
        _Answer(f"1 in 10 of the parts of this age fails within ({unit})", "distance", _further("0.1"),
                float(weibull.remaining(chosen["age"], fraction=0.1, **law)), "Remaining life to plan a look by."),
        _Answer(f"Mean life of a new part ({unit})", "distance", mean,
                mean_now if math.isfinite(mean_now) else math.nan,
                "Blank where vehicles wear so unlike that it is without bounds."),
    ]  # fmt: skip


def _costs(book: Book, found: LookedUp, points: CurvePoints) -> list[_Answer]:
    law, place, frame = _law(found), points.place, points.frame
    rate = f"({book.words.currency} per 1000 {book.words.distance})"
    at_failure = (
        f'IF(ISNUMBER({{failed}}),1000*{pace_formula("{frailty_variance}", "{shape}")}*{{failed}}'
        '/({scale}*EXP(GAMMALN(1+1/{shape}))),"")'
    )
    pace = float(weibull.mean_pace(law["shape"], law["variance"])) if math.isfinite(law["shape"]) else math.nan
    costs, ages = place.range("cost", first=1), place.range("age", first=1)
    drawn = frame["cost"].to_numpy()[1:]
    at = 1 + int(np.nanargmin(drawn)) if np.isfinite(drawn).any() else None
    best = (math.nan, math.nan) if at is None else (float(frame["age"].iloc[at]), float(frame["cost"].iloc[at]))
    return [
        _Answer(f"Cost when replaced at this age {rate}", "money2", place.cell("cost", 0), float(frame["cost"].iloc[0]),
                "Or at its failure, whichever comes first; blank for age 0 or a missing cost."),
        _Answer(f"Cost run to failure {rate}", "money2", at_failure,
                1000 * pace * found.values["failed"] / (law["scale"] * float(gamma(1 + 1 / law["shape"])))),
        _Answer(f"Age of least cost among those drawn ({book.words.distance})", "distance",
                f'IF(COUNT({costs})>0,INDEX({ages},MATCH(MIN({costs}),{costs},0)),"")',
                best[0],
                "True best age: within one step of the chart; exact, and on whole services, on the sheet Intervals."),
        _Answer(f"Cost when replaced at that age {rate}", "money2", f'IF(COUNT({costs})>0,MIN({costs}),"")',
                best[1]),
    ]  # fmt: skip


_NONE_HERE = "no curve at this ride height"
_NONE_AT_ALL = "no curve of this component in this duty"


def write_answers(
    book: Book,
    page: Page,
    *,
    found: LookedUp,
    chosen: Mapping[str, float],
    cells: Mapping[str, str],
    points: CurvePoints,
) -> None:
    """Write the figures at the cursor, one line each.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Where to.
    found : LookedUp
        The law looked up.
    chosen : mapping of str to float
        Numbers chosen: `age` and `ahead` [distance], `share` [-].
    cells : mapping of str to str
        Their cells.
    points : CurvePoints
        The curve point by point.
    """
    for column, header in enumerate(("Figure", "Answer", "Low", "High")):
        page.put(page.row, column, header, role="number_head" if column else "head")
    page.across(page.row, 4, "What it means", role="head")
    page.row += 1
    names = {**found.cells, **{f"chosen_{name}": f"N({cell})" for name, cell in cells.items()}}
    for answer in (*_chances(found, chosen, points), *_lives(book, found, chosen), *_costs(book, found, points)):
        page.put(page.row, 0, answer.label)
        shown = zip((1, 2, 3), (answer.formula, answer.low, answer.high), (answer.value, *answer.bounds), strict=True)
        for column, formula, value in shown:
            if not formula:
                page.put(page.row, column, math.nan)
                continue
            live = f'=IF(ISNUMBER({{shape}}),{formula},"")'.format_map(names)
            page.put_formula(page.row, column, live, cached=value, kind=answer.kind)
        page.across(page.row, 4, answer.meaning)
        page.row += 1
    for column in (2, 3):
        page.widen(column, 90)
    text = f'=IF({{row}}>0,"",IF({{factory_row}}>0,"{_NONE_HERE}","{_NONE_AT_ALL}"))'.format_map(found.cells)
    absent = _NONE_HERE if found.values["factory_row"] else _NONE_AT_ALL
    page.put(page.row, 0, "What is missing")
    page.put_formula(page.row, 1, text, cached="" if found.values["row"] else absent, kind="text")
    page.row += 1
