"""CalculiX (Dhondt 2004, The Finite Element Method for Three-Dimensional Thermomechanical
Applications) as an independent judge: decks are written, it runs as a program of its own, its
printed results are read.

Material. CalculiX's neo-Hookean energy (manual, *HYPERELASTIC, NEO HOOKE) is

    U = C10 (Ī1 - 3) + (1/D1) (J - 1)²,    Ī1 = J^(-2/3) tr(F Fᵀ),

and ours, at a place, U = (μ/2) (Ī1 - 3) + (κ/2) (J - 1)². They are the same with C10 = μ/2 and
D1 = 2/κ. What differs is the element: we take J's mean over the element in the second term,
CalculiX takes J at each integration point.

Contact. Face to face with the linear law p = ε depth (*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=
LINEAR) and *FRICTION with Coulomb's coefficient and the stick slope: our penalties, by name. The
socket is a layer of bricks all of whose nodes are moved as told.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
FACES = np.array(
    [[0, 1, 2, 3], [4, 7, 6, 5], [0, 4, 5, 1], [1, 5, 6, 2], [2, 6, 7, 3], [3, 7, 4, 0]]
)
"""Corners of a brick's faces S1 to S6."""
EDGES = np.array(
    [(0, 1), (1, 2), (2, 3), (3, 0), (4, 5), (5, 6), (6, 7), (7, 4), (0, 4), (1, 5), (2, 6), (3, 7)]
)
"""Corners of the edges whose middles are nodes 9 to 20 of a quadratic brick."""


@dataclass(frozen=True)
class Contact:
    """Faces of the limb against faces of the socket.

    Parameters
    ----------
    limb, socket : (k, 4) and (s, 4) int
        Corners of the faces.
    normal, along : float, MPa/mm
    friction : float
    """

    limb: NDArray[np.int32]
    socket: NDArray[np.int32]
    normal: float
    along: float
    friction: float = 0.0


@dataclass(frozen=True)
class Step:
    """What holds at the end of a step; everything changes linearly towards it.

    Parameters
    ----------
    told : (n, 3) float64, mm
        Displacement of each node and axis; NaN where it is free.
    force_n : (n, 3) float64, N, optional
    first, largest : float
        Share of the step that is tried first, and at most.
    friction : float, optional
        Changed to at the step's start.
    """

    told: Reals
    force_n: Reals | None = None
    first: float = 0.25
    largest: float = 1.0
    friction: float | None = None


@dataclass(frozen=True)
class Deck:
    """A body and what is done to it.

    Parameters
    ----------
    nodes_mm : (n, 3) float64
    bricks : (m, 8) int32
    shear_mpa, bulk_mpa : (m,) float64
    steps : of Step
    contact : Contact, optional
    element : str
        C3D8, C3D8I, or C3D20R: then middle nodes are added on straight edges.
    tied_up : (t,) int
        Nodes that move alike along u.
    bent : callable
        Ends of edges, (e, 2, 3) mm, to their middles on a curved surface, (e, 3) mm: where the
        middle nodes of a quadratic brick stand. Straight edges when not given.
    """

    nodes_mm: Reals
    bricks: NDArray[np.int32]
    shear_mpa: Reals
    bulk_mpa: Reals
    steps: Sequence[Step]
    contact: Contact | None = None
    element: str = "C3D8"
    tied_up: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, np.int64))
    bent: Callable[[Reals], Reals] = lambda ends: np.asarray(ends.mean(axis=1))


@dataclass(frozen=True)
class Answer:
    """At the end of each step.

    Parameters
    ----------
    moved_mm, reaction_n : list of (n, 3) float64
        Of the deck's own nodes.
    seconds, cpu_seconds, megabytes : float
        Wall time, processor time and largest memory of the run.
    iterations : int
        Of all increments: each factors the matrix once.
    """

    moved_mm: list[Reals]
    reaction_n: list[Reals]
    seconds: float
    cpu_seconds: float
    megabytes: float
    iterations: int
    contact: list[Reals] = field(default_factory=list)


def calculix_path() -> str | None:
    """Where CalculiX stands, or None."""
    return shutil.which(os.environ.get("LIMBWRIGHT_CALCULIX") or "ccx")


