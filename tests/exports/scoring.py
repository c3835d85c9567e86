"""How a fleet folder was read, against the truth of every repair row."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd
from exporting import Export, TrueRow
from true_jobs import TruePart

from wearmodel.intake.fleet import Fleet, read_fleet

REVIEW, LEFT_OUT = "(review)", "(left out)"


@dataclass(frozen=True)
class ReadPart:
    """One part as read from a row."""

    component: str
    position: str
    reason: str
    quantity: float
    part_number: str


@dataclass(frozen=True)
class ReadRow:
    """How one row was read: `used`, `review` or `left_out`, with the clause that says why."""

    state: str
    parts: tuple[ReadPart, ...]
    problem: str = ""


@dataclass(frozen=True)
class Verdict:
    """One row judged.

    Parameters
    ----------
    true, read : TrueRow, ReadRow
        The truth and how it was read.
    component, place, reason : bool or None
        Whether that was used and is right; None where it does not count (not a renewal, not said, not wanted).
    wrong : tuple of str
        What is wrong with a row that was used, or dropped, without a question being asked.
    """

    true: TrueRow
    read: ReadRow
    component: bool | None
    place: bool | None
    reason: bool | None
    wrong: tuple[str, ...]


@dataclass(frozen=True)
class Scores:
    """Figures of one export."""

    verdicts: tuple[Verdict, ...]
    figures: Mapping[str, float]
    counts: Mapping[str, int]
    components: pd.DataFrame
    reasons: pd.DataFrame
    notes: tuple[str, ...] = field(default=())


NO_KITS: Mapping[str, frozenset[str]] = {}
ANY_FILE = "*"
"""Stands for the file of a row that comes from a database."""


def read_rows(fleet: Fleet) -> dict[tuple[str, int], ReadRow]:
    """Every repair row of the folder as it was read, by file and row."""
    rows: dict[tuple[str, int], ReadRow] = {}
    for finding in fleet.findings:
        if finding.table == "repairs" and not finding.used and finding.row > 0:
            key = (finding.file, finding.row)
            state = "review" if finding.waits else "left_out"
            if key not in rows or state == "left_out":
                rows[key] = ReadRow(state, (), finding.problem)
    used = fleet.tables["repairs"]
    columns = ["component", "position", "reason", "quantity", "part_number"]
    for key, lines in used.groupby(["file", "row"], sort=False):
        parts = tuple(ReadPart(*values) for values in lines[columns].itertuples(index=False, name=None))
        rows[(str(key[0]), int(key[1]))] = ReadRow("used", parts)
    return rows | {(ANY_FILE, row): read for (_, row), read in rows.items()}


def score(export: Export) -> Scores:
    """Read the folder and judge every repair row."""
    fleet = read_fleet(export.folder)
    read = read_rows(fleet)
    missing = ReadRow("left_out", (), "no finding names the row")
    kits = _kits(fleet)
    used_repeats = _counted_twice(export.rows, read)
    verdicts = tuple(
        verdict(row, read.get((row.file, row.row), missing), kits=kits, twice=(row.file, row.row) in used_repeats)
        for row in export.rows
    )
    counts, figures = _figures(verdicts)
    return Scores(
        verdicts=verdicts,
        figures=figures,
        counts=counts,
        components=_component_table(verdicts),
        reasons=_reason_table(verdicts),
        notes=fleet.notes,
    )


def _kits(fleet: Fleet) -> dict[str, frozenset[str]]:
    """Part number -> what it renews, components or positions."""
    parts = fleet.tables["parts"]
    return {
        str(number): frozenset(t.strip() for t in str(text).split(";") if t.strip())
        for number, text in zip(parts["part_number"], parts["renews"], strict=True)
    }


def _counted_twice(rows: Sequence[TrueRow], read: Mapping[tuple[str, int], ReadRow]) -> set[tuple[str, int]]:
    """Repeats of a renewal that were used although the first one was used as well."""
    twice: set[tuple[str, int]] = set()
    first_used = False
    for row in rows:
        used = (row.file, row.row) in read and read[(row.file, row.row)].state == "used"
        if row.repeats and used and first_used:
            twice.add((row.file, row.row))
        first_used = used or (row.repeats and first_used)
    return twice


def verdict(
    true: TrueRow, read: ReadRow, *, kits: Mapping[str, frozenset[str]] = NO_KITS, twice: bool = False
) -> Verdict:
    """Judge one row; `kits` are part numbers and what they renew, `twice`: a repeat that was counted again."""
    if true.repeats:
        return Verdict(true, read, None, None, None, ("counted twice",) if twice else ())
    if true.kind != "renewal":
        wrong = (f"{true.kind} taken for a renewal",) if read.state == "used" else ()
        return Verdict(true, read, None, None, None, wrong)
    whole = all(part.component_said and part.reason_said for part in true.parts) or true.coded
    placed = whole and any(part.place == "full" and len(part.candidates) > 1 for part in true.parts)
    if read.state != "used":
        no = False if whole else None
        wrong = ("dropped",) if read.state == "left_out" else ()
        return Verdict(true, read, no, no if placed else None, no, wrong)
    component = _components_agree(true, read, kits)
    place = _places_agree(true, read, kits) if component else False
    reason = _reasons_agree(true, read) if component else False
    said = all(part.reason_said for part in true.parts) or true.coded
    guessed = not said and any(part.reason for part in read.parts)
    wrong = tuple(
        name
        for name, bad in (
            ("component", not component),
            ("place", component and place is False),
            ("reason", component and said and not reason),
            ("reason guessed", component and guessed),
        )
        if bad
    )
    return Verdict(
        true,
        read,
        component if whole else None,
        (place is True) if placed else None,
        reason if whole else None,
        wrong,
    )


def _components_agree(true: TrueRow, read: ReadRow, kits: Mapping[str, frozenset[str]]) -> bool:
    wanted = Counter(part.component for part in true.parts)
    found: Counter[str] = Counter()
    for part in read.parts:
        along = [name for name in kits.get(part.part_number, frozenset()) if name in wanted]
        if along and true.numbered:
            return not part.component or part.component in wanted
        found[part.component] += 1
    for part in read.parts:
        # One line for two pieces of a kind.
        if found[part.component] == 1 and part.quantity >= wanted.get(part.component, 0) > 1:
            found[part.component] = wanted[part.component]
    return found == wanted


def _places_agree(true: TrueRow, read: ReadRow, kits: Mapping[str, frozenset[str]]) -> bool | None:
    """True: every part is where it was; None: left open; False: put somewhere else."""
    wanted = {part.position for part in true.parts}
    found = {part.position for part in read.parts if part.position}
    if not found <= wanted:
        return False
    open_parts = [part for part in read.parts if not part.position]
    if not open_parts and (found == wanted or any(kits.get(part.part_number) for part in read.parts)):
        return True
    places = {part.component: part.candidates for part in true.parts}
    closed = all(
        len(places.get(part.component, ())) <= max(1.0, part.quantity) for part in open_parts
    )
    return True if closed else None


def _reasons_agree(true: TrueRow, read: ReadRow) -> bool:
    leading = {part.reason for part in true.parts if part.lead}
    return leading <= {part.reason for part in read.parts} and all(
        _reason_agrees(true.parts, part) for part in read.parts
    )


def _reason_agrees(parts: Sequence[TruePart], read: ReadPart) -> bool:
    """Whether a part's reason is one a careful reader may conclude, by position where it is known."""
    mine = [p for p in parts if p.component == read.component] or list(parts)
    mine = [p for p in mine if p.position == read.position] or mine
    return any(read.reason in p.allowed_reasons for p in mine)


