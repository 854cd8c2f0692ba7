"""What is said about strength: each place, the weakest one, and what was not looked at."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from limbwright.core.findings import Finding, Severity
from limbwright.core.slicing import slice_moments
from limbwright.core.sources import Basis, Confidence, Origin, Source
from limbwright.couple.tables import FLOOR_MM
from limbwright.prove.materials import (
    LAYERED,
    Allowable,
    material_of,
    plate_basis,
    plate_thickness_mm,
    wall_basis,
    wall_thickness_mm,
)
from limbwright.prove.plan import ProvePlan, SocketProcess
from limbwright.prove.reference_loads import ReferenceLoad
from limbwright.prove.result import Check
from limbwright.prove.strength_tables import (
    CAST_SUPERVISED,
    CYCLIC_OF_PROOF,
    FORMING,
    FORMING_LOSS_PERCENT,
    PRINTED_BREAK_AT,
    SOCKETS_BREAK_AT,
    SOCKETS_VARY,
    WALL_MM,
)
from limbwright.shape.result import SocketShape

STAGE = "prove"

WALL = "wall"
OPEN_WALL = "wall above the trim line's lowest point"
EXIT = "wall at the exit hole"
SCREWS = "screw tension"
SCREWS_BOTH = "screws in tension and shear"
PULL_THROUGH = "pull-through"
FLOOR = "distal plate"
PYLON = "pylon"
CLAMP = "pylon clamp"
BRIM = "brim opening"
WALL_BY_ELEMENTS = "wall by finite elements"

SOCKET_PLACES = (WALL, SCREWS, PULL_THROUGH, FLOOR)
"""Without a result for every one of these, the socket's strength is not established."""
RANKED = (*SOCKET_PLACES, OPEN_WALL, EXIT, SCREWS_BOTH)
"""Places of the socket that the weakest one is sought among, where they exist."""
CODES = {OPEN_WALL: "strength-open-wall", EXIT: "strength-exit-hole", BRIM: "strength-brim"}
ALONG_WALL = frozenset({WALL, OPEN_WALL, EXIT, WALL_BY_ELEMENTS})
AS_NEW = frozenset({SCREWS, SCREWS_BOTH, PYLON, CLAMP})
"""Held against what metal parts bear, whatever the socket is of."""

NOT_A_TEST = "Compared with the reference force, not a conformity test"

_COMPARED = Source(
    Origin.MEMORY,
    "ISO 10328:2016, forces (sure) and load lines (less sure); sockets are outside its scope",
    Confidence.MEDIUM,
)
_NOT_LOOKED_AT = Source(
    Origin.PROJECT,
    "bending, axial load, shear and twisting by section properties, static",
    Confidence.HIGH,
)

Remedy = tuple[str, str]
"""What would change a finding, and the entry that would."""

_SCREWS = ("thicker screws, or a wider screw square", "couple.coupling.screw_diameter_mm")
_PLATE = ("a thicker distal plate, or a stronger material", "prove.distal_plate_mm")
_WALL = ("a thicker wall, or a stronger material", "prove.wall_mm")
_LAYERS = ("more layers, or a stronger material", "prove.layers")
_REMEDIES: Mapping[str, Remedy] = {
    SCREWS: _SCREWS,
    SCREWS_BOTH: _SCREWS,
    PULL_THROUGH: _PLATE,
    FLOOR: _PLATE,
    PYLON: ("a thicker or stronger tube", "couple.parts.pylon_outside_mm"),
    CLAMP: ("a longer clamp, or a thicker tube", "couple.parts.pylon_wall_mm"),
}
"""What each place's margin hangs on; that of every other place hangs on the wall."""
_COUPONS = ("coupons of this lay-up, bent until they break and entered", "prove.coupons")

_TESTED = {
    SocketProcess.CHECK_SOCKET: SOCKETS_VARY,
    SocketProcess.PRINTED: PRINTED_BREAK_AT,
    SocketProcess.LAMINATED: SOCKETS_BREAK_AT,
}


