"""The distance unit a folder of exports counts in, as far as its headings and cells say."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from wearmodel.intake.headings.heading_meanings import heading_unit, heading_words
from wearmodel.intake.proposal.table_fits import TableFit
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.values.plain_text import plain

__all__ = ["DistanceUnit", "counts_engine_hours", "distance_unit_lines", "table_unit"]

_CLOCKS = ("odometer", "distance", "in_service_odometer")
_BEHIND = re.compile(r"\d\s*(km|kms|mi|miles)\.?$", re.IGNORECASE)


@dataclass(frozen=True)
class DistanceUnit:
    """The unit proposed for the whole fleet.

    Parameters
    ----------
    unit : str
        `km`, `mi` or `hours`.
    lines : tuple of str
        Lines of `fleet.toml`.
    question : str
        A sentence where nothing names a unit, or two are named; else empty.
    """

    unit: str
    lines: tuple[str, ...]
    question: str = ""


def distance_unit_lines(fits: Sequence[TableFit]) -> DistanceUnit:
    """The unit that headings or cells of distances name.

    Parameters
    ----------
    fits : sequence of TableFit
        Every recognised table.

    Returns
    -------
    DistanceUnit
        The commonest unit named; km with a question where none is. A meter of hours beside odometers in km or miles
        counts engine hours and names nothing.
    """
    named: Counter[str] = Counter()
    where: dict[str, str] = {}
    driven = any("odometer" in fit.columns and table_unit(fit) in ("km", "mi") for fit in fits)
    for fit in fits:
        unit = table_unit(fit)
        if unit and not (driven and counts_engine_hours(fit)):
            named[unit] += len(fit.view.body)
            where.setdefault(unit, fit.view.place.label)
    if not named:
        return DistanceUnit(
            "km",
            (
                "# QUESTION distance_unit: nothing names the unit of the odometers; km is taken.",
                'distance_unit = "km"',
                '# distance_unit = "mi"',
            ),
            "distance_unit: nothing names the unit of the odometers, km is taken; are they kilometres or miles?",
        )
    unit = named.most_common(1)[0][0]
    return DistanceUnit(unit, (f'distance_unit = "{unit}"  # as in {plain(where[unit], limit=80)}',))


def counts_engine_hours(fit: TableFit) -> bool:
    """Whether a table's odometer is a meter of hours that may count engine hours beside odometers elsewhere.

    Parameters
    ----------
    fit : TableFit
        A recognised table.

    Returns
    -------
    bool
        False for tables that cannot hold engine hours, or have another column of them.
    """
    free = "engine_hours" in SCHEMA[fit.table].names and "engine_hours" not in fit.columns
    return free and "odometer" in fit.columns and table_unit(fit) == "hours"


def table_unit(fit: TableFit) -> str:
    """The unit of a table's distances, where a heading or the cells name one.

    Parameters
    ----------
    fit : TableFit
        A recognised table.

    Returns
    -------
    str
        `km`, `mi`, `hours` or empty.
    """
    for name in _CLOCKS:
        if name not in fit.columns or not SCHEMA[fit.table].column(name).is_distance:
            continue
        place = fit.columns[name].places[0]
        heading = fit.view.headers[place]
        unit = heading_unit(heading)
        words = heading_words(heading)
        if {"km", "miles"} <= set(words):
            continue  # `Miles/Km` leaves it open
        if unit in ("km", "mi"):
            return unit
        for word, meant in (("km", "km"), ("miles", "mi"), ("hours", "hours")):
            if word in words:
                return meant
        marks = Counter(
            "km" if match[1].casefold().startswith("k") else "mi"
            for text in fit.view.column(place).tolist()
            if (match := _BEHIND.search(text))
        )
        if marks and 2 * marks.total() > len(fit.view.sample):
            return marks.most_common(1)[0][0]
    return ""
