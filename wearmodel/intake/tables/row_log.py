"""What was found on the rows of one table, and which rows take no further part."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import repeat
from typing import Literal

import numpy as np
import numpy.typing as npt

from wearmodel.findings import Finding
from wearmodel.intake.tables.readers import RawTable
from wearmodel.intake.values.plain_text import plain

__all__ = ["SET_ASIDE", "RowLog", "sentence"]

SET_ASIDE = "the row was set aside"
"""What is done about a faulty row of an event table."""

_Kind = Literal["faulty", "left_out", "waiting", "repaired"]
_Mask = npt.NDArray[np.bool_]
_Texts = str | npt.NDArray[np.object_]


def sentence(finding: Finding) -> str:
    """One finding as a sentence naming file, row, column, value, rule and what was or can be done.

    Parameters
    ----------
    finding : Finding
        On one row.

    Returns
    -------
    str
        For people.
    """
    where = f"{finding.file} row {finding.row}"
    if finding.column:
        where += f", column {finding.column}"
    value = f"{finding.value!r} " if finding.value else ""
    return f"{where}: {value}{finding.problem}; {finding.action}."


class RowLog:
    """Collects findings on the rows of one table.

    A row is *faulty* when it cannot be right as it stands, *left out* when it is in order but has no part in
    the answer, *waiting* when it is not used until a person answers a question about it, *repaired* when it is
    used after a change. A row that is no concern of the answer at all, such
    as one about the brakes, is left out whatever its faults: nobody needs to mend it.
    """

    def __init__(self, raw: RawTable) -> None:
        self._raw = raw
        self._entries: list[tuple[int, _Kind, Finding]] = []
        self._left_out = np.zeros(len(raw.rows), dtype=bool)
        self._waiting = np.zeros(len(raw.rows), dtype=bool)
        self._faulty = np.zeros(len(raw.rows), dtype=bool)
        # Rows cut wrongly may hide others, so that nothing but mending them will do.
        self._broken = np.zeros(len(raw.rows), dtype=bool)
        remedy = "correct it" if raw.table.is_master else SET_ASIDE
        for cell in raw.faults:
            self._faulty[cell.place] = self._broken[cell.place] = True
            finding = self._finding(cell.place, cell.column, cell.value, cell.problem, remedy, used=False)
            self._entries.append((cell.place, "faulty", finding))
        for remark in raw.remarks:
            mask = np.zeros(len(raw.rows), dtype=bool)
            values, actions = np.full((2, len(raw.rows)), "", dtype=object)
            mask[remark.places], values[remark.places], actions[remark.places] = True, remark.values, remark.actions
            note = self.leave_out if remark.kind == "left_out" else self.repair
            note(mask, column=remark.column, value=values, problem=remark.problem, action=actions)

    @classmethod
    def combined(cls, raw: RawTable, logs: Sequence["RowLog"]) -> "RowLog":
        """The findings on several parts of a table as those of the whole, `raw`."""
        log = cls(replace(raw, faults=(), remarks=()))
        firsts = np.cumsum([0, *(len(part._faulty) for part in logs)]).tolist()
        for first, part in zip(firsts, logs, strict=False):
            log._entries += [(first + place, kind, finding) for place, kind, finding in part._entries]
        log._left_out = np.concatenate([part._left_out for part in logs])
        log._waiting = np.concatenate([part._waiting for part in logs])
        log._faulty = np.concatenate([part._faulty for part in logs])
        log._broken = np.concatenate([part._broken for part in logs])
        return log

    @property
    def dropped(self) -> _Mask:
        """Rows that take no further part."""
        return self._left_out | self._faulty | self._waiting

    @property
    def waiting(self) -> _Mask:
        """Rows not used until a question about them is answered."""
        return self._waiting & ~self._left_out & ~self._faulty

    @property
    def faulty(self) -> _Mask:
        """Rows that cannot be right as they stand."""
        return self._faulty & ~self._left_out

    def fault(
        self, mask: _Mask, *, problem: _Texts, column: str = "", action: _Texts = SET_ASIDE, value: _Texts | None = None
    ) -> None:
        """Note rows as faulty, in that column."""
        self._note("faulty", mask, column, value, problem, action)
        self._faulty |= mask

    def leave_out(
        self,
        mask: _Mask,
        *,
        problem: _Texts,
        action: _Texts,
        column: str = "",
        value: _Texts | None = None,
        whatever_faults: bool = False,
    ) -> None:
        """Note rows as having no part in the answer; the first reason of a row stands."""
        new = mask & ~self._left_out & ~(self._broken if whatever_faults else self._faulty)
        self._note("left_out", new, column, value, problem, action)
        self._left_out |= new

    def wait(self, mask: _Mask, *, problem: _Texts, action: _Texts, column: str = "") -> None:
        """Note rows as waiting for an answer; rows that are out already stay out."""
        new = mask & ~self.dropped
        self._note("waiting", new, column, None, problem, action)
        self._waiting |= new

    def repair(
        self, mask: _Mask, *, problem: _Texts, action: _Texts, column: str = "", value: _Texts | None = None
    ) -> None:
        """Note rows as used after a change."""
        self._note("repaired", mask, column, value, problem, action)

    def findings(self) -> list[Finding]:
        """Findings that stand: none on faults of rows left out, none on repairs of rows not used."""
        void = {
            "faulty": self._left_out,
            "waiting": self._left_out | self._faulty,
            "repaired": self.dropped,
            "left_out": np.zeros_like(self._left_out),
        }
        return [finding for place, kind, finding in self._entries if not void[kind][place]]

    def fault_sentences(self, *, limit: int) -> list[str]:
        """The first sentences on faulty rows, in row order."""
        entries = [entry for entry in self._entries if entry[1] == "faulty" and not self._left_out[entry[0]]]
        entries.sort(key=lambda entry: entry[0])
        return [sentence(finding) for _, _, finding in entries[:limit]]

    def _note(
        self, kind: _Kind, mask: _Mask, column: str, value: _Texts | None, problem: _Texts, action: _Texts
    ) -> None:
        if value is None:
            cells = self._raw.cells
            value = cells[column].to_numpy(dtype=object) if column in cells.columns else ""
        places = np.flatnonzero(mask)
        texts = [
            repeat(text, places.size) if isinstance(text, str) else map(str, text[places])
            for text in (value, problem, action)
        ]
        is_used, waits = kind == "repaired", kind == "waiting"
        for place, *told in zip(places.tolist(), *texts, strict=True):
            finding = self._finding(place, column, *told, used=is_used, waits=waits)
            self._entries.append((place, kind, finding))

    def _finding(
        self, place: int, column: str, value: str, problem: str, action: str, *, used: bool, waits: bool = False
    ) -> Finding:
        part = self._raw.part_of(place)
        return Finding(
            table=self._raw.table.name,
            file=part.label,
            row=int(self._raw.rows[place]),
            column=part.heading(column) if column else "",
            value=plain(value),
            problem=problem,
            action=action,
            used=used,
            waits=waits,
        )
