"""Some fourteen hundred repair lines in the wording of many workshops, each with the reading a person gives it."""

import random
from pathlib import Path

import pytest

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS, positions_of
from wearmodel.intake.repairs.repair_lines import LineKnowledge, RepairLine, line_reading
from wearmodel.intake.words.repair_text import build_lexicon, wording

VEHICLES = {
    "r1": "rear_one_piece", "r2": "rear_two_piece", "r3": "rear_three_piece", "fs": "front_half_shafts",
    "ws": "four_wheel_solid", "wi": "four_wheel_independent", "aw": "all_wheel", "ss": "slip_spline",
    "st": "steering_shaft", "r1+st": "rear_one_piece+steering_shaft",
}  # fmt: skip
LEXICONS = {side: build_lexicon(COMPONENTS, steering_side=side) for side in ("", "left", "right")}
KNOWN = {position: component for layout in LAYOUTS.values() for position, component in layout.items()}
LINES = [
    tuple(cell.strip() for cell in line.split(" | "))
    for line in Path(__file__).with_name("repair_line_readings.txt").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
]


def read(text, vehicle, side="", reason=""):
    driveline = VEHICLES[vehicle]
    lexicon = LEXICONS[side]
    known = LineKnowledge({driveline: positions_of(driveline)}, KNOWN, COMPONENTS, None, lexicon)
    return line_reading(RepairLine(driveline, "", "", "", reason, wording(text, lexicon=lexicon)), known=known)


def written(reading, *, with_reason):
    if reading.verdict != "kept":
        return {"left_out": "-", "waiting": "?"}[reading.verdict]
    parts = [reading, *reading.further]
    reasons = [f"={part.reason}" if with_reason else "" for part in parts]
    return "; ".join(sorted(f"{p.component}@{p.position or '*'}{r}" for p, r in zip(parts, reasons, strict=True)))


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[1][:60])
def test_reading(line):
    vehicle, text, expected, side = (*line, "")[:4]
    needs_reason = "=" not in expected and expected not in ("-", "?")
    reading = read(text, vehicle, side, "planned" if needs_reason else "")
    assert written(reading, with_reason="=" in expected) == expected, reading.problem


@pytest.mark.parametrize("line", LINES[::9], ids=lambda line: line[1][:60])
def test_case_does_not_matter(line):
    vehicle, text, _, side = (*line, "")[:4]
    assert read(text.upper(), vehicle, side, "worn") == read(text.lower(), vehicle, side, "worn")


def test_there_are_lines_of_every_kind():
    readings = [line[2] for line in LINES]
    assert len(LINES) > 600 and readings.count("-") > 150
    assert sum(";" in reading for reading in readings) > 70
    for reason in ("failed", "worn", "planned", "collateral", "damage", "comeback"):
        assert sum(f"={reason}" in reading for reading in readings) >= 10, reason
    for component in COMPONENTS:
        assert sum(f"{component}@" in reading for reading in readings) >= 5, component


def test_whatever_words_come_together_a_used_line_is_whole():
    """Phrases of the lexicon in any order: what is used has a component of the vehicle, a place of it and a reason."""
    rng = random.Random(5)
    by_kind = {"mark of a sentence": [",", ".", "-", "/", "and", ":", "?", "zzz"]}
    for words, meanings in LEXICONS["left"].meanings.items():
        by_kind.setdefault(meanings[0], []).append(" ".join(words))
    kinds = list(by_kind)
    used = 0
    for _ in range(1_500):
        vehicle = rng.choice(list(VEHICLES))
        text = " ".join(rng.choice(by_kind[rng.choice(kinds)]) for _ in range(rng.randint(1, 14)))
        reading = read(text, vehicle, "left", rng.choice(["", "worn"]))
        positions = positions_of(VEHICLES[vehicle])
        for part in (reading, *reading.further) if reading.verdict == "kept" else ():
            used += 1
            assert part.component in positions.values() and part.reason, text
            assert not part.position or positions[part.position] == part.component, text
    assert used > 50
