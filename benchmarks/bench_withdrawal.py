"""Time what a socket looks like from a line, and the search for its way out.

Medians after one warm-up. The peer in the same run is a general-purpose ray caster on the same
body; the run stops if both do not agree.

Run: python benchmarks/bench_withdrawal.py
"""

from __future__ import annotations

import numpy as np
from igl.embree import EmbreeIntersector
from plain_bodies import heading, limb_like, report

from limbwright.core.mesh import Mesh, Scalars, Vertices
from limbwright.core.proximity import DistanceTree
from limbwright.couple.axis import Line, seat_frame
from limbwright.couple.polar import polar_radii, whole_height
from limbwright.couple.withdrawal import ANGLES, STEP_MM, rigid_model, withdrawal

FAR_MM = 300.0
DIRECTION = np.array([0.05, -0.08, -1.0])


def main() -> None:
    for triangles in (12_000, 48_000):
        measured(limb_like(triangles))


def measured(body: Mesh) -> None:
    heading(f"{len(body.faces):,} triangles, every {STEP_MM:g} mm at {ANGLES} angles")
    line = Line(np.array([0.0, 0.0, -120.0]), DIRECTION / np.linalg.norm(DIRECTION))
    heights = whole_height(body, line, STEP_MM)
    report("outermost radii, triangles swept", lambda: polar_radii(body, line, heights, ANGLES))
    report("the same by our own rays, tree built", lambda: by_own_rays(body, line, heights))
    report("peer: a ray caster, one call a ray", lambda: by_peer(body, line, heights), 3)
    report("catch and the easiest way out", lambda: withdrawal(rigid_model(body), line))
    ours = polar_radii(body, line, heights, ANGLES).radii_mm
    theirs = by_peer(body, line, heights)
    both = ~np.isnan(ours) & ~np.isnan(theirs)
    assert both.mean() > 0.9
    assert np.allclose(ours[both], theirs[both], atol=1e-3)


def rays_inward(line: Line, heights: Scalars) -> tuple[Vertices, Vertices]:
    """One ray for each height and angle, from outside towards the line."""
    frame = seat_frame(line.direction)
    turn = 2 * np.pi * np.arange(ANGLES) / ANGLES
    outward = np.cos(turn)[:, None] * frame[:, 0] + np.sin(turn)[:, None] * frame[:, 1]
    centres = line.point_mm + heights[:, None] * frame[:, 2]
    origins = (centres[:, None] + FAR_MM * outward).reshape(-1, 3)
    return origins, np.broadcast_to(-outward, (len(heights), ANGLES, 3)).reshape(-1, 3)


def by_own_rays(body: Mesh, line: Line, heights: Scalars) -> Scalars:
    distance, _ = DistanceTree(body).ray_hits(*rays_inward(line, heights))
    return radii_of(distance, len(heights))


def by_peer(body: Mesh, line: Line, heights: Scalars) -> Scalars:
    caster = EmbreeIntersector()
    caster.init(np.asfortranarray(body.vertices, np.float32), np.asfortranarray(body.faces))
    origins, rays = (np.ascontiguousarray(a, np.float32) for a in rays_inward(line, heights))
    hits = (caster.intersectRay_first(a, b) for a, b in zip(origins, rays, strict=True))
    distance = np.array([hit[1] if hit[0] >= 0 else np.inf for hit in hits])
    return radii_of(distance, len(heights))


def radii_of(distance: Scalars, rows: int) -> Scalars:
    radii = (FAR_MM - distance).reshape(rows, ANGLES)
    return np.where(radii > 0.0, radii, np.nan)


if __name__ == "__main__":
    main()
