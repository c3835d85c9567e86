"""Signs of failure and wear, and papers that order a renewal, as workshops of many trades word them.

Common practice of the trade, no source. They are put to the phrases of `wearmodel.intake.words.reason_words`.
"""

from collections.abc import Mapping

from wearmodel.intake.words.phrase_lists import joined, phrases

__all__ = ["PLAIN_SIGNS"]

PLAIN_SIGNS: Mapping[str, tuple[str, ...]] = {
    "noticed": (
        *phrases(
            """
            chatter; chatters; chattering; chattered; hum; hums; hummed; humming; wallop; snoring; grunting; growl;
            growls; growly; growling; harmonics; clank; clanks; clanking; muffled sound; catching feeling; tramping;
            tramps; ticking; ticks in; ticks on; ticks when; slop in steering; steering slop; steering wandered;
            steering catches; steering wheel slop; greased up spring; greased up wheel; thrown greased up
            """
        ),
        *joined("abnormal; cv; joint; bearing; outboard; inboard", "sound", "replaced; renewed; changed"),
    ),
    "failed": (
        *joined("no; not any; none", "needle; needles; needle bearing; rollers; roller; bearing; balls", "left"),
        *joined("needles; needle; rollers; bearing; caps; cups", "all dust; turned to dust; dust; to dust; powder; "
                "powdered; to powder; scattered; scatter; flattened; fell out; glowing; red hot"),
        *joined("greased", "came out; coming out; all came out; finished; flew; flown; flung; fly; ran out; oozing; "
                "weeping; squeezed out; pouring out; bleeding out"),
        *joined("weeping; sweating; oozing; spilling; bleeding", "greased; -"),
        *phrases(
            """
            spline stripped bare; dropped its balls; dropped balls; wont pull; would not pull; no forward drive;
            ground to halt; shaft fell down; prop fell down; fell down; spat roller; spat needles; spat rollers;
            burnt blue; blue from heat; hot red; beaten out; rubber separated; rubber separation; ear off yoke
            """
        ),
    ),
    "worn": phrases(
        """
        flat spot; flat spots; flat on trunnion; dull spot; hard spot; hardening; hardened; fissure; fissures; fissured;
        chalky; scabby; needle marks; brinell marks; brinelling marks; nearly through; worn bright; gritty feel;
        red powder; slit; small rip; small tear; nicked; had nick
        """
    ),
}
"""Hint -> phrases, as in `wearmodel.intake.words.reason_words.REASON_HINTS`."""
