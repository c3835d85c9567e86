"""A fuzzer of the table readers that is guided by coverage: `python tests/properties/guided_fuzz.py --seconds 600`.

Files are changed at random; a change that reaches a line of the readers no file reached before is kept and changed
further. Every file must end as a table of cells or as an `InputError` of short printable sentences. What does not is
printed with the seed and kept in the current folder. Needs nothing but Python's own tracing.
"""

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

from test_hostile_files import SAMPLES, spoiled, with_part_spoiled, xls_stream

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import read_delimited
from wearmodel.intake.cells.workbook_cells import open_workbook, sheet_grid, sheet_names
from wearmodel.intake.corrections import read_corrections
from wearmodel.intake.fleet_toml.settings import read_settings

READERS = (str(Path("wearmodel", "intake", "cells")), str(Path("wearmodel", "intake", "fleet_toml")), "corrections.py")
KINDS = ("cut", "flip", "insert", "overwrite", "repeat", "drop")
PIECES = (
    b"\0", b"\xff", b'"', b"\n", b"\r\n", b",", b";", b"\t", b"<", b"&a;", b"]]>", b"PK\x03\x04", b"1e999",
    b"9" * 40, b"-", b"[", b"]", b"=", b"{", b"}", b"\x00\x02\x0e\x00", b"\xfc\x00\x08\x00", b"\xff\xff\xff\x7f", b"'",
    b"#", b"\\u", b"\xef\xbb\xbf",
)  # fmt: skip
TOML = b"""distance_unit = "km"
as_of = 2026-06-30
[cost.u_joint]
planned_hours = 1.4
[geometry.truck]
rear.shaft_lengths = [760, 1040]
rear.joint_angles = [1.5, 2.0, 2.5]
[layouts]
pto = { "pto.joint" = "u_joint" }
[tables.repairs]
columns = { date = "Closed" }
values.reason = { PM = "planned" }
"""
CORRECTIONS = b"key,kind,component,position,reason\n0123456789ab,words,u_joint,rear.joint_rear,failed\n"


def _workbook(path: Path) -> None:
    book = open_workbook(path, label=path.name)
    for name in sheet_names(book):
        sheet_grid(book, name, label=path.name)


#: Name of the file -> a sound one, and what reads it.
TARGETS: dict[str, tuple[bytes, Callable[[Path], object]]] = {
    "repairs.csv": (SAMPLES["repairs.csv"], lambda path: read_delimited(path, label=path.name, score=len)),
    "repairs.xlsx": (SAMPLES["repairs.xlsx"], _workbook),
    "repairs.ods": (SAMPLES["repairs.ods"], _workbook),
    "repairs.xls": (xls_stream(4), _workbook),
    "old.xls": (SAMPLES["repairs.xls"], _workbook),
    "fleet.toml": (TOML, lambda path: read_settings(path.parent)),
    "corrections.csv": (CORRECTIONS, lambda path: read_corrections(path.parent, settings=read_settings(path.parent))),
}


@dataclass
class Found:
    """What a run of the fuzzer found."""

    tried: int = 0
    lines: set[tuple[CodeType, int]] = field(default_factory=set)
    kept: int = 0
    faults: list[str] = field(default_factory=list)


@contextmanager
def watched(lines: set[tuple[CodeType, int]]) -> Iterator[None]:
    """Collect the lines of the readers that are run."""

    def local(frame: FrameType, event: str, _: Any) -> Any:
        if event == "line":
            lines.add((frame.f_code, frame.f_lineno))
        return local

    def calls(frame: FrameType, event: str, _: Any) -> Any:
        return local if any(place in frame.f_code.co_filename for place in READERS) else None

    before = sys.gettrace()
    sys.settrace(calls)
    try:
        yield
    finally:
        sys.settrace(before)


def changed(rng: random.Random, data: bytes, name: str) -> bytes:
    """One to four changes of a file; of an archive mostly within a part, so that the archive stays sound."""
    changes = [
        (rng.choice(KINDS), rng.random(), rng.choice([rng.choice(PIECES), rng.randbytes(rng.randint(1, 8))]))
        for _ in range(rng.randint(1, 4))
    ]
    if name.endswith((".xlsx", ".ods")) and rng.random() < 0.8:
        try:
            return with_part_spoiled(data, changes, rng.random())
        except Exception:  # an archive spoiled before is changed as bytes
            pass
    return spoiled(data, changes)[: 1 << 20]


def complaint(read: Callable[[Path], object], path: Path) -> str:
    """What is wrong with how a file was met; empty when nothing is."""
    try:
        read(path)
    except InputError as error:
        bad = [text for text in error.problems if not text or len(text) > 1500 or not text.isprintable()]
        return f"unfit sentence {bad[0]!r}" if bad or not error.problems else ""
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    return ""


def fuzz(seconds: float, *, seed: int, keep: Path | None = None) -> Found:
    """Change files for so many seconds, each target in turn."""
    rng, found = random.Random(seed), Found()
    pools = {name: [data] for name, (data, _) in TARGETS.items()}
    end = time.monotonic() + seconds
    with tempfile.TemporaryDirectory() as place:
        while time.monotonic() < end:
            name = list(TARGETS)[found.tried % len(TARGETS)]
            folder = Path(place) / name.replace(".", "_")
            folder.mkdir(exist_ok=True)
            data = TARGETS[name][0] if found.tried < len(TARGETS) else changed(rng, rng.choice(pools[name]), name)
            (folder / name).write_bytes(data)
            lines: set[tuple[CodeType, int]] = set()
            with watched(lines):
                problem = complaint(TARGETS[name][1], folder / name)
            found.tried += 1
            if lines - found.lines:
                found.lines |= lines
                found.kept += 1
                pools[name].append(data)
            if problem:
                found.faults.append(f"{name}, try {found.tried} of seed {seed}: {problem}")
                if keep is not None:
                    (keep / f"fault_{found.tried}_{name}").write_bytes(data)
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=600.0)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    found = fuzz(arguments.seconds, seed=arguments.seed, keep=Path.cwd())
    print(f"{found.tried:,} files, {found.kept:,} kept for new lines, {len(found.lines):,} lines of readers reached")
    print("\n".join(found.faults) or "no fault")
    return 1 if found.faults else 0


if __name__ == "__main__":
    sys.exit(main())
