"""The command line. Heavy modules are imported by the command that needs them."""

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wearmodel.arguments import CAUTION, build_parser
from wearmodel.errors import InputError, OutputError, WearmodelError
from wearmodel.file_locks import turn_to_write
from wearmodel.output_checks import (
    check_folder,
    check_inputs_are_safe,
    check_model_target,
    check_target,
    workbook_target,
)
from wearmodel.processes import available_cores, each, on_workers
from wearmodel.spoken_results import (
    say,
    say_lives,
    say_moved,
    say_open_elsewhere,
    say_plan,
    say_questions,
    say_scores,
    say_stage,
    say_waiting,
)

if TYPE_CHECKING:
    import pandas as pd

    from wearmodel.intake.fleet import Fleet
    from wearmodel.plan import Plan
    from wearmodel.survival.model import LifeModel
    from workbook.planner.typed import TypedIn

__all__ = ["main"]

#: With fewer repair lines a fleet is worked off in one process unless somebody asks for more.
_FEWEST_FOR_SHARING = 500
#: With more repair lines `plan` makes no forecast from an earlier day unless somebody asks for it.
_MOST_FOR_EARLIER_FORECASTS = 50_000


@contextmanager
def _sharing(arguments: argparse.Namespace) -> Iterator[None]:
    """Context within which work is shared out as the arguments ask for."""
    if arguments.cluster is None:
        with on_workers(arguments.workers):
            yield
    else:
        from wearmodel.cluster import on_cluster

        with on_cluster(arguments.cluster):
            yield


def _check_cluster(arguments: argparse.Namespace) -> None:
    """Say before the long reading that a cluster cannot be used."""
    if arguments.cluster is not None:
        from wearmodel.cluster import on_cluster

        if arguments.workers is not None:
            raise InputError("--cluster shares the work out among the workers of the cluster; leave --workers out.")
        with on_cluster(arguments.cluster):
            pass


@contextmanager
def _after(written: str) -> Iterator[None]:
    """When a later result cannot be written, say which earlier one is new already."""
    try:
        yield
    except OutputError as error:
        told = [f"{written}: already written by this run."] if written else []
        raise OutputError([*error.problems, *told]) from None


def _read(arguments: argparse.Namespace) -> "Fleet":
    import pandas as pd

    from wearmodel.intake.fleet import order_by_content, read_fleet

    as_of = None if arguments.as_of is None else pd.Timestamp(arguments.as_of)
    if arguments.review:
        _keep_answers(arguments.fleet, arguments.review, as_of)
    say_stage("reading the fleet folder")
    fleet = order_by_content(read_fleet(arguments.fleet, as_of=as_of))
    if arguments.workers is None:
        arguments.workers = available_cores() if len(fleet.tables["repairs"]) >= _FEWEST_FOR_SHARING else 1
    return fleet


def _keep_answers(folder: Path, workbook: Path, as_of: "pd.Timestamp | None") -> None:
    """Put the answers of a planner workbook into the fleet's corrections file."""
    from wearmodel.history.histories import build_histories
    from wearmodel.intake.corrections import CORRECTIONS_FILE, add_answers
    from wearmodel.intake.fleet import order_by_content, read_fleet
    from wearmodel.questions import build_review
    from workbook.answers import read_answers

    answers, changed = read_answers(workbook), 0
    # A planner written over month by month has none as a rule; the fleet need not be read twice then.
    if answers:
        say_stage("matching the answers with their questions")
        fleet = order_by_content(read_fleet(folder, as_of=as_of))
        review = build_review([*fleet.questions, *build_histories(fleet).questions])
        with turn_to_write([folder], waiting=say_waiting):
            changed = add_answers(folder, answers, questions_frame=review, answered_on=date.today())
    say(f"{len(answers):,} answers read from {workbook}, {changed:,} new or changed in {folder / CORRECTIONS_FILE}")


