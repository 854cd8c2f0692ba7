"""One uncertain thing at a time, at the low and the high end of its spread.

Every figure stands somewhere in a published range. The spread to each side is the root mean
square distance to what a flat distribution over that range holds on that side: a third of the
way's square, so the way over the root of three. A figure at the end of its range has none beyond.
What the practitioner gave is taken as it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.bones import cover_mm
from limbwright.capture.leg_table import COVERS, LEAST_COVER_MM
from limbwright.capture.result import Limb
from limbwright.core.mesh import Mesh, Vector, with_vertices
from limbwright.core.proximity import DistanceTree
from limbwright.core.sources import Basis, Source
from limbwright.core.units import kpa_from_mpa
from limbwright.prove.interface.stiffness import Assumptions, assumptions_of
from limbwright.prove.plan import ProvePlan
from limbwright.prove.tables import (
    FRICTION_RANGE,
    LINER_MODULUS_RANGE_KPA,
    TISSUE_MODULUS_RANGE_KPA,
    TISSUE_POISSON_RANGE,
)

BONES = "bone cover"
MODULUS = "tissue stiffness"
POISSON = "Poisson's ratio of the tissue"
FRICTION = "friction"
LINER = "liner stiffness"

_AXES = (("laterally", "medially"), ("anteriorly", "posteriorly"), ("up", "down"))
_SHARES = (1.0, 0.75, 0.5, 0.25)
_ROOT_3 = float(np.sqrt(3.0))
_DEFAULT = Basis.DEFAULT


@dataclass(frozen=True, slots=True, eq=False)
class Variation:
    """A limb with one uncertain thing changed.

    Parameters
    ----------
    influence : str
        What is uncertain; several factors may belong to one.
    factor : str
        What varies independently of every other factor.
    tried : str
        The change, in words.
    limb, liner, plan
        What to compute with.
    share : float
        Part of one standard deviation that was taken; less than 1 where the bones would otherwise
        leave the skin.
    basis : Basis
    source : Source
    step : float
        How far it goes: in standard deviations, or in the logarithm of a ratio.
    mirror : float
        How far the factor's other side goes for each step of this one, if that is not tried.
    """

    influence: str
    factor: str
    tried: str
    limb: Limb
    liner: Liner
    plan: ProvePlan
    share: float
    basis: Basis
    source: Source
    step: float = 1.0
    mirror: float = 0.0


def variations(
    limb: Limb, liner: Liner, plan: ProvePlan, *, both_sides: bool = True
) -> tuple[Variation, ...]:
    """All variations of a limb and what it wears.

    Parameters
    ----------
    limb : Limb
    liner : Liner
    plan : ProvePlan
    both_sides : bool
        Whether each factor is tried to both sides. If not, only to the farther one, and the
        other is taken to be its mirror image in the logarithm: half the work where a limb costs
        seconds to prepare.
    """
    assumed = assumptions_of(liner, plan.tissue)
    found = (
        *_bones(limb, liner, plan),
        *_tissue(limb, liner, plan, assumed),
        *_worn(limb, liner, plan, assumed),
    )
    return found if both_sides else _farther(found)


def _farther(found: tuple[Variation, ...]) -> tuple[Variation, ...]:
    """Of each factor the variation that goes farthest, its other side mirrored."""
    by_factor: dict[str, list[Variation]] = {}
    for variation in found:
        by_factor.setdefault(variation.factor, []).append(variation)
    kept = []
    for group in by_factor.values():
        far = max(group, key=lambda one: (one.share, one.step))
        other = sum(one.step for one in group if one is not far) / far.step
        kept.append(replace(far, mirror=far.mirror + other))
    return tuple(kept)


def spread(used: float, low: float, high: float) -> tuple[float, float]:
    """A figure one spread down and up in its range.

    Examples
    --------
    >>> [round(edge, 3) for edge in spread(0.45, 0.45, 0.49)]
    [0.45, 0.473]
    """
    return used - max(0.0, used - low) / _ROOT_3, used + max(0.0, high - used) / _ROOT_3


def ratio_spread(used: float, low: float, high: float) -> tuple[float, float]:
    """The same in the logarithm, for figures that are known by ratio.

    Examples
    --------
    >>> [round(edge) for edge in ratio_spread(200.0, 60.0, 260.0)]
    [100, 233]
    """
    down, up = spread(float(np.log(used)), float(np.log(low)), float(np.log(high)))
    return float(np.exp(down)), float(np.exp(up))


def _bones(limb: Limb, liner: Liner, plan: ProvePlan) -> Iterator[Variation]:
    """Both bones moved along each axis by the cover's standard deviation.

    Three independent moves of s each change the cover under any piece of skin by s in the root
    mean square, whichever way it faces: n·s with n the unit normal. A way without room is taken
    as the mirror image of its opposite.
    """
    sd_mm = limb.bones.cover_sd_mm
    if sd_mm <= 0:
        return
    skin = DistanceTree(limb.surface)
    for axis, ways in enumerate(_AXES):
        moves = []
        for way, sign in zip(ways, (1.0, -1.0), strict=True):
            shift = np.zeros(3)
            shift[axis] = sign * sd_mm
            share = _room(limb, skin, shift)
            if share > 0:
                moves.append((way, share, share * shift))
        for way, share, shift in moves:
            yield Variation(
                BONES,
                f"{BONES}, {ways[0]}",
                f"bones {share * sd_mm:.1f} mm {way}",
                with_bones_moved(limb, shift),
                liner,
                plan,
                share,
                limb.bones.basis,
                COVERS.source,
                mirror=1.0 if len(moves) == 1 else 0.0,
            )


def with_bones_moved(limb: Limb, shift_mm: Vector) -> Limb:
    """The same limb with its bones elsewhere, (3,) mm, and its cover measured anew."""
    pole = limb.bones.patella_pole_mm
    bones = replace(
        limb.bones,
        tibia=_moved(limb.bones.tibia, shift_mm),
        fibula=_moved(limb.bones.fibula, shift_mm),
        patella_pole_mm=None if pole is None else pole + shift_mm,
    )
    return replace(limb, bones=bones, cover_mm=cover_mm(limb.surface, bones))


def cover_scale(limb: Limb, inside: NDArray[np.intp]) -> float:
    """How uncertain the cover is over part of the skin, against the whole.

    Parameters
    ----------
    limb : Limb
    inside : (k,) int
        Vertices of `Limb.surface`.

    Returns
    -------
    float
        Root mean square of the cover's standard deviation there over that of the moves; 1 where
        it is known for the whole only.
    """
    spread_mm, whole_mm = limb.cover_spread_mm, limb.bones.cover_sd_mm
    if spread_mm is None or whole_mm <= 0 or len(inside) == 0:
        return 1.0
    return float(np.sqrt(np.mean(spread_mm[inside] ** 2))) / whole_mm


def _moved(mesh: Mesh, shift_mm: Vector) -> Mesh:
    return with_vertices(mesh, mesh.vertices + shift_mm)


def _room(limb: Limb, skin: DistanceTree, shift_mm: Vector) -> float:
    """The largest share of a move that keeps the bones under the skin; 0 when none does.

    Where they lie nearer the skin to begin with, they may not come nearer still.
    """
    points = np.concatenate([limb.bones.tibia.vertices, limb.bones.fibula.vertices])
    points = points[points[:, 2] < limb.surface.vertices[:, 2].max() - abs(shift_mm[2])]
    if len(points) == 0:
        return 1.0
    nearest = min(LEAST_COVER_MM.value, float(-skin.signed(points).max()))
    for share in _SHARES:
        if float(-skin.signed(points + share * shift_mm).max()) >= nearest - 0.1:
            return share
    return 0.0


def _tissue(limb: Limb, liner: Liner, plan: ProvePlan, assumed: Assumptions) -> Iterator[Variation]:
    tissue = plan.tissue

    def changed(
        influence: str, tried: str, source: Source, step: float, **figures: float
    ) -> Variation:
        other = plan.model_copy(update={"tissue": tissue.model_copy(update=figures)})
        return Variation(
            influence, influence, tried, limb, liner, other, 1.0, _DEFAULT, source, step
        )

    if tissue.modulus_kpa is None:
        used = kpa_from_mpa(assumed.tissue.modulus_mpa)
        for kpa in _others(used, ratio_spread(used, *TISSUE_MODULUS_RANGE_KPA.value)):
            text = f"tissue {kpa:.0f} instead of {used:.0f} kPa"
            yield changed(
                MODULUS, text, TISSUE_MODULUS_RANGE_KPA.source, _ratio(kpa, used), modulus_kpa=kpa
            )
    if tissue.poisson is None:
        used = assumed.tissue.poisson
        for ratio in _others(used, spread(used, *TISSUE_POISSON_RANGE.value)):
            text = f"Poisson's ratio {ratio:.3f} instead of {used:g}"
            yield changed(
                POISSON, text, TISSUE_POISSON_RANGE.source, abs(ratio - used), poisson=ratio
            )


def _worn(limb: Limb, liner: Liner, plan: ProvePlan, assumed: Assumptions) -> Iterator[Variation]:
    def changed(
        influence: str, tried: str, source: Source, step: float, **figures: float
    ) -> Variation:
        other = liner.model_copy(update=figures)
        return Variation(
            influence, influence, tried, limb, other, plan, 1.0, _DEFAULT, source, step
        )

    if liner.friction is None:
        known = FRICTION_RANGE[liner.material]
        used = assumed.friction
        for figure in _others(used, spread(used, *known.value)):
            text = f"friction {figure:.2f} instead of {used:g}"
            yield changed(FRICTION, text, known.source, abs(figure - used), friction=figure)
    range_kpa = LINER_MODULUS_RANGE_KPA.get(liner.material)
    if liner.modulus_kpa is None and range_kpa is not None and assumed.liner_thickness_mm > 0:
        used = kpa_from_mpa(assumed.liner.modulus_mpa)
        for kpa in _others(used, ratio_spread(used, *range_kpa.value)):
            text = f"liner {kpa:.0f} instead of {used:.0f} kPa"
            yield changed(LINER, text, range_kpa.source, _ratio(kpa, used), modulus_kpa=kpa)


def _ratio(figure: float, used: float) -> float:
    return abs(float(np.log(figure / used)))


def _others(used: float, edges: tuple[float, float]) -> tuple[float, ...]:
    """The edges that differ from the figure used."""
    return tuple(edge for edge in edges if abs(edge - used) > 1e-9 * abs(used))
