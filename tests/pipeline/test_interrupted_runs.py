"""Killed, crowded and starved runs: what was there before stays whole, the message says why, the next run succeeds."""

import os
import random
import stat
import subprocess
import sys
import threading
import time
import zipfile
from pathlib import Path

import killed_runs
import pandas as pd
import pytest

from wearmodel import output_files, table_files
from wearmodel.cli import main
from wearmodel.errors import InputError, OutputError
from wearmodel.file_locks import turn_to_write
from wearmodel.intake import fleet as fleet_module
from wearmodel.intake.fleet import read_fleet
from wearmodel.output_files import UNFINISHED, open_elsewhere, staging_folder, whole_file
from wearmodel.table_files import write_tables

ROOT = Path(__file__).parents[2]
TABLES = {"lives": pd.DataFrame({"a": [1, 2]}), "due": pd.DataFrame({"b": ["x"]})}
NAMES = ("lives", "due")


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """A small fleet and the outcome of a finished run."""
    place = tmp_path_factory.mktemp("small")
    assert main(["simulate", str(place / "fleet"), *killed_runs.SMALL]) == 0
    return place


def said_by(capsys, *arguments):
    capsys.readouterr()
    assert main([str(a) for a in arguments]) == 2
    told = capsys.readouterr()
    assert "Traceback" not in told.err
    return told.err.strip().split("\n")


def unfinished(folder):
    return killed_runs.unfinished(folder)


def python(code, *arguments):
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)], cwd=ROOT, capture_output=True, text=True, check=False
    )


def test_runs_killed_at_random_moments(tmp_path):
    """A short form; the script kills 50."""
    tries = list(killed_runs.killed_runs(tmp_path, tries=3, rng=random.Random(20261127)))
    assert any(alive for _, alive, _ in tries)


KILLED_IN_A_FILE = """
import os, signal, sys
from pathlib import Path
from wearmodel.output_files import whole_file
with whole_file(Path(sys.argv[1])) as temporary:
    temporary.write_text("half")
    os.kill(os.getpid(), signal.SIGKILL)
"""
KILLED_BETWEEN_TABLES = """
import os, signal, sys
from pathlib import Path
import pandas as pd
from wearmodel import table_files
replace, moves = os.replace, []
def counted(*names):
    moves.append(names)
    if len(moves) == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    replace(*names)
os.replace = counted
tables = {"lives": pd.DataFrame({"a": [3]}), "due": pd.DataFrame({"b": ["new"]})}
table_files.write_tables(tables, Path(sys.argv[1]), names=("lives", "due"))
"""


def test_a_run_killed_while_it_writes_leaves_the_old_file_and_the_next_cleans_up(tmp_path):
    target = tmp_path / "m.json"
    target.write_text("old")
    assert python(KILLED_IN_A_FILE, target).returncode == -9
    assert target.read_text() == "old"
    (left,) = unfinished(tmp_path)
    assert stat.S_IMODE((tmp_path / left).stat().st_mode) == 0o600
    with whole_file(target) as temporary:
        temporary.write_text("new")
    assert target.read_text() == "new" and not unfinished(tmp_path)


@pytest.mark.parametrize("move", range(1, 5))
def test_a_run_killed_between_two_tables_says_so(tmp_path, move):
    """Old lives, new lives, old due, new due: killed before each of the four renames."""
    folder = tmp_path / "tables"
    write_tables(TABLES, folder, names=NAMES)
    before = killed_runs.contents(folder)
    assert python(KILLED_BETWEEN_TABLES, folder, move).returncode == -9
    notice = folder / killed_runs.NOTICE
    assert notice.exists() and "Run it again" in notice.read_text()
    assert move > 1 or killed_runs.contents(folder) == before
    # A run that writes only some of the tables does not make the rest whole.
    write_tables(TABLES, folder, names=("due",))
    assert notice.exists()
    write_tables(TABLES, folder, names=NAMES)
    assert sorted(path.name for path in folder.iterdir()) == ["due.csv", "lives.csv"]
    assert killed_runs.contents(folder) == before


