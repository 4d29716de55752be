"""The firm's settings from a TOML file with a ``[firm]`` part."""

from __future__ import annotations

from pathlib import Path

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.files.tomlfile import load_toml, shown


def read_settings(path: Path, firm: Firm | None = None) -> Firm:
    """The settings a file states, on top of those of ``firm`` (default: none are stated).

    Raises:
        UnreadableFile: no such file, or not TOML.
        InputProblem: no [firm] part, an unknown setting or a value that cannot be used.
    """
    raw = load_toml(path, "the settings file", expected="[firm] and lines such as day_rate = 480")
    place = Place(path.name)
    others = [key for key in raw if key != "firm"]
    if "firm" not in raw or not isinstance(raw["firm"], dict):
        found = ", ".join(f"'{k}'" for k in others[:6]) or shown(raw.get("firm", "nothing"))
        raise InputProblem(
            f"there is no [firm] part in it, only {found}",
            place=place,
            expected="[firm] and under it lines such as day_rate = 480",
        )
    if others:
        raise InputProblem(
            f"the part '{others[0]}' is unknown", place=place, expected="nothing but a [firm] part"
        )
    return (firm or Firm()).changed(raw["firm"], place=place)
