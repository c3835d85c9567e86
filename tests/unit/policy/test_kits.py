"""Kits in visits: against every set of kits and single parts, priced by hand."""

from itertools import chain, combinations

import numpy as np
import pandas as pd
import pytest

from wearmodel.intake.fleet_toml.settings_together import SharedWork
from wearmodel.policy.age_replacement import FLAT_TOLERANCE
from wearmodel.policy.kits import Kit, catalogue_kits, kit_places, plan_kits
from wearmodel.policy.shared_work import build_sharing
from wearmodel.policy.together import Candidates

RATES = (70.0, 40.0)
TERMS = SharedWork()
POSITIONS = ["left.outboard_joint", "left.outboard_boot", "left.inboard_joint", "left.inboard_boot",
             "rear.joint_front", "rear.joint_rear"]  # fmt: skip
COMPONENTS = ["cv_joint_outboard", "cv_boot_outboard", "cv_joint_inboard", "cv_boot_inboard", "u_joint", "u_joint"]
PRICE = np.array([160.0, 30.0, 180.0, 28.0, 40.0, 40.0])
HOURS = np.array([1.8, 1.5, 2.0, 1.7, 1.4, 1.4])
STANDS = HOURS + 0.8
HALF_SHAFT = Kit("HS", "cv_joint_outboard", "", tuple(COMPONENTS[:4]), 330.0, np.nan)
PAIR = Kit("UJ2", "u_joint", "van", tuple(POSITIONS[4:]), 70.0, np.nan)
CORNER = Kit("CORN", "cv_joint_outboard", "all", ("cv_boot_outboard",), 170.0, 1.9)


def parts(**changed):
    frame = pd.DataFrame(
        {"vehicle": 0, "vehicle_class": "van", "position": POSITIONS, "component": COMPONENTS}
    )
    return frame.assign(**changed)


def candidates_of(keeping):
    zero = np.zeros(len(keeping))
    planned = PRICE + HOURS * RATES[0] + STANDS * RATES[1]
    return Candidates(np.asarray(keeping, dtype=float), planned, zero, zero, zero, zero, zero)


def planned(keeping, *, due, kits):
    sharing = build_sharing(np.zeros(6, dtype=int), POSITIONS, hours=HOURS, downtime=STANDS, terms=TERMS)
    main = np.arange(6) == np.flatnonzero(due)[0]
    return plan_kits(
        candidates_of(keeping), sharing, due=np.asarray(due), main=main, positions=POSITIONS, price=PRICE,
        places=kit_places(kits, parts()), spared_rates=RATES,
    )  # fmt: skip


def cost_of_jobs(jobs):
    """Labour and standing of jobs (name, hours, standing) in one visit, each beside those before it."""
    jobs = sorted(jobs, key=lambda job: -job[1])
    total = 0.0
    for index, (name, hours, stands) in enumerate(jobs):
        spared = standing = 0.0
        if index:
            shared = [0.0]
            for other, other_hours, _ in jobs[:index]:
                same_line = name.partition(".")[0] == other.partition(".")[0]
                same_end = name.rpartition("_")[0] == other.rpartition("_")[0] and "board" in name
                share = 0.8 if same_end else 0.0
                if same_line:
                    share = max(share, 0.5 if "board" in name else 0.4)
                shared.append(share * min(hours, other_hours))
            spared = min(max(shared) + TERMS.visit_hours, hours)
            standing = min(spared + TERMS.visit_downtime_hours, stands)
        total += (hours - spared) * RATES[0] + (stands - standing) * RATES[1]
    return total


def cost_of(singles, kits, keeping, due):
    """Cost of a visit of some single parts and kits, less what keeping the parts renewed early would have cost."""
    jobs = [(POSITIONS[i], HOURS[i], STANDS[i]) for i in singles]
    cost, renewed = sum(PRICE[i] for i in singles), set(singles)
    for place in kits:
        rows = list(place.rows)
        cost, renewed = cost + place.kit.price, renewed | set(rows)
        if place.kit.number == "UJ2":
            jobs += [(POSITIONS[i], HOURS[i], STANDS[i]) for i in rows]
            continue
        hours = 1.9 if place.kit.number == "CORN" else HOURS[rows].max()
        longest = next(i for i in rows if due[i]) if any(due[i] and i == np.flatnonzero(due)[0] for i in rows) else (
            rows[int(np.argmax(HOURS[rows]))])  # fmt: skip
        jobs.append((POSITIONS[longest], hours, hours + 0.8))
    return cost + cost_of_jobs(jobs) - sum(keeping[i] for i in renewed if not due[i])


def every_visit(kits, keeping, due):
    """Cost of every set of kits that have no part in common with every set of further single parts."""
    places = kit_places(kits, parts())
    for some in chain.from_iterable(combinations(places, size) for size in range(len(places) + 1)):
        in_kits = [row for place in some for row in place.rows]
        if len(in_kits) > len(set(in_kits)):
            continue
        free = [i for i in range(6) if i not in in_kits and not due[i]]
        for more in chain.from_iterable(combinations(free, size) for size in range(len(free) + 1)):
            singles = [i for i in range(6) if due[i] and i not in in_kits] + list(more)
            margin = FLAT_TOLERANCE * sum(place.kit.price for place in some)
            yield cost_of(singles, some, keeping, due) + margin, {place.kit.number for place in some}