@pytest.mark.parametrize("failing", range(1, 5))
def test_a_table_that_cannot_be_moved_brings_all_old_ones_back(tmp_path, monkeypatch, failing):
    write_tables(TABLES, tmp_path, names=NAMES)
    before = killed_runs.contents(tmp_path)
    replace, moves = os.replace, []

    def refused(*names):
        moves.append(names)
        if len(moves) == failing:
            raise PermissionError(13, "Permission denied")
        replace(*names)

    monkeypatch.setattr(table_files.os, "replace", refused)
    new = {"lives": pd.DataFrame({"a": [3]}), "due": pd.DataFrame({"b": ["new"]})}
    with pytest.raises(OutputError, match="Permission denied"):
        write_tables(new, tmp_path, names=NAMES)
    assert killed_runs.contents(tmp_path) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["due.csv", "lives.csv"]


def test_leftovers_go_but_living_and_foreign_files_stay(tmp_path):
    (tmp_path / f"{UNFINISHED}abcdefgh.xlsx").write_text("dead")
    (tmp_path / f"{UNFINISHED}abcdefgh").mkdir()
    foreign = [tmp_path / f"{UNFINISHED}list of mine.txt", tmp_path / ".wearmodel-notes"]
    for path in foreign:
        path.write_text("mine")
    outside = tmp_path / "outside.txt"
    outside.write_text("mine")
    (tmp_path / f"{UNFINISHED}linklink").symlink_to(outside)
    with whole_file(tmp_path / "a.json") as alive, staging_folder(tmp_path) as stage:
        alive.write_text("a")
        with whole_file(tmp_path / "b.json") as other:
            other.write_text("b")
        assert alive.exists() and stage.exists()
        assert not (tmp_path / f"{UNFINISHED}abcdefgh.xlsx").exists()
        assert not (tmp_path / f"{UNFINISHED}abcdefgh").exists()
    assert (tmp_path / "a.json").read_text() == "a" and (tmp_path / "b.json").read_text() == "b"
    assert all(path.read_text() == "mine" for path in (*foreign, outside))


STARVED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
from wearmodel.cli import main
sys.exit(main(sys.argv[2:]))
"""


@pytest.mark.parametrize("limit", [0, 20_000])
def test_no_room_for_the_results(small, tmp_path, limit):
    """A bound on the size of files stands for a full disk: the same refusal of the same call."""
    out, tables = tmp_path / "planner.xlsx", tmp_path / "tables"
    out.write_bytes(b"")
    run = python(STARVED, limit, "plan", small / "fleet", "--out", out, "--tables", tables)
    assert run.returncode == 2 and "Traceback" not in run.stderr and "Exception ignored" not in run.stderr
    assert "cannot be written" in run.stderr and "make room" in run.stderr and "unchanged" in run.stderr
    assert out.read_bytes() == b"" and not unfinished(tmp_path)
    assert main(["plan", str(small / "fleet"), "--out", str(out), "--tables", str(tables)]) == 0


def test_a_full_disk(small, tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(disk)], check=False)
    if mounted.returncode:
        reason = "this machine lets nobody mount a small disk, or only the administrator"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    try:
        run = killed_runs.wearmodel("plan", small / "fleet", "--out", disk / "planner.xlsx")
        _, told = run.communicate()
        assert run.returncode == 2 and b"No space left on device; make room there" in told
        assert not list(disk.iterdir())
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_behind_what_is_printed(small):
    with open("/dev/full", "w") as full:
        run = subprocess.run(
            [sys.executable, "-m", "wearmodel", "check", str(small / "fleet")], cwd=ROOT, stdout=full,
            stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "stopped by the system: No space left on device; mend that, then run this again." in run.stderr


def test_a_folder_that_cannot_be_written(small, tmp_path, capsys, monkeypatch):
    """The administrator may write anywhere, so that here the system's answer is played."""
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != tmp_path)
    for command, option in (("plan", "--out"), ("fit", "--model")):
        name = {"--out": "p.xlsx", "--model": "m.json"}[option]
        (line,) = said_by(capsys, command, small / "fleet", option, tmp_path / name)
        assert line == f"{tmp_path / name} cannot be written: permission denied; choose another place."
    assert not list(tmp_path.iterdir())


def test_a_later_result_that_fails_names_the_earlier_one(small, tmp_path, capsys, monkeypatch):
    def full(*_, **__):
        raise OutputError("Tables cannot be written.")

    monkeypatch.setattr(table_files, "write_texts", full)
    out = tmp_path / "p.xlsx"
    lines = said_by(capsys, "plan", small / "fleet", "--out", out, "--tables", tmp_path / "t")
    assert lines == ["Tables cannot be written.", f"{out}: already written by this run."]


