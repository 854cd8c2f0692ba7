"""Pictures of meshes for paper: parallel projection, even light, any colouring."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from limbwright.core.frame import Side, mesh_to_patient, points_to_patient
from limbwright.core.kernels import indices, kernel, reals
from limbwright.core.mesh import Mesh, Vector, Vertices, vertex_normals

PIXELS_PER_MM = 2.5
FINER = 2
"""Drawn so many times finer and averaged, so that edges are smooth."""

Values = NDArray[np.float64]
"""(n, k) float64: what a body is coloured by, at each vertex."""
Colouring = Callable[[NDArray[np.float32]], NDArray[np.float32]]
"""From values at pixels (p, k) to colours (p, 3), 0 to 1."""


class View(str, Enum):
    """Where the onlooker stands, in the patient's terms."""

    FRONT = "front"
    LATERAL = "lateral"
    BACK = "back"
    MEDIAL = "medial"


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A limb-frame mesh, values at its vertices and how they become colours.

    Parameters
    ----------
    mesh : Mesh
    values : (n, k) float64
        Spread evenly over each triangle.
    colouring : Colouring
    shade : float
        0: lit evenly from everywhere; 1: as dark as can be where it turns from the light.
    """

    mesh: Mesh
    values: Values
    colouring: Colouring
    shade: float = 0.4


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture and where its pixels are.

    Parameters
    ----------
    png : bytes
    width_mm, height_mm : float
        What the picture spans.
    left_mm, top_mm : float
        Coordinates of the upper left corner along the view's right and up.
    """

    png: bytes
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float


def view_axes(view: View, side: Side) -> tuple[Vector, Vector]:
    """Right and towards-the-onlooker directions of a view in the patient's frame.

    Seen from the front, the patient's right is on the left of the paper.
    """
    outward = 1.0 if side is Side.RIGHT else -1.0
    toward = {
        View.FRONT: np.array([0.0, 1.0, 0.0]),
        View.BACK: np.array([0.0, -1.0, 0.0]),
        View.LATERAL: np.array([outward, 0.0, 0.0]),
        View.MEDIAL: np.array([-outward, 0.0, 0.0]),
    }[view]
    right: Vector = np.cross([0.0, 0.0, 1.0], toward)
    return right, toward


def on_paper(points_mm: Vertices, view: View, side: Side) -> NDArray[np.float64]:
    """Limb-frame points (n, 3) in a view: right, up, and towards the onlooker, mm."""
    right, toward = view_axes(view, side)
    placed = points_to_patient(np.atleast_2d(points_mm), side)
    return np.column_stack([placed @ right, placed[:, 2], placed @ toward])


def view_in_limb(view: View, side: Side) -> tuple[Vector, Vector]:
    """Right on paper and towards the onlooker, in the limb frame."""
    basis = on_paper(np.eye(3), view, side)
    return basis[:, 0], basis[:, 2]


def direction_word(way: Vector) -> str:
    """The trade's word for a direction across the limb, (3,) float64, limb frame."""
    if abs(way[0]) >= abs(way[1]):
        return "lateral" if way[0] > 0 else "medial"
    return "anterior" if way[1] > 0 else "posterior"


