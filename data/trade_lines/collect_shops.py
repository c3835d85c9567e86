"""Writes the lines of the development shops of `tests/exports` with their truth into `shops.csv`.

Run `python data/trade_lines/collect_shops.py` from the project's folder. Shops that are held out are not among them:
how well unseen wording is read is measured on those.
"""

import csv
import sys
import tempfile
from pathlib import Path

FOLDER = Path(__file__).parent
sys.path.insert(0, str(FOLDER.parents[1] / "tests" / "exports"))

from exporting import TrueRow, export_fleet  # noqa: E402  (found by the path above)
from shops import DEVELOPMENT, shop_named  # noqa: E402

SEED, VEHICLES, YEARS = 77, 80, 6
#: Of each shop; its first lines are as good as its last.
MOST_OF_ONE = 450


def parts_of(row: TrueRow) -> str:
    """Components as far as the line tells them."""
    return "; ".join(f"{part.component}@" for part in row.parts if part.component_said)


def reasons_of(row: TrueRow) -> str:
    """Reasons as far as the line tells them, each once."""
    return ";".join(dict.fromkeys(part.reason for part in row.parts if part.reason_said and part.lead))


def main() -> int:
    """Write the file."""
    path = FOLDER / "shops.csv"
    with tempfile.TemporaryDirectory() as scratch, path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(("voice", "text", "kind", "parts", "reason"))
        for name in DEVELOPMENT:
            export = export_fleet(shop_named(name), Path(scratch) / name, seed=SEED, vehicles=VEHICLES, years=YEARS)
            own = {row.words: row for row in reversed(export.rows) if not (row.repeats or row.coded)}
            for text, row in list(own.items())[:MOST_OF_ONE]:
                writer.writerow((f"shop {name}", text, row.kind, parts_of(row), reasons_of(row)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
