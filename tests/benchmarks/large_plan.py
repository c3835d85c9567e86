"""`wearmodel plan` of large fleets: does time grow with the lines, and do the largest fit a laptop?

`python tests/benchmarks/large_plan.py` writes an invented fleet of ten years for each size asked for (`--vehicles`),
plans it in a process of its own, workbook and tables, and prints wall clock, processor time and peak memory of that
process and the largest of those it starts. Parts last `--life-scale` times as long as those of `wearmodel simulate`,
so that 20,000 vehicles have a million lives, and lines about other work fill the repairs up to 50 a vehicle. `--fleets
DIR` keeps the folders, or takes them from there. Further options go to the command (`--workers 1`).
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

ROOT = Path(__file__).parents[2]
#: Repair lines a vehicle, lines about other work among them.
LINES_A_VEHICLE = 50


def write_large_fleet(folder: Path, *, vehicles: int, life_scale: float, seed: int = 3) -> None:
    """Write the fleet folder."""
    from wearmodel.simulate.fleet import simulate_fleet
    from wearmodel.simulate.folder import write_fleet
    from wearmodel.simulate.scenario import LAWS

    rng = np.random.default_rng(seed)
    laws = {
        code: replace(law, base_scale=law.base_scale * life_scale, planned_age=law.planned_age * life_scale)
        for code, law in LAWS.items()
    }
    fleet = simulate_fleet(rng, vehicles=vehicles, years=10, laws=laws)
    repairs = fleet.tables["repairs"]
    lacking = max(LINES_A_VEHICLE * vehicles - len(repairs), 0)
    tables = dict(fleet.tables) | {"repairs": _with_other_work(rng, repairs, fleet.tables["readings"], lacking)}
    write_fleet(replace(fleet, tables=tables), folder)


def _with_other_work(
    rng: np.random.Generator, repairs: pd.DataFrame, readings: pd.DataFrame, count: int
) -> pd.DataFrame:
    """Repairs with so many lines about other work, each on the day of a reading."""
    from wearmodel.simulate.wording import other_work_text

    seen = readings.iloc[rng.integers(len(readings), size=count)][["date", "unit", "odometer"]].reset_index(drop=True)
    added = seen.assign(
        order=[f"9{i:07d}" for i in range(count)], text=[other_work_text(rng) for _ in range(count)],
        labour_hours="1.0", parts_cost="30.00",
    ).reindex(columns=list(repairs.columns), fill_value="")  # fmt: skip
    return pd.concat([repairs, added]).sort_values("date", kind="stable", ignore_index=True)


def plan_cost(folder: Path, place: Path, options: list[str]) -> dict[str, float]:
    """Seconds and memory of the command, in a process that counts those it starts."""
    begun = time.perf_counter()
    done = subprocess.run(
        [sys.executable, __file__, "--measured", str(folder), str(place), *options],
        cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise SystemExit(f"{folder} could not be planned:\n{done.stderr}")
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found | {"wall [s]": time.perf_counter() - begun}


def _measured(folder: str, place: str, options: list[str]) -> None:
    """Plan in this process, and print what it took."""
    from wearmodel.cli import main as wearmodel

    out = Path(place)
    status = wearmodel(["plan", folder, "--out", str(out / "p.xlsx"), "--tables", str(out / "t"), *options])
    if status:
        raise SystemExit(status)
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    figures = {
        "processor [s]": sum(u.ru_utime + u.ru_stime for u in (own, children)),
        "peak [MiB]": own.ru_maxrss / 1024.0,
        "largest child [MiB]": children.ru_maxrss / 1024.0,
        "lives": sum(1 for _ in (out / "t" / "lives.csv").open(encoding="utf-8")) - 1,
    }
    print(json.dumps(figures))


def main() -> None:
    """Write, plan, print."""
    if sys.argv[1:2] == ["--measured"]:
        _measured(sys.argv[2], sys.argv[3], sys.argv[4:])
        return
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--vehicles", type=int, nargs="+", default=[40, 400, 4_000, 20_000])
    parser.add_argument("--life-scale", type=float, default=0.2)
    parser.add_argument("--fleets", type=Path, help="folder in which the fleet folders are kept")
    parser.add_argument("--write-only", action="store_true", help="write the fleets and do not plan")
    given, options = parser.parse_known_args()
    with tempfile.TemporaryDirectory() as name:
        fleets = given.fleets or Path(name)
        fleets.mkdir(exist_ok=True)
        for vehicles in given.vehicles:
            folder = fleets / f"fleet_{vehicles}"
            if not folder.exists():
                write_large_fleet(folder, vehicles=vehicles, life_scale=given.life_scale)
            lines = sum(1 for _ in (folder / "repairs.csv").open(encoding="utf-8")) - 1
            if given.write_only:
                print(f"{folder}: {lines:,} repair lines", flush=True)
                continue
            place = Path(name) / f"plan_{vehicles}"
            place.mkdir()
            cost = plan_cost(folder, place, options)
            print(
                f"{vehicles:>7,} vehicles, {lines:>9,} repair lines, {cost['lives']:>9,.0f} lives:"
                f" wall {cost['wall [s]']:6.1f} s, processor {cost['processor [s]']:6.1f} s,"
                f" peak {cost['peak [MiB]']:6,.0f} MiB, largest child {cost['largest child [MiB]']:6,.0f} MiB",
                flush=True,
            )


if __name__ == "__main__":
    main()
