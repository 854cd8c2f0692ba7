"""Sockets made from the raw scans of two limbs, measured on the written STL.

The files are read back and measured by libraries that had no part in making them: trimesh,
libigl and manifold3d.
"""

import io
import json
from itertools import pairwise

import igl
import manifold3d
import numpy as np
import pytest
import trimesh

from limbwright.assess.plan import Activity, Person
from limbwright.case.create import new_case
from limbwright.case.evaluate import evaluate
from limbwright.case.memo import Memo
from limbwright.case.outputs import work_sheet
from limbwright.core.frame import Side, points_to_patient
from limbwright.core.topology import boundary_loops
from limbwright.make.formats import stl_bytes
from limbwright.make.marking import HEIGHT_MM, RAISED_MM
from limbwright.make.workorder.order import work_order_pdf
from limbwright.make.workorder.template import template_pdf

pytestmark = pytest.mark.slow

WALL_MM = 5.0
LIMBS = [("limb_a", "raw_scan.stl", Side.RIGHT), ("limb_b", "raw_scan.ply", Side.LEFT)]


class Socket:
    """A case made from a raw scan, and its parts as read back from their files."""

    def __init__(self, folder, scan, side, work):
        self.side, self.truth = side, folder
        person = Person(
            code="golden", side=side, mass_kg=80.0, stature_mm=1750.0, activity=Activity.K2
        )
        document, _ = new_case(
            work, scan=folder / scan, landmarks=folder / "landmarks.json", person=person
        )
        evaluation = evaluate(work, document, Memo())
        assert not evaluation.errors
        self.sheet = work_sheet(evaluation)
        self.shell = read(self.sheet.made.shell)
        self.positive = read(self.sheet.made.positive)
        model = self.sheet.shape.model
        self.model = points_to_patient(model.vertices, side), model.faces
        brim = model.vertices[boundary_loops(model)[0], 2]
        seat = self.sheet.coupling.seat
        self.highest = float(brim.min()) - WALL_MM
        self.lowest = float(seat.face_mm[2]) + seat.mouth_mm + 2 * WALL_MM + 3.0
        self.points, faces = trimesh.sample.sample_surface_even(self.shell, 40000, seed=1)
        self.normals = self.shell.face_normals[faces]
        self.off_model = distance(self.points, *self.model)
        height = self.points[:, 2]
        self.away = (height > self.lowest) & (height < self.highest)

    def to_patient(self, scanned_mm):
        """Points of the scan in the patient's frame by the limb's true axes."""
        content = json.loads((self.truth / "landmarks.json").read_text())
        lateral, anterior, proximal = (
            np.array(content["axes"][name]) for name in ("lateral", "anterior", "proximal")
        )
        rightward = lateral if self.side is Side.RIGHT else -lateral
        axes = np.stack([rightward, anterior, proximal])
        assert np.linalg.det(axes) > 0
        return (scanned_mm - self.sheet.limb.frame.origin_mm) @ axes.T

    @property
    def outside(self):
        return self.away & (self.off_model > WALL_MM / 2)

    @property
    def inside(self):
        return self.away & (self.off_model <= WALL_MM / 2)


def read(part):
    return trimesh.load(io.BytesIO(stl_bytes(part)), file_type="stl")


def distance(points, vertices, faces):
    squared = igl.point_mesh_squared_distance(
        np.ascontiguousarray(points, dtype=np.float64),
        np.ascontiguousarray(vertices, dtype=np.float64),
        np.ascontiguousarray(faces, dtype=np.int64),
    )[0]
    return np.sqrt(squared)


@pytest.fixture(scope="module", params=LIMBS, ids=lambda limb: limb[0])
def socket(shared_data, tmp_path_factory, request):
    name, scan, side = request.param
    folder = shared_data / "limbs" / name
    return Socket(folder, scan, side, tmp_path_factory.mktemp(name) / "case")


def test_both_written_parts_are_watertight_manifold_solids(socket):
    for body in (socket.shell, socket.positive):
        assert body.is_watertight
        assert body.is_winding_consistent
        assert body.volume > 0
        assert body.body_count == 1
        solid = manifold3d.Manifold(
            manifold3d.Mesh(
                vert_properties=np.asarray(body.vertices, dtype=np.float32),
                tri_verts=np.asarray(body.faces, dtype=np.uint32),
            )
        )
        assert solid.status() == manifold3d.Error.NoError
        assert solid.volume() == pytest.approx(body.volume, rel=1e-4)


