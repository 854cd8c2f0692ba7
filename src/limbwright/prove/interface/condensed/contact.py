"""Contact of one place with the wall: pressure, Coulomb friction, and their exact derivatives.

A place at y carries the traction T on the limb, with pressure p = -T·m and shear τ = T + p m, m the
wall's outward normal there. In contact its depth in the wall equals the yield of the contact layer,
g = p / k; sticking, its shear is what the layer holds against the slip since it touched. Both
are written as a projection of the traction itself (Alart and Curnier 1991, Comput Methods Appl
Mech Eng 92:353): a place is in contact where p + c (g - p / k) is positive, and slides where the
shear so augmented leaves Coulomb's cone. The measure c only shapes the way to the solution.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limbwright.core.kernels import kernel

Reals = NDArray[np.float64]


@kernel
def project(
    traction: Reals,
    place: Reals,
    depth: Reals,
    gradient: Reals,
    hessian: Reals,
    softness: Reals,
    along: float,
    friction: float,
    measure: Reals,
    held: Reals,
    anchor: Reals,
) -> tuple[Reals, Reals, Reals, Reals, Reals, Reals]:
    """Traction that contact allows at each place, and its derivatives.

    Parameters
    ----------
    traction : (n, 3) float64, MPa, on the limb, socket frame
    place : (n, 3) float64, mm, socket frame
    depth, gradient, hessian : (n,), (n, 3), (n, 3, 3)
        Of the wall's distance at each place.
    softness : (n,) float64, mm/MPa
        Of the contact layer, 1 / k.
    along : float, MPa/mm
        Stiffness that holds a sticking place to its anchor.
    friction : float
    measure : (n,) float64, MPa/mm
        Augmentation; not above the layer's stiffness.
    held : (n, 3) float64, MPa
        Shear on the limb at the anchor.
    anchor : (n, 3) float64, mm, socket frame

    Returns
    -------
    allowed : (n, 3) float64, MPa
    by_traction, by_place, by_anchor : (n, 3, 3) float64
        Derivatives of `allowed`.
    gap : (n,) float64, mm
        Depth beyond the wall, negative = open.
    normal : (n, 3) float64
    """
    count = len(depth)
    allowed = np.zeros((count, 3))
    by_traction = np.zeros((count, 3, 3))
    by_place = np.zeros((count, 3, 3))
    by_anchor = np.zeros((count, 3, 3))
    gap = np.empty(count)
    normal = np.empty((count, 3))
    m = np.empty(3)
    hm = np.empty(3)
    dm = np.empty((3, 3))
    dg = np.empty(3)
    tau = np.empty(3)
    z = np.empty(3)
    s = np.empty(3)
    e = np.empty(3)
    for i in range(count):
        size = np.sqrt(gradient[i, 0] ** 2 + gradient[i, 1] ** 2 + gradient[i, 2] ** 2)
        g = depth[i] / size
        gap[i] = g
        p = 0.0
        for a in range(3):
            m[a] = gradient[i, a] / size
            normal[i, a] = m[a]
            p -= traction[i, a] * m[a]
        c = measure[i]
        pressed = p + c * (g - softness[i] * p)
        if pressed <= 0.0:
            continue
        for a in range(3):
            hm[a] = 0.0
            for b in range(3):
                hm[a] += hessian[i, a, b] * m[b] / size
        for a in range(3):
            dg[a] = m[a] - g * hm[a]
            for b in range(3):
                dm[a, b] = hessian[i, a, b] / size - m[a] * hm[b]
        b_share = c / along
        mz = 0.0
        for a in range(3):
            tau[a] = traction[i, a] + p * m[a]
            z[a] = held[i, a] - along * (place[i, a] - anchor[i, a])
            mz += m[a] * z[a]
        length = 0.0
        for a in range(3):
            s[a] = (1.0 - b_share) * tau[a] + b_share * (z[a] - mz * m[a])
            length += s[a] * s[a]
        length = np.sqrt(length)
        most = friction * pressed
        slides = length > most
        scale = most / length if slides else 1.0
        for a in range(3):
            e[a] = s[a] / length if slides else 0.0
            allowed[i, a] = scale * s[a] - pressed * m[a]
        keep = 1.0 - c * softness[i]
        for k in range(3):
            # column k of each derivative: by traction, place and anchor
            tdm = 0.0
            zdm = 0.0
            for a in range(3):
                tdm += traction[i, a] * dm[a, k]
                zdm += z[a] * dm[a, k]
            dp_t = -m[k]
            dp_y = -tdm
            dpress_t = keep * dp_t
            dpress_y = keep * dp_y + c * dg[k]
            lead_t = 0.0
            lead_y = 0.0
            lead_a = 0.0
            for a in range(3):
                own = 1.0 if a == k else 0.0
                flat = own - m[a] * m[k]
                ds_t = (1.0 - b_share) * (own + dp_t * m[a])
                ds_y = (1.0 - b_share) * (dp_y * m[a] + p * dm[a, k]) + b_share * (
                    -along * flat - dm[a, k] * mz - m[a] * zdm
                )
                ds_a = b_share * along * flat
                by_traction[i, a, k] = ds_t
                by_place[i, a, k] = ds_y
                by_anchor[i, a, k] = ds_a
                lead_t += e[a] * ds_t
                lead_y += e[a] * ds_y
                lead_a += e[a] * ds_a
            for a in range(3):
                if slides:
                    by_traction[i, a, k] = (
                        scale * (by_traction[i, a, k] - e[a] * lead_t) + friction * dpress_t * e[a]
                    )
                    by_place[i, a, k] = (
                        scale * (by_place[i, a, k] - e[a] * lead_y) + friction * dpress_y * e[a]
                    )
                    by_anchor[i, a, k] = scale * (by_anchor[i, a, k] - e[a] * lead_a)
                by_traction[i, a, k] -= dpress_t * m[a]
                by_place[i, a, k] -= dpress_y * m[a] + pressed * dm[a, k]
    return allowed, by_traction, by_place, by_anchor, gap, normal