def _propose(folder: Path) -> None:
    """Propose a fleet.toml where there is none, and stop where the folder cannot be read before it is answered."""
    if (folder / "fleet.toml").exists() or not folder.is_dir():
        return
    from wearmodel.intake.proposal.mapping_proposal import propose_mapping, write_proposal

    say_stage("looking for the tables and their columns")
    proposal = propose_mapping(folder)
    say(f"{folder} has no fleet.toml; this one is proposed:\n\n{proposal.text}")
    try:
        written = write_proposal(folder, proposal)
    except OutputError as error:
        written = None
        say(f"It was not written: {error.problems[0]}")
    if written:
        say(f"Written to {written}: read it through and correct what is wrong.")
    for question in proposal.questions:
        if question not in proposal.undecided:
            say(f"Question: {question}")
    if proposal.undecided:
        raise InputError(
            [
                *proposal.undecided,
                *proposal.notes,
                f"Answer in {folder / 'fleet.toml'}, then run 'wearmodel check {folder}' again.",
            ]
        )


def _check(arguments: argparse.Namespace) -> None:
    from wearmodel.findings import build_reconciliation, build_set_aside
    from wearmodel.history.histories import build_histories
    from wearmodel.questions import build_review
    from wearmodel.reconciliation_lines import reconciliation_lines

    _propose(arguments.fleet)
    fleet = _read(arguments)
    histories = build_histories(fleet)
    set_aside = build_set_aside([*fleet.findings, *histories.findings])
    reconciliation = build_reconciliation(fleet.counts, set_aside)
    review = build_review([*fleet.questions, *histories.questions])
    for line in reconciliation_lines(reconciliation, set_aside):
        say(line)
    for note in filter(None, (*fleet.notes, histories.hours.note)):
        say(f"Note: {note}")
    say_questions(review)
    say_lives(histories.lives)
    if arguments.tables:
        tables = {"set_aside": set_aside, "reconciliation": reconciliation, "review": review}
        with turn_to_write([arguments.tables], waiting=say_waiting):
            _write(arguments.tables, tables | {"duty_groups": fleet.duty_groups})


def _table_names() -> tuple[str, ...]:
    """Tables that are written, in order."""
    from wearmodel.backtest_tables import BACKTEST_COLUMNS
    from wearmodel.plan import RESULT_TABLES

    return (*RESULT_TABLES, *BACKTEST_COLUMNS)


def _write(folder: Path, tables: "Mapping[str, pd.DataFrame]") -> None:
    from wearmodel.table_files import write_tables

    write_tables(tables, folder, names=_table_names())
    say(f"Tables written to {folder}")


def _fit(arguments: argparse.Namespace) -> None:
    target = arguments.model or Path("wear_model.json")
    check_model_target(target)
    # Read before the new file is written: they may be the same.
    earlier = _earlier_model(arguments)
    fleet = _read(arguments)
    from wearmodel.fleet_clocks import settle_on_clocks
    from wearmodel.fleet_model import fit_fleet
    from wearmodel.history.histories import build_histories
    from wearmodel.plan import build_fit_tables
    from wearmodel.survival.store import write_model

    say_stage("fitting life models")
    with _sharing(arguments):
        clocked = settle_on_clocks(fleet, build_histories(fleet))
        model = fit_fleet(fleet, clocked.settled.coded, lost=clocked.settled.lost)
        tables: dict[str, pd.DataFrame] = {}
        if arguments.tables or earlier:
            name = str(arguments.earlier_model)
            tables = build_fit_tables(fleet, clocked, model, earlier=earlier, earlier_name=name)
    with turn_to_write(filter(None, (target.parent, arguments.tables)), waiting=say_waiting):
        if arguments.tables:
            _write(arguments.tables, tables)
        with _after(f"The tables in {arguments.tables}" if arguments.tables else ""):
            write_model(model, target)
    if tables:
        say_moved(tables)
    for own in model.components.values():
        say(f"{own.component}: {own.basis}. {own.note}")
    say(f"Model written to {target}")
    say(CAUTION)


def _earlier_model(arguments: argparse.Namespace) -> "LifeModel | None":
    """Model of an earlier month, where one was named."""
    if arguments.earlier_model is None:
        return None
    from wearmodel.survival.store import read_model

    return read_model(arguments.earlier_model)


