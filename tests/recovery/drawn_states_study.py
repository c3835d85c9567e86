"""How much estimates scatter because states are drawn, by the number kept.

`python tests/recovery/drawn_states_study.py` settles one fleet of vehicles with six joints and some 40 lines, half of
them without a position, again and again with other random numbers, and prints by how far log shape and log B10 scatter,
and by how far their mean is from that of many states.
"""

import argparse
import sys

import numpy as np
import pandas as pd
from open_lines_study import LARGE, Answer, answer_of, invented_fleet

from wearmodel import settled_fleet
from wearmodel.history import open_paths


def logs(answer: Answer) -> tuple[float, float]:
    """Log shape and log B10."""
    return float(np.log(answer.shape[0])), float(np.log(answer.b10[0]))


def study(*, vehicles: int, states: list[int], draws: int, most: int) -> pd.DataFrame:
    """One row a number of states."""
    _, masked = invented_fleet(np.random.default_rng(11), vehicles=vehicles, blanked=0.5, design=LARGE)
    found = {}
    for kept in (*states, most):
        settled_fleet.KEPT_STATES = kept
        answers = []
        for seed in range(draws if kept != most else 2):
            open_paths.SEED = seed + 1
            answers.append(logs(answer_of(masked)))
        found[kept] = np.array(answers)
    aim = found[most].mean(axis=0)
    rows = []
    for kept in states:
        scatter, off = found[kept].std(axis=0, ddof=1), found[kept].mean(axis=0) - aim
        rows.append((kept, scatter[0], off[0], scatter[1], off[1]))
    return pd.DataFrame(rows, columns=["states", "shape scatter", "shape off", "B10 scatter", "B10 off"])


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--vehicles", type=int, default=20)
    parser.add_argument("--states", type=int, nargs="+", default=[100, 500, 1000])
    parser.add_argument("--draws", type=int, default=6)
    parser.add_argument("--most", type=int, default=4000)
    arguments = parser.parse_args()
    table = study(
        vehicles=arguments.vehicles, states=arguments.states, draws=arguments.draws, most=arguments.most
    )
    print(table.round(5).to_string(index=False), file=sys.stdout)


if __name__ == "__main__":
    main()