def render(bodies: Sequence[Body], side: Side, view: View) -> Picture:
    """Draw bodies as seen in a view; the nearest surface hides the others.

    Parameters
    ----------
    bodies : sequence of Body, limb frame
    side : Side
    view : View
    """
    flat = [on_paper(body.mesh.vertices, view, side) for body in bodies]
    low = np.min([points.min(axis=0) for points in flat], axis=0)[:2] - 2.0
    columns, rows = FINER * np.ceil(
        (np.max([points.max(axis=0) for points in flat], axis=0)[:2] + 2.0 - low) * PIXELS_PER_MM
    ).astype(int)
    fineness = PIXELS_PER_MM * FINER
    top = low[1] + rows / fineness
    image = np.ones((rows, columns, 3), dtype=np.float32)
    depth = np.full((rows, columns), -np.inf, dtype=np.float32)
    cover = np.zeros((rows, columns), dtype=np.float32)
    for body, points in zip(bodies, flat, strict=True):
        screen = np.column_stack(
            [(points[:, 0] - low[0]) * fineness, (top - points[:, 1]) * fineness, points[:, 2]]
        )
        lit = np.column_stack([_light(body, side, view), body.values])
        seen = np.full((rows, columns, lit.shape[1]), np.nan, dtype=np.float32)
        _paint(reals(screen), indices(body.mesh.faces), reals(lit), seen, depth)
        here = ~np.isnan(seen[..., 0])
        image[here] = body.colouring(seen[here][:, 1:]) * seen[here][:, :1]
        cover[here] = 1.0
    return Picture(
        _png(image, cover),
        columns / fineness,
        rows / fineness,
        float(low[0]),
        float(top),
    )


def _light(body: Body, side: Side, view: View) -> NDArray[np.float64]:
    right, toward = view_axes(view, side)
    from_where = toward + 0.35 * right + np.array([0.0, 0.0, 0.45])
    normals = vertex_normals(mesh_to_patient(body.mesh, side))
    facing = np.clip(normals @ from_where, 0.0, 1.0)
    return np.asarray(1.0 - body.shade * (1.0 - facing), dtype=np.float64)


def _png(image: NDArray[np.float32], cover: NDArray[np.float32]) -> bytes:
    """The picture at its own fineness, on transparent ground."""
    rows, columns = cover.shape[0] // FINER, cover.shape[1] // FINER
    tiles = (rows, FINER, columns, FINER)
    share = cover.reshape(tiles).mean(axis=(1, 3))
    weighed = (image * cover[..., None]).reshape(*tiles, 3).mean(axis=(1, 3))
    rgb = np.where(share[..., None] > 0, weighed / np.maximum(share, 1e-6)[..., None], 1.0)
    pixels = np.round(255 * np.clip(np.dstack([rgb, share]), 0, 1)).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(pixels, "RGBA").save(out, "PNG")
    return out.getvalue()


@kernel
def _paint(
    screen: NDArray[np.float64],
    faces: NDArray[np.int32],
    values: NDArray[np.float64],
    seen: NDArray[np.float32],
    depth: NDArray[np.float32],
) -> None:
    """Values of the nearest surface at each pixel, where it is nearer than what was drawn."""
    rows, columns = depth.shape
    for f in range(len(faces)):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        ax, ay = screen[a, 0], screen[a, 1]
        bx, by = screen[b, 0], screen[b, 1]
        cx, cy = screen[c, 0], screen[c, 1]
        area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
        if area == 0.0:
            continue
        x0 = max(0, int(np.floor(min(ax, min(bx, cx)))))
        x1 = min(columns - 1, int(np.ceil(max(ax, max(bx, cx)))))
        y0 = max(0, int(np.floor(min(ay, min(by, cy)))))
        y1 = min(rows - 1, int(np.ceil(max(ay, max(by, cy)))))
        for y in range(y0, y1 + 1):
            for x in range(x0, x1 + 1):
                px, py = x + 0.5, y + 0.5
                wa = ((bx - px) * (cy - py) - (cx - px) * (by - py)) / area
                wb = ((cx - px) * (ay - py) - (ax - px) * (cy - py)) / area
                wc = 1.0 - wa - wb
                if wa < -1e-9 or wb < -1e-9 or wc < -1e-9:
                    continue
                z = wa * screen[a, 2] + wb * screen[b, 2] + wc * screen[c, 2]
                if z > depth[y, x]:
                    depth[y, x] = z
                    for k in range(values.shape[1]):
                        seen[y, x, k] = wa * values[a, k] + wb * values[b, k] + wc * values[c, k]
