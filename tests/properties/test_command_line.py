"""The whole command line under random arguments: done, or sentences and exit 2; no traceback, no lost input."""

import contextlib
import io
import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wearmodel.cli import main

FUZZ = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])

VEHICLES = "unit,driveline,in_service_date\nA1,rear_two_piece,2019-01-01\n"
REPAIRS = "order,date,unit,odometer,component,reason\nW1,2020-02-01,A1,9000,u_joint,failed\n"
#: Names in the folder where the commands run: sound and broken fleets, files of every kind, and what is not there.
PLACES = st.sampled_from(
    [
        "sound", "broken", "empty", "file.txt", "none", "none/deeper", "", ".", "sound/repairs.csv", "model.json",
        "other.json", "book.xlsx", "made.xlsx", "made.json", "made", "sound/planner.xlsx", "link", "loop", "pipe.json",
        "\udcff", "a\x01b", "=1+1", "x" * 300, "-", "--", "COM1", "🔧.xlsx",
    ]
)  # fmt: skip
NUMBERS = st.sampled_from(["0", "1", "12", "120", "121", "-1", "1e3", "٣", "nan", "", "9" * 50, "0x10", "1.5", "x"])
DAYS = st.sampled_from(["2020-06-30", "2020-02-30", "30.6.2020", "0001-01-01", "9999-12-31", "20200630", "", "now"])
OPTIONS = st.one_of(
    st.tuples(st.sampled_from(["--tables", "--model", "--review", "--out", "--earlier-model", "--profile"]), PLACES),
    st.tuples(st.sampled_from(["--months", "--seed", "--vehicles"]), NUMBERS),
    st.tuples(st.just("--as-of"), DAYS),
    st.tuples(st.sampled_from(["--clean", "--help", "--version", "--nonsense", "-x", "--setup"])),
    st.tuples(st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=5)),
)
COMMANDS = st.sampled_from(["check", "check", "fit", "plan", "backtest", "functions", "simulate", "frobnicate", ""])


def furnish(place):
    """The folder where the commands run."""
    for name in ("sound", "broken", "empty"):
        (place / name).mkdir()
    for name in ("sound", "broken"):
        (place / name / "vehicles.csv").write_text(VEHICLES)
        (place / name / "repairs.csv").write_text(REPAIRS if name == "sound" else "date\nsoonish\n")
        (place / name / "fleet.toml").write_text("" if name == "sound" else "currencey = 'EUR'\n")
    (place / "file.txt").write_text("mine")
    (place / "model.json").write_text("{}")
    (place / "other.json").write_text('{"schema": "wearmodel/life-model", "version": 3}')
    (place / "book.xlsx").write_bytes(b"PK mine")
    (place / "link").symlink_to(place / "sound")
    (place / "loop").symlink_to(place / "loop")
    os.mkfifo(place / "pipe.json")


def kept(place):
    """What no command may change."""
    names = ("file.txt", "model.json", "book.xlsx", "sound/vehicles.csv", "sound/repairs.csv", "broken/fleet.toml")
    return {name: (place / name).read_bytes() for name in names}


def run(arguments):
    """Exit code and what was said."""
    said, complained = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(complained):
        try:
            code = main(arguments)
        except SystemExit as stop:
            code = stop.code
    return code, said.getvalue(), complained.getvalue()


@FUZZ
@given(command=COMMANDS, fleet=PLACES, options=st.lists(OPTIONS, max_size=4))
def test_random_arguments(command, fleet, options):
    words = [word for option in options for word in option]
    arguments = [command, *([fleet] if command != "functions" else []), *words]
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        furnish(place)
        mine = kept(place)
        os.chdir(place)
        try:
            code, said, complained = run(arguments)
        finally:
            os.chdir(before)
        assert code in (0, 2), arguments
        assert "Traceback" not in said + complained
        assert kept(place) == mine, arguments
        assert not list(place.rglob(".wearmodel-*"))
        if code == 2:
            lines = complained.strip().split("\n")
            assert lines != [""] and all(len(line) < 1500 for line in lines), complained


@pytest.mark.parametrize("name", ["pipe.json", "loop", "\udcff", "a\x01b", "x" * 300, "none/deeper", ""])
@pytest.mark.parametrize("option", ["--model", "--earlier-model", "--review", "--out", "--tables"])
def test_every_path_is_met_by_every_option(tmp_path, monkeypatch, name, option):
    """The rare pairs that chance may leave out; a pipe nobody writes to must not be waited for."""
    furnish(tmp_path)
    mine = kept(tmp_path)
    monkeypatch.chdir(tmp_path)
    code, said, complained = run(["plan", "sound", option, name])
    assert code in (0, 2) and "Traceback" not in said + complained and kept(tmp_path) == mine
    assert code == 0 or complained.strip()