def test_two_runs_at_once(small, tmp_path):
    """Into different files of one folder both finish; into one file the later says that it would lose something."""
    tables = tmp_path / "tables"
    runs = [
        killed_runs.wearmodel("plan", small / "fleet", "--out", tmp_path / name, "--tables", tables)
        for name in ("one.xlsx", "two.xlsx", "same.xlsx", "same.xlsx")
    ]
    said = [run.communicate()[1].decode() for run in runs]
    codes = [run.returncode for run in runs]
    assert codes[:2] == [0, 0] and 0 in codes[2:], said
    for code, text in zip(codes, said, strict=True):
        assert code == 0 or (code == 2 and "changed while this run was at work" in text)
    for name in ("one", "two", "same"):
        with zipfile.ZipFile(tmp_path / f"{name}.xlsx") as archive:
            assert archive.testzip() is None
    assert not unfinished(tmp_path) and not (tables / killed_runs.NOTICE).exists()


def test_runs_wait_for_each_other_and_lose_patience(tmp_path):
    waited, order = [], []

    def other():
        with turn_to_write([tmp_path, tmp_path], waiting=waited.append):
            order.append("other")

    with turn_to_write([tmp_path, tmp_path / "none"], waiting=waited.append):
        thread = threading.Thread(target=other)
        thread.start()
        with (
            pytest.raises(OutputError, match="Another run of wearmodel is still writing"),
            turn_to_write([tmp_path], waiting=waited.append, patience=0.3),
        ):
            order.append("never")
        order.append("first")
    thread.join(20)
    assert order == ["first", "other"] and waited == [tmp_path, tmp_path]


def test_a_planner_typed_into_during_the_run_is_not_lost(small, tmp_path, capsys, monkeypatch):
    import wearmodel.plan

    out = tmp_path / "planner.xlsx"
    assert main(["plan", str(small / "fleet"), "--out", str(out)]) == 0
    build = wearmodel.plan.build_plan

    def meanwhile(*arguments, **options):
        out.write_bytes(out.read_bytes() + b" ")
        return build(*arguments, **options)

    monkeypatch.setattr(wearmodel.plan, "build_plan", meanwhile)
    (line,) = said_by(capsys, "plan", small / "fleet", "--out", out)
    assert line.startswith(f"{out} changed while this run was at work") and out.read_bytes().endswith(b" ")


@pytest.mark.parametrize("mark", [".~lock.planner.xlsx#", "~$planner.xlsx"])
def test_a_workbook_open_elsewhere_is_told(small, tmp_path, capsys, mark):
    out = tmp_path / "planner.xlsx"
    assert open_elsewhere(out) == ""
    (tmp_path / mark).write_text("")
    assert main(["plan", str(small / "fleet"), "--out", str(out)]) == 0
    assert f"Note: {out} seems to be open in another program ({mark}" in capsys.readouterr().out


@pytest.mark.parametrize("name", ["repairs.csv", "vehicles.csv", "fleet.toml"])
@pytest.mark.parametrize("how", ["grown", "replaced", "same size and time", "gone"])
def test_an_input_that_changes_while_it_is_read(small, tmp_path, monkeypatch, name, how):
    folder = tmp_path / "fleet"
    folder.mkdir()
    for path in (small / "fleet").iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    target, read = folder / name, fleet_module._typed_tables

    def meanwhile(*arguments):
        result = read(*arguments)
        state, data = target.stat(), target.read_bytes()
        if how == "gone":
            target.unlink()
        elif how == "replaced":
            (folder / "other").write_bytes(data)
            os.utime(folder / "other", ns=(state.st_atime_ns, state.st_mtime_ns))
            os.replace(folder / "other", target)
        else:
            target.write_bytes(data + b"\n" if how == "grown" else data[:-1] + b" ")
            if how != "grown":
                os.utime(target, ns=(state.st_atime_ns, state.st_mtime_ns))
        return result

    time.sleep(0.02)
    monkeypatch.setattr(fleet_module, "_typed_tables", meanwhile)
    with pytest.raises(InputError) as caught:
        read_fleet(folder)
    (sentence,) = caught.value.problems
    assert sentence.startswith(f"{name} changed while it was read; wait")


def test_files_that_are_not_read_may_change(small, monkeypatch):
    read = fleet_module._typed_tables

    def meanwhile(*arguments):
        (small / "fleet" / "notes.md").write_text("new")
        return read(*arguments)

    monkeypatch.setattr(fleet_module, "_typed_tables", meanwhile)
    assert len(read_fleet(small / "fleet").tables["vehicles"]) == 6


