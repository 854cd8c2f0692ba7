"""Renew the pictures of the docs from those that the browser tests took on their way.

python scripts/pictures.py
"""

from __future__ import annotations

import io
import sys
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
TAKEN = ROOT / "tests" / "output" / "browser" / "tutorial"
TUTORIAL = ROOT / "docs" / "tutorial" / "pictures"
PLACES = {"workshop": ROOT / "docs" / "pictures"}
"""Where a picture belongs that is not the tutorial's."""
LARGEST_BYTES = 120_000
COLOURS = (256, 128, 64, 32)


def small_png(image: Image.Image) -> bytes:
    """The picture with as many colours as its size allows."""
    for colours in COLOURS:
        file = io.BytesIO()
        # Seldom colours count as much as frequent ones: legends and severities are small.
        few = image.quantize(
            colours, Image.Quantize.MAXCOVERAGE, kmeans=2, dither=Image.Dither.NONE
        )
        few.save(file, "PNG", optimize=True)
        if file.tell() <= LARGEST_BYTES:
            return file.getvalue()
    raise ValueError(f"even with {COLOURS[-1]} colours it is larger than {LARGEST_BYTES} bytes")


def main() -> int:
    """Put each picture, made small, where the docs show it."""
    taken = sorted(TAKEN.glob("*.png"))
    if not taken:
        sys.stderr.write(f"No pictures in {TAKEN}: run tests/browser/test_guide.py first.\n")
        return 1
    for path in taken:
        target = PLACES.get(path.stem, TUTORIAL) / path.name
        target.parent.mkdir(parents=True, exist_ok=True)
        with Image.open(path) as image:
            target.write_bytes(small_png(image.convert("RGB")))
        sys.stdout.write(f"{target.relative_to(ROOT)}: {target.stat().st_size} bytes\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
