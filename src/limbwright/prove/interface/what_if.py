"""The standing load when the limb has lost volume or wears a sock more."""

from __future__ import annotations

from dataclasses import dataclass

from limbwright.align.result import LoadCase
from limbwright.core.errors import NotConverged
from limbwright.core.sources import Basis, Source
from limbwright.core.wording import signed
from limbwright.prove.interface.reading import (
    DISTAL_END,
    ZoneMap,
    largest_patch_kpa,
    mean_in_contact_kpa,
)
from limbwright.prove.interface.setting import Setting, attempt_in
from limbwright.prove.interface.sockets import offset_socket
from limbwright.prove.pressure_result import WhatIf
from limbwright.prove.result import CasePressure
from limbwright.prove.tables import SOCK_PLY_MM, VOLUME_LOSS_PERCENT
from limbwright.shape.result import SocketShape

MM3_PER_ML = 1e3


@dataclass(frozen=True, slots=True)
class _Change:
    name: str
    socket_mm: float
    source: Source


def what_if(
    setting: Setting, zones: ZoneMap, standing: CasePressure, load_case: LoadCase
) -> tuple[WhatIf, ...]:
    """Volume losses and socks, each alone, against the limb as it was captured.

    A limb that loses a share of its volume recedes evenly: its wall stands farther off by the
    volume over the surface. A sock stands between limb and wall with its thickness in stance. Its
    own softness, and the little thinner cover, are left out.

    Parameters
    ----------
    setting : Setting
    zones : ZoneMap
    standing : CasePressure
        What the limb as captured carries.
    load_case : LoadCase
        The same case, to be solved again.
    """
    loss_mm = recession_mm(zones, setting.shape)
    losses = [
        _Change(f"volume loss {percent:g} %", percent * loss_mm, VOLUME_LOSS_PERCENT.source)
        for percent in VOLUME_LOSS_PERCENT.value
    ]
    socks = [
        _Change(f"{ply}-ply sock more", -thickness, SOCK_PLY_MM.source)
        for ply, thickness in SOCK_PLY_MM.value.items()
    ]
    return tuple(
        _tried(setting, zones, standing, load_case, change) for change in (*losses, *socks)
    )


def recession_mm(zones: ZoneMap, shape: SocketShape) -> float:
    """How far the skin recedes for one percent of the volume below the trim line.

    A surface A that recedes evenly by t loses the volume A t.
    """
    line = shape.trim.points_mm
    below = zones.covered
    if len(line):
        below = below & (zones.skin.points_mm[:, 2] < line[:, 2].min())
    surface = float(zones.skin.areas_mm2[below].sum())
    return 0.01 * shape.limb_volume_ml * MM3_PER_ML / surface if surface > 0 else 0.0


def _tried(
    setting: Setting,
    zones: ZoneMap,
    standing: CasePressure,
    load_case: LoadCase,
    change: _Change,
) -> WhatIf:
    shape = offset_socket(setting.shape, setting.normals, change.socket_mm)
    try:
        attempt, _ = attempt_in(setting, shape, (load_case,))
    except NotConverged as error:
        return _lost(change, load_case.name, error, setting.figures)
    if attempt.refused:
        return _lost(change, load_case.name, attempt.refused[0], setting.figures)
    return _held(change, zones, standing, attempt.result.cases[-1], setting.figures)


def _held(
    change: _Change,
    zones: ZoneMap,
    before: CasePressure,
    after: CasePressure,
    figures: Basis,
) -> WhatIf:
    was = {area.area: area for area in before.areas}
    area = max(after.areas, key=lambda one: abs(one.mean_kpa - was[one.area].mean_kpa))
    difference = area.mean_kpa - was[area.area].mean_kpa
    end = next(one for one in after.areas if one.area == DISTAL_END)
    sinks = float(before.pose.shift_mm[2] - after.pose.shift_mm[2])
    mean, peak = (
        mean_in_contact_kpa(zones, after.pressure_mpa),
        largest_patch_kpa(zones, after.pressure_mpa),
    )
    text = (
        f"{change.name}: the limb {'sinks' if sinks >= 0 else 'rides up'} {abs(sinks):.1f} mm, the "
        f"distal end carries {end.force_n[2]:.0f} N "
        f"({signed(end.force_n[2] - was[DISTAL_END].force_n[2])}), the highest 1 cm² "
        f"is {peak:.0f} kPa; most changed is the {area.area.replace('_', ' ')} "
        f"({signed(difference)} kPa)"
    )
    return WhatIf(
        change.name,
        after.load_case,
        True,
        change.socket_mm,
        sinks,
        mean,
        peak,
        float(end.force_n[2]),
        area.area,
        difference,
        figures,
        change.source,
        text,
    )


def _lost(change: _Change, load_case: str, error: NotConverged, figures: Basis) -> WhatIf:
    text = f"{change.name}: {error.message}"
    return WhatIf(
        change.name,
        load_case,
        False,
        change.socket_mm,
        None,
        None,
        None,
        None,
        "",
        None,
        figures,
        change.source,
        text,
    )