def test_clocks_that_jump_change_nothing(small, tmp_path):
    """Inputs, leftovers and earlier results dated years ahead, or before the first computer."""
    for times in ((4e9, 4e9), (0, 0)):
        for path in (small / "fleet").iterdir():
            os.utime(path, times)
        left = tmp_path / f"{UNFINISHED}abcdefgh.json"
        left.write_text("dead")
        os.utime(left, times)
        model = tmp_path / "m.json"
        assert main(["fit", str(small / "fleet"), "--model", str(model)]) == 0
        assert not left.exists()
        os.utime(model, times)
        assert main(["fit", str(small / "fleet"), "--model", str(model)]) == 0


def test_unfinished_work_is_nobody_elses_to_read(small, tmp_path, monkeypatch):
    """Whatever the umask: what stands beside the target can be read by its owner alone until it is whole."""
    seen, replace = [], os.replace

    def watched(source, target):
        seen.append(Path(source))
        if UNFINISHED in Path(source).name:
            assert Path(source).stat().st_mode & 0o777 == 0o664
        else:
            outer = next(parent for parent in Path(source).parents if UNFINISHED in parent.name)
            assert outer.stat().st_mode & 0o077 == 0
        replace(source, target)

    made, mkstemp = [], output_files.tempfile.mkstemp

    def new_file(**options):
        handle, name = mkstemp(**options)
        made.append(os.fstat(handle).st_mode & 0o777)
        return handle, name

    before = os.umask(0o002)
    try:
        monkeypatch.setattr(os, "replace", watched)
        monkeypatch.setattr(output_files.tempfile, "mkstemp", new_file)
        options = ["--out", str(tmp_path / "p.xlsx"), "--tables", str(tmp_path / "t")]
        assert main(["plan", str(small / "fleet"), *options]) == 0
    finally:
        os.umask(before)
    assert made and set(made) == {0o600} and len(seen) > 20
    assert (tmp_path / "p.xlsx").stat().st_mode & 0o777 == 0o664
    assert {path.stat().st_mode & 0o777 for path in (tmp_path / "t").iterdir()} == {0o664}


def test_a_file_kept_from_others_stays_so(tmp_path):
    target = tmp_path / "m.json"
    target.write_text("old")
    target.chmod(0o600)
    with whole_file(target) as temporary:
        temporary.write_text("new")
    assert target.stat().st_mode & 0o777 == 0o600 and target.read_text() == "new"


@pytest.mark.parametrize("content", [b'{"a": 1}', b"not JSON", b"[1]", b"[" * 100_000])
def test_a_file_that_is_no_model_is_not_written_over(small, tmp_path, capsys, content):
    target = tmp_path / "truth.json"
    target.write_bytes(content)
    (line,) = said_by(capsys, "fit", small / "fleet", "--model", target)
    assert line.startswith(f"{target} exists and is not a model file that wearmodel wrote; name another file")
    assert target.read_bytes() == content
    (line,) = said_by(capsys, "fit", small / "fleet", "--model", "/dev/null")
    assert "not a plain file" in line


@pytest.mark.parametrize("command", ["plan", "backtest"])
def test_a_workbook_of_somebody_else_is_not_written_over(small, tmp_path, capsys, command):
    target = tmp_path / "budget 2027.xlsx"
    target.write_bytes(b"PK somebody's work")
    (line,) = said_by(capsys, command, small / "fleet", "--out", target)
    assert line.startswith(f"{target} exists and is no workbook that wearmodel wrote; name another file")
    assert target.read_bytes() == b"PK somebody's work"


def test_tables_of_another_fleet_are_not_written_over(small, tmp_path, capsys):
    other = tmp_path / "other"
    other.mkdir()
    (other / "fleet.toml").write_text("")
    (other / "stock.csv").write_text("part_number,on_hand\n")
    (line,) = said_by(capsys, "check", small / "fleet", "--tables", other)
    assert "is the folder of a fleet" in line and len(list(other.iterdir())) == 2


def test_memory_that_does_not_suffice_is_one_sentence(small, capsys, monkeypatch):
    def hungry(*_, **__):
        raise MemoryError

    monkeypatch.setattr(fleet_module, "_typed_tables", hungry)
    (line,) = said_by(capsys, "check", small / "fleet")
    assert line == "wearmodel was stopped by the system: not enough memory; mend that, then run this again."