def _share(values: Sequence[bool]) -> float:
    return sum(values) / len(values) if values else float("nan")


def _figures(verdicts: Sequence[Verdict]) -> tuple[dict[str, int], dict[str, float]]:
    """Counts and shares; shares of words are over lines whose codes and numbers do not give the answer away."""
    own = [v for v in verdicts if not v.true.repeats]
    renewals = [v for v in own if v.true.kind == "renewal"]
    plain = [v for v in renewals if not v.true.coded]
    words = [v for v in plain if not v.true.numbered]
    idle = [v for v in own if v.true.kind not in ("renewal", "other")]
    other = [v for v in own if v.true.kind == "other"]
    driveline = renewals + idle
    wrong = [v for v in verdicts if v.wrong]
    by_order = [
        v for v in plain if v.true.parts[0].place == "order" and v.read.state == "used" and v.read.parts
    ]
    clear = [v for v in renewals if v.component is not None]
    unclear = [v for v in renewals if v.component is None]
    counts = {
        "rows": len(verdicts), "renewals": len(renewals), "other driveline lines": len(idle),
        "foreign lines": len(other), "repeats": len(verdicts) - len(own), "wrong": len(wrong),
    }  # fmt: skip
    figures = {
        "component": _share([v.component for v in words if v.component is not None]),
        "place": _share([v.place for v in plain if v.place is not None]),
        "reason": _share([v.reason for v in plain if v.reason is not None]),
        "wrong without review": len(wrong) / max(len(driveline), 1),
        "renewals dropped": _share([v.wrong == ("dropped",) for v in renewals]),
        "reason guessed": _share(["reason guessed" in v.wrong for v in renewals]),
        "idle taken for renewals": _share([v.read.state == "used" for v in idle]),
        "foreign taken for renewals": _share([v.read.state == "used" for v in other]),
        "review, all driveline lines": _share([v.read.state == "review" for v in driveline]),
        "review, clear renewals": _share([v.read.state == "review" for v in clear]),
        "review, unclear renewals": _share([v.read.state == "review" for v in unclear]),
        "review, foreign": _share([v.read.state == "review" for v in other]),
        "placed by the order": _share([_places_agree(v.true, v.read, {}) is True for v in by_order]),
    }
    return counts, figures


def _component_table(verdicts: Sequence[Verdict]) -> pd.DataFrame:
    """True component of the line's first part against what was read; not-renewals by kind."""
    rows = []
    for v in verdicts:
        if v.true.repeats:
            continue
        true = sorted({part.component for part in v.true.parts}) or [v.true.kind]
        if v.read.state == "used":
            read = {part.component or "(of the kit)" for part in v.read.parts}
            pairs = [(t, t if t in read else "+".join(sorted(read))) for t in true]
        else:
            pairs = [(t, REVIEW if v.read.state == "review" else LEFT_OUT) for t in true]
        rows += pairs
    return _table(rows)


def _reason_table(verdicts: Sequence[Verdict]) -> pd.DataFrame:
    """Reason of the line's first part against what was read, where the component was read rightly."""
    rows = []
    for v in verdicts:
        if v.true.repeats or v.true.kind != "renewal" or v.true.coded:
            continue
        lead = v.true.parts[0]
        true = lead.reason if lead.reason_said else "(not said)"
        if v.read.state == "used":
            mine = [part for part in v.read.parts if part.component == lead.component] or list(v.read.parts)
            rows.append((true, mine[0].reason or "(blank)"))
        else:
            rows.append((true, REVIEW if v.read.state == "review" else LEFT_OUT))
    return _table(rows)


def _table(rows: Sequence[tuple[str, str]]) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=["true", "read"])
    return pd.crosstab(frame["true"], frame["read"])
