"""Line pictures for tiles and doors, by their file's name: the theme's icons of ours."""

from functools import cache
from pathlib import Path

FOLDER = Path("docs/overrides/.icons/doorcard")


@cache
def pictures() -> dict[str, str]:
    """Every picture as SVG, by name."""
    return {path.stem: path.read_text(encoding="utf-8").strip() for path in sorted(FOLDER.glob("*.svg"))}
