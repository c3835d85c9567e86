"""The table of functions: complete, and fit for every spreadsheet program's rules on names."""

import inspect
import keyword
import re

import pytest

from workbook import functions
from workbook.function_list import FUNCTIONS, function_rows

DESIGNED = {
    "WEAR_SURVIVAL", "WEAR_HAZARD", "WEAR_LIFE_AT", "WEAR_MEAN_LIFE", "WEAR_FAIL_WITHIN", "WEAR_REMAINING",
    "WEAR_INTERVAL", "WEAR_COST_RATE", "WEAR_INSPECT_EVERY", "WEAR_LIFT_EFFECT", "WEAR_JOINT_ANGLE",
    "WEAR_SPEED_RIPPLE", "WEAR_COMPOUND_ANGLE", "WEAR_RESIDUAL_ANGLE", "WEAR_PEAK_ACCELERATION",
    "WEAR_BEARING_LIFE_RATIO", "WEAR_CRITICAL_SPEED", "WEAR_TORSION", "WEAR_TWIST", "WEAR_DEMAND",
    "WEAR_STOCK_LEVEL", "WEAR_BUDGET", "WEAR_COMPONENTS", "WEAR_MODEL_NOTE", "WEAR_LIFT_EFFECT_LIMIT",
    "WEAR_LIFT_EXTRA_COST", "WEAR_MEAN_LIFE_WITHIN", "WEAR_PART_EXTRA_COST",
}  # fmt: skip
# Words of Visual Basic for Applications that may not be names (language reference; from memory).
VBA_LANGUAGE = """
    and as boolean byref byte byval call case class const currency date debug decimal declare dim do double each
    else elseif empty end enum eqv erase error event exit false for friend function get global gosub goto if imp
    implements in input integer is let like line lock long loop lset me mod name new next not nothing null object on
    open option optional or paramarray preserve print private property public put raiseevent redim rem resume return
    rset seek select set single static step stop string sub tab then time to true type typeof until variant wend
    while with withevents write xor
"""
VBA_WORDS = set(VBA_LANGUAGE.split())


def test_every_function_of_the_design_is_there() -> None:
    assert set(FUNCTIONS) == set(functions.__all__) == DESIGNED


@pytest.mark.parametrize("name", FUNCTIONS)
def test_function_names_are_no_cell_addresses(name: str) -> None:
    assert re.fullmatch(r"WEAR_[A-Z_]{1,50}", name)
    assert not re.fullmatch(r"[A-Z]{1,3}[0-9]+", name)
    assert name.lower() not in VBA_WORDS


@pytest.mark.parametrize("name", FUNCTIONS)
def test_argument_names_are_free_in_every_language(name: str) -> None:
    for argument in FUNCTIONS[name].arguments:
        assert re.fullmatch(r"[a-z][a-z_]*", argument.name)
        assert argument.name not in VBA_WORDS | {"caller"}
        assert not keyword.iskeyword(argument.name)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_table_and_signature_agree(name: str) -> None:
    parameters = inspect.signature(getattr(functions, name)).parameters
    spec = FUNCTIONS[name]
    assert list(parameters) == [argument.name for argument in spec.arguments]
    optional = False
    for argument, parameter in zip(spec.arguments, parameters.values(), strict=True):
        assert parameter.kind is inspect.Parameter.POSITIONAL_OR_KEYWORD
        if argument.required:
            assert not optional
            assert parameter.default is inspect.Parameter.empty
        else:
            optional = True
            assert parameter.default == argument.default


@pytest.mark.parametrize("name", FUNCTIONS)
def test_texts_fit_into_the_function_wizard(name: str) -> None:
    spec = FUNCTIONS[name]
    for text in (spec.answer, *(argument.description for argument in spec.arguments)):
        assert 5 < len(text) <= 255
        assert text.endswith(".")
        assert '"' not in text
        assert text.isprintable()


@pytest.mark.parametrize("name", FUNCTIONS)
def test_docstrings_tell_arguments_and_units(name: str) -> None:
    spec, text = FUNCTIONS[name], getattr(functions, name).__doc__
    assert text.startswith(spec.answer)
    assert "Returns\n-------" in text
    for argument in spec.arguments:
        assert f"\n{argument.name} : " in text
        assert argument.description in text


def test_rows_for_people() -> None:
    rows = function_rows()
    assert [row["name"] for row in rows] == list(FUNCTIONS)
    assert all(list(row) == ["name", "arguments", "answer", "example"] for row in rows)
    by_name = {row["name"]: row for row in rows}
    assert by_name["WEAR_SURVIVAL"]["arguments"] == 'component, distance, [duty="fleet"], [lift=0]'
    assert by_name["WEAR_COST_RATE"]["arguments"] == (
        'component, interval, [duty="fleet"], [lift=0], [planned_cost], [failed_cost]'
    )
    assert by_name["WEAR_MEAN_LIFE"]["answer"] == (
        "Mean life of new parts that run to failure, on vehicles taken at random [distance]."
    )
    assert by_name["WEAR_MEAN_LIFE"]["example"] == '=WEAR_MEAN_LIFE("u_joint") gives 88,726.4'
    assert by_name["WEAR_COMPONENTS"]["example"] == "=WEAR_COMPONENTS() fills a table"
