"""Putting the socket on, letting it go, and loading it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from limbwright.core.mesh import Scalars
from limbwright.prove.interface.finite_elements.contact import ContactLaw, blocks_of
from limbwright.prove.interface.finite_elements.equilibrium import (
    ACROSS_AND_TILT,
    ALL,
    Demand,
    Imbalance,
    Model,
    Standing,
    at_rest,
)
from limbwright.prove.interface.finite_elements.linear_solver import Factors, analyse
from limbwright.prove.interface.finite_elements.newton import (
    Effort,
    Found,
    NoBalance,
    find_equilibrium,
)
from limbwright.prove.interface.socket_field import SocketField

Report = Callable[[float], None]
"""Told the share done, 0 to 1; raise from it to cancel."""

_SOFTENED = 3.0
"""By how much the wall hardens from one step of donning to the next."""
_FIRST_WALL = 3
"""Steps before the full hardness."""
_SOFTEST = 8
"""Failures after which donning is given up."""
_ROUGH = 2e-2
"""What may be unbalanced before the wall has hardened: it is not an equilibrium of anything."""
_SMALLEST_SHARE = 1.0 / 32.0
_STEPS_A_STAGE = 6.0
"""Newton steps that a stage usually takes: only progress rests on it."""


@dataclass(frozen=True, slots=True)
class ContactSettings:
    """What the equilibrium of a limb in its socket rests on.

    Parameters
    ----------
    friction : float
    wall_mpa_per_mm : float
        Penalty against penetration.
    sliding_mpa_per_mm : float
        Penalty against elastic sliding.
    effort : Effort
    """

    friction: float
    wall_mpa_per_mm: float = 2.0
    sliding_mpa_per_mm: float = 0.4
    effort: Effort = field(default_factory=Effort)


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """What the socket must carry beside donning.

    Parameters
    ----------
    wrench : (6,) float64, N and N·mm about the model's reference
        That contact must exert on the limb.
    pull_n : (u,) float64, N
        On the limb's unknowns.
    scale_n : float
        Size of the whole load.
    """

    wrench: NDArray[np.float64]
    pull_n: Scalars
    scale_n: float


@dataclass(frozen=True, slots=True, eq=False)
class Reached:
    """An equilibrium and what it took.

    Parameters
    ----------
    found : Found
    steps, factorings : int
        Of all stages together.
    """

    found: Found
    steps: int
    factorings: int


class NotReached(Exception):
    """A stage without equilibrium.

    Parameters
    ----------
    stage : str
        "donning", "letting go" or "loading".
    share_reached : float
        Of the stage.
    cause : NoBalance
    """

    def __init__(self, stage: str, share_reached: float, cause: NoBalance) -> None:
        super().__init__(f"{stage}: {share_reached:.0%} reached; {cause}")
        self.stage, self.share_reached, self.cause = stage, share_reached, cause


def solve_equilibrium(
    model: Model,
    field: SocketField,
    load: Load | None,
    donned: Standing | None,
    settings: ContactSettings,
    report: Report | None = None,
) -> Reached:
    """The equilibrium of one load, from the donned state.

    Whoever dons a socket sets how deep and how far turned about its long axis the limb goes in:
    these are held while the limb finds its place across and its tilt. Without friction that state
    does not depend on the way there, and the way taken is a wall that hardens: its penalty rises
    from less than that of tissue to its full value, so that the limb is never pressed harder than
    it can bear. Then friction starts from no shear and the limb is let go; what stress donning
    left stays. A load is put on in one step, and in smaller ones where that does not lead there.

    Parameters
    ----------
    model : Model
    field : SocketField
    load : Load or None
        None: nothing but donning.
    donned : Standing or None
        State to start from; None dons the socket first.
    settings : ContactSettings
    report : callable, optional

    Raises
    ------
    NotReached
    """
    stages = (0 if donned is not None else _FIRST_WALL + 2) + (0 if load is None else 1)
    work = _Work(model, field, settings, analyse(model.pattern.starts, model.pattern.columns))
    work.report, work.expected = report, _STEPS_A_STAGE * max(stages, 1)
    try:
        standing = donned
        if standing is None:
            found = _let_go(work, _seat(work))
            standing = found.standing
        if load is not None:
            found = _carried(work, "loading", standing, no_load(model), load)
        elif donned is not None:
            found = work.find(standing, work.demand(no_load(model)))
        return Reached(found, work.steps, work.factorings)
    finally:
        work.factors.close()


def no_load(model: Model) -> Load:
    """Nothing to carry."""
    return Load(np.zeros(6), np.zeros(model.pattern.unknowns), 0.0)


@dataclass
class _Work:
    """What all stages of one search share, and what they took so far."""

    model: Model
    field: SocketField
    settings: ContactSettings
    factors: Factors
    report: Report | None = None
    expected: float = 1.0
    steps: int = 0
    factorings: int = 0

    def demand(self, load: Load) -> Demand:
        """Everything free, with friction."""
        at = self.settings
        law = ContactLaw(at.wall_mpa_per_mm, at.sliding_mpa_per_mm, at.friction)
        return Demand(law, ALL, load.wrench, load.pull_n, load.scale_n)

    def find(self, start: Standing, demand: Demand, tolerance: float | None = None) -> Found:
        effort = self.settings.effort
        if tolerance is not None:
            effort = replace(effort, tolerance=tolerance)
        try:
            found = find_equilibrium(
                self.model, self.field, start, demand, self.factors, effort, self._watch
            )
        except NoBalance as cause:
            self.factorings += cause.factorings
            raise
        self.factorings += found.factorings
        return found

    def _watch(self, now: Imbalance, standing: Standing) -> None:
        self.steps += 1
        if self.report is not None:
            self.report(self.steps / (self.steps + self.expected))


def _seat(work: _Work) -> Found:
    """The limb pushed in to its designed depth, without friction."""
    full = work.settings.wall_mpa_per_mm
    nothing = no_load(work.model)
    standing, reached, refused = at_rest(work.model), 0.0, 0
    wall = full / _SOFTENED**_FIRST_WALL
    while True:
        law = ContactLaw(wall, wall, 0.0)
        demand = Demand(law, ACROSS_AND_TILT, nothing.wrench, nothing.pull_n)
        try:
            found = work.find(standing, demand, None if wall == full else _ROUGH)
        except NoBalance as cause:
            refused += 1
            if refused == _SOFTEST:
                raise NotReached("donning", reached / full, cause) from cause
            wall = float(np.sqrt(reached * wall)) if reached else wall / _SOFTENED**2
            continue
        if wall == full:
            return found
        standing, reached = replace(found.standing, memory=None), wall
        wall = _SOFTENED * wall if _SOFTENED * wall < 0.99 * full else full


def _let_go(work: _Work, seated: Found) -> Found:
    """Nothing holds the seated limb any longer but the wall and its friction."""
    model = work.model
    now = blocks_of(model.surface, seated.contact, tangent=False)
    push = Load(-now.wrench, np.zeros(model.pattern.unknowns), 0.0)
    return _carried(work, "letting go", seated.standing, push, no_load(model))


def _carried(work: _Work, stage: str, start: Standing, first: Load, last: Load) -> Found:
    """From one load to another, in as few steps as lead there."""
    standing, share, step = start, 0.0, 1.0
    while True:
        ahead = min(1.0, share + step)
        load = Load(
            first.wrench + ahead * (last.wrench - first.wrench),
            first.pull_n + ahead * (last.pull_n - first.pull_n),
            last.scale_n,
        )
        try:
            found = work.find(standing, work.demand(load))
        except NoBalance as cause:
            step *= 0.5
            if step < _SMALLEST_SHARE or cause.gone:
                raise NotReached(stage, share, cause) from cause
            continue
        if ahead == 1.0:
            return found
        standing, share, step = found.standing, ahead, 2.0 * step
