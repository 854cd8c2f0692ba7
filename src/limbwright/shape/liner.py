"""Room for the liner between the skin and the socket."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.assess.plan import Liner
from limbwright.capture.plan import ScannedOver
from limbwright.core.mesh import Vertices
from limbwright.shape.areas import fall_off
from limbwright.shape.basis import ShapeBasis, on_surface

CAP_BLEND_MM = 20.0
"""Along the limb, from the cap's edge to the liner's own thickness: the cap's skirt."""


def liner_allowance(
    basis: ShapeBasis, liner: Liner, scanned_over: ScannedOver
) -> NDArray[np.float64]:
    """Thickness of liner at each vertex, (n,) mm; none when the liner was scanned along.

    The liner's thickness over the limb, rising to the cap's thickness at the limb's end: full
    under the cap's radius, measured along the limb, and blended over the cap's skirt.

    Parameters
    ----------
    basis : ShapeBasis
    liner : Liner
    scanned_over : ScannedOver
    """
    count = len(basis.surface.vertices)
    if scanned_over is ScannedOver.LINER:
        return np.zeros(count)
    radius_mm = 0.5 * liner.cap_diameter_mm
    away = basis.distance.from_curve(_limb_end(basis), radius_mm + CAP_BLEND_MM)
    under_cap = fall_off((away - radius_mm) / CAP_BLEND_MM)
    return liner.thickness_mm + (liner.cap_thickness_mm - liner.thickness_mm) * under_cap


def _limb_end(basis: ShapeBasis) -> Vertices:
    """The limb's end on the surface, (1, 3) mm: its landmark, else the lowest point."""
    landmark = basis.limb.landmarks.get("limb_end")
    if landmark is not None:
        return on_surface(basis, landmark.point_mm)
    vertices = basis.surface.vertices
    return vertices[[np.argmin(vertices[:, 2])]]