def _prepare_exports(arguments: argparse.Namespace) -> None:
    """What pictures and prints need is looked for before the long work."""
    if arguments.pdf:
        from workbook.print_out import find_office

        check_target(arguments.pdf)
        if arguments.pdf.suffix.casefold() != ".pdf":
            raise OutputError(f"{arguments.pdf} does not end in .pdf and would open as something else; name it so.")
        find_office()
    if arguments.charts:
        from workbook.pictures import check_pictures

        check_folder(arguments.charts)
        check_pictures()


def _planner_and_texts(
    arguments: argparse.Namespace, write: "Callable[[], tuple[str, ...]]", plan: "Plan"
) -> "tuple[tuple[str, ...], dict[str, list[bytes]]]":
    """Write the planner, which takes one process, while another makes the text of the tables."""
    from wearmodel.table_files import table_texts

    def done(work: str) -> Any:
        return write() if work == "planner" else table_texts(plan.tables, names=_table_names())

    with on_workers(arguments.workers):
        conflicts, *texts = each(done, ["planner", "tables"] if arguments.tables else ["planner"])
    return conflicts, texts[0] if texts else {}


def _write_exports(
    arguments: argparse.Namespace, plan: "Plan", typed: "TypedIn | None", texts: "dict[str, list[bytes]]"
) -> None:
    """Tables, prints and pictures that were asked for."""
    if arguments.tables:
        from wearmodel.table_files import write_texts

        write_texts(texts, arguments.tables)
        say(f"Tables written to {arguments.tables}")
    if arguments.pdf:
        from workbook.print_out import write_pdf

        write_pdf(plan, arguments.pdf, typed=typed, tables_folder=arguments.tables)
        say(f"Overview and due list written to {arguments.pdf}")
    if arguments.charts:
        from workbook.pictures import write_pictures

        say(f"{len(write_pictures(plan, arguments.charts))} charts written to {arguments.charts}")


def _typed_before(arguments: argparse.Namespace, target: Path) -> "TypedIn | None":
    """What a person typed into the planner given for review, or the one that would be written over."""
    from wearmodel.intake.cells.workbook_bounds import is_planner
    from workbook.typed_cells import read_typed

    if arguments.review is None and target.exists() and is_planner(target):
        arguments.review = target
    return read_typed(arguments.review) if arguments.review else None


def _earlier_forecasts(arguments: argparse.Namespace, fleet: "Fleet") -> int:
    """Earlier days to forecast from."""
    few = len(fleet.tables["repairs"]) <= _MOST_FOR_EARLIER_FORECASTS
    return int(few) if arguments.earlier_forecasts is None else int(arguments.earlier_forecasts)


def _plan(arguments: argparse.Namespace) -> None:
    from wearmodel.intake.cells.file_states import file_state

    target = workbook_target(arguments.out, "planner.xlsx", macros=True)
    macros = None
    if target.suffix.casefold() == ".xlsm":
        from workbook.routes.excel_setup import IMPORT_MACRO, macro_project

        macros = (macro_project(), IMPORT_MACRO)
    model = None
    if arguments.model:
        from wearmodel.survival.store import read_model

        model = read_model(arguments.model)
    _prepare_exports(arguments)
    before = file_state(target)
    typed = _typed_before(arguments, target)
    earlier = _earlier_model(arguments)
    fleet = _read(arguments)
    from wearmodel.backtest import with_earlier_forecasts
    from wearmodel.output_files import open_elsewhere
    from wearmodel.plan import build_plan
    from workbook.function_list import function_rows
    from workbook.planner import write_planner

    with _sharing(arguments):
        plan = build_plan(
            fleet,
            months=arguments.months,
            seed=arguments.seed,
            model=model,
            model_name=str(arguments.model),
            earlier=earlier,
            earlier_name=str(arguments.earlier_model),
            progress=say_stage,
        )
        plan = with_earlier_forecasts(plan, fleet, origins=_earlier_forecasts(arguments, fleet), progress=say_stage)
    say_stage("writing the planner workbook")
    places = (target.parent, arguments.tables, arguments.pdf and arguments.pdf.parent, arguments.charts)
    with turn_to_write(filter(None, places), waiting=say_waiting):
        if file_state(target) != before:
            raise OutputError(
                f"{target} changed while this run was at work, and what was typed into it would be lost; it was left "
                "as it is: run this again."
            )
        mark = open_elsewhere(target)
        write = partial(
            write_planner, plan, target, functions=function_rows(), macros=macros, typed=typed,
            tables_folder=arguments.tables,
        )  # fmt: skip
        conflicts, texts = _planner_and_texts(arguments, write, plan)
        with _after(str(target)):
            _write_exports(arguments, plan, typed, texts)
    say_open_elsewhere(target, mark)
    for conflict in conflicts:
        say(f"Conflict: {conflict}")
    say_plan(plan, target)


