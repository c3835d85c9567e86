"""Invented questions of all three kinds, hostile texts among them."""

from wearmodel.questions import Answer, Question, question_key

HOSTILE = "=HYPERLINK(\"http://example.invalid\",\"click\")"
WORDINGS = (
    # what was written, what is not clear, suggestion, its chance
    ("cv axle boot torn, grease slung on wheel, r&r", "inboard or outboard boot is not said",
     Answer("renewed", "cv_boot_outboard", "", "failed"), 0.78),
    ("checked d/shaft play, carrier brg noisy - advised cust", "renewed or only looked at",
     Answer("not renewed"), 0.66),
    ("SHUDDER FROM MID VEHICLE ON TAKE OFF, FITTED NEW", "the part is not named",
     Answer("renewed", "support_bearing", "", "failed"), 0.55),
    ("prop. uj kit x1 see notes \U0001f527 \u202eevil\u202c", "the reason is not clear",
     Answer("renewed", "u_joint", "", "worn"), float("nan")),
    (HOSTILE, "no known word in it", Answer("other"), 0.41),
    ("@SUM(A1:A9)", "no known word in it", Answer(), float("nan")),
    ("-2 joints", "the reason is not clear", Answer("renewed", "u_joint", "", "planned"), 0.5),
    ("knock from the n/s at full lock, renewed the joint and the boot, road tested twice and released to the driver "
     "who reports that it is quiet now", "two parts in one line, one reason", Answer(), float("nan")),
)  # fmt: skip
CHOICES = {
    "u_joint": ("rear.joint_front", "rear.joint_centre", "rear.joint_rear"),
    "cv_boot_outboard": ("left.outboard_boot", "right.outboard_boot"),
}


def build_questions() -> list[Question]:
    """Questions of all three kinds."""
    asked = [
        Question(
            "words", question_key("words", text), "repairs", "repairs.csv", 300 + i, 40 - 5 * i, f"{i:06d}",
            f"2025-0{i + 1}-17", f"WO{8100 + i}", text, problem, suggestion, probability,
        )
        for i, (text, problem, suggestion, probability) in enumerate(WORDINGS)
    ]  # fmt: skip
    for i in range(30):
        component = list(CHOICES)[i % 2]
        unit, date, places = f"{i % 9:06d}", f"2024-{1 + i % 12:02d}-05", CHOICES[component]
        asked.append(
            Question(
                "position", question_key("position", unit, date, str(i)), "repairs", "repairs.csv", 330 + i, 1, unit,
                date, f"WO{8200 + i}", "replaced u-joint" if component == "u_joint" else "boot replaced",
                f"{len(places)} positions are possible", Answer(position=places[0] if i % 3 else ""),
                0.6 if i % 3 else float("nan"), places,
            )
        )  # fmt: skip
    asked += [
        Question(
            "odometer", question_key("odometer", f"{i:06d}", "2024-05-01", str(i)), "readings", "readings.csv",
            70 + i, 1, f"{i:06d}", "2024-05-01", "", f"{1045000 + i}", "ten times the readings beside it",
            Answer(odometer=("104500", "ignore", "right")[i % 3]), 0.9,
        )
        for i in range(6)
    ]  # fmt: skip
    return asked
