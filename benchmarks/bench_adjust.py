"""The least adjustment of a chain of five adapters, beside a general constrained optimiser.

Both solve the same problem to the same answer: six wanted parts of the foot's change by nine
settings within their ranges. Medians over seeded wants, in this process.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
from scipy.optimize import minimize

from limbwright.align.adapters import adapters_of, joint_of
from limbwright.align.adjust import adjust
from limbwright.align.chain import Leg, Tilt, stand
from limbwright.align.freedoms import freedoms_of, values_of, with_values
from limbwright.align.moves import FootChange, change_of_pose
from limbwright.align.plan import AdapterKind, AdapterPlace, AdapterPlan
from limbwright.align.solve import as_vector, bounds, least_change

WANTS = 15
SOCKET, FOOT = AdapterPlace.SOCKET, AdapterPlace.FOOT
CHAIN = (
    AdapterPlan(place=SOCKET, kind=AdapterKind.SLIDE, range_mm=12.0),
    AdapterPlan(place=SOCKET),
    AdapterPlan(place=SOCKET, kind=AdapterKind.TUBE_CLAMP, range_mm=6.0),
    AdapterPlan(place=FOOT, kind=AdapterKind.ROTATION, range_deg=20.0),
    AdapterPlan(place=FOOT, kind=AdapterKind.OFFSET, offset_mm=10.0),
    AdapterPlan(place=FOOT),
)


def straight_leg() -> Leg:
    """A straight leg with the adapters in their middle."""
    joints = tuple(
        joint_of(one, neutral=True) for one in adapters_of(CHAIN) if one.slot is not None
    )
    return Leg(
        base_mm=np.array([0.0, 0.0, -185.0]),
        plate_axes=np.eye(3),
        plate_mm=15.0,
        socket_adapter_mm=20.0,
        pylon_mm=160.0,
        foot_adapter_mm=20.0,
        sole_mm=80.0,
        foot_length_mm=260.0,
        socket=Tilt(0.0, 0.0),
        foot=Tilt(0.0, 0.0),
        twist_rad=0.0,
        toe_out_rad=0.0,
        joints=joints,
    )


def wants() -> list[FootChange]:
    """Changes of the foot that are wanted, the same at every run."""
    rng = np.random.default_rng(4)
    return [
        FootChange(
            *rng.uniform(-12.0, 12.0, 2),
            *rng.uniform(-4.0, 4.0, 2),
            up_mm=rng.uniform(-2.0, 2.0),
            toe_out_deg=rng.uniform(-5.0, 5.0),
        )
        for _ in range(WANTS)
    ]


def by_optimiser(leg: Leg, wanted: FootChange) -> float:
    """Cost of the least change by sequential quadratic programming."""
    freedoms = freedoms_of(adapters_of(CHAIN))
    low, high = bounds(leg, freedoms)
    steps, start = np.array([one.step for one in freedoms]), values_of(leg, freedoms)
    goal, before = as_vector(wanted, wanted), stand(leg)

    def missed(moves: np.ndarray) -> np.ndarray:
        pose = stand(with_values(leg, freedoms, start + moves * steps))
        return as_vector(change_of_pose(before, pose), wanted) - goal

    found = minimize(
        lambda moves: moves @ moves,
        np.zeros(len(freedoms)),
        method="SLSQP",
        bounds=list(zip((low - start) / steps, (high - start) / steps, strict=True)),
        constraints={"type": "eq", "fun": missed},
        options={"ftol": 1e-12, "maxiter": 300},
    )
    return float(np.sqrt(found.fun))


def ours(leg: Leg, wanted: FootChange) -> float:
    """Cost of the least change by the engine."""
    freedoms = freedoms_of(adapters_of(CHAIN))
    return least_change(leg, wanted, freedoms, *bounds(leg, freedoms)).cost


def median_ms(solve: Callable[[Leg, FootChange], object], leg: Leg) -> float:
    """Median processor time of one want, ms."""
    times = []
    for wanted in wants():
        begin = time.process_time()
        solve(leg, wanted)
        times.append(1000.0 * (time.process_time() - begin))
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    leg = straight_leg()
    worst = max(abs(ours(leg, want) / by_optimiser(leg, want) - 1.0) for want in wants())
    engine, peer = median_ms(ours, leg), median_ms(by_optimiser, leg)
    whole = median_ms(lambda one, want: adjust(one, want, adapters_of(CHAIN)), leg)
    print("least change of nine settings for six wanted parts    ms   ratio")
    print(f"{'engine':50}{engine:6.1f}{1.0:8.2f}")
    print(f"{'SLSQP (scipy)':50}{peer:6.1f}{peer / engine:8.2f}")
    print(f"{'engine: fewest adapters, rounding, words':50}{whole:6.1f}{whole / engine:8.2f}")
    print(f"greatest difference of cost: {worst:.1e}")
    assert worst < 1e-6


if __name__ == "__main__":
    main()