def strength_findings(
    checks: tuple[Check, ...],
    loads: tuple[ReferenceLoad, ...],
    credit: Allowable,
    plan: ProvePlan,
    shape: SocketShape,
    *,
    beyond_kg: float | None = None,
) -> tuple[Finding, ...]:
    """All that is to be said about strength.

    Parameters
    ----------
    checks : tuple of Check
    loads : tuple of ReferenceLoad
        Empty where the person's mass has no load level.
    credit : Allowable
    plan : ProvePlan
    shape : SocketShape
    beyond_kg : float, optional
        The mass that the loads are for, when the person's is greater: what is not held is known
        not to suffice, and what is held is not established.
    """
    if not loads:
        return (_no_level(), *_about_process(plan, shape))
    governing = governing_checks(checks)
    return (
        _verdict(governing, loads, beyond_kg, plan),
        *_weakest(governing, plan),
        *(_of_check(check, credit, loads, beyond_kg, plan) for check in governing),
        *_borrowed(loads),
        *_on_defaults(plan),
        _not_looked_at(),
        *_about_process(plan, shape),
    )


def walking_margin(check: Check, credit: Allowable, load: ReferenceLoad) -> float | None:
    """How often a place bears ordinary steps at its material's best strength.

    The check's margin without knock-downs, at the cyclic force instead of the force of the check.
    """
    if check.margin is None:
        return None
    steps_n = CYCLIC_OF_PROOF.value * load.forces.proof_n
    if check.name in (PYLON, CLAMP):
        return check.margin * load.forces.proof_n / steps_n
    if check.name in (SCREWS, SCREWS_BOTH):
        return check.margin * load.forces.ultimate_brittle_n / steps_n
    if check.name == BRIM:
        return None  # a hand opens it, not a step
    credited = credit.wall_mpa if check.name in ALONG_WALL else credit.bolted_mpa
    if credited is None or credit.undiminished_mpa is None:
        return None
    spared = credit.undiminished_mpa / credited
    return check.margin * spared * load.force_n(credit.failure) / steps_n


