"""A repair line as given, and what it is read against."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import nan

from wearmodel.intake.fleet_toml.settings_lexicon import OwnWords
from wearmodel.intake.learning.shop_words import ShopWords
from wearmodel.intake.words.repair_text import Lexicon, Wording, build_lexicon

__all__ = ["CatalogueEntry", "LineKnowledge", "RepairLine"]

_BLANK = Wording()


@dataclass(frozen=True)
class CatalogueEntry:
    """What the parts table says of one part number.

    Parameters
    ----------
    component : str
        Its component.
    position : str
        The only position it fits; empty where it fits several.
    renews : tuple of str
        Positions or components a kit renews together; empty for a single part.
    """

    component: str
    position: str = ""
    renews: tuple[str, ...] = ()


@dataclass(frozen=True)
class LineKnowledge:
    """What repair lines are read against.

    Parameters
    ----------
    positions : mapping
        Driveline -> {position: component}, of every driveline in the fleet.
    all_positions : mapping of str to str
        Every known position -> component, of all layouts.
    components : mapping of str to str
        Component code -> label.
    catalogue : mapping of str to CatalogueEntry, or None
        By part number; None without a parts table.
    lexicon : Lexicon
        Words of the trade.
    own_words : OwnWords
        What `fleet.toml` adds to them.
    has_half_drive_shafts : bool
        Whether the shop calls its half shafts drive shafts, and never a propeller shaft.
    """

    positions: Mapping[str, Mapping[str, str]]
    all_positions: Mapping[str, str]
    components: Mapping[str, str]
    catalogue: Mapping[str, CatalogueEntry] | None
    lexicon: Lexicon
    own_words: OwnWords = field(default_factory=OwnWords)
    has_half_drive_shafts: bool = False

    def with_shop_words(self, words: ShopWords) -> "LineKnowledge":
        """The same with words learnt from coded lines; those of `fleet.toml` come first."""
        own = replace(
            self.own_words,
            words={**dict.fromkeys(words.renewal, "replaced"), **self.own_words.words},
            reasons={**words.reasons, **self.own_words.reasons},
        )
        lexicon = build_lexicon(self.components, own_words=own, steering_side=self.lexicon.steering_side)
        return replace(self, lexicon=lexicon, own_words=own)


@dataclass(frozen=True)
class RepairLine:
    """A repair line as given, codes already in canonical form where they are known.

    Parameters
    ----------
    driveline : str
        Of the vehicle; empty where the vehicle is unknown.
    component, position, part_number, reason : str
        As given; empty where blank.
    words : Wording
        Of the text.
    code_words : Wording
        Of the component as written, where it is no code but names a part.
    quantity : float
        As given; NaN where blank.
    learnt_component, learnt_reason : str
        What other lines suggest, used only where the words leave it open.
    is_learnt_renewal : bool
        Whether other lines say that something was renewed; used only where the words leave it open.
    is_answered : bool
        The codes are a person's answer.
    is_renewal_after_all : bool
        Whether other lines say so although the words tell of other work on its parts.
    """

    driveline: str
    component: str
    position: str
    part_number: str
    reason: str
    words: Wording
    code_words: Wording = _BLANK
    quantity: float = nan
    learnt_component: str = ""
    learnt_reason: str = ""
    is_learnt_renewal: bool = False
    is_answered: bool = False
    is_renewal_after_all: bool = False
