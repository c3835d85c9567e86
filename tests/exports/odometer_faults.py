"""Odometers as clocks and clerks spoil them, with the truth kept: slips, rollovers, new clusters, wrong units."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

MI = 1.609344

#: Share of vehicles with each lasting fault.
VEHICLE_FAULTS = {"rollover": 0.05, "new_cluster": 0.06, "other_unit": 0.04}
#: Share of single readings with a slip.
SLIP_SHARE = 0.01
SLIPS = ("digit_changed", "digits_swapped", "digit_doubled", "digit_dropped", "earlier_reading", "later_reading")


@dataclass(frozen=True)
class Spoilt:
    """What was written instead of the truth.

    Parameters
    ----------
    written : ndarray of float
        Figure as written, in the unit of the true one.
    fault : ndarray of str
        Name of the fault; empty for a good reading. Readings after a rollover or a new cluster, and those in the
        other unit, are `rollover`, `new_cluster`, `other_unit`.
    """

    written: np.ndarray
    fault: np.ndarray


def spoil_odometers(rng: np.random.Generator, readings: pd.DataFrame, *, unit_of: str = "km") -> Spoilt:
    """Spoil the odometers of a table `unit, date, odometer` (of all sources together, true figures, rounded).

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    readings : pandas.DataFrame
        Columns `unit, date, odometer`.
    unit_of : str
        `km` or `mi`: what the figures are in.

    Returns
    -------
    Spoilt
        Row by row for the readings. Rows of one unit and day are spoilt alike.
    """
    written = readings["odometer"].to_numpy(dtype=float).copy()
    fault = np.full(len(written), "", dtype=object)
    for _, rows in readings.groupby("unit", sort=True):
        order = rows.sort_values(["date", "odometer"]).index.to_numpy()
        places = readings.index.get_indexer(order)
        days = readings["date"].to_numpy()[places]
        kind = _draw_fault(rng)
        if kind and len(places) >= 8:
            _spoil_vehicle(rng, kind, places, days, written, fault, unit_of)
        _slip(rng, places, days, written, fault)
    return Spoilt(np.rint(written), fault)


def _draw_fault(rng: np.random.Generator) -> str:
    draw = rng.random()
    for name, share in VEHICLE_FAULTS.items():
        if draw < share:
            return name
        draw -= share
    return ""


def _spoil_vehicle(rng, kind, places, days, written, fault, unit_of):
    """A fault that lasts: from a day in the middle half of the vehicle's record on."""
    start = days[int(rng.integers(len(places) // 4, 3 * len(places) // 4))]
    after = places[days >= start]
    if kind == "other_unit":
        written[after] *= 1.0 / MI if unit_of == "km" else MI
        fault[after] = kind
    elif kind == "new_cluster":
        written[after] -= np.floor(written[after].min()) - float(rng.choice([0.0, 10.0, 25_000.0]))
        fault[after] = kind
    else:
        # A five-digit clock: every reading of the vehicle is what is left of 100,000.
        wrapped = written[places] >= 100_000.0
        written[places] %= 100_000.0
        fault[places[wrapped]] = kind


def _slip(rng, places, days, written, fault):
    """Single readings written wrongly; rows of one day hang together, so that only days with one row slip."""
    _, which, counts = np.unique(days, return_inverse=True, return_counts=True)
    alone = counts[which] == 1
    for i in range(1, len(places) - 1):
        place = places[i]
        if fault[place] or not alone[i] or written[place] < 10_000 or rng.random() >= SLIP_SHARE:
            continue
        kind = str(rng.choice(SLIPS))
        wrong = _slipped(rng, kind, written[place], written[places[i - 1]], written[places[i + 1]])
        # A slip that stays between the readings beside it is no fault that anybody could find.
        if not written[places[i - 1]] - 100 <= wrong <= written[places[i + 1]] + 100:
            written[place], fault[place] = wrong, kind


def _slipped(rng, kind: str, value: float, before: float, after: float) -> float:
    digits = f"{value:.0f}"
    place = int(rng.integers(0, max(len(digits) - 3, 1)))
    if kind == "digit_changed":
        changed = (int(digits[place]) + int(rng.integers(1, 10))) % 10
        return float(digits[:place] + str(changed) + digits[place + 1 :])
    if kind == "digits_swapped":
        return float(digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :])
    if kind == "digit_doubled":
        return float(digits[: place + 1] + digits[place:])
    if kind == "digit_dropped":
        return float(digits[:place] + digits[place + 1 :])
    step = float(rng.uniform(3_000, 30_000))
    return max(before - step, 0.0) if kind == "earlier_reading" else after + step