def own_cost(found, kits, keeping, due):
    """Cost of the visit that was planned, by hand."""
    renewed = np.flatnonzero(found.joined >= 0)
    some = [place for place in kit_places(kits, parts()) if (found.number[list(place.rows)] == place.kit.number).all()]
    singles = [i for i in renewed if found.number[i] == ""]
    return cost_of(singles, some, keeping, due) + FLAT_TOLERANCE * sum(place.kit.price for place in some)


def test_against_every_set_of_kits_and_single_parts():
    rng = np.random.default_rng(4)
    kits = (HALF_SHAFT, PAIR, CORNER)
    dearer, with_kits, same_kits = [], 0, 0
    for _ in range(300):
        due = np.zeros(6, dtype=bool)
        due[rng.choice(6, rng.integers(1, 4), replace=False)] = True
        keeping = rng.uniform(-20.0, 330.0, 6)
        found = planned(keeping, due=due, kits=kits)
        least, best = min(every_visit(kits, keeping, due), key=lambda visit: visit[0])
        mine = own_cost(found, kits, keeping, due)
        assert mine >= least - 1e-6
        dearer.append(mine - least)
        with_kits += bool(best)
        same_kits += set(found.number) - {""} == best
        # What it says the kits save is what they save, by hand.
        plain = planned(keeping, due=due, kits=())
        saved = own_cost(plain, (), keeping, due) - (
            mine - FLAT_TOLERANCE * sum(k.price for k in kits if k.number in set(found.number))
        )
        assert found.gain[0] == pytest.approx(saved, abs=1e-6)
    assert with_kits > 100
    # The rest are visits where two parts would pay only together, or a kit that renews nothing of the visit.
    gap = np.array(dearer)
    assert np.mean(gap < 1e-6) > 0.95 and np.mean(gap < 12.0) > 0.975 and same_kits >= 0.98 * 300


def test_a_kit_is_taken_for_the_value_of_what_it_renews_early_and_not_without_it():
    due = np.array([True, False, False, False, False, False])
    old = planned([0.0, 150.0, 150.0, 150.0, 0.0, 0.0], due=due, kits=(HALF_SHAFT,))
    assert (old.number[:4] == "HS").all() and (old.number[4:] == "").all() and old.gain[0] > 0
    assert old.price.tolist()[:4] == [330.0, 0.0, 0.0, 0.0] and old.hours[:4].sum() == 2.0
    new = planned([0.0, 0.0, 0.0, 0.0, 0.0, 0.0], due=due, kits=(HALF_SHAFT,))
    assert (new.number == "").all() and (new.gain == 0.0).all()


def test_a_kit_that_renews_nothing_of_the_visit_is_not_proposed():
    due = np.array([True, False, False, False, False, False])
    found = planned([0.0] * 6, due=due, kits=(Kit("UJ2", "u_joint", "", tuple(POSITIONS[4:]), 0.01, 0.01),))
    assert (found.number == "").all()


def test_positions_without_a_curve_add_no_value():
    due = np.array([True, False, False, False, False, False])
    found = planned([0.0, np.nan, 400.0, np.nan, 0.0, 0.0], due=due, kits=(HALF_SHAFT,))
    known = planned([0.0, 0.0, 400.0, 0.0, 0.0, 0.0], due=due, kits=(HALF_SHAFT,))
    assert found.gain[0] == pytest.approx(known.gain[0]) and (found.number[:4] == "HS").all()


def test_where_kits_fit():
    assert [place.rows for place in kit_places((HALF_SHAFT, PAIR, CORNER), parts())] == [(0, 1, 2, 3), (4, 5), (0, 1)]
    other = parts(vehicle_class="truck")
    assert [place.kit.number for place in kit_places((HALF_SHAFT, PAIR), other)] == ["HS"]
    assert kit_places((HALF_SHAFT,), parts().drop(index=1)) == []
    assert kit_places((Kit("X", "u_joint", "", ("rear.joint_front", "rear.joint_middle"), 9.0, np.nan),), parts()) == []


def test_kits_of_the_catalogue():
    rows = [("A", "u_joint", "", "", 40.0, ""), ("K", "u_joint", "van", "rear.joint_front;rear.joint_rear", 70.0, ""),
            ("K0", "u_joint", "van", "rear.joint_front;rear.joint_rear", 60.0, "K")]  # fmt: skip
    names = ["part_number", "component", "vehicle_class", "renews", "unit_price", "superseded_by"]
    (kit,) = catalogue_kits(pd.DataFrame(rows, columns=names), {"K": 2.0})
    assert kit == Kit("K", "u_joint", "van", ("rear.joint_front", "rear.joint_rear"), 70.0, 2.0)
