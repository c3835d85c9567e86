"""What a run may not do: speak to a network, start programs, write outside its targets, change a database."""

import csv
import hashlib
import sqlite3
import subprocess
import sys
from pathlib import Path

import killed_runs
import pytest

from wearmodel.cli import main

ROOT = Path(__file__).parents[2]
#: An audit hook sees every call below Python, whoever makes it, and cannot be taken off again.
WATCHED = """
import os, sys
allowed = [os.path.realpath(place) for place in sys.argv[1].split(os.pathsep)]
def hook(event, arguments):
    if event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.posix_spawn", "urllib", "pickle.")):
        os.write(2, f"FORBIDDEN {event}\\n".encode())
        os._exit(3)
    if event == "open" and isinstance(arguments[0], str):
        path, mode, flags = arguments
        writes = (isinstance(mode, str) and set(mode) & set("wax+")) or flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        if writes and not any(os.path.realpath(path).startswith(place) for place in allowed):
            os.write(2, f"FORBIDDEN write {path}\\n".encode())
            os._exit(3)
sys.dont_write_bytecode = True
sys.addaudithook(hook)
from wearmodel.cli import main
sys.exit(main(sys.argv[2:]))
"""


@pytest.fixture(scope="module")
def fleet(tmp_path_factory):
    folder = tmp_path_factory.mktemp("closed") / "fleet"
    assert main(["simulate", str(folder), *killed_runs.SMALL]) == 0
    return folder


def watched(allowed, *arguments):
    return subprocess.run(
        [sys.executable, "-c", WATCHED, str(allowed), *map(str, arguments)], cwd=ROOT, capture_output=True, text=True,
        check=False,
    )  # fmt: skip


def test_a_plan_speaks_to_nobody_and_writes_nowhere_else(fleet, tmp_path):
    before = {path.name: path.read_bytes() for path in fleet.iterdir()}
    run = watched(tmp_path, "plan", fleet, "--out", tmp_path / "p.xlsx", "--tables", tmp_path / "t")
    assert run.returncode == 0, run.stderr
    assert {path.name: path.read_bytes() for path in fleet.iterdir()} == before


def test_the_watch_would_tell(fleet, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    run = watched(tmp_path / "elsewhere", "plan", fleet, "--out", tmp_path / "p.xlsx")
    assert run.returncode == 3 and "FORBIDDEN write" in run.stderr
    code = WATCHED.replace("from wearmodel.cli import main", "import socket; socket.socket().connect(('127.0.0.1', 9))")
    run = subprocess.run([sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=False)
    assert run.returncode == 3 and "FORBIDDEN socket." in run.stderr


def test_a_database_is_only_read(fleet, tmp_path):
    """Its bytes and its time of change stay, whatever the query asks; queries that write are one sentence."""
    folder = tmp_path / "fleet"
    folder.mkdir()
    (folder / "vehicles.csv").write_bytes((fleet / "vehicles.csv").read_bytes())
    (folder / "readings.csv").write_bytes((fleet / "readings.csv").read_bytes())
    connection = sqlite3.connect(folder / "shop.db")
    with (fleet / "repairs.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.reader(file))
    connection.execute(f"CREATE TABLE jobs ({', '.join(f'{name!r}' for name in lines[0])})")
    connection.executemany(f"INSERT INTO jobs VALUES ({', '.join('?' * len(lines[0]))})", lines[1:])
    connection.commit()
    connection.close()
    settings = (fleet / "fleet.toml").read_text(encoding="utf-8")
    digest = hashlib.sha256((folder / "shop.db").read_bytes()).hexdigest()
    changed = (folder / "shop.db").stat().st_mtime_ns
    for query, code in (
        ("SELECT * FROM jobs", 0),
        ("DELETE FROM jobs", 2),
        ("WITH x AS (SELECT 1) DELETE FROM jobs", 2),
        ("SELECT * FROM jobs; DROP TABLE jobs", 2),
        ("SELECT * INTO copy FROM jobs", 2),
        ("SELECT load_extension('x')", 2),
        ("SELECT writefile('out.txt', 'x') FROM jobs", 2),
    ):
        section = f'[databases]\nshop = "sqlite:///shop.db"\n[tables.repairs]\ndatabase = "shop"\nquery = "{query}"\n'
        (folder / "fleet.toml").write_text(f"{settings}\n{section}", encoding="utf-8")
        run = watched(tmp_path / "out", "check", folder)
        assert run.returncode == code and "Traceback" not in run.stderr, (query, run.stderr)
        assert hashlib.sha256((folder / "shop.db").read_bytes()).hexdigest() == digest
        assert (folder / "shop.db").stat().st_mtime_ns == changed
        assert {path.name for path in folder.iterdir()} == {"vehicles.csv", "readings.csv", "shop.db", "fleet.toml"}
