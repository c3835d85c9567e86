"""Kill runs at random moments and look at what is left: `python tests/pipeline/killed_runs.py --tries 50`.

Each try starts a plan of a small fleet over the output of a finished one and kills it after a random time. The workbook
must then be the old one or a whole new one, the tables all of one run or marked by the notice, and the run after it
must succeed and leave nothing unfinished behind.
"""

import argparse
import hashlib
import random
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

from wearmodel.output_files import UNFINISHED

ROOT = Path(__file__).parents[2]
NOTICE = "TABLES_OF_TWO_RUNS.txt"
SMALL = ["--vehicles", "6", "--years", "3", "--seed", "5", "--clean"]


def wearmodel(*arguments: object) -> subprocess.Popen[bytes]:
    """One run of the program in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "wearmodel", *map(str, arguments)], cwd=ROOT, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )  # fmt: skip


def finish(*arguments: object) -> None:
    """A run that must succeed."""
    run = wearmodel(*arguments)
    _, complaints = run.communicate()
    assert run.returncode == 0, complaints.decode()


def contents(folder: Path) -> dict[str, str]:
    """Digest of every table of a folder."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.glob("*.csv"))}


def unfinished(folder: Path) -> list[str]:
    """What a killed run left."""
    return sorted(path.name for path in folder.rglob(f"{UNFINISHED}*"))


def check_whole(out: Path, tables: Path, allowed: list[dict[str, str]]) -> None:
    """The workbook opens, and the tables are of one run, or said to be of two."""
    with zipfile.ZipFile(out) as archive:
        assert archive.testzip() is None
    assert contents(tables) in allowed or (tables / NOTICE).exists()


def killed_runs(place: Path, *, tries: int, rng: random.Random) -> Iterator[tuple[float, bool, int]]:
    """For each try the moment of the kill [s], whether the run was still alive, and what lay about afterwards."""
    fleet, out, tables = place / "fleet", place / "planner.xlsx", place / "tables"
    finish("simulate", fleet, *SMALL)
    options = ["plan", fleet, "--out", out, "--tables", tables]
    start = time.monotonic()
    finish(*options, "--months", 12)
    length = time.monotonic() - start
    # The killed runs look a month less far ahead, so that their tables can be told from those of the run before.
    first = contents(tables)
    finish(*options, "--months", 11)
    second = contents(tables)
    assert first != second
    for _ in range(tries):
        moment = rng.uniform(0.0, 1.05 * length)
        run = wearmodel(*options, "--months", 12)
        try:
            run.wait(moment)
        except subprocess.TimeoutExpired:
            run.kill()
        run.communicate()
        left = len(unfinished(place))
        check_whole(out, tables, [first, second])
        yield moment, run.returncode != 0, left
        if left:
            finish(*options, "--months", 11)
            assert not unfinished(place) and contents(tables) == second
    finish(*options, "--months", 11)
    assert contents(tables) == second and not unfinished(place)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tries", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        alive = left = 0
        for moment, was_alive, unfinished_files in killed_runs(
            Path(folder), tries=arguments.tries, rng=random.Random(arguments.seed)
        ):
            alive, left = alive + was_alive, left + (unfinished_files > 0)
            print(f"{moment:6.2f} s: {'killed' if was_alive else 'had finished'}, {unfinished_files} unfinished files")
    print(f"{arguments.tries} tries: {alive} killed, {left} left something unfinished, all removed by the run after")


if __name__ == "__main__":
    main()
