"""Blocks of the sheet "Budget": what policies save against each other, and what the change to each costs at first."""

import math

from workbook.planner.book import Book
from workbook.planner.columns import Column
from workbook.planner.page import Page

__all__ = ["write_savings", "write_transition"]

#: In each pair the later of these is held against the earlier, so that a pair stands there once.
_FROM = ("run_to_failure", "present_practice", "planned", "own_policy")
_NO_SAVINGS = "No savings can be given: this plan holds no figures of the difference between policies."
_NO_TRANSITION = "No first year can be set against the long run: this plan holds no figures of it."


def write_savings(book: Book, page: Page) -> None:
    """Distribution of the saving of each policy against each other over the horizon.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Sheet, with its cursor where the block begins; moved below it.
    """
    page.heading(f"What one policy saves against another over {book.span}")
    table = book.table("budget_saving")
    rank = {policy: index for index, policy in enumerate(_FROM)}
    table = table.assign(
        mine=table["policy"].map(rank).fillna(len(rank)), theirs=table["against"].map(rank).fillna(len(rank))
    )
    table = table[table["mine"] > table["theirs"]].sort_values(["mine", "theirs"], ignore_index=True)
    if table.empty:
        page.paragraph(_NO_SAVINGS, role="missing")
        page.row += 1
        return
    page.paragraph(
        "Costs as they were at the time of writing. Below 0 it is a loss: the chance of a saving is that of a figure "
        "above 0. In each drawn future both policies of a pair meet the same life curves, running and leaving vehicles."
    )
    money = book.words.currency
    shown = table.assign(
        policy_label=table["policy"].map(book.words.policy), against_label=table["against"].map(book.words.policy)
    )
    columns = [
        Column("policy_label", "Saving of"),
        Column("against_label", "Against"),
        Column("mean", f"Expected saving ({money})", "money"),
        Column("p10", f"Low, p10 ({money})", "money"),
        Column("p50", f"Middle, p50 ({money})", "money"),
        Column("p90", f"High, p90 ({money})", "money"),
        Column("chance_saving", "Chance of a saving (%)", "percent0"),
    ]
    page.table(shown, columns)
    page.row += 1


def _spread(months: float) -> str:
    """Over how long a backlog is renewed, in words."""
    if math.isnan(months):
        return "no backlog to renew"
    return f"{months:g} months" if months > 0 else "at once"


def write_transition(book: Book, page: Page) -> None:
    """First year of each policy beside a year in the long run, and the backlog it begins with.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Sheet, with its cursor where the block begins; moved below it.
    """
    page.heading("From the first year to the long run")
    table = book.table("budget_transition")
    if table.empty:
        page.paragraph(_NO_TRANSITION, role="missing")
        page.row += 1
        return
    months = table["months"].max()
    short = (
        f" Only the {months:.0f} months of this plan are counted, so that they are not set against a year."
        if months < 12
        else ""
    )
    page.paragraph(
        "Costs as they were at the time of writing. The backlog is the parts past their interval today; renewing them "
        "makes the first year dearer. A year in the long run is at today's prices with the vehicles now in service, "
        f"once that is over. Years to recover: until yearly savings have paid for it; blank where they never do, "
        f"and where the backlog takes longer than the first year.{short}"
    )
    money = book.words.currency
    order = {policy: index for index, policy in enumerate(book.words.policies)}
    table = table.assign(rank=table["policy"].map(order).fillna(len(order)))
    table = table.sort_values("rank", kind="stable", ignore_index=True)
    shown = table.assign(
        policy_label=table["policy"].map(book.words.policy), spread=[_spread(m) for m in table["spread_months"]]
    )
    year = "First year" if months >= 12 else f"First {months:.0f} months"
    columns = [
        Column("policy_label", "Transition to"),
        Column("spread", "Backlog renewed"),
        Column("backlog", "Backlog (parts)", "count"),
        Column("backlog_cost", f"Cost of the backlog ({money})", "money"),
        Column("first_year", f"{year} ({money})", "money"),
        Column("first_year_p10", f"{year}, low p10 ({money})", "money"),
        Column("first_year_p90", f"{year}, high p90 ({money})", "money"),
        Column("long_run_year", f"A year in the long run ({money})", "money"),
        Column("above_long_run", f"First year less long run ({money})", "money"),
        Column("years_to_recover", "Years to recover", "decimal1"),
    ]
    page.table(shown, columns)
    page.row += 1
