"""Kilometres and miles: one unit for the whole fleet, whatever each table uses."""

import numpy as np
import pytest

from wearmodel.intake.values.distance_units import KM_PER_MILE, conversion_factor


def test_mile_is_exact():
    """International yard and pound agreement of 1959: a yard is 0.9144 m, a mile 1760 yards."""
    assert pytest.approx(1760 * 0.9144 / 1000, rel=1e-15) == KM_PER_MILE


def test_there_and_back():
    assert conversion_factor("mi", to="km") * conversion_factor("km", to="mi") == pytest.approx(1.0, rel=1e-15)
    assert conversion_factor("", to="hours") == conversion_factor("days", to="days") == 1.0
    with pytest.raises(ValueError, match="'km' cannot be turned into 'hours'"):
        conversion_factor("km", to="hours")


def test_a_table_in_miles(fleet):
    plain = fleet.read()
    result = fleet.read("[tables.readings]\nunit = 'mi'\n[tables.duty_log]\nunit = 'mi'\n")
    odometers = result.tables["readings"]["odometer"] / plain.tables["readings"]["odometer"]
    assert np.allclose(odometers, KM_PER_MILE, rtol=1e-15)
    assert (result.tables["duty_log"]["distance"] == 2500 * KM_PER_MILE).all()
    assert (result.tables["duty_log"]["stops"] == 40).all()
    assert result.tables["repairs"].equals(plain.tables["repairs"])
    assert "readings.csv, column odometer: converted from mi to km." in result.notes


def test_a_fleet_in_miles_with_a_table_in_km(fleet):
    result = fleet.read("distance_unit = 'mi'\n[tables.readings]\nunit = 'km'\n")
    assert result.tables["readings"]["odometer"][0] == pytest.approx(10000 / 1.609344)
    assert result.tables["repairs"]["odometer"][0] == 10000


def test_unit_in_the_heading(fleet):
    fleet.headers["readings"][2] = "Odometer (mi)"
    assert fleet.read().tables["readings"]["odometer"][0] == 16093.44
    assert fleet.read("[tables.readings]\nunit = 'km'\n").tables["readings"]["odometer"][0] == 10000


def test_heading_in_a_unit_that_does_not_convert(fleet):
    fleet.headers["readings"][2] = "Odometer (mi)"
    (problem,) = fleet.problems("distance_unit = 'hours'")
    assert problem.startswith("readings.csv, column Odometer (mi): 'mi' cannot be turned into 'hours'")


def test_lift_in_inches(fleet):
    fleet.headers["ride_height"][2] = "Lift (in)"
    fleet.column("ride_height", "Lift (in)", lambda _: "2")
    assert set(fleet.read().tables["ride_height"]["lift"]) == {50.8}


def test_mean_speed_is_a_distance_too(fleet):
    fleet.set("duty_log", 2, "mean_speed", "50")
    assert fleet.read("[tables.duty_log]\nunit = 'mi'").tables["duty_log"]["mean_speed"][0] == 50 * KM_PER_MILE
