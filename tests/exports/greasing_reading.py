"""How many lines on greasing are read as such: `python tests/exports/greasing_reading.py A F K` (letters of shops)."""

import re
import sys
import tempfile
from pathlib import Path

import pandas as pd
from exporting import Export, export_fleet
from scoring import ANY_FILE
from shops import shop_named

from wearmodel.driveline.layouts import GREASED_FOR_LIFE, positions_of
from wearmodel.intake.fleet import read_fleet


def _number(unit: str) -> str:
    """Number of a vehicle, which every shop writes in a way of its own."""
    return re.sub(r"\D", "", unit)[-3:]


def greasing_figures(export: Export) -> dict[str, float]:
    """Share of greasing lines that are read, and share of those read that are surely something else.

    Lines of vehicles without half shafts: what is greased there can be greased by routine.
    """
    fleet = read_fleet(export.folder)
    vehicles = fleet.tables["vehicles"]
    able = {
        _number(unit)
        for unit, driveline in zip(vehicles["unit"], vehicles["driveline"], strict=True)
        if not GREASED_FOR_LIFE & set(positions_of(driveline, fleet.settings.layouts).values())
    }
    frame = fleet.greasings[fleet.greasings["unit"].map(_number).isin(able)]
    files = {row.file for row in export.rows}
    # Rows of a database stand under no file's name.
    named = frame["file"].where(frame["file"].isin(files), ANY_FILE)
    read = set(zip(named, frame["row"], strict=True))
    rows = {(row.file, row.row): row for row in export.rows if not row.repeats and _number(row.unit) in able}
    true = [key for key, row in rows.items() if row.kind == "grease"]
    # A line that renews something may have greased something else: only lines of another kind are wrong for sure.
    wrong = [key for key in read if key in rows and rows[key].kind in ("look", "adjust", "later", "other")]
    return {
        "lines": len(true),
        "read": len(read.intersection(true)) / max(len(true), 1),
        "wrong among those read": len(wrong) / max(len(read), 1),
    }


def figures_of(names: list[str], *, vehicles: int = 60, years: int = 5, seed: int = 103) -> pd.DataFrame:
    """Figures by shop."""
    with tempfile.TemporaryDirectory() as folder:
        return pd.DataFrame(
            {
                name: greasing_figures(
                    export_fleet(shop_named(name), Path(folder) / name, seed=seed, vehicles=vehicles, years=years)
                )
                for name in names
            }
        )


if __name__ == "__main__":
    print(figures_of(sys.argv[1:]).round(3).to_string())
