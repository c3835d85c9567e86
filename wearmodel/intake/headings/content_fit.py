"""How well the content of a column fits each canonical column."""

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["column_fit", "may_be"]

_ANYTHING = 0.5


def column_fit(name: str, evidence: Mapping[str, float]) -> float:
    """How well a column's content fits a canonical column.

    Parameters
    ----------
    name : str
        Canonical column name.
    evidence : mapping of str to float
        As from `column_evidence`.

    Returns
    -------
    float
        0 to 1; high only where the content is peculiar to that column.
    """
    kind = _KIND_OF.get(name, "category")
    if kind == "text":
        return evidence["text"] * (1.0 - 0.5 * max(evidence["position"], evidence["component"]))
    # A figure may be any of a dozen things, a word that comes again any of four.
    return min(evidence[kind], _ANYTHING) if kind in ("number", "category") else evidence[kind]


def may_be(name: str, evidence: Mapping[str, float]) -> bool:
    """Whether a column's content allows it to be a canonical column.

    Parameters
    ----------
    name : str
        Canonical column name.
    evidence : mapping of str to float
        As from `column_evidence`.

    Returns
    -------
    bool
        False for an empty column, and for content of another kind.
    """
    if evidence["filled"] == 0.0:
        return False
    kind = _KIND_OF.get(name, "category")
    if kind in ("date", "month"):
        return evidence[kind] >= 0.5
    if kind in ("number", "money", "odometer"):
        return evidence["number" if kind == "odometer" else kind] >= 0.5 and evidence["date"] < 0.9
    if kind == "text":
        return evidence["date"] < 0.5 and evidence["number"] < 0.5
    if kind in ("unit", "order", "part_number") and min(evidence["money"], evidence["number"]) > 0.9:
        return False  # amounts with decimals
    return (evidence["prose"] < 0.6 or evidence["category"] > 0.0) and evidence["date"] < 0.5


_KIND_OF: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("date", "in_service_date", "records_from", "out_of_service_date"), "date"),
        **dict.fromkeys(("odometer", "in_service_odometer"), "odometer"),
        **dict.fromkeys(
            (
                "lift", "quantity", "labour_hours", "engine_hours", "lead_time_days", "lead_time_sd_days", "pack",
                "on_hand", "on_order", "distance", "stops", "idle_hours", "unpaved_share", "tow_hours", "mean_speed",
                "joins", "leaves",
            ),
            "number",
        ),
        **dict.fromkeys(("parts_cost", "unit_price"), "money"),
        **dict.fromkeys(("text", "note"), "text"),
        **{
            name: name
            for name in (
                "month", "order", "unit", "part_number", "driveline", "position", "component", "reason", "finding",
            )
        },
    }
)  # fmt: skip
"""Canonical column -> the kind of content it has; all others are categories."""
