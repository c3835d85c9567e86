"""A short form of the guided fuzzer, and the proof that it would tell."""

import guided_fuzz

from wearmodel.errors import InputError


def test_readers_meet_changed_files():
    found = guided_fuzz.fuzz(12.0, seed=20261127)
    assert not found.faults, found.faults[:3]
    assert found.tried > 2 * len(guided_fuzz.TARGETS)


def test_a_fault_is_told(monkeypatch):
    def reader(path):
        if b"\xff" in path.read_bytes():
            raise KeyError("gone")
        raise InputError("A fair sentence.")

    monkeypatch.setattr(guided_fuzz, "TARGETS", {"repairs.csv": (b"a,b\n1,2\n" * 20, reader)})
    found = guided_fuzz.fuzz(2.0, seed=1)
    assert found.faults and "KeyError" in found.faults[0]


def test_what_reaches_new_lines_is_kept(monkeypatch):
    """The sample and at least one file that went where the sample did not."""
    name = "fleet.toml"
    monkeypatch.setattr(guided_fuzz, "TARGETS", {name: guided_fuzz.TARGETS[name]})
    found = guided_fuzz.fuzz(3.0, seed=2)
    assert found.kept >= 2 and len(found.lines) > 100
