"""What the commands say of their results."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from wearmodel.arguments import CAUTION
from wearmodel.backtest_sentences import last_forecast_sentence

if TYPE_CHECKING:
    import pandas as pd

    from wearmodel.plan import Plan

__all__ = ["say", "say_moved", "say_plan", "say_questions", "say_scores"]


def say(text: str) -> None:
    """One line on standard output."""
    print(text)


def say_questions(review: "pd.DataFrame") -> None:
    """How much a person can settle, and where."""
    if review.empty:
        return
    kinds = review.groupby("kind")["rows"].agg(["size", "sum"])
    words = {"words": "about wording", "position": "about positions", "odometer": "about odometers"}
    told = ", ".join(f"{row.size} {words[str(row.Index)]} ({row.sum} rows)" for row in kinds.itertuples())
    say(f"Questions a person can settle: {told}; 'wearmodel plan' puts them on the sheet To settle of its workbook.")


def say_moved(tables: "Mapping[str, pd.DataFrame]") -> None:
    """Curves that moved since the earlier model, and fittings that fail early."""
    moved, early = tables["moved_curves"], tables["early_failures"]
    for frame, result in ((moved, "moved"), (early, "look")):
        shown = frame[frame["result"] == result]
        for component, sentence in zip(shown["component"], shown["sentence"], strict=True):
            say(f"{component}: {sentence}")
    if len(moved) and not (moved["result"] == "moved").any():
        say("No life curve moved since the earlier model by more than chance explains.")


def say_plan(plan: "Plan", target: Path) -> None:
    """What a plan found, in a few lines."""
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
    """How forecasts from earlier days did, grain by grain (table `backtest_scores`)."""
    for grain, sentence in zip(scores["grain"], scores["sentence"], strict=True):
        if sentence:
            say(f"{grain.capitalize()}: {sentence}")
