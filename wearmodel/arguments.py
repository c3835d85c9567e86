"""The arguments of the command line."""

import argparse
from datetime import date
from pathlib import Path
from typing import NoReturn

from wearmodel import __version__

__all__ = ["CAUTION", "build_parser"]

#: The usual cautions; every command ends with them.
CAUTION = (
    "A worn, noisy or loose part is replaced on condition, whatever its predicted life. Work under a vehicle only "
    "on rated stands, keep clear of rotating shafts, and have ride-height changes approved where that is required. "
    "The manufacturer's procedures, local codes and licensed practice come first."
)
_LARGEST_SEED = 2**32 - 1


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a date; write it as 2026-06-30") from None


def _whole(low: int, high: int, what: str) -> "argparse._ActionType":
    def parse(text: str) -> int:
        try:
            value = int(text)
        except ValueError:
            value = low - 1
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"'{text}' is not {what} from {low} to {high}")
        return value

    return parse


class _OneSentenceParser(argparse.ArgumentParser):
    """A parser whose complaint is one sentence, like every other message of the program."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message}; see '{self.prog} --help'.\n")


def build_parser() -> argparse.ArgumentParser:
    """The parser of all commands.

    Returns
    -------
    argparse.ArgumentParser
        A complaint about the arguments is one sentence, exit code 2.
    """
    parser = _OneSentenceParser(
        prog="wearmodel",
        description="From a fleet's repair record to replacement plans, parts forecasts and budgets for drivelines.",
        epilog=CAUTION,
    )
    parser.add_argument("--version", action="version", version=f"wearmodel {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    common = _OneSentenceParser(add_help=False)
    common.add_argument("fleet", metavar="FLEET", type=Path, help="fleet folder with the tables and fleet.toml")
    common.add_argument("--as-of", metavar="DATE", type=_date, help="end of the record, as 2026-06-30")
    common.add_argument("--tables", metavar="DIR", type=Path, help="write every result table as CSV into this folder")
    common.add_argument("--model", metavar="FILE", type=Path, help="life model file (JSON)")
    common.add_argument(
        "--review",
        metavar="FILE",
        type=Path,
        help="planner workbook with answers on the sheet To settle; they are kept in corrections.csv, and plan "
        "carries changed inputs and notes into the new workbook",
    )
    common.add_argument("--out", metavar="FILE", type=Path, help="workbook to write (.xlsx; .xlsm for macros)")
    months = _whole(1, 120, "a number of months")
    common.add_argument("--months", metavar="N", type=months, default=12, help="horizon (12)")
    common.add_argument("--seed", metavar="N", type=_whole(0, _LARGEST_SEED, "a seed"), default=1, help="seed (1)")
    common.add_argument(
        "--workers", metavar="N", type=_whole(1, 256, "a number of processes"),
        help="processes to share the work out among (all cores; one for a small fleet); results are the same",
    )  # fmt: skip

    _add_fleet_commands(commands, common)
    simulate = commands.add_parser("simulate", help="write an invented fleet folder whose truth is known")
    simulate.add_argument("folder", metavar="DIR", type=Path, help="folder to write; must be empty or new")
    simulate.add_argument("--vehicles", type=_whole(1, 100_000, "a number of vehicles"), default=220, metavar="N")
    simulate.add_argument("--years", type=_whole(1, 40, "a number of years"), default=8, metavar="N")
    simulate.add_argument("--seed", type=_whole(0, _LARGEST_SEED, "a seed"), default=1, metavar="N")
    simulate.add_argument("--clean", action="store_true", help="leave out the ordinary dirt of shop records")
    simulate.add_argument(
        "--engine-hours", action="store_true", help="give vehicles engine hours, and joints that wear by those"
    )
    functions = commands.add_parser("functions", help="list the workbook functions, or set them up in a spreadsheet")
    functions.add_argument("--setup", choices=("calc", "excel"), help="set the functions up for this program")
    functions.add_argument("--model", metavar="FILE", type=Path, help="model file that the functions take")
    functions.add_argument("--out", metavar="FILE", type=Path, help="only write the add-in, a name that ends in .oxt")
    functions.add_argument("--profile", metavar="DIR", type=Path, help="settings folder of LibreOffice (your own)")
    return parser


def _add_fleet_commands(
    commands: "argparse._SubParsersAction[_OneSentenceParser]", common: _OneSentenceParser
) -> None:
    """The commands that read a fleet folder."""
    for name, text in (
        ("check", "read the fleet folder and say what was used and what was not"),
        ("fit", "fit the life models and write the model file (wear_model.json without --model)"),
        ("plan", "fit, decide, forecast, and write the planner workbook (planner.xlsx without --out)"),
        ("backtest", "forecast from earlier days, compare with what came, and write a workbook (backtest.xlsx)"),
    ):
        command = commands.add_parser(name, parents=[common], help=text, description=text, epilog=CAUTION)
        if name != "check":
            command.add_argument(
                "--cluster", metavar="ADDRESS",
                help="scheduler of a Dask cluster whose workers share the work, as tcp://10.0.0.5:8786; results are "
                "the same (on a network you trust: who reaches it can run programs there)",
            )  # fmt: skip
        if name in ("fit", "plan"):
            command.add_argument(
                "--earlier-model", metavar="FILE", type=Path,
                help="model file of an earlier month: tells which life curves moved since",
            )  # fmt: skip
        if name == "plan":
            command.add_argument(
                "--earlier-forecasts", metavar="N", type=_whole(0, 6, "a number of forecasts"),
                help="also forecast from N earlier days and say how good that was (1; none for a large fleet)",
            )  # fmt: skip
            command.add_argument("--pdf", metavar="FILE", type=Path, help="overview and due list as PDF (LibreOffice)")
            command.add_argument("--charts", metavar="DIR", type=Path, help="life curves and budget as PNG pictures")
