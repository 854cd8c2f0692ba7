"""What the bones' error does to pressure: one limb with true, estimated and palpated bones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from limbwright.assess.plan import Activity, Person
from limbwright.capture.bone_fit import Palpation
from limbwright.capture.plan import PalpatedDepth
from limbwright.case.create import new_case
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import evaluate
from limbwright.case.memo import Memo
from limbwright.core.frame import to_scan
from palpation import at_landmarks, on_the_medial_face
from true_legs import TrueLeg

LOAD_CASE = "standing"
SEED = 0


@dataclass(frozen=True, slots=True)
class AreaEffect:
    """Mean pressure on one area with three kinds of bones, kPa."""

    area: str
    true_kpa: float
    estimated_kpa: float
    palpated_kpa: float


def pressure_effect(
    limb_folder: Path, leg: TrueLeg, folder: Path, engine: str = "spring_bed"
) -> tuple[AreaEffect, ...]:
    """Mean pressure by area in standing with true, estimated and palpated bones.

    Parameters
    ----------
    limb_folder : Path
        Skin, landmarks and true bones.
    leg : TrueLeg
        The same, read.
    folder : Path
        Where the case may be written.
    engine : str
        Name of the interface engine.
    """
    document, _ = new_case(
        folder,
        scan=limb_folder / "skin.ply",
        landmarks=limb_folder / "landmarks.json",
        person=Person(
            code="invented", side=leg.side, mass_kg=70.0, stature_mm=1700.0, activity=Activity.K3
        ),
        bones=(limb_folder / "tibia.ply", limb_folder / "fibula.ply"),
    )
    true = document.model_copy(
        update={"prove": document.prove.model_copy(update={"engine": engine})}
    )
    palpated = [*at_landmarks(leg, SEED), *on_the_medial_face(leg, SEED)]
    found = [
        _mean_kpa(folder, case)
        for case in (true, _without_bones(true, leg, []), _without_bones(true, leg, palpated))
    ]
    return tuple(AreaEffect(name, *(means[name] for means in found)) for name in found[0])


def differences(effects: tuple[AreaEffect, ...]) -> tuple[float, float]:
    """Mean change by area against true bones: estimated, palpated; kPa."""
    true = np.array([effect.true_kpa for effect in effects])
    estimated = np.array([effect.estimated_kpa for effect in effects])
    palpated = np.array([effect.palpated_kpa for effect in effects])
    return float(np.abs(estimated - true).mean()), float(np.abs(palpated - true).mean())


def _without_bones(
    document: CaseDocument, leg: TrueLeg, palpations: list[Palpation]
) -> CaseDocument:
    depths = tuple(
        PalpatedDepth(
            landmark=item.name or None,
            point=None if item.name else tuple(to_scan(leg.frame(), item.skin_mm).tolist()),
            bone=item.bone,
            depth_mm=item.depth_mm,
        )
        for item in palpations
    )
    capture = document.capture.model_copy(update={"bones": None, "palpated": depths})
    return document.model_copy(update={"capture": capture})


def _mean_kpa(folder: Path, document: CaseDocument) -> Mapping[str, float]:
    evaluation = evaluate(folder, document, Memo(), upto="prove")
    for error in evaluation.errors:
        raise error
    cases = evaluation.outcomes["prove"].result.interface.cases
    standing = next(case for case in cases if case.load_case == LOAD_CASE)
    return {area.area: area.mean_kpa for area in standing.areas}
