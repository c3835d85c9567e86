"""The same record gives the same answer: run again, with rows and files in another order, under another hash seed."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.cli import main

ROOT = Path(__file__).parents[2]
FILES = ("vehicles", "ride_height", "readings", "repairs", "inspections", "parts", "stock", "duty_log")
#: Tables that tell of single rows of the files, by their numbers.
BY_ROW = ("set_aside", "review")


def plan(fleet, place, name, *, hash_seed="0"):
    """Workbook parts and tables of a run in a process of its own."""
    out, tables = place / f"{name}.xlsx", place / name
    run = subprocess.run(
        [sys.executable, "-m", "wearmodel", "plan", str(fleet), "--out", str(out), "--tables", str(tables)],
        cwd=ROOT, capture_output=True, text=True, check=False, env={**os.environ, "PYTHONHASHSEED": hash_seed},
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    with zipfile.ZipFile(out) as archive:
        # The folder of the tables is named in it, and is another one in every run.
        parts = {part: archive.read(part).replace(bytes(tables), b"TABLES") for part in archive.namelist()}
    return parts, {path.stem: path.read_bytes() for path in sorted(tables.iterdir())}


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """A fleet with the ordinary dirt of shop records, and its plan."""
    place = tmp_path_factory.mktemp("first")
    fleet = place / "fleet"
    assert main(["simulate", str(fleet), "--vehicles", "25", "--years", "4", "--seed", "11"]) == 0
    return place, fleet, plan(fleet, place, "first")


def test_run_again_under_another_hash_seed(first):
    place, fleet, (parts, tables) = first
    again, same = plan(fleet, place, "again", hash_seed="4242")
    assert same == tables
    assert again.keys() == parts.keys()
    # The workbook is dated by the record, not by the day it is made: nothing at all differs.
    assert again == parts


def reordered(fleet, other, rng):
    """The same record with the rows of every table in another order, repairs in two files named in another order."""
    other.mkdir()
    settings = (fleet / "fleet.toml").read_text(encoding="utf-8")
    assert "[tables" not in settings
    for name in FILES:
        frame = pd.read_csv(fleet / f"{name}.csv", dtype=str, keep_default_na=False)
        frame = frame.iloc[rng.permutation(len(frame))]
        if name == "repairs":
            frame.iloc[::2].to_csv(other / "z_lines.csv", index=False)
            frame.iloc[1::2].to_csv(other / "a_lines.csv", index=False)
        else:
            frame.to_csv(other / f"{name}.csv", index=False)
    files = "".join(f'[[tables.repairs]]\nfile = "{name}.csv"\n' for name in ("z_lines", "a_lines"))
    (other / "fleet.toml").write_text(f"{settings}\n{files}", encoding="utf-8")
    return other


def test_rows_and_files_in_another_order(first):
    place, fleet, (_, tables) = first
    other = reordered(fleet, place / "other", np.random.default_rng(3))
    _, changed = plan(other, place, "changed")
    assert changed.keys() == tables.keys()
    differ = {name for name in tables if changed[name] != tables[name]}
    # These name files and rows; everything else is equal to the last byte.
    assert differ <= {*BY_ROW, "reconciliation"}
    for name in BY_ROW:
        counts = [pd.read_csv(place / run / f"{name}.csv", dtype=str) for run in ("first", "changed")]
        assert len(counts[0]) == len(counts[1]), name


def test_fit_gives_the_same_model_file(first, tmp_path):
    _, fleet, _ = first
    texts = []
    for name in ("one", "two"):
        assert main(["fit", str(fleet), "--model", str(tmp_path / name)]) == 0
        texts.append((tmp_path / name).read_bytes())
    assert texts[0] == texts[1]
