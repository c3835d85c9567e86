"""Make the README's pictures: plan the demo fleet, print the workbook with LibreOffice, crop two pages.

Run `python data/pictures/make_pictures.py` from the project's folder; needs the Debian packages
libreoffice-calc and poppler-utils.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
HERE = Path(__file__).parent
#: Sheet title to look for on a page, and the picture's name.
PAGES = {"Overview": "overview.png", "Life curves": "life_curves.png"}


def page_of(pdf: Path, title: str) -> int:
    """Number of the first page that begins with a title."""
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    for number, page in enumerate(text.split("\f"), start=1):
        if page.strip().startswith(title):
            return number
    raise SystemExit(f"no page begins with '{title}'")


def main() -> None:
    """Write the pictures beside this script."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        planner = place / "planner.xlsx"
        subprocess.run(
            [sys.executable, "-m", "wearmodel", "plan", "data/demo", "--out", str(planner)], check=True, cwd=ROOT
        )
        subprocess.run(
            ["soffice", f"-env:UserInstallation=file://{place}/profile", "--headless", "--convert-to", "pdf",
             "--outdir", str(place), str(planner)], check=True,
        )  # fmt: skip
        for title, picture in PAGES.items():
            number = str(page_of(place / "planner.pdf", title))
            subprocess.run(
                ["pdftoppm", "-png", "-r", "110", "-f", number, "-l", number, "-singlefile",
                 str(place / "planner.pdf"), str(HERE / picture.removesuffix(".png"))], check=True,
            )  # fmt: skip


if __name__ == "__main__":
    main()
