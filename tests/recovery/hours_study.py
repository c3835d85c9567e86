"""How often engine hours are chosen where they are the clock, and where distance is."""

import argparse
import tempfile
from pathlib import Path

import numpy as np
from hours_fleet import write_hours_fleet

from wearmodel.fleet_clocks import settle_on_clocks
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet

JOINT = "cv_joint_outboard"


def chosen_clock(*, vehicles, seed, joints, speeds):
    """Clock chosen for joints, and their failures."""
    with tempfile.TemporaryDirectory() as folder:
        write_hours_fleet(Path(folder), vehicles=vehicles, seed=seed, joints=joints, speeds=speeds)
        fleet = read_fleet(Path(folder))
        clocks = settle_on_clocks(fleet, build_histories(fleet)).clocks
    mine = clocks[clocks["component"] == JOINT]
    return mine.loc[mine["chosen"], "clock"].iloc[0], float(mine["failures"].iloc[0])


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--fleets", type=int, default=40)
    wanted = parser.parse_args().fleets
    print("true clock, km an hour, vehicles: failures, share by hours, by age, by distance")
    for joints in ("hours", "distance"):
        for speeds in ((12.0, 60.0), (25.0, 40.0)):
            for vehicles in (12, 40):
                found = [chosen_clock(vehicles=vehicles, seed=s, joints=joints, speeds=speeds) for s in range(wanted)]
                names = np.array([name for name, _ in found])
                shares = "  ".join(f"{(names == name).mean():.1%}" for name in ("hours", "age", "distance"))
                print(f"{joints}, {speeds}, {vehicles}: {np.mean([n for _, n in found]):.0f}  {shares}", flush=True)


if __name__ == "__main__":
    main()
