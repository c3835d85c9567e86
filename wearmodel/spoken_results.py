"""What the commands say: of their progress and of their results."""

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from wearmodel.arguments import CAUTION
from wearmodel.backtest_sentences import last_forecast_sentence

if TYPE_CHECKING:
    import pandas as pd

    from wearmodel.plan import Plan

__all__ = [
    "say",
    "say_lives",
    "say_moved",
    "say_open_elsewhere",
    "say_plan",
    "say_questions",
    "say_scores",
    "say_stage",
    "say_waiting",
]


def say(text: str) -> None:
    """One line on standard output.

    Parameters
    ----------
    text : str
        What to say.
    """
    print(text)


def say_stage(stage: str) -> None:
    """Long work speaks on a terminal and is quiet in pipes.

    Parameters
    ----------
    stage : str
        What is being done.
    """
    if sys.stderr.isatty():
        print(f"  {stage} ...", file=sys.stderr)


def say_waiting(folder: Path) -> None:
    """That another run is writing.

    Parameters
    ----------
    folder : Path
        Where.
    """
    print(f"Another run of wearmodel is writing into {folder}; this one waits until it has finished.", file=sys.stderr)


def say_lives(lives: "pd.DataFrame") -> None:
    """Lives of each component and how many of them wear ended.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives, with the chance of each.
    """
    failures = lives[lives["ended"].isin(["failed", "worn"])].groupby("component")["chance"].sum()
    for component, count in lives.groupby("component")["chance"].sum().items():
        say(f"{component}: {count:,.0f} lives, {failures.get(component, 0.0):,.0f} ended by wear")


def say_questions(review: "pd.DataFrame") -> None:
    """How much a person can settle, and where.

    Parameters
    ----------
    review : pandas.DataFrame
        Table `review`.
    """
    if review.empty:
        return
    kinds = review.groupby("kind")["rows"].agg(["size", "sum"])
    words = {"words": "about wording", "position": "about positions", "odometer": "about odometers"}
    told = ", ".join(f"{row.size} {words[str(row.Index)]} ({row.sum} rows)" for row in kinds.itertuples())
    say(f"Questions a person can settle: {told}; 'wearmodel plan' puts them on the sheet To settle of its workbook.")


def say_moved(tables: "Mapping[str, pd.DataFrame]") -> None:
    """Curves that moved since the earlier model, and fittings that fail early.

    Parameters
    ----------
    tables : mapping of str to pandas.DataFrame
        Tables `moved_curves` and `early_failures` among them.
    """
    moved, early = tables["moved_curves"], tables["early_failures"]
    for frame, result in ((moved, "moved"), (early, "look")):
        shown = frame[frame["result"] == result]
        for component, sentence in zip(shown["component"], shown["sentence"], strict=True):
            say(f"{component}: {sentence}")
    if len(moved) and not (moved["result"] == "moved").any():
        say("No life curve moved since the earlier model by more than chance explains.")


def say_open_elsewhere(target: Path, mark: str) -> None:
    """That a workbook just written seems to be open in another program; nothing where it does not.

    Parameters
    ----------
    target : Path
        The workbook.
    mark : str
        Name of the file beside it that says so; empty for none.
    """
    if mark:
        say(
            f"Note: {target} seems to be open in another program ({mark} lies beside it): what was typed there and not "
            "saved is not in the new workbook; close it there without saving, then open the new one."
        )


def say_plan(plan: "Plan", target: Path) -> None:
    """What a plan found, in a few lines.

    Parameters
    ----------
    plan : Plan
        The plan.
    target : Path
        Its workbook.
    """
    tables = plan.tables
    counts = tables["reconciliation"]
    say(
        f"{counts['rows_read'].sum()} rows read: {counts['used_as_given'].sum()} used as given, "
        f"{counts['used_repaired'].sum()} used after repair, {counts['set_aside'].sum()} set aside, "
        f"{counts['waiting_for_review'].sum()} waiting for review."
    )
    wanted = tables["due"]["action"].value_counts()
    if len(wanted):
        say("Parts now fitted: " + ", ".join(f"{count} {action}" for action, count in wanted.items()) + ".")
        say(f"Parts expected to be needed in {plan.horizon} months: {tables['forecast']['mean'].sum():,.0f}.")
    if plan.backtest is not None:
        say(last_forecast_sentence(tables["backtest_totals"]))
    for note in plan.notes:
        say(f"Note: {note}")
    say_moved(tables)
    say_questions(tables["review"])
    say(f"Planner workbook written to {target}")
    say(CAUTION)


def say_scores(scores: "pd.DataFrame") -> None:
    """How forecasts from earlier days did, grain by grain.

    Parameters
    ----------
    scores : pandas.DataFrame
        Table `backtest_scores`.
    """
    for grain, sentence in zip(scores["grain"], scores["sentence"], strict=True):
        if sentence:
            say(f"{grain.capitalize()}: {sentence}")
