"""Lets simulated shops write their records down, reads them, and tells how much was read rightly.

Run `python tests/exports/study.py --shops A B C --vehicles 80 --years 6 --seed 1` from the project's folder. The
wordings of shops in `tests/exports/held_out` are held out: nobody who works on the reader looks at them, so their
lines are never listed.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import pandas as pd
from exporting import export_fleet
from scoring import Scores, score
from shops import DEVELOPMENT, shop_named

from wearmodel.errors import InputError

FIGURES = (
    "component", "place", "reason", "wrong without review", "renewals dropped", "reason guessed",
    "idle taken for renewals", "foreign taken for renewals", "review, all driveline lines", "review, clear renewals",
    "review, unclear renewals", "review, foreign", "placed by the order",
)  # fmt: skip


def as_markdown(frame: pd.DataFrame, corner: str) -> str:
    """A table as Markdown."""
    head = [corner, *map(str, frame.columns)]
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    lines += ["| " + " | ".join(map(str, (name, *row))) + " |" for name, *row in frame.itertuples(name=None)]
    return "\n".join(lines)


def figures_table(scores: dict[str, Scores]) -> pd.DataFrame:
    """Figures by shop, with the number of lines."""
    table = pd.DataFrame({name: pd.Series(s.figures) for name, s in scores.items()}).reindex(FIGURES)
    text = table.map(lambda value: "-" if pd.isna(value) else f"{value:.1%}")
    counts = pd.DataFrame({name: pd.Series(s.counts) for name, s in scores.items()}).astype(str)
    return pd.concat([counts, text])


def summed(tables: list[pd.DataFrame]) -> pd.DataFrame:
    """Confusion tables of several shops added up."""
    total = tables[0]
    for table in tables[1:]:
        total = total.add(table, fill_value=0)
    return total.fillna(0).astype(int)


def failure_lines(name: str, result: Scores) -> list[str]:
    """Lines read wrongly or sent to review although they are clear, with the truth."""
    lines = []
    for v in result.verdicts:
        asked = v.component is False and v.read.state == "review"
        if not v.wrong and not asked and v.place is not False and v.reason is not False:
            continue
        true = "; ".join(f"{p.component} {p.position} {p.reason} (place {p.place})" for p in v.true.parts)
        read = "; ".join(f"{p.component} {p.position or '?'} {p.reason}" for p in v.read.parts)
        what = ", ".join(v.wrong) or ("review" if asked else "place open" if v.place is False else "reason")
        lines.append(
            f"{name} [{what}] {v.true.words}\n    true: {true or v.true.kind}\n    read: {read or v.read.state}"
            f"{' - ' + v.read.problem if v.read.problem else ''}\n"
        )
    return lines


def main() -> int:
    """Print figures and confusion tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--shops", nargs="+", default=list(DEVELOPMENT))
    parser.add_argument("--vehicles", type=int, default=80)
    parser.add_argument("--years", type=int, default=6)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--messy", action="store_true", help="title rows, repeated headings, totals, several files")
    parser.add_argument("--odometer-faults", action="store_true")
    parser.add_argument("--folder", type=Path, help="keep the exports there")
    parser.add_argument("--failures", type=Path, help="write wrongly read lines there (development shops only)")
    options = parser.parse_args()
    held_out = [name for name in options.shops if name not in DEVELOPMENT]
    if options.failures and held_out:
        print(f"Lines of held-out shops ({', '.join(held_out)}) are not listed.", file=sys.stderr)
        return 2
    scores: dict[str, Scores] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for name in options.shops:
            export = export_fleet(
                shop_named(name),
                (options.folder or Path(scratch)) / f"shop_{name}",
                seed=options.seed,
                vehicles=options.vehicles,
                years=options.years,
                messy=options.messy,
                odometer_faults=options.odometer_faults,
            )
            try:
                scores[name] = score(export)
            except InputError as error:
                print(f"Shop {name} cannot be read:\n{error}\n")
    if not scores:
        return 1
    print(as_markdown(figures_table(scores), "shop"))
    print("\n" + as_markdown(summed([s.components for s in scores.values()]), "component: true / read as"))
    print("\n" + as_markdown(summed([s.reasons for s in scores.values()]), "reason: true / read as"))
    if options.failures:
        lines = [line for name, result in scores.items() for line in failure_lines(name, result)]
        options.failures.write_text("\n".join(lines), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