def test_the_wall_is_as_thick_as_asked_for_away_from_brim_seat_and_letter(socket):
    assert socket.outside.sum() > 5000
    off = socket.off_model[socket.outside] - WALL_MM
    beyond = socket.points[socket.outside][np.abs(off) > 0.3]
    # What stands out further is the letter: one small patch, and no more than its height.
    assert off.max() < RAISED_MM + 0.5
    assert off.min() > -0.3
    assert np.linalg.norm(np.ptp(beyond, axis=0)) < 1.5 * HEIGHT_MM


def test_the_inside_is_the_model_below_the_trim_line(socket):
    assert socket.inside.sum() > 5000
    assert socket.off_model[socket.inside].max() < 0.15
    flare_mm = socket.sheet.shape_plan.brim.height_mm
    deep = socket.inside & (socket.points[:, 2] < socket.highest - flare_mm)
    points, normals = socket.points[deep], socket.normals[deep]
    on_positive = trimesh.proximity.closest_point(socket.positive, points[::20])
    assert on_positive[1].max() < 0.15
    # The wall's inner face looks into the room that the positive model fills.
    facing = np.einsum("ij,ij->i", normals[::20], socket.positive.face_normals[on_positive[2]])
    assert np.median(facing) < -0.99


def test_the_true_limb_fits_its_own_socket_and_not_the_mirrored_one(socket):
    """The true skin stands where its true axes say; the liner takes up 6 mm, take-up some back."""
    skin = trimesh.load(socket.truth / "skin.ply")
    stood = socket.to_patient(np.asarray(skin.vertices))
    lowest = socket.positive.vertices[:, 2].min() + 30.0
    covered = stood[(stood[:, 2] > lowest) & (stood[:, 2] < socket.highest)]
    own, reflected = (distance(points, *socket.model) for points in (covered, covered * [-1, 1, 1]))
    assert np.quantile(own, 0.9) < socket.sheet.liner.thickness_mm
    assert np.quantile(reflected, 0.5) > 2 * socket.sheet.liner.thickness_mm


def test_the_relief_of_the_fibular_head_lies_over_it_on_the_patients_outer_side(socket):
    content = json.loads((socket.truth / "landmarks.json").read_text())
    head = socket.to_patient(np.array(content["points"]["fibular_head"]))
    lateral = 1.0 if socket.side is Side.RIGHT else -1.0
    limb = trimesh.Trimesh(
        points_to_patient(socket.sheet.limb.surface.vertices, socket.side),
        socket.sheet.limb.surface.faces[:, :: int(lateral)],
        process=False,
    )
    made, bare = (outline(body, head[2] - 5.0) for body in (socket.positive, limb))
    gain = np.linalg.norm(made[:, None] - bare[None], axis=2).min(axis=1)
    widest = made[np.argmax(gain)]
    assert head[0] * lateral > 0
    assert np.linalg.norm(widest - head[:2]) < 25.0
    assert gain.max() > socket.sheet.liner.thickness_mm


def outline(body, height):
    """Points of a section, close together."""
    section = body.section(plane_origin=[0, 0, height], plane_normal=[0, 0, 1])
    points = max(section.discrete, key=len)
    return np.concatenate([np.linspace(a, b, 6) for a, b in pairwise(points)])[:, :2]


def test_the_letter_on_the_outer_wall_reads_as_the_side(socket):
    raised = socket.points[socket.outside & (socket.off_model > WALL_MM + 0.4)]
    lateral = 1.0 if socket.side is Side.RIGHT else -1.0
    assert (raised[:, 0] * lateral > 0).all()
    shell, positive = socket.shell, socket.positive
    middle = 0.5 * (raised.min(axis=0) + raised.max(axis=0))
    near = np.linalg.norm(shell.triangles_center - middle, axis=1) < 1.2 * HEIGHT_MM
    dense = trimesh.sample.sample_surface_even(
        shell.submesh([np.flatnonzero(near)], append=True), 8000, seed=2
    )[0]
    letter = dense[distance(dense, positive.vertices, positive.faces) > WALL_MM + 0.4]
    outward = middle * [1, 1, 0] / np.linalg.norm(middle[:2])
    right = np.cross([0.0, 0.0, 1.0], outward)
    across = (letter - middle) @ right
    up = letter[:, 2] - middle[2]
    across = (across - across.min()) / np.ptp(across)
    up = (up - up.min()) / np.ptp(up)
    upper_right = ((across > 0.5) & (up > 0.55)).mean()
    lower_left = ((across < 0.35) & (up < 0.5)).mean()
    # Both letters have a stem on the left; an R has a bowl at its upper right, an L has nothing.
    assert lower_left > 0.1
    assert (upper_right > 0.1) == (socket.side is Side.RIGHT)


def test_order_and_template_are_written_for_the_real_limbs(socket):
    for content in (work_order_pdf(socket.sheet), template_pdf(socket.sheet)):
        assert content.startswith(b"%PDF-")
