"""Whether raised and factory-height vehicles do the same work at all: table `overlap`."""

import pandas as pd

__all__ = ["OVERLAP_COLUMNS", "build_overlap"]

OVERLAP_COLUMNS = ("duty", "share_raised", "share_factory", "side", "sentence")
#: A duty with less than this share of a side's distance is not done by it.
_LEAST_SHARE = 0.005


def build_overlap(pieces: pd.DataFrame) -> pd.DataFrame:
    """Table `overlap`.

    Parameters
    ----------
    pieces : pandas.DataFrame
        Segments of all lives: `duty, lift, distance`.

    Returns
    -------
    pandas.DataFrame
        `OVERLAP_COLUMNS`, a row a duty: its share in the distance of the parts on raised vehicles and in that of the
        others, `side` (`both`, `raised` or `factory`: the only one that does it), and one sentence, the same in all
        rows it is about: duties that one side alone does, or raised vehicles that all do one. No rows where no
        vehicle was raised.
    """
    raised = (pieces["lift"] > 0).to_numpy()
    run = pieces["distance"].groupby([pieces["duty"], raised]).sum().unstack(fill_value=0)
    run = run.reindex(columns=[False, True], fill_value=0.0)
    totals = run.sum()
    if not totals[True] > 0:
        return pd.DataFrame(columns=list(OVERLAP_COLUMNS))
    shares = run / totals.where(totals > 0, 1.0)
    frame = pd.DataFrame({"duty": run.index, "share_raised": shares[True], "share_factory": shares[False]})
    has_raised, has_factory = (frame[f"share_{side}"] >= _LEAST_SHARE for side in ("raised", "factory"))
    frame["side"] = "both"
    frame.loc[has_raised & ~has_factory, "side"] = "raised"
    frame.loc[has_factory & ~has_raised, "side"] = "factory"
    frame["sentence"] = _sentence(frame)
    about = (frame["side"] != "both") | (has_raised.sum() == 1)
    frame["sentence"] = frame["sentence"].where(about, "")
    return frame.reset_index(drop=True)[list(OVERLAP_COLUMNS)]


def _sentence(frame: pd.DataFrame) -> str:
    """What the comparison has to do without; empty where both sides do every duty."""
    done = frame[frame["share_raised"] >= _LEAST_SHARE]
    alone = ", ".join(frame.loc[frame["side"] == "raised", "duty"])
    if len(done) == 1:
        duty = done["duty"].iloc[0]
        ending = (
            "which no vehicle at factory height does: there is nothing to hold them against but the life model."
            if alone
            else "so that they can be compared with factory height in that work alone."
        )
        return f"All raised vehicles do {duty} work, {ending}"
    parts = []
    if alone:
        parts.append(f"only raised vehicles do {alone} work")
    factory = ", ".join(frame.loc[frame["side"] == "factory", "duty"])
    if factory:
        parts.append(f"no raised vehicle does {factory} work")
    if not parts:
        return ""
    text = " and ".join(parts)
    return f"{text[0].upper()}{text[1:]}: there the comparison of ride heights rests on the life model alone."
