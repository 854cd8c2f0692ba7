"""The positive model: the rectified limb as a solid, as it is carved or printed to work over."""

from __future__ import annotations

import numpy as np

from limbwright.core.clipping import clip_by_scalar
from limbwright.core.errors import DesignRefused
from limbwright.core.mesh import Mesh
from limbwright.core.topology import boundary_loops, compact, fill_hole, largest_component

RIM_INSET_MM = 1.0
"""How far below the lowest point of the scan's rim the model is cut flat."""


def positive_model(surface: Mesh) -> Mesh:
    """The rectified surface cut flat below its rim and closed on top.

    Parameters
    ----------
    surface : Mesh
        Rectified surface, open at the top, limb frame, wound outward, mm.

    Returns
    -------
    Mesh
        Closed, wound outward.

    Raises
    ------
    DesignRefused
        When the top cannot be closed.
    """
    loops = boundary_loops(surface)
    if not loops:
        return surface
    rim = np.concatenate([surface.vertices[loop, 2] for loop in loops])
    top_mm = float(rim.min()) - RIM_INSET_MM
    flat = clip_by_scalar(surface, surface.vertices[:, 2], top_mm).mesh
    flat = compact(largest_component(flat))
    rims = boundary_loops(flat)
    if len(rims) != 1:
        raise DesignRefused(
            f"The rectified surface has {len(rims)} rims at its top where one is needed;"
            " the scan may have a hole near its rim."
        )
    return fill_hole(flat, rims[0])