def governing_checks(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """One check for each name: the one with the greatest demand."""
    names = dict.fromkeys(check.name for check in checks)
    return tuple(
        max((c for c in checks if c.name == name), key=lambda check: check.demand or 0.0)
        for name in names
    )


def weakest_check(checks: tuple[Check, ...]) -> Check | None:
    """The place of the socket with the least margin; None while any of them is not established."""
    rated = [check for check in checks if check.margin is not None and check.name in RANKED]
    if not {check.name for check in rated}.issuperset(SOCKET_PLACES):
        return None
    return min(rated, key=_margin)


def _verdict(
    checks: tuple[Check, ...],
    loads: tuple[ReferenceLoad, ...],
    beyond_kg: float | None,
    plan: ProvePlan,
) -> Finding:
    """The socket as a whole; missing any place it is not established, whatever the others say."""
    socket = [check for check in checks if check.name in RANKED]
    known = {check.name for check in socket if check.margin is not None}
    missing = [name for name in SOCKET_PLACES if name not in known]
    level = loads[0].level
    least = min((c for c in socket if c.margin is not None), key=_margin, default=None)
    margin = None if least is None else least.margin
    remedy, entry = ("", "") if least is None else _remedy(least, plan)
    if missing:
        severity, (remedy, entry) = Severity.NOT_ESTABLISHED, _COUPONS
        text = f"The socket's strength is not established: nothing decides {_listed(missing)}"
    elif margin is not None and margin < 1.0:
        severity = Severity.WARNING
        text = f"The socket does not reach the {level} forces everywhere by this estimate"
        if beyond_kg is not None:
            text += f", which are for up to {beyond_kg:g} kg; this person needs more"
    elif beyond_kg is not None:
        severity, remedy, entry = Severity.NOT_ESTABLISHED, _BEYOND_LEVELS, ""
        text = (
            f"No reference force is established for this body mass. Every place looked at holds"
            f" the {level} forces by this estimate, which are for up to {beyond_kg:g} kg only"
        )
    else:
        severity = Severity.NOTE
        text = f"Every place looked at holds the {level} forces by this estimate"
    return Finding(
        STAGE,
        "strength-compared",
        severity,
        f"{text}. {NOT_A_TEST}: sockets are outside that standard",
        where="socket",
        value=None if missing else margin,
        limit=1.0,
        basis=_weakest_basis(socket),
        source=_COMPARED,
        remedy=remedy,
        entry=entry,
        at_least=True,
    )


_BEYOND_LEVELS = (
    "what the components' makers state for this body mass, and a test of the socket's lay-up"
)


def _remedy(check: Check, plan: ProvePlan) -> Remedy:
    """What a place's margin hangs on; without a margin, what would give one."""
    if check.margin is None:
        return ("", "") if check.name in AS_NEW or check.capacity is not None else _COUPONS
    wall = _LAYERS if plan.process in LAYERED else _WALL
    return _REMEDIES.get(check.name, wall)


def _margin(check: Check) -> float:
    return check.margin or 0.0


def _weakest(checks: tuple[Check, ...], plan: ProvePlan) -> tuple[Finding, ...]:
    weakest = weakest_check(checks)
    if weakest is None:
        return ()
    remedy, entry = _remedy(weakest, plan)
    return (
        Finding(
            STAGE,
            "strength-weakest-place",
            Severity.NOTE,
            f"The weakest place by this estimate is the {weakest.place} ({weakest.name})",
            where=weakest.place,
            value=weakest.margin,
            limit=weakest.required_margin,
            basis=weakest.capacity_basis,
            source=weakest.capacity_source,
            remedy=remedy,
            entry=entry,
            at_least=True,
        ),
    )


def _of_check(
    check: Check,
    credit: Allowable,
    loads: tuple[ReferenceLoad, ...],
    beyond_kg: float | None,
    plan: ProvePlan,
) -> Finding:
    steps = walking_margin(check, credit, loads[0])
    if check.margin is None:
        severity, lead = Severity.NOT_ESTABLISHED, "Not established"
    elif check.name == BRIM:
        short = check.margin < check.required_margin
        severity = Severity.WARNING if short else Severity.NOTE
        lead = f"The brim {'may not bear' if short else 'bears'} what opens it"
    elif steps is not None and steps < 1.0:
        severity = Severity.STOP
        best = "as new" if check.name in AS_NEW else "at the material's best strength"
        lead = f"Would not bear ordinary steps even {best}"
    elif check.margin < check.required_margin:
        severity = Severity.WARNING
        lead = f"Holds {100.0 * check.margin:.0f} % of the reference load"
    elif beyond_kg is not None:
        severity = Severity.NOT_ESTABLISHED
        lead = (
            f"Holds {check.margin:.1f} times the reference load of {beyond_kg:g} kg; for this body"
            " mass none is established"
        )
    else:
        # never OK: the load lines are from memory, and sockets are outside the standard
        severity = Severity.NOTE
        lead = f"Holds {check.margin:.1f} times the reference load"
    remedy, entry = _remedy(check, plan)
    return Finding(
        STAGE,
        CODES.get(check.name, "strength-" + check.name.replace(" ", "-")),
        severity,
        f"{lead}. {check.text}",
        where=check.place,
        value=check.demand,
        limit=check.capacity,
        unit=check.unit,
        basis=check.capacity_basis,
        source=check.capacity_source or _COMPARED,
        remedy=remedy,
        entry=entry,
        margin=check.required_margin,
    )


def _no_level() -> Finding:
    return Finding(
        STAGE,
        "strength-compared",
        Severity.NOT_ESTABLISHED,
        "No reference force is established for this body mass, so that strength is not compared",
        where="socket",
        limit=1.0,
        source=_COMPARED,
        remedy=_BEYOND_LEVELS,
        at_least=True,
    )


def _borrowed(loads: tuple[ReferenceLoad, ...]) -> tuple[Finding, ...]:
    if all(load.own_line for load in loads):
        return ()
    return (
        Finding(
            STAGE,
            "load-line-borrowed",
            Severity.NOTE,
            f"The load line of {loads[0].level} is not established; that of P4 is used with the"
            f" forces of {loads[0].level}",
            basis=Basis.DEFAULT,
            source=_COMPARED,
        ),
    )


def _on_defaults(plan: ProvePlan) -> tuple[Finding, ...]:
    """What of the socket nobody stated."""
    assumed = []
    if wall_basis(plan) is Basis.DEFAULT:
        assumed.append(f"a wall of {wall_thickness_mm(plan):.1f} mm")
    if plate_basis(plan) is Basis.DEFAULT:
        assumed.append(f"a distal plate of {plate_thickness_mm(plan):g} mm")
    if not assumed:
        return ()
    return (
        Finding(
            STAGE,
            "strength-on-defaults",
            Severity.NOTE,
            f"Strength is told for {' and '.join(assumed)} by default",
            where="socket",
            basis=Basis.DEFAULT,
            source=WALL_MM.source if wall_basis(plan) is Basis.DEFAULT else FLOOR_MM.source,
            remedy="what the finished socket measures there, entered",
            entry=_wall_entry(plan) if wall_basis(plan) is Basis.DEFAULT else _PLATE[1],
        ),
    )


def _wall_entry(plan: ProvePlan) -> str:
    """The entry that makes the wall as thick as it is."""
    return _LAYERS[1] if plan.process in LAYERED else _WALL[1]


def _not_looked_at() -> Finding:
    return Finding(
        STAGE,
        "strength-not-looked-at",
        Severity.NOTE,
        "Not looked at: stress raised at the edge of a hole, buckling and fatigue",
        where="socket",
        basis=Basis.DEFAULT,
        source=_NOT_LOOKED_AT,
    )


def _about_process(plan: ProvePlan, shape: SocketShape) -> tuple[Finding, ...]:
    if plan.process is SocketProcess.WALKING_CAST:
        return (_supervised(), *_softens(plan))
    formed = _thinned(shape) if plan.process is SocketProcess.CHECK_SOCKET else ()
    return (*formed, _known(_TESTED[plan.process]), *_softens(plan))


def _known(source: Source) -> Finding:
    return Finding(
        STAGE,
        "sockets-as-tested-elsewhere",
        Severity.NOTE,
        "Sockets tested to failure scattered widely and gave way mostly at the distal attachment;"
        " inspect it at every visit",
        where="distal attachment",
        basis=Basis.DEFAULT,
        source=source,
    )


def _supervised() -> Finding:
    return Finding(
        STAGE,
        "walking-cast-supervised",
        Severity.WARNING,
        "A walking cast is for supervised use between bars only, after its strength has been"
        " looked at; look for cracks at the distal end before every use",
        where="socket",
        basis=Basis.DEFAULT,
        source=CAST_SUPERVISED,
    )


def _thinned(shape: SocketShape) -> tuple[Finding, ...]:
    """Forming thins the far end, the very place that carries the attachment."""
    lowest = float(shape.trim.points_mm[:, 2].min())
    depth_mm = lowest - float(shape.surface.vertices[:, 2].min())
    area_mm2 = float(slice_moments(shape.surface, np.array([lowest])).area_mm2[0])
    if area_mm2 <= 0.0:
        return ()
    ratio = depth_mm / (2.0 * math.sqrt(area_mm2 / math.pi))
    rows = FORMING_LOSS_PERCENT.value
    _, low, high = max((row for row in rows if row[0] <= ratio), default=rows[0])
    return (
        Finding(
            STAGE,
            "forming-thins-distal-end",
            Severity.WARNING,
            f"A sheet formed {ratio:.1f} times as deep as wide loses about {low:.0f} to"
            f" {high:.0f} % of its thickness at the distal end, which carries the attachment",
            where="distal end",
            value=ratio,
            limit=rows[0][0],
            basis=Basis.ESTIMATED,
            source=FORMING,
            remedy="the wall that is left at the distal end, measured and entered",
            entry="prove.wall_mm",
        ),
    )


def _softens(plan: ProvePlan) -> tuple[Finding, ...]:
    material = material_of(plan)
    if material is None or material.softening_c is None:
        return ()
    return (
        Finding(
            STAGE,
            "material-softens-in-heat",
            Severity.WARNING,
            f"{material.name[0].upper()}{material.name[1:]} softens from about"
            f" {material.softening_c.value:.0f} °C: never leave the socket in a hot car",
            where="socket",
            value=material.softening_c.value,
            unit=material.softening_c.unit,
            basis=Basis.DEFAULT,
            source=material.softening_c.source,
            remedy="another material",
            entry="prove.material",
        ),
    )


def _weakest_basis(checks: list[Check]) -> Basis:
    bases = {check.capacity_basis for check in checks}
    return Basis.GIVEN if bases == {Basis.GIVEN} else Basis.DEFAULT


def _listed(names: list[str]) -> str:
    *first, last = (f"the {name}" for name in names)
    return f"{', '.join(first)} and {last}" if first else last
