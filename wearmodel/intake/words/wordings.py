"""What the words of one repair line mean, as data."""

from dataclasses import dataclass

__all__ = ["NamedPart", "Wording"]

_SIDES = frozenset({"left", "right", "driver", "passenger"})


@dataclass(frozen=True)
class NamedPart:
    """One part a line names, all its mentions taken together.

    Parameters
    ----------
    options : frozenset of str
        Components it could be.
    is_sure : bool
        False where only `joint`, `boot` or `bearing` is said and nothing tells of what.
    places : tuple of frozenset of str
        Places it was renewed at, one set of words each; empty where none is said.
    quantity : float
        How many, where the words say so; NaN where not, infinite for all there are.
    deed : str
        `renewed`; `tended`: greased, found in order or left for later; `looked`; `unclear`: mended somehow; or
        empty where nothing is said.
    reason : str
        The reason its words give; empty where they give none or contradict each other.
    hints : tuple of str
        Every reason they hint at.
    is_condemned : bool
        It is said to have failed, or to be worn: more than a noise that somebody noticed.
    is_greased : bool
        It was greased, and not renewed.
    """

    options: frozenset[str]
    is_sure: bool
    places: tuple[frozenset[str], ...]
    quantity: float
    deed: str
    reason: str
    hints: tuple[str, ...]
    is_condemned: bool = False
    is_greased: bool = False


@dataclass(frozen=True)
class Wording:
    """What the words of one repair line mean.

    Parameters
    ----------
    named : tuple of NamedPart
        Parts of a driveline, those renewed first.
    places : frozenset of str
        Every word of place.
    place_sets : tuple of frozenset of str
        The words of place put together, one set a place.
    reason : str
        The reason the words give; empty where they give none or contradict each other.
    reasons : tuple of str
        Every reason the words hint at.
    deed : str
        `renewed`; `tended` when parts were greased, found in order or left for later, and nothing was renewed;
        `unclear` when it was looked at and found bad, or mended somehow, without a word on what came of it; else
        empty.
    is_whole_shaft : bool
        A complete shaft is named and no part of one.
    shaft : NamedPart or None
        A whole shaft that was renewed, with the components that come with it; `is_sure` where it can only be a half
        shaft. None where no shaft was, or it may be a propeller shaft alone.
    is_doubtful : bool
        It cannot be told from the words to which part some deed belongs.
    names_shaft : bool
        A shaft is named, whole or not.
    names_other : bool
        Something is named that is none of a driveline.
    evidence : frozenset of str
        Components the symptoms point to.
    is_greasing : bool
        Something was greased.
    """

    named: tuple[NamedPart, ...] = ()
    places: frozenset[str] = frozenset()
    place_sets: tuple[frozenset[str], ...] = ()
    reason: str = ""
    reasons: tuple[str, ...] = ()
    deed: str = ""
    is_whole_shaft: bool = False
    shaft: NamedPart | None = None
    is_doubtful: bool = False
    names_shaft: bool = False
    names_other: bool = False
    evidence: frozenset[str] = frozenset()
    is_greasing: bool = False

    @property
    def parts(self) -> tuple[frozenset[str], ...]:
        """For each part that is surely one of a driveline, the components it could be."""
        options = {part.options for part in self.named if part.is_sure and part.options}
        return tuple(sorted((o for o in options if not any(other < o for other in options)), key=sorted))

    @property
    def renewed(self) -> tuple[NamedPart, ...]:
        """The parts that were renewed."""
        return tuple(part for part in self.named if part.deed == "renewed")

    @property
    def has_told_renewal(self) -> bool:
        """Whether a part was renewed for other work, or at an end of a shaft: `pads, rear joint new`."""
        return any(
            part.reason == "collateral" or not all(map(_SIDES.issuperset, part.places)) for part in self.renewed
        )