def run(deck: Deck, folder: Path, threads: int = 1) -> Answer:
    """Write the deck, run CalculiX on it, read what it printed.

    Raises
    ------
    RuntimeError
        When CalculiX does not come to the end of the last step.
    """
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "deck.inp").write_text(written(deck), "ascii")
    program = calculix_path()
    if program is None:
        raise RuntimeError("CalculiX is not installed; see scripts/calculix.sh")
    count = str(threads)
    around = os.environ | {"OMP_NUM_THREADS": count, "CCX_NPROC_EQUATION_SOLVER": count}
    start = time.perf_counter()
    with (folder / "log.txt").open("w") as log:
        process = subprocess.Popen(
            [program, "-i", "deck"], cwd=folder, env=around, stdout=log, stderr=subprocess.STDOUT
        )
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - start
    told = (folder / "log.txt").read_text("ascii", "replace")
    moved, reaction, contact = read(folder / "deck.dat")
    reaction = [_at_corners(deck, forces) for forces in reaction]
    moved = [shift[: len(deck.nodes_mm)] for shift in moved]
    if "Job finished" not in told or len(moved) != len(deck.steps):
        raise RuntimeError(f"CalculiX stopped early:\n{told[-2000:]}")
    iterations = len(re.findall(r"^ iteration\s+\d+", told, re.M))
    return Answer(
        moved, reaction, seconds, used.ru_utime, used.ru_maxrss / 1024, iterations, contact
    )


def written(deck: Deck) -> str:
    """The deck as CalculiX reads it."""
    nodes, elements = deck.nodes_mm, deck.bricks
    told = [step.told for step in deck.steps]
    if deck.element.startswith("C3D20"):
        nodes, elements, told = _quadratic(deck)
    lines = ["*NODE, NSET=NALL"]
    lines += [f"{i + 1},{x:.9g},{y:.9g},{z:.9g}" for i, (x, y, z) in enumerate(nodes)]
    pairs = np.column_stack([deck.shear_mpa, deck.bulk_mpa])
    kinds, kind = np.unique(pairs, axis=0, return_inverse=True)
    for number, (shear, bulk) in enumerate(kinds):
        name = f"PART{number}"
        lines.append(f"*ELEMENT, TYPE={deck.element}, ELSET={name}")
        for e in np.flatnonzero(kind.reshape(-1) == number):
            row = [int(e) + 1, *(elements[e] + 1).tolist()]
            lines += [",".join(map(str, row[i : i + 15])) + "," for i in range(0, len(row), 15)]
            lines[-1] = lines[-1].rstrip(",")
        lines += [f"*MATERIAL, NAME=M{number}", "*HYPERELASTIC, NEO HOOKE"]
        lines += [f"{shear / 2:.12g},{2 / bulk:.12g}"]
        lines += [f"*SOLID SECTION, ELSET={name}, MATERIAL=M{number}"]
    if len(deck.tied_up):
        lead = deck.tied_up[0] + 1
        for node in deck.tied_up[1:]:
            lines += ["*EQUATION", "2", f"{node + 1},3,1.,{lead},3,-1."]
    if deck.contact is not None:
        lines += _contact_lines(deck)
    for step, at in zip(deck.steps, told, strict=True):
        lines += _step_lines(deck, step, at)
    return "\n".join(lines) + "\n"


def _edges(deck: Deck) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    ends = np.sort(deck.bricks[:, EDGES].reshape(-1, 2), axis=1)
    edges, number = np.unique(ends, axis=0, return_inverse=True)
    return edges, number.reshape(-1)


def _at_corners(deck: Deck, forces: Reals) -> Reals:
    """Forces on middle nodes, half to either end: resultants stay."""
    count = len(deck.nodes_mm)
    out = forces[:count].copy()
    if deck.element.startswith("C3D20"):
        edges, _ = _edges(deck)
        for end in edges.T:
            np.add.at(out, end, 0.5 * forces[count:])
    return out


