"""Where bench alignment wants the foot, before the coupling is seated."""

from __future__ import annotations

import numpy as np

from limbwright.align.bench import bench_settings, upright_axes
from limbwright.align.plan import AlignPlan
from limbwright.align.setup import socket_centre
from limbwright.assess.plan import Person
from limbwright.couple.balance import BenchStand
from limbwright.couple.build_height import datum_floor, part_heights
from limbwright.couple.plan import PartsPlan
from limbwright.shape.result import SocketShape


def bench_stand(
    plan: AlignPlan, person: Person, shape: SocketShape, parts: PartsPlan
) -> BenchStand:
    """Centre of the foot's pyramid and the upright, limb frame, for the seat to be weighed with.

    Parameters
    ----------
    plan : AlignPlan
    person : Person
    shape : SocketShape
        The plumb line starts at its middle at the datum.
    parts : PartsPlan
    """
    settings = bench_settings(plan, person)
    upright = upright_axes(settings)
    plumb = upright.T @ socket_centre(shape)
    sole_mm = part_heights(parts).foot_mm + parts.shoe_heel_mm
    datum_mm, _ = datum_floor(parts, person)
    foot = np.array(
        [
            plumb[0] - settings.foot_inset_mm,
            plumb[1] + settings.ankle_forward_mm,
            sole_mm - datum_mm,
        ]
    )
    return BenchStand(upright @ foot, upright[:, 2])
