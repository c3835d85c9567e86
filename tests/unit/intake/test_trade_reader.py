"""The classifier of trade lines that ships: in step with its lines, added up rightly, and used with care."""

import csv
import hashlib
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from scipy.special import softmax

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.learning.learnt_codes import LearntCodes
from wearmodel.intake.learning.trade_features import line_words, rule_features, word_features
from wearmodel.intake.learning.trade_reader import SEVERAL, UNSAID, View, load_trade_reader
from wearmodel.intake.repairs.line_teachers import LineTeachers
from wearmodel.intake.words.repair_text import build_lexicon, wording

LINES = Path(__file__).parents[3] / "data" / "trade_lines"
EXPORTS = Path(__file__).parents[2] / "exports"
KINDS = {"renewal", "look", "grease", "adjust", "later", "other"}
REASONS = {"failed", "worn", "planned", "collateral", "damage", "comeback"}
#: Where the words leave open which end, or what of a shaft.
FAMILIES = {"cv_boot", "cv_joint", "half_shaft"}


@pytest.fixture(scope="module")
def lexicon():
    return build_lexicon(COMPONENTS, steering_side="left")


def stored(name="trade_weights.npz"):
    raw = files("wearmodel.intake.learning").joinpath(name).read_bytes()
    with np.load(BytesIO(raw)) as arrays:
        return {name: arrays[name] for name in arrays.files}


@pytest.mark.parametrize("weights", ["trade_weights.npz", "doubt_weights.npz"])
def test_the_weights_were_learnt_from_the_lines_as_they_are(weights):
    digest = hashlib.sha256()
    for path in sorted(LINES.glob("*.csv")):
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    told = bytes(stored(weights)["fingerprint"]).decode()
    assert told == digest.hexdigest(), "run python data/trade_lines/learn.py"


@pytest.mark.parametrize("path", sorted(LINES.glob("*.csv")), ids=lambda path: path.stem)
def test_lines_keep_to_their_codes(path):
    with path.open(encoding="utf-8", newline="") as source:
        rows = list(csv.DictReader(source))
    assert len(rows) > 1_000 and len({row["text"] for row in rows}) > 0.9 * len(rows)
    for row in rows:
        parts = {part.partition("@")[0].strip() for part in row["parts"].split(";")} - {""}
        reasons = {reason.strip() for reason in row["reason"].split(";")} - {""}
        assert row["kind"] in KINDS and parts <= COMPONENTS.keys() | FAMILIES and reasons <= REASONS, row


def test_no_line_of_a_held_out_shop_is_learnt_from():
    with (LINES / "shops.csv").open(encoding="utf-8", newline="") as source:
        shops = {row["voice"].removeprefix("shop ").lower() for row in csv.DictReader(source)}
    # Those held out have their wordings in a folder of their own, `held_out`.
    assert shops <= {path.stem.removeprefix("shop_") for path in EXPORTS.glob("shop_?.py")}


