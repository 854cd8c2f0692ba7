"""Pictures of meshes for paper: parallel projection, even light, one colour per vertex."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from limbwright.core.frame import Side, mesh_to_patient
from limbwright.core.kernels import kernel
from limbwright.core.mesh import Mesh, Vertices, vertex_normals

Colours = NDArray[np.float64]
"""(n, 3) float64, 0 to 1."""


class View(str, Enum):
    """Where the onlooker stands, in the patient's terms."""

    FRONT = "front"
    LATERAL = "lateral"
    BACK = "back"
    MEDIAL = "medial"


@dataclass(frozen=True, slots=True, eq=False)
class Coloured:
    """A limb-frame mesh with one colour per vertex."""

    mesh: Mesh
    colours: Colours


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


def view_axes(view: View, side: Side) -> tuple[Vertices, Vertices]:
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
    return np.cross([0.0, 0.0, 1.0], toward), toward


def render(
    bodies: Sequence[Coloured], side: Side, view: View, pixels_per_mm: float = 3.0
) -> Picture:
    """Draw bodies as seen in a view; the nearest surface hides the others.

    Parameters
    ----------
    bodies : sequence of Coloured, limb frame
    side : Side
    view : View
    pixels_per_mm : float
    """
    right, toward = view_axes(view, side)
    meshes = [mesh_to_patient(body.mesh, side) for body in bodies]
    flat = [
        np.column_stack([m.vertices @ right, m.vertices[:, 2], m.vertices @ toward]) for m in meshes
    ]
    low = np.min([points.min(axis=0) for points in flat], axis=0)[:2] - 2.0
    high = np.max([points.max(axis=0) for points in flat], axis=0)[:2] + 2.0
    columns, rows = np.ceil((high - low) * pixels_per_mm).astype(int)
    image = np.ones((rows, columns, 3))
    depth = np.full((rows, columns), -np.inf)
    cover = np.zeros((rows, columns))
    for body, mesh, points in zip(bodies, meshes, flat, strict=True):
        light = 0.62 + 0.38 * np.clip(
            vertex_normals(mesh) @ (toward + 0.35 * right + [0, 0, 0.45]), 0, 1
        )
        screen = np.column_stack(
            [
                (points[:, 0] - low[0]) * pixels_per_mm,
                (high[1] - points[:, 1]) * pixels_per_mm,
                points[:, 2],
            ]
        )
        _paint(screen, mesh.faces, body.colours * light[:, None], image, depth, cover)
    alpha = (255 * np.clip(cover, 0, 1)).astype(np.uint8)
    rgb = (255 * np.clip(image, 0, 1)).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(np.dstack([rgb, alpha]), "RGBA").save(out, "PNG")
    size = high - low
    return Picture(out.getvalue(), float(size[0]), float(size[1]), float(low[0]), float(high[1]))


@kernel
def _paint(
    screen: NDArray[np.float64],
    faces: NDArray[np.int32],
    colours: NDArray[np.float64],
    image: NDArray[np.float64],
    depth: NDArray[np.float64],
    cover: NDArray[np.float64],
) -> None:
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
                    cover[y, x] = 1.0
                    for k in range(3):
                        image[y, x, k] = (
                            wa * colours[a, k] + wb * colours[b, k] + wc * colours[c, k]
                        )
