"""LibreOffice run as a user who is not the administrator, as its installer asks, in a private profile."""

import os
import subprocess
from pathlib import Path
from typing import Any

import pytest
import recalculation

from workbook.routes import calc

NOBODY = 65534


class Office:
    """A private profile with the add-in, and the programs that use it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.profile = folder / "profile"
        (self.profile / "user").mkdir(parents=True)
        settings = self.profile / "user" / "registrymodifications.xcu"
        always = recalculation.ALWAYS_RECALCULATE
        odf = '<prop oor:name="ODFRecalcMode" oor:op="fuse"><value>0</value></prop></item>'
        settings.write_text(always.replace("</item>", odf), encoding="utf-8")
        self.as_other: dict[str, Any] = {}
        if os.geteuid() == 0:
            # The administrator lends the folder to another user, who may pass through those above it.
            for place in (folder, self.profile, settings.parent, settings):
                os.chown(place, NOBODY, NOBODY)
            for place in folder.parents:
                if place.stat().st_uid == 0 and len(place.parts) > 2:
                    place.chmod(place.stat().st_mode | 0o011)
            self.as_other = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
        self.environment = {"PATH": "/usr/bin:/bin", "HOME": str(self.profile)}

    def run(self, command: list[str]) -> str:
        done = subprocess.run(
            command, capture_output=True, text=True, timeout=180, check=False, cwd="/", env=self.environment,
            **self.as_other,
        )  # fmt: skip
        return done.stdout + done.stderr

    def install(self, monkeypatch: pytest.MonkeyPatch, *, model: Path) -> None:
        """The installation of the product, its programs run as that user."""

        def run(command: list[str]) -> str:
            for word in command:
                if word.endswith(".oxt"):
                    # Unfinished work is open to its owner alone, who is somebody else here.
                    Path(word).chmod(0o644)
                    for place in Path(word).parents[:2]:
                        place.chmod(0o755)
            return self.run(command)

        with monkeypatch.context() as patched:
            patched.setattr(calc, "_run", run)
            patched.setattr(os, "geteuid", lambda: 1000)
            calc.install_addin(model=model, profile=self.profile)

    def convert(self, path: Path, *, to: str) -> Path:
        """The file recalculated and saved in another format."""
        soffice = recalculation.require_program("soffice")
        path.chmod(0o644)
        target = self.folder / f"{path.stem}_saved.{to}"
        out = self.folder / f"out_{len(list(self.folder.iterdir()))}"
        out.mkdir()
        if self.as_other:
            os.chown(out, NOBODY, NOBODY)
        profile = f"-env:UserInstallation={self.profile.as_uri()}"
        told = self.run([soffice, profile, "--headless", "--convert-to", to, "--outdir", str(out), str(path)])
        written = out / f"{path.stem}.{to}"
        # It exits with 0 on failure too: only the file proves that it worked.
        assert written.is_file(), f"LibreOffice wrote no {to}: {told}"
        return written.rename(target)