class TestViews:
    @pytest.mark.parametrize(
        ("text", "component", "reason"),
        [
            ("rear UJ seized, vehicle recovered, new joint fitted", "u_joint", "failed"),
            ("outer CV boot n/s perished, noted at annual inspection, replaced", "cv_boot_outboard", "worn"),
            ("centre support bearing changed while prop was off for clutch", "support_bearing", "collateral"),
            ("steering column lower joint replaced, kerb impact damage", "steering_joint", "damage"),
        ],
    )
    def test_plain_sentences(self, lexicon, text, component, reason):
        view = load_trade_reader().view(text, wording(text, lexicon=lexicon))
        assert (view.deed, view.component, view.reason) == ("renewed", component, reason)

    def test_looks_are_no_renewals(self, lexicon):
        text = "checked both rear universal joints for play, all ok"
        assert load_trade_reader().view(text, wording(text, lexicon=lexicon)).deed == "idle"

    def test_sums_are_those_of_one_long_product(self, lexicon):
        # Second answer: a vector of counts times the whole matrix, without the sums kept for words.
        arrays = stored()
        names = bytes(arrays["names"]).decode().split("\n")
        text = "NEW SLIP YOKE, SPLINES WORN, FOUND AT PM"
        words, read = line_words(text), wording(text, lexicon=lexicon)
        held = rule_features(words, read) + [name for word in dict.fromkeys(words) for name in word_features(word)]
        counts = np.array([held.count(name) for name in names], dtype=np.float64)
        scores = counts @ arrays["weights"].astype(np.float64) + arrays["intercepts"]
        labels = bytes(arrays["deed_labels"]).decode().split("\n")
        chances = softmax(scores[: len(labels)])
        level, slope = arrays["deed_curve"]
        odds = np.log(chances.max() / (1.0 - chances.max()))
        view = load_trade_reader().view(text, read)
        assert view.deed == labels[int(chances.argmax())]
        assert view.deed_chance == pytest.approx(1.0 / (1.0 + np.exp(-level - slope * odds)), abs=1e-9)

    def test_words_no_line_holds_are_counted(self, lexicon):
        text = "rear uj replaced zwxqk zwxqk"
        view = load_trade_reader().view(text, wording(text, lexicon=lexicon))
        assert (view.words, view.unknown_words) == (4, 1)

    def test_a_number_is_a_number(self, lexicon):
        read = wording("rear uj replaced", lexicon=lexicon)
        reader = load_trade_reader()
        assert reader.view("job 4711 rear uj replaced", read) == reader.view("job 12 rear uj replaced", read)


def view(**other):
    sure = {"deed": "renewed", "component": "u_joint", "reason": "failed"}
    return View(**(sure | {f"{target}_chance": 0.99 for target in sure} | other))


def teachers(one, *, own=("", np.nan), options=frozenset(), torn=False):
    blank = LearntCodes(np.array([""], dtype=object), np.array([np.nan]))
    mine = LearntCodes(np.array([own[0]], dtype=object), np.array([own[1]], dtype=float))
    views = np.empty(1, dtype=object)
    views[0] = one
    return LineTeachers.of({"component": blank, "reason": mine}, views, options=[options], torn=np.array([torn]))


class TestTeachers:
    def test_without_coded_lines_the_trade_tells(self):
        both = teachers(view())
        assert both.reason.trusted(0.9)[0] == "failed" and both.source("reason", 0) == (0.99, "lines of the trade")

    def test_the_surer_one_tells(self):
        both = teachers(view(reason_chance=0.91), own=("failed", 0.97))
        assert both.source("reason", 0) == (0.97, "this fleet's coded lines")

    def test_where_they_differ_neither_is_sure(self):
        assert teachers(view(), own=("worn", 0.98)).reason.trusted(0.5)[0] == ""

    @pytest.mark.parametrize("nothing", [SEVERAL, UNSAID])
    def test_what_is_not_said_is_not_filled_in(self, nothing):
        assert teachers(view(reason=nothing)).reason.trusted(0.5)[0] == ""

    def test_nor_where_nothing_may_have_been_renewed(self):
        assert teachers(view(deed="idle")).reason.trusted(0.5)[0] == ""
        assert teachers(view(deed_chance=0.7)).reason.trusted(0.5)[0] == ""

    def test_nor_where_the_words_hint_at_several_reasons(self):
        assert teachers(view(), torn=True).reason.trusted(0.5)[0] == ""

    def test_an_end_is_never_filled_in(self):
        ends = frozenset({"cv_boot_outboard", "cv_boot_inboard"})
        assert teachers(view(component="cv_boot_outboard"), options=ends).component.trusted(0.5)[0] == ""
        either = frozenset({"cv_boot_outboard", "u_joint"})
        assert teachers(view(), options=either).component.trusted(0.5)[0] == "u_joint"
