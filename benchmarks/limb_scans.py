"""Scans of the invented demo limb for the capture benchmarks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh

from limbwright.capture.plan import CapturePlan
from limbwright.capture.read import read_scan
from limbwright.capture.result import RawScan
from limbwright.capture.unit import find_unit
from limbwright.core.mesh import Mesh
from limbwright.demo.case import write_demo_files

LARGE_TRIANGLES = 2_000_000


def scan_of_demo(folder: Path) -> tuple[RawScan, CapturePlan]:
    """The demo's raw scan, written into a folder and read back."""
    plan = write_demo_files(folder)
    return read_scan(folder / plan.scan), plan


def in_mm(raw: RawScan, plan: CapturePlan) -> Mesh:
    """A raw scan as the repair takes it."""
    unit = find_unit(raw, plan.landmarks, plan.unit).unit
    return Mesh(raw.vertices * unit.to_mm, raw.faces)


def large_scan(scan: RawScan) -> trimesh.Trimesh:
    """The same scan with every triangle divided by four until one more division is too much."""
    vertices, faces = scan.vertices, np.asarray(scan.faces)
    while 4 * len(faces) <= LARGE_TRIANGLES:
        vertices, faces = trimesh.remesh.subdivide(vertices, faces)
    return trimesh.Trimesh(vertices, faces, process=False)
