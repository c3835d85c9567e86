"""A shop's export of a million repair lines with free text: does intake and histories in bounded time and memory?

`python tests/benchmarks/large_export.py` writes the invented export into a temporary folder, reads it, builds the
histories, and prints seconds and peak memory of that. Position columns are blank, component and reason too in nine
driveline lines of ten, so that the text has to be read; almost every text is different. Of the coded lines one in
twenty has another reason than its words, as shops have, so that what is read is held against what the codes teach: the
slowest way through the intake. `--coded 0` leaves all codes out.
"""

import argparse
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.driveline.layouts import LAYOUTS, positions_of
from wearmodel.simulate.wording import other_work_text, repair_text

VEHICLES, DAYS = 10_000, 3_650
FIRST = np.datetime64("2015-01-01")
DRIVELINES = ("rear_two_piece", "all_wheel", "four_wheel_solid", "front_half_shafts")
_REASONS = ("failed", "worn", "planned")
#: Share of coded lines whose code is not what the words say; common practice, no source.
_ODD = 0.05
_NAMES = ("Amberly", "Brask", "Corvel", "Dunmore", "Eskil", "Farrow", "Gresham", "Holt")


def write_export(folder: Path, *, lines: int, readings: int, coded: float, seed: int = 1) -> None:
    """Write vehicles, readings and repairs of an invented fleet."""
    rng = np.random.default_rng(seed)
    units = np.array([f"QD-{i:05d}" for i in range(VEHICLES)])
    driveline = np.array(DRIVELINES)[np.arange(VEHICLES) % len(DRIVELINES)]
    pd.DataFrame(
        {"unit": units, "driveline": driveline, "duty": "mixed", "in_service_date": str(FIRST),
         "in_service_odometer": 0}
    ).to_csv(folder / "vehicles.csv", index=False)  # fmt: skip
    daily = rng.uniform(40.0, 160.0, VEHICLES)
    vehicle, day = rng.integers(VEHICLES, size=readings), rng.integers(1, DAYS, readings)
    _dated(units, vehicle, day, daily).to_csv(folder / "readings.csv", index=False)
    vehicle, day = rng.integers(VEHICLES, size=lines), rng.integers(1, DAYS, lines)
    table = _dated(units, vehicle, day, daily)
    table.insert(0, "order", [f"{i:08d}" for i in range(lines)])
    wordings = _wordings(rng)
    picked = rng.integers(len(wordings[DRIVELINES[0]]), size=lines)
    said = [wordings[name][k] for name, k in zip(driveline[vehicle], picked, strict=True)]
    numbers, names = rng.integers(1_000_000, size=lines), np.array(_NAMES)[rng.integers(len(_NAMES), size=lines)]
    table["text"] = [f"{line[0]}, job {n}, {name}" for line, n, name in zip(said, numbers, names, strict=True)]
    if coded > 0:
        has_codes, is_odd = rng.random(lines) < coded, rng.random(lines) < _ODD
        other = np.array(_REASONS)[rng.integers(len(_REASONS), size=lines)]
        reasons = np.where(is_odd, other, [line[2] for line in said])
        table["component"] = np.where(has_codes, [line[1] for line in said], "")
        table["reason"] = np.where(has_codes & (table["component"] != ""), reasons, "")
    table.to_csv(folder / "repairs.csv", index=False)


def _dated(units: np.ndarray, vehicle: np.ndarray, day: np.ndarray, daily: np.ndarray) -> pd.DataFrame:
    dates = np.datetime_as_string(FIRST + day.astype("timedelta64[D]"))
    return pd.DataFrame(
        {"date": dates, "unit": units[vehicle], "odometer": np.rint(day * daily[vehicle]).astype(np.int64)}
    )


def _wordings(rng: np.random.Generator) -> dict[str, list[tuple[str, str, str]]]:
    """Two thousand wordings a driveline with component and reason, six in ten of them about other work."""
    found = {}
    for name in DRIVELINES:
        places = list(positions_of(name, LAYOUTS).items())
        lines = [(other_work_text(rng), "", "") for _ in range(1_200)]
        for _ in range(800):
            position, component = places[int(rng.integers(len(places)))]
            reason = _REASONS[int(rng.integers(len(_REASONS)))]
            lines.append((repair_text(rng, component=component, position=position, reason=reason), component, reason))
        found[name] = lines
    return found


def main() -> None:
    """Write, read, and print what it took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=1_000_000)
    parser.add_argument("--readings", type=int, default=300_000)
    parser.add_argument("--coded", type=float, default=0.1, help="share of driveline lines with codes")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_export(folder, lines=arguments.lines, readings=arguments.readings, coded=arguments.coded)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        start = time.perf_counter()
        from wearmodel.history.histories import build_histories
        from wearmodel.intake.fleet import read_fleet

        fleet = read_fleet(folder)
        read = time.perf_counter()
        histories = build_histories(fleet)
        done = time.perf_counter()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    sys.stdout.write(
        f"{arguments.lines:,} repair lines, {arguments.readings:,} readings: intake {read - start:.1f} s, "
        f"histories {done - read:.1f} s, together {done - start:.1f} s, peak {peak / 1024**2:.2f} GiB "
        f"({before / 1024**2:.2f} before)\n{len(fleet.tables['repairs']):,} renewals used, "
        f"{len(histories.lives):,} lives\n"
    )


if __name__ == "__main__":
    main()
