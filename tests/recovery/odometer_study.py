"""How many odometer faults are found: invented fleets with irregular running, faults of known kind and place.

Run `python tests/recovery/odometer_study.py --fleets 6 --vehicles 250` from the project's folder.

What counts as detectable was fixed before anything was measured. A false figure can in principle be found when it
contradicts the true figures on record next to it in time:

- it lies below the one before or above the one after by more than SLACK: two days of the vehicle's mean running
  (dates are those of opening or closing a job) and what the figures are rounded to; or
- one side is missing (the first or last figure on record, and the in-service figure) and it implies running that
  is more than HALF AS MUCH AGAIN as the vehicle ever did in so many days (from its true daily running), or, ahead
  of the first figure, less than none.

A false last digit that leaves the order of figures alone is therefore no detectable fault: nobody can know. A date
wrong by months is judged like a figure, on the day it was written for. What changes all figures from a day on (another
clock, a rollover, the other unit) is detectable when at least two days' figures follow, at least one figure of the
tables stands before, and the first figure after contradicts the last before as above: backward by more than SLACK, or
forward by running beyond HALF AS MUCH AGAIN. A table in the other unit is detectable with at least three figures of
the vehicle between those of other tables. Of these faults every figure counts that is off by more than SLACK.
(The first draft of this definition let figures after a change be judged by true totals that are not on record, and an
in-service figure stand as the only witness of a rollover; both were dropped after the first measurement.)

A figure counts as found when a finding names it; as altered, though true, when it is set aside or moved by more than
SLACK. A fault of many figures counts as one, found when nine tenths of its figures are named.
"""

import argparse
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.history.odometer import build_odometer_curves

MILE = 1.609344
START = np.datetime64("2016-01-01")
SINGLE = (
    "digit", "swapped", "doubled", "missing", "zero more", "zero less", "decimal", "unit", "other vehicle", "ahead",
    "date swapped", "date year",
)  # fmt: skip
BREAKS = ("rollover", "changed", "unit from a date")
STRUCTURAL = ("rollover", "changed", "unit from a date", "unit of a table", "copied", "in service")
Z = 1.6448536


@dataclass
class Fleet:
    """Figures with what is true of them, and the true running."""

    figures: pd.DataFrame
    vehicles: pd.DataFrame
    driven: list
    total_faults: int = 0


