"""Written lines of the trade with what they mean, as they stand in the tables beside this file."""

import csv
import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class TradeLine:
    """One written line and what it means."""

    shop: str
    text: str
    kind: str
    components: frozenset[str]
    reasons: tuple[str, ...]


def read_lines() -> list[TradeLine]:
    """All written lines, files in the order of their names."""
    lines = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as source:
            for row in csv.DictReader(source):
                parts = frozenset(part.partition("@")[0].strip() for part in row["parts"].split(";") if part.strip())
                reasons = tuple(dict.fromkeys(reason.strip() for reason in row["reason"].split(";")))
                lines.append(TradeLine(f"{path.stem} {row['voice']}", row["text"], row["kind"], parts, reasons))
    return lines


def fingerprint() -> str:
    """What tells that weights were learnt from the lines as they are."""
    digest = hashlib.sha256()
    for path in sorted(FOLDER.glob("*.csv")):
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()


def text_array(texts: list[str] | tuple[str, ...]) -> npt.NDArray[np.uint8]:
    """Texts as bytes, one a line."""
    return np.frombuffer("\n".join(texts).encode(), dtype=np.uint8)
