"""Catalogue parts as exact solids in STEP files; needs the optional extra `step`.

The kernel that makes them is large and loaded only here.
"""

from __future__ import annotations

import math
import re
import tempfile
from pathlib import Path
from typing import Any

from limbwright.core.errors import BadInput, DesignRefused
from limbwright.couple.catalogue import AnyPart
from limbwright.couple.part_shape import Block, Body, Dome, Pyramid, Round, part_shape

_WHEN = re.compile(rb"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d'")


def step_bytes(part: AnyPart) -> bytes:
    """The part as a STEP file, mm, part frame; the same part always gives the same bytes.

    Raises
    ------
    BadInput
        When the optional extra is not installed.
    DesignRefused
        When the solid cannot be made or written.
    """
    solid = exact_solid(part)
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.Message import Message, Message_PrinterOStream
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    # it would tell its statistics on standard output
    Message.DefaultMessenger_s().RemovePrinters(Message_PrinterOStream.get_type_descriptor_s())
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", part.key)
    done = IFSelect_ReturnStatus.IFSelect_RetDone
    if writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs) != done:
        raise DesignRefused(f"The solid of part {part.key} cannot be put into a STEP file.")
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "part.step"
        if writer.Write(str(path)) != done:
            raise DesignRefused(f"The solid of part {part.key} cannot be written as STEP.")
        content = path.read_bytes()
    # the library enters the hour of writing and how many it wrote: neither is the part's
    content = _WHEN.sub(f"'{part.date.isoformat()}T00:00:00'".encode(), content)
    return re.sub(rb"'%s \d+'" % part.key.encode(), b"'%s'" % part.key.encode(), content)


def step_volume_mm3(part: AnyPart) -> float:
    """Volume of the exact solid."""
    solid = exact_solid(part)
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, found)
    return float(found.Mass())


def exact_solid(part: AnyPart) -> Any:
    """The part as a shape of the modelling kernel.

    Raises
    ------
    BadInput
        When the optional extra is not installed.
    DesignRefused
        When bodies cannot be united or cut.
    """
    try:
        from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
        from OCP.BRepCheck import BRepCheck_Analyzer
    except ImportError as error:
        raise BadInput(
            "STEP files need an optional part of the program that is not installed; install it"
            ' with: pip install "limbwright[step]".'
        ) from error
    shape = part_shape(part)
    whole, *others = [_body(body) for body in shape.united]
    for other in others:
        whole = _joined(BRepAlgoAPI_Fuse(whole, other), part)
    for cut in shape.cut:
        whole = _joined(BRepAlgoAPI_Cut(whole, _body(cut)), part)
    if not BRepCheck_Analyzer(whole).IsValid():
        raise DesignRefused(
            f"The solid of part {part.key} cannot be made: two of its dimensions let faces touch;"
            " change one a little."
        )
    return whole


def _joined(operation: Any, part: AnyPart) -> Any:
    if not operation.IsDone():
        raise DesignRefused(f"The solid of part {part.key} cannot be made; check its dimensions.")
    return operation.Shape()


def _body(body: Body) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt

    if isinstance(body, Round):
        return _round(body)
    if isinstance(body, Block):
        return BRepPrimAPI_MakeBox(gp_Pnt(*body.low), gp_Pnt(*body.high)).Shape()
    return _pyramid(body) if isinstance(body, Pyramid) else _dome(body)


def _round(body: Round) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Vec

    start, end = gp_Pnt(*body.start), gp_Pnt(*body.end)
    axis = gp_Ax2(start, gp_Dir(gp_Vec(start, end)))
    height = start.Distance(end)
    if body.start_radius_mm == body.end_radius_mm:
        return BRepPrimAPI_MakeCylinder(axis, body.start_radius_mm, height).Shape()
    return BRepPrimAPI_MakeCone(axis, body.start_radius_mm, body.end_radius_mm, height).Shape()


def _pyramid(body: Pyramid) -> Any:
    from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections

    through = BRepOffsetAPI_ThruSections(True, True)
    through.AddWire(_square(body.low_side_mm, body.low_mm))
    through.AddWire(_square(body.high_side_mm, body.high_mm))
    return through.Shape()


def _square(side_mm: float, height_mm: float) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakePolygon
    from OCP.gp import gp_Pnt

    outline, half = BRepBuilderAPI_MakePolygon(), 0.5 * side_mm
    for o, f in ((-half, -half), (half, -half), (half, half), (-half, half)):
        outline.Add(gp_Pnt(o, f, height_mm))
    outline.Close()
    return outline.Wire()


def _dome(body: Dome) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeSphere
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    axis = gp_Ax2(gp_Pnt(*body.centre), gp_Dir(0.0, 0.0, 1.0))
    return BRepPrimAPI_MakeSphere(axis, body.radius_mm, 0.0, 0.5 * math.pi).Shape()