def _quadratic(deck: Deck) -> tuple[Reals, NDArray[np.int64], list[Reals]]:
    """Middle nodes on all edges; where both ends are told where to go, so are they."""
    edges, number = _edges(deck)
    middles = number.reshape(len(deck.bricks), 12) + len(deck.nodes_mm)
    middle = deck.bent(deck.nodes_mm[edges])
    nodes = np.concatenate([deck.nodes_mm, middle])
    told = []
    for step in deck.steps:
        mean = step.told[edges].mean(axis=1)
        whole = ~np.isnan(mean).any(axis=1)
        after = deck.bent((deck.nodes_mm + step.told)[edges[whole]])
        mean[whole] = after - middle[whole]
        told.append(np.concatenate([step.told, mean]))
    return nodes, np.concatenate([deck.bricks, middles], axis=1), told


def _contact_lines(deck: Deck) -> list[str]:
    contact = deck.contact
    assert contact is not None
    lines = []
    for name, quads in (("LIMB", contact.limb), ("SOCKET", contact.socket)):
        lines.append(f"*SURFACE, NAME={name}, TYPE=ELEMENT")
        lines += [f"{e + 1},S{f + 1}" for e, f in faces_of(deck.bricks, quads)]
    lines += ["*SURFACE INTERACTION, NAME=WALL"]
    lines += ["*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR", f"{contact.normal:.9g}"]
    if contact.friction or any(step.friction for step in deck.steps):
        lines += ["*FRICTION", f"{contact.friction or 1e-9:.9g},{contact.along:.9g}"]
    lines += ["*CONTACT PAIR, INTERACTION=WALL, TYPE=SURFACE TO SURFACE", "LIMB,SOCKET"]
    return lines


def _step_lines(deck: Deck, step: Step, told: Reals) -> list[str]:
    lines = ["*STEP, NLGEOM, INC=500"]
    if step.friction is not None and deck.contact is not None:
        lines += ["*CHANGE FRICTION, INTERACTION=WALL", "*FRICTION"]
        lines += [f"{step.friction:.9g},{deck.contact.along:.9g}"]
    lines += ["*STATIC", f"{step.first:g},1.,1e-5,{step.largest:g}", "*BOUNDARY, OP=NEW"]
    tied = np.zeros(told.shape, bool)
    tied[deck.tied_up[1:], 2] = True
    node, axis = np.nonzero(~np.isnan(told) & ~tied)
    lines += [f"{n + 1},{a + 1},{a + 1},{told[n, a]:.12g}" for n, a in zip(node, axis, strict=True)]
    if step.force_n is not None:
        lines.append("*CLOAD, OP=NEW")
        node, axis = np.nonzero(step.force_n)
        lines += [
            f"{n + 1},{a + 1},{step.force_n[n, a]:.12g}" for n, a in zip(node, axis, strict=True)
        ]
    lines += ["*NODE PRINT, NSET=NALL, FREQUENCY=1000", "U,RF"]
    if deck.contact is not None:
        lines += ["*CONTACT PRINT, FREQUENCY=1000", "CSTR"]
    return [*lines, "*END STEP"]


def faces_of(bricks: NDArray[np.int32], quads: NDArray[np.int32]) -> NDArray[np.int64]:
    """Brick and number of its face, (k, 2), for each quad."""
    whole = np.sort(bricks[:, FACES].reshape(-1, 4), axis=1)
    place = {tuple(corners): i for i, corners in enumerate(whole.tolist())}
    found = np.array([place[tuple(quad)] for quad in np.sort(quads, axis=1).tolist()])
    return np.stack([found // 6, found % 6], axis=1)


def read(path: Path) -> tuple[list[Reals], list[Reals], list[Reals]]:
    """Displacements, reactions and contact lines of each step's end, from the printed results."""
    moved: list[Reals] = []
    reaction: list[Reals] = []
    contact: list[Reals] = []
    rows: list[list[float]] = []
    into: list[Reals] | None = None
    kept = {"displacements": moved, "forces": reaction, "contact": contact}
    for line in [*path.read_text("ascii").splitlines(), " end of file"]:
        words = line.split()
        if not words:
            continue
        if words[0][0].isalpha():
            if into is not None and rows:
                into.append(np.array(rows))
            rows, into = [], next((kept[key] for key in kept if words[0] == key), None)
        else:
            rows.append([float(word) for word in words])
    steps = [[block[:, 1:] for block in blocks] for blocks in (moved, reaction)]
    return steps[0], steps[1], contact
