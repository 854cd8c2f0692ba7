"""Write the tables of docs/method/bones.md from what the golden test of the bones measures.

python scripts/bone_tables.py [ENGINE]   needs the open test limbs beside the repository
"""

from __future__ import annotations

import importlib
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "golden")]

PAGE = ROOT / "docs" / "method" / "bones.md"
DATA = ROOT.parent / "shared" / "data" / "limbs"
START, END = "<!-- {}: written by scripts/bone_tables.py -->", "<!-- end of {} -->"
LIMBS = ("limb_a", "limb_b")


def distance_table() -> Iterator[str]:
    """Distance of bone surfaces, limb by limb, plain and palpated."""
    golden = importlib.import_module("test_bones_on_open_limbs")
    demo_leg = importlib.import_module("true_legs").demo_leg
    yield (
        "| limb | known | tibia | tibia, true to estimate | fibula | fibula, true to estimate |"
        " cover |"
    )
    yield "|---|---|---|---|---|---|---|"
    legs = [(name, golden.requested_leg_named(name, DATA.parent)) for name in LIMBS]
    for name, leg in [*legs, ("demo limb", demo_leg())]:
        for how in (golden.PLAIN, golden.LANDMARKS, golden.LANDMARKS_AND_FACE):
            found = golden.scored(leg, how)
            cells = [
                "{:.1f} / {:.1f}".format(*golden.mean_of(found, bone))
                for bone in ("tibia", "tibia_back", "fibula", "fibula_back")
            ]
            mean = sum(item.cover_mean_mm for item in found) / len(found)
            p95 = sum(item.cover_p95_mm for item in found) / len(found)
            yield f"| {name} | {how} | {' | '.join(cells)} | {mean:.1f} / {p95:.1f} |"


def pressure_table(engine: str) -> Iterator[str]:
    """Mean pressure by area in standing with true, estimated and palpated bones."""
    golden = importlib.import_module("test_bones_on_open_limbs")
    pressure = importlib.import_module("bone_pressure")
    yield f"Engine `{engine}`, standing, mean by area in kPa.\n"
    yield "| limb | area | true bones | estimated | palpated |"
    yield "|---|---|---|---|---|"
    for name in LIMBS:
        with tempfile.TemporaryDirectory() as folder:
            leg = golden.requested_leg_named(name, DATA.parent)
            effects = pressure.pressure_effect(DATA / name, leg, Path(folder) / "case", engine)
        for row in effects:
            yield (
                f"| {name} | {row.area.replace('_', ' ')} | {row.true_kpa:.1f} |"
                f" {row.estimated_kpa:.1f} | {row.palpated_kpa:.1f} |"
            )
        plain, palpated = pressure.differences(effects)
        yield f"| {name} | *mean change against true bones* | | *{plain:.1f}* | *{palpated:.1f}* |"


def put(text: str, name: str, lines: Iterator[str]) -> str:
    """The page with one of its tables written anew."""
    start, end = START.format(name), END.format(name)
    before, _, rest = text.partition(start)
    _, _, after = rest.partition(end)
    if not rest:
        raise SystemExit(f"{PAGE} has no place for {name}")
    return f"{before}{start}\n" + "\n".join(lines) + f"\n{end}{after}"


def main(engine: str) -> None:
    """Write both tables."""
    text = PAGE.read_text("utf-8")
    text = put(text, "distances", distance_table())
    text = put(text, "pressures", pressure_table(engine))
    PAGE.write_text(text, "utf-8")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "spring_bed")
