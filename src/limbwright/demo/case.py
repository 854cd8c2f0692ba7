"""The demo case: files as they come from the clinic, and what was decided for the leg."""

from __future__ import annotations

import csv
import json
from io import StringIO
from pathlib import Path

from limbwright.align.plan import AlignPlan
from limbwright.assess.condition import Condition, Hands, Sight
from limbwright.assess.plan import Activity, Liner, LinerMaterial, Person
from limbwright.capture.plan import CapturePlan, LandmarkSet
from limbwright.capture.tape import LEVEL_COLUMN, TAPE_COLUMN
from limbwright.core.atomic import write_atomically
from limbwright.core.frame import Side
from limbwright.core.mesh import Mesh
from limbwright.core.plan import Plan
from limbwright.core.stl import stl_file
from limbwright.couple.plan import CouplePlan, CouplingKind, CouplingPlan
from limbwright.demo.limb import DemoLimb, demo_limb
from limbwright.make.plan import MakePlan
from limbwright.prove.plan import ProvePlan
from limbwright.shape.plan import AreaName, AreaPlan, ShapePlan, TakeUpPoint, TrimPlan

SCAN_FILE = "scan.stl"
LANDMARK_FILE = "landmarks.json"
TAPE_FILE = "tape.csv"


def write_demo_files(folder: Path, side: Side = Side.RIGHT, seed: int = 1) -> CapturePlan:
    """Write the demo's raw scan, landmark file and tape sheet into a folder.

    Parameters
    ----------
    folder : Path
        Existing folder.
    side : Side
    seed : int
        As in `demo_limb`.

    Returns
    -------
    CapturePlan
        Naming the files; the scan's unit is left to be found.

    Raises
    ------
    CannotWrite
    """
    limb = demo_limb(seed, side)
    points = {
        name: (round(float(p[0]), 2), round(float(p[1]), 2), round(float(p[2]), 2))
        for name, p in limb.landmarks_in_scan_mm().items()
    }
    write_atomically(
        folder / SCAN_FILE,
        stl_file(Mesh(limb.scan.vertices, limb.scan.faces), "invented limb, generated"),
    )
    note = "invented limb, generated"
    record = {"side": side.value, "unit": "mm", "note": note, "points": points}
    write_atomically(folder / LANDMARK_FILE, (json.dumps(record, indent=1) + "\n").encode())
    write_atomically(folder / TAPE_FILE, _tape_sheet(limb).encode())
    return CapturePlan(scan=SCAN_FILE, landmarks=LandmarkSet(points=points), tape=TAPE_FILE)


def demo_plans(side: Side = Side.RIGHT) -> dict[str, Plan]:
    """What was decided for the demo's invented person, by part of the case document."""
    return {
        "person": Person(
            code="demo",
            side=side,
            mass_kg=74.0,
            stature_mm=1730.0,
            activity=Activity.K2,
            condition=Condition(
                hands=Hands.WEAK, sight=Sight.REDUCED, implanted_device=False, metal_dust=False
            ),
        ),
        "liner": Liner(material=LinerMaterial.SILICONE, thickness_mm=6.0),
        "shape": demo_shape(),
        "couple": CouplePlan(coupling=CouplingPlan(kind=CouplingKind.MAGNET)),
        "align": AlignPlan(),
        "prove": ProvePlan(),
        "make": MakePlan(),
    }


def demo_shape() -> ShapePlan:
    """Shape plan of the demo: between tendon and surface bearing, medial loads answered."""
    depths = {
        AreaName.PATELLAR_TENDON: -2.5,
        AreaName.MEDIAL_TIBIAL_FLARE: -2.0,
        AreaName.MEDIAL_PRETIBIAL: -1.5,
        AreaName.LATERAL_PRETIBIAL: -2.0,
        AreaName.FIBULAR_SHAFT: -1.5,
        AreaName.POPLITEAL: -3.0,
        AreaName.FIBULAR_HEAD: 4.0,
        AreaName.TIBIAL_CREST: 2.5,
        AreaName.TIBIAL_TUBERCLE: 2.5,
        AreaName.DISTAL_TIBIA: 5.0,
        AreaName.DISTAL_FIBULA: 4.0,
        AreaName.MEDIAL_HAMSTRING: 3.0,
        AreaName.LATERAL_HAMSTRING: 3.0,
    }
    take_up = ((0.0, 3.5), (60.0, 3.0), (110.0, 2.0))
    return ShapePlan(
        areas=tuple(AreaPlan(name=name, depth_mm=depth) for name, depth in depths.items()),
        take_up=tuple(TakeUpPoint(level_mm=at, girth_percent=part) for at, part in take_up),
        trim=TrimPlan(anterior_mm=22.0, medial_mm=32.0, lateral_mm=32.0, posterior_mm=-8.0),
    )


def _tape_sheet(limb: DemoLimb) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([LEVEL_COLUMN, TAPE_COLUMN, "ml_mm", "ap_mm"])
    for row in limb.tape:
        cells = (row.level_mm, row.tape_mm, row.ml_mm, row.ap_mm)
        writer.writerow([f"{cell:.0f}" for cell in cells if cell is not None])
    return out.getvalue()