def _backtest(arguments: argparse.Namespace) -> None:
    if arguments.model:
        raise InputError("wearmodel backtest fits its models to what was known on each earlier day: leave --model out.")
    target = workbook_target(arguments.out, "backtest.xlsx")
    fleet = _read(arguments)
    from wearmodel.backtest import build_backtest
    from wearmodel.backtest_tables import BACKTEST_COLUMNS
    from wearmodel.table_files import write_tables
    from workbook.planner import write_backtest

    with _sharing(arguments):
        found = build_backtest(fleet, months=arguments.months, seed=arguments.seed, progress=say_stage)
    with turn_to_write(filter(None, (target.parent, arguments.tables)), waiting=say_waiting):
        write_backtest(found, fleet, target)
        if arguments.tables:
            with _after(str(target)):
                write_tables(dict(found.tables), arguments.tables, names=tuple(BACKTEST_COLUMNS))
            say(f"Tables written to {arguments.tables}")
    say_scores(found.tables["backtest_scores"])
    for note in found.notes:
        say(f"Note: {note}")
    say(f"Workbook written to {target}")
    say(CAUTION)


def _simulate(arguments: argparse.Namespace) -> None:
    import numpy as np

    from wearmodel.simulate.fleet import simulate_fleet
    from wearmodel.simulate.folder import write_fleet
    from wearmodel.simulate.scenario import HOUR_LAWS, LAWS

    fleet = simulate_fleet(
        np.random.default_rng(arguments.seed),
        vehicles=arguments.vehicles,
        years=arguments.years,
        dirt=not arguments.clean,
        laws=HOUR_LAWS if arguments.engine_hours else LAWS,
        engine_hours=arguments.engine_hours,
    )
    write_fleet(fleet, arguments.folder)
    say(f"Invented fleet written to {arguments.folder}; its true life parameters are in truth.json")


def _functions(arguments: argparse.Namespace) -> None:
    from wearmodel.function_setup import list_functions, set_up_functions

    if not arguments.setup and (arguments.model or arguments.out or arguments.profile):
        raise InputError("--model, --out and --profile belong to a set-up; add --setup calc or --setup excel.")
    if arguments.setup:
        told = set_up_functions(
            arguments.setup, model=arguments.model, out=arguments.out, profile=arguments.profile
        )
    else:
        told = list_functions()
    say(told)


def _say_no_more() -> None:
    """Let what is still to be printed go nowhere, or the interpreter complains of it when it ends."""
    with suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


_COMMANDS = {
    "check": _check,
    "fit": _fit,
    "plan": _plan,
    "backtest": _backtest,
    "simulate": _simulate,
    "functions": _functions,
}


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        Arguments without the program's name; those of the process when missing.

    Returns
    -------
    int
        0 when done, 2 when the input cannot be used.
    """
    arguments = build_parser().parse_args(argv)
    # The matrices are small: on a busy machine threads that wait for each other take several times as long. The
    # libraries read this when they are first loaded; who has set it knows better.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        if "fleet" in arguments:
            check_inputs_are_safe(arguments)
        if "cluster" in arguments:
            _check_cluster(arguments)
        _COMMANDS[arguments.command](arguments)
        sys.stdout.flush()
    except WearmodelError as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader of our output went away (`| head`): nothing is wrong with the result.
        _say_no_more()
    except (OSError, MemoryError) as error:
        # What no stage foresaw, such as a full disk behind `> report.txt`.
        _say_no_more()
        reason = getattr(error, "strerror", None) or str(error) or "not enough memory"
        print(f"wearmodel was stopped by the system: {reason}; mend that, then run this again.", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("Stopped by the keyboard; nothing was half-written.", file=sys.stderr)
        return 130
    return 0