def daily_running(rng, days):
    """Running of one vehicle: weeks of standing still, seasons, long trips, changes of work."""
    mean = rng.lognormal(np.log(90.0), 0.6)
    weeks = days // 7 + 2
    stands = np.zeros(weeks, dtype=bool)
    leave, back = rng.uniform(0.01, 0.08), rng.uniform(0.3, 0.7)
    for week in range(1, weeks):
        stands[week] = rng.random() < (1 - back if stands[week - 1] else leave)
    day = np.arange(days)
    season = 1.0 + rng.uniform(0.0, 0.5) * np.sin(2 * np.pi * (day / 365.25 + rng.random()))
    work = np.repeat(rng.lognormal(0.0, 0.35, days // 300 + 2), 300)[:days]
    run = mean * season * work * rng.gamma(1.2, 1 / 1.2, days) * ~np.repeat(stands, 7)[:days]
    run *= rng.random(days) < rng.choice([0.7, 0.85, 1.0])
    for _ in range(rng.poisson(days / 500)):
        begin = rng.integers(0, days)
        run[begin : begin + rng.integers(2, 10)] = rng.uniform(400, 900)
    return np.minimum(run, 1300.0)


def true_figures(rng, index, odometer, first, tables):
    """Figures of one vehicle as careful people write them: rounding by some, jobs dated when they are closed."""
    days = len(odometer) - 1
    rows = []
    spacing = rng.choice([7.0, 14.0, 30.0, 30.0, 60.0])
    habit = rng.choice([1, 1, 1, 1, 10, 100], p=[0.3, 0.25, 0.2, 0.15, 0.05, 0.05])
    for table, gap in (("readings", spacing), ("repairs", 50.0), ("inspections", 180.0)):
        at = first + np.cumsum(rng.gamma(3.0, gap / 3.0, int((days - first) / gap * 1.5) + 4))
        for day in np.unique(at[at < days - 4].astype(int)):
            moment = day + rng.random()
            true = float(np.interp(moment, np.arange(days + 1), odometer))
            late = int(rng.integers(1, 4)) if table == "repairs" and rng.random() < 0.15 else 0
            step = habit if table == "readings" else 1
            written = np.floor(true / step) * step
            rows.append((index, day + late, written, written, table, step))
    frame = pd.DataFrame(rows, columns=["vehicle", "day", "true", "written", "table", "step"])
    return frame.sort_values(["day", "true"], kind="stable", ignore_index=True)


def slip(rng, kind, value, row, others):
    """A figure spoilt in one way."""
    digits = str(int(value))
    n = len(digits)
    place = int(rng.integers(0, n))
    if kind == "digit":
        new = rng.choice([c for c in "0123456789" if c != digits[place]])
        return float(digits[:place] + new + digits[place + 1 :])
    if kind == "swapped":
        place = int(rng.integers(0, max(n - 1, 1)))
        return float(digits[:place] + digits[place : place + 2][::-1] + digits[place + 2 :])
    if kind == "doubled":
        return float(digits[: place + 1] + digits[place:])
    if kind == "missing":
        return float((digits[:place] + digits[place + 1 :]) or "0")
    if kind == "unit":
        return float(np.floor(value / MILE))
    if kind == "other vehicle":
        return float(rng.choice(others))
    change = {"zero more": value * 10.0, "zero less": np.floor(value / 10.0), "decimal": np.floor(value * 10 + 3)}
    return float(change[kind]) if kind in change else value + rng.uniform(20_000, 400_000)


def other_date(rng, kind, day):
    """A date spoilt in one way, in days since the start; None where it would not change."""
    date = pd.Timestamp(START + np.timedelta64(int(day), "D"))
    if kind == "date year":
        new = date + pd.DateOffset(years=int(rng.choice([-1, 1])))
    elif date.day <= 12 and date.day != date.month:
        new = pd.Timestamp(year=date.year, month=date.day, day=date.month)
    else:
        return None
    return int((new - pd.Timestamp(START)).days)


def spoil_structure(rng, frame, kind):
    """Change many figures of one vehicle at once; returns the mask of those changed."""
    day, true = frame["day"].to_numpy(), frame["true"].to_numpy()
    written = true.copy()
    turn = rng.uniform(0.25, 0.75)
    cut = day[0] + turn * (day[-1] - day[0])
    after = day > cut
    if kind == "rollover":
        top = 1e5 if true[-1] < 5e5 else 1e6
        written = np.mod(true, top)
    elif kind == "changed" and after.any() and (~after).any():
        base = true[~after][-1] + rng.random() * (true[after][0] - true[~after][-1])
        begin = rng.choice([0.0, 0.0, rng.uniform(10_000, 250_000)])
        written = np.where(after, np.floor(true - base + begin), true)
    elif kind == "unit from a date":
        written = np.where(after, np.floor(true / MILE), true)
    elif kind == "unit of a table":
        written = np.where(frame["table"] == rng.choice(["readings", "repairs"]), np.floor(true / MILE), true)
    elif kind == "copied":
        mine = np.flatnonzero(after & (frame["table"] == "readings"))
        for place in mine[1 : 1 + rng.integers(3, 8)]:
            written[place] = true[mine[0]]
    return written


def invented_fleet(seed, *, vehicles=250, share=0.012):
    """A fleet's figures with faults."""
    rng = np.random.default_rng(seed)
    frames, cars, driven = [], [], []
    for index in range(vehicles):
        days = int(rng.integers(700, 2900))
        used = rng.random() < 0.35
        run = daily_running(rng, days)
        plan = rng.choice(
            ["", "rollover", "changed", "unit from a date", "unit of a table", "copied"],
            p=[0.80, 0.04, 0.05, 0.03, 0.04, 0.04],
        )
        base = float(np.floor(rng.uniform(15_000, 280_000))) if used else float(rng.integers(0, 60))
        if plan == "rollover":
            top = rng.choice([1e5, 1e5, 1e6])
            base = float(np.floor(max(top - rng.uniform(0.2, 0.8) * run.sum(), 0.0)))
        odometer = base + np.concatenate([[0.0], np.cumsum(run)])
        first = int(rng.uniform(0.0, 0.5) * days) if rng.random() < 0.4 else 0
        frame = true_figures(rng, index, odometer, first, ("readings", "repairs", "inspections"))
        frame["kind"] = ""
        if plan and len(frame) > 6:
            written = spoil_structure(rng, frame, plan)
            frame["kind"] = np.where(written != frame["written"], plan, "")
            frame["written"] = written
        anchor = np.mod(base, 1e5) if plan == "rollover" and odometer[-1] < 5e5 else np.floor(base)
        kind = ""
        if rng.random() < 0.03:
            wrong = 0.0 if used and rng.random() < 0.6 else float(np.floor(base + rng.uniform(2e4, 2e5)))
            kind, anchor = ("in service" if wrong != anchor else ""), wrong
        cars.append((f"V{index:04d}", anchor, np.floor(base), kind))
        driven.append(odometer)
        frames.append(frame)
    figures = pd.concat(frames, ignore_index=True)
    figures["true_day"] = figures["day"]
    spoil_singles(rng, figures, share)
    cars = pd.DataFrame(cars, columns=["unit", "in_service_odometer", "true", "kind"])
    return Fleet(figures, cars, driven)


def spoil_singles(rng, figures, share):
    """Spoil single figures or dates of lines that are in order so far."""
    free = np.flatnonzero(figures["kind"] == "")
    chosen = rng.choice(free, int(share * len(figures)), replace=False)
    shown = figures["written"].to_numpy()
    for place in chosen:
        kind = str(rng.choice(SINGLE))
        row = figures.loc[place]
        if kind.startswith("date"):
            day = other_date(rng, kind, row["day"])
            if day is not None:
                figures.loc[place, ["day", "kind"]] = [day, kind]
            continue
        value = slip(rng, kind, row["written"], row, shown)
        if value != row["written"]:
            figures.loc[place, ["written", "kind"]] = [value, kind]


def shown_tables(fleet):
    """The tables as intake would give them."""
    figures = fleet.figures
    figures["row"] = np.arange(2, len(figures) + 2)
    figures["unit"] = "V" + figures["vehicle"].astype(str).str.zfill(4)
    figures["date"] = START + figures["day"].to_numpy().astype("timedelta64[D]")
    out = {}
    for table in ("readings", "repairs", "inspections"):
        part = figures.loc[figures["table"] == table, ["unit", "date", "written", "row"]]
        out[table] = part.rename(columns={"written": "odometer"}).assign(file=f"{table}.csv")
        out[table]["date"] = pd.to_datetime(out[table]["date"])
    cars = fleet.vehicles.assign(in_service_date=pd.Timestamp(START), file="vehicles.csv")
    cars["row"] = np.arange(2, len(cars) + 2)
    return out, cars


def farthest(odometer, days):
    """Farthest the vehicle ever ran in so many days."""
    days = max(int(days), 1)
    if days >= len(odometer):
        return float(odometer[-1] - odometer[0])
    return float((odometer[days:] - odometer[:-days]).max())


def detectable(fleet):
    """Mask of the figures that can in principle be told to be false, and of in-service figures."""
    out = np.zeros(len(fleet.figures), dtype=bool)
    anchors = np.zeros(len(fleet.vehicles), dtype=bool)
    for index, frame in fleet.figures.groupby("vehicle"):
        odometer = fleet.driven[index]
        usual = (odometer[-1] - odometer[0]) / (len(odometer) - 1)
        slack = 2.0 * usual + frame["step"].to_numpy()
        # True figures in the order of their true days stand on both sides.
        line = frame.sort_values("true_day", kind="stable")
        false = (line["kind"] != "").to_numpy()
        single = line["kind"].isin(SINGLE).to_numpy()
        day, true = line["true_day"].to_numpy(float), line["true"].to_numpy()
        copied = (line["kind"] == "copied").to_numpy()
        good_day, good_true = day[~single & ~copied], true[~single & ~copied]
        result = np.zeros(len(line), dtype=bool)
        for k in np.flatnonzero(false):
            result[k] = _told(line.iloc[k], good_day, good_true, odometer, usual, k, day)
        result &= _enough_context(line)
        for name in BREAKS:
            result[(line["kind"] == name).to_numpy()] = _break_told(line, name, odometer, usual)
        off = (line["written"] - line["true"]).abs().to_numpy() > 2.0 * usual + line["step"].to_numpy()
        result &= off | line["kind"].isin(("date swapped", "date year")).to_numpy()
        out[line.index[result]] = True
        car = fleet.vehicles.iloc[index]
        if car["kind"] and len(good_day):
            gain, span = good_true[0] - car["in_service_odometer"], good_day[0]
            anchors[index] = gain < -slack[0] or gain > 1.5 * farthest(odometer, span + 1)
    return out, anchors


def _told(row, good_day, good_true, odometer, usual, place, day):
    """A figure contradicts the true figures around it."""
    same = row["kind"] in STRUCTURAL
    others = np.abs(good_true - row["true"]) > 0 if same else np.ones(len(good_true), dtype=bool)
    before = np.flatnonzero((good_day < row["day"]) & others)
    after = np.flatnonzero((good_day > row["day"]) & others)
    slack = 2.0 * usual + row["step"]
    sides = []
    if len(before):
        p = before[-1]
        sides.append((row["written"] - good_true[p], row["day"] - good_day[p], len(after)))
    if len(after):
        q = after[0]
        sides.append((good_true[q] - row["written"], good_day[q] - row["day"], len(before)))
    return any(
        gain < -slack or gain > 1500.0 * (span + 1) or (not other and gain > 1.5 * farthest(odometer, span + 1))
        for gain, span, other in sides
    )


def _break_told(line, name, odometer, usual):
    """The first figure after a change contradicts the last before it."""
    mine = (line["kind"] == name).to_numpy()
    plain = (line["kind"] == "").to_numpy()
    if not mine.any() or len(np.unique(line["day"].to_numpy()[mine])) < 2:
        return False
    first = line[mine].iloc[0]
    before = line[plain & (line["true_day"] < first["true_day"]).to_numpy()]
    if not len(before):
        return False
    last = before.iloc[-1]
    gain, span = first["written"] - last["true"], first["day"] - last["day"]
    return bool(gain < -2.0 * usual - first["step"] or gain > 1.5 * farthest(odometer, span + 1))


def _enough_context(line):
    """Faults of many figures need a certain company to be told."""
    out = np.ones(len(line), dtype=bool)
    kind = line["kind"].to_numpy()
    for name in STRUCTURAL:
        mine = kind == name
        if not mine.any():
            continue
        if name == "unit of a table":
            out[mine] = mine.sum() >= 3 and (~mine).sum() >= 3
        if name == "unit of a table" and out[mine].all():
            day, others = line["day"].to_numpy(), line["day"].to_numpy()[~mine]
            out[mine] = (day[mine] > others.min()) & (day[mine] < others.max())
    return out


def read_as(finding):
    """What a finding says a figure was read as; NaN for one that was set aside, or no finding."""
    if finding is None or not finding.action.startswith("read as"):
        return np.nan
    return float(finding.action.split()[2].replace(",", ""))


def studied(seed, *, vehicles=250, share=0.012):
    """Faults found, true figures altered, errors of distances and dates of one fleet."""
    fleet = invented_fleet(seed, vehicles=vehicles, share=share)
    tables, cars = shown_tables(fleet)
    result = build_odometer_curves(cars, distance_unit="km", **tables)
    figures = fleet.figures
    named = {(f.table, f.row): f for f in result.findings}
    figures["finding"] = [named.get((t, r)) for t, r in zip(figures["table"], figures["row"], strict=True)]
    figures["found"] = figures["finding"].notna()
    figures["read_as"] = [read_as(finding) for finding in figures["finding"]]
    figures["set_aside"] = figures["found"] & figures["read_as"].isna()
    usual = np.array([(o[-1] - o[0]) / (len(o) - 1) for o in fleet.driven])[figures["vehicle"]]
    slack = 2.0 * usual + figures["step"]
    figures["detectable"], anchors = detectable(fleet)
    false = figures["kind"] != ""
    figures["altered"] = ~false & (figures["set_aside"] | ((figures["read_as"] - figures["true"]).abs() > slack))
    figures["evened"] = ~false & figures["found"] & ~figures["altered"]
    figures["right"] = (figures["read_as"] - figures["true"]).abs() <= 1.0
    figures["misread"] = (figures["read_as"] - figures["true"]).abs() > slack
    cars["detectable"] = anchors
    cars["found"] = [("vehicles", row) in named for row in cars["row"]]
    return Study(fleet, figures, cars, result, distance_errors(fleet, result.curves, seed))


@dataclass
class Study:
    """What came of one fleet."""

    fleet: Fleet
    figures: pd.DataFrame
    cars: pd.DataFrame
    result: object
    errors: pd.DataFrame


def distance_errors(fleet, curves, seed, draws=40):
    """Errors of distance and date at random days, inside the record and up to 60 days after it."""
    rng = np.random.default_rng(seed + 77)
    origin = int(START.astype("datetime64[D]").astype(int))
    parts = []
    kinds = fleet.figures.groupby("vehicle")["kind"].agg(lambda k: ([x for x in k if x in STRUCTURAL] or [""])[0])
    bad_anchor = (fleet.vehicles["kind"] != "").to_numpy()
    for index, odometer in enumerate(fleet.driven):
        frame = fleet.figures[fleet.figures["vehicle"] == index]
        first, last = frame["true_day"].min(), frame["true_day"].max()
        day = rng.integers(first, last + 1, draws)
        moment = np.interp(day + 0.5, np.arange(len(odometer)), odometer)
        estimate = curves.distance_at(index, day + origin)
        sd = curves.distance_sd_at(index, day + origin)
        far = rng.uniform(odometer[first], odometer[last], draws)
        true_day = np.searchsorted(odometer, far, side="left") - 1 + 0.0
        day_estimate = curves.day_at(index, far) - origin
        day_sd = curves.day_sd_at(index, far)
        usual = (odometer[-1] - odometer[0]) / (len(odometer) - 1)
        parts.append(pd.DataFrame({
            "vehicle": index, "plan": kinds.get(index, ""), "error": estimate - moment, "sd": sd, "usual": usual,
            "day_error": day_estimate - true_day, "day_sd": day_sd, "ahead": False, "anchor": bad_anchor[index],
        }))  # fmt: skip
        beyond = np.arange(last + 1, min(last + 60, len(odometer) - 1))
        if len(beyond) > 3:
            beyond = rng.choice(beyond, 4, replace=False)
            moment = np.interp(beyond + 0.5, np.arange(len(odometer)), odometer)
            parts.append(pd.DataFrame({
                "vehicle": index, "plan": kinds.get(index, ""), "usual": usual, "ahead": True, "anchor": False,
                "error": curves.distance_at(index, beyond + origin) - moment,
                "sd": curves.distance_sd_at(index, beyond + origin), "day_error": np.nan, "day_sd": np.nan,
            }))  # fmt: skip
    return pd.concat(parts, ignore_index=True)


def fault_table(studies):
    """Faults by kind: injected, detectable, found of these, read right, misread."""
    figures = pd.concat([study.figures for study in studies])
    rows = []
    for kind in (*SINGLE, *STRUCTURAL[:-1]):
        mine = figures[figures["kind"] == kind]
        told = mine[mine["detectable"]]
        rows.append((kind, len(mine), len(told), told["found"].mean(), told["right"].mean(), told["misread"].mean()))
    cars = pd.concat([study.cars for study in studies])
    cars = cars[cars["kind"] != ""]
    told = cars[cars["detectable"]]
    rows.append(("in service", len(cars), len(told), told["found"].mean(), np.nan, np.nan))
    return pd.DataFrame(rows, columns=["kind", "injected", "detectable", "found", "read_right", "misread"])


def fault_outcomes(studies):
    """Whether each detectable fault was found; one of many figures counts once."""
    out = []
    for study in studies:
        told = study.figures[study.figures["detectable"]]
        single = told["kind"].isin(SINGLE)
        out += told.loc[single, "found"].tolist()
        shares = told[~single].groupby(["vehicle", "kind"])["found"].mean()
        out += (shares >= 0.9).tolist()
        out += study.cars.loc[study.cars["detectable"], "found"].tolist()
    return np.array(out)


def totals(studies):
    """Found of all detectable ones, true figures altered, errors and coverage."""
    figures = pd.concat([study.figures for study in studies])
    cars = pd.concat([study.cars for study in studies])
    errors = pd.concat([study.errors for study in studies])
    told = np.concatenate([figures.loc[figures["detectable"], "found"], cars.loc[cars["detectable"], "found"]])
    outcomes = fault_outcomes(studies)
    single = figures["kind"].isin(SINGLE) & figures["detectable"]
    true = np.concatenate([figures.loc[figures["kind"] == "", "altered"], cars.loc[cars["kind"] == "", "found"]])
    inside, plain = errors[~errors["ahead"]], errors[~errors["ahead"] & (errors["plan"] == "") & ~errors["anchor"]]
    hit = lambda part, name="": (part[f"{name}error"].abs() <= Z * part[f"{name}sd"]).mean()  # noqa: E731
    days = inside[inside["day_error"].notna()]
    return pd.Series({
        "figures": len(figures), "faults": int((figures["kind"] != "").sum()), "detectable": len(told),
        "found of figures": told.mean(), "faults told apart": len(outcomes), "found of faults": outcomes.mean(),
        "found of single": figures.loc[single, "found"].mean(),
        "true altered": true.mean(), "true evened": figures.loc[figures["kind"] == "", "evened"].mean(),
        "anchors altered": cars.loc[cars["kind"] == "", "found"].mean(),
        "rms km, all": np.sqrt((inside["error"] ** 2).mean()),
        "rms km, no break": np.sqrt((plain["error"] ** 2).mean()),
        "median error km": inside["error"].abs().median(),
        "rms days of running": np.sqrt(((plain["error"] / plain["usual"]) ** 2).mean()),
        "coverage": hit(inside), "coverage, no break": hit(plain), "coverage ahead": hit(errors[errors["ahead"]]),
        "coverage of dates": hit(days, "day_"), "questions": sum(len(s.result.questions) for s in studies),
    })  # fmt: skip


def main():
    """Print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--fleets", type=int, default=4)
    parser.add_argument("--vehicles", type=int, default=250)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    studies = [studied(chosen.seed + k, vehicles=chosen.vehicles) for k in range(chosen.fleets)]
    print(fault_table(studies).round(3).to_string(index=False))
    print(totals(studies).round(4).to_string())


if __name__ == "__main__":
    main()
