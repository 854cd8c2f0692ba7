"""What the readings say in a few sentences: shares, bands, contact, what if, two engines."""

from __future__ import annotations

from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Basis
from limbwright.core.units import radians
from limbwright.core.wording import signed, words
from limbwright.prove.interface.measured import STANDING
from limbwright.prove.interface.places import stop_kpa
from limbwright.prove.interface.pressure import RELIEFS_LESS_SURE, Pressure
from limbwright.prove.interface.reading import DISTAL_END, REST_OF_WALL
from limbwright.prove.interface.readings import AREA, PLACE
from limbwright.prove.pressure_result import (
    CaseReading,
    Comparison,
    ContactReading,
    Influence,
    PlaceReading,
)
from limbwright.prove.result import AreaPressure, InterfaceResult
from limbwright.prove.tables import (
    AREA_IN_CONTACT_SHARE,
    BRIM_CONCENTRATION,
    BRIM_STRIP_MM,
    ENGINES_AGREE_PERCENT,
    NO_TOLERANCE,
    PLACE_RADIUS_MM,
    PRESSURE_MODEL,
    SOCK_PLY_MM,
)
from limbwright.shape.places import direction_of, height_words
from limbwright.shape.result import PlacedArea, depth_entry

_STAGE = "prove"
_PARTS = (REST_OF_WALL, DISTAL_END)
_NAMED_INFLUENCES = 3


def load_case_words(load_case: str) -> str:
    """The load case as it is said: "when donned", "in mid stance"."""
    name = words(load_case)
    return f"when {name}" if name == "donned" else f"in {name}"


def share_findings(
    result: InterfaceResult, pressure: Pressure | None, placed: tuple[PlacedArea, ...]
) -> list[Finding]:
    """Places over their limit one by one; all others in one sentence, and those without a limit.

    A place about a landmark is named only where no area of the socket answers for it, or where it
    is over what its area keeps. What nobody should meet at a step stops the job, wherever it is.
    """
    worst = _worst(pressure.readings if pressure is not None else _bare(result))
    beyond = [pair for pair in worst if pair[1].peak_kpa > stop_kpa(pair[0].place).value]
    worst = [pair for pair in worst if pair not in beyond and pair[0].place not in _PARTS]
    over = [pair for pair in worst if pair[1].share is not None and pair[1].share > 1]
    under = [pair for pair in worst if pair[1].share is not None and pair[1].share <= 1]
    unknown = [pair for pair in worst if pair[1].share is None and pair[0].kind != PLACE]
    found = [_beyond(*pair, placed) for pair in beyond]
    found += [_over(*pair, placed) for pair in over]
    if under:
        found.append(_under(under))
    if unknown:
        named = ", ".join(f"{words(one.place)} {_peak(case)}" for one, case in unknown)
        text = (
            "No tolerance is known for these places, so no share can be told (highest kPa over "
            f"1 cm²): {named}."
        )
        found.append(
            Finding(
                _STAGE,
                "tolerance-unknown",
                Severity.NOT_ESTABLISHED,
                text,
                source=NO_TOLERANCE,
            )
        )
    return found


def _worst(readings: tuple[PlaceReading, ...]) -> list[tuple[PlaceReading, CaseReading]]:
    """Areas, and places that tell more than the area of their name, each in its worst case."""
    pairs = [
        (reading, max(reading.cases, key=lambda case: case.peak_kpa))
        for reading in readings
        if reading.cases and reading.covered_share > 0
    ]
    areas = {words(one.place): case for one, case in pairs if one.kind != PLACE}
    return [
        (reading, case)
        for reading, case in pairs
        if reading.kind != PLACE or _tells_more(reading, case, areas.get(reading.place))
    ]


def _tells_more(place: PlaceReading, case: CaseReading, area: CaseReading | None) -> bool:
    """Whether a place is over a limit that the area of its name, which may lie beside it, keeps."""
    if area is None:
        return True
    stop = stop_kpa(place.place).value
    over = (case.share or 0.0) > 1.0 >= (area.share or 0.0)
    return over or case.peak_kpa > stop >= area.peak_kpa


def _named(reading: PlaceReading) -> str:
    """A name as a sentence begins; a place with how far it reaches, so that it is no area."""
    name = words(reading.place).capitalize()
    if reading.kind != PLACE:
        return name
    return f"{name}, within {PLACE_RADIUS_MM.value:g} mm of its landmarks"


def reading_findings(pressure: Pressure) -> list[Finding]:
    """All that was read beside shares and balance."""
    found = _fallen_back(pressure) + _contact(pressure.contact) + _carried(pressure)
    if pressure.agreement is not None:
        found.append(_agreement(pressure.agreement))
    if pressure.uncertainty is not None:
        found.append(_uncertainty(pressure))
    found += _what_if(pressure)
    found += _measured(pressure)
    return found


def _bare(result: InterfaceResult) -> tuple[PlaceReading, ...]:
    """Areas alone, without bands, where nothing else was read."""
    return tuple(
        PlaceReading(
            first.area,
            AREA,
            0.0,
            1.0,
            first.limit_kpa,
            first.limit_source,
            Basis.ESTIMATED,
            tuple(
                CaseReading(case.load_case, area.mean_kpa, area.peak_kpa, area.share)
                for case in result.cases
                for area in case.areas
                if area.area == first.area
            ),
        )
        for first in _first_areas(result)
    )


def _first_areas(result: InterfaceResult) -> tuple[AreaPressure, ...]:
    return result.cases[0].areas if result.cases else ()


def _peak(case: CaseReading) -> str:
    """Peak with its band: "282 (190 to 410)"."""
    if case.peak_band_kpa is None:
        return f"{case.peak_kpa:.0f}"
    low, high = case.peak_band_kpa
    return f"{case.peak_kpa:.0f} ({low:.0f} to {high:.0f})"


def _beyond(reading: PlaceReading, case: CaseReading, placed: tuple[PlacedArea, ...]) -> Finding:
    limit = stop_kpa(reading.place)
    text = (
        f"{_named(reading)}: up to {_peak(case)} kPa over 1 cm² "
        f"{load_case_words(case.load_case)}, more than a probe could press with for a moment "
        f"({limit.value:.0f} kPa) and than any socket was measured at. Such a socket is not to be "
        "made."
    )
    return Finding(
        _STAGE,
        "beyond-tolerance",
        Severity.STOP,
        text,
        where=reading.place,
        value=case.peak_kpa,
        limit=limit.value,
        unit="kPa",
        basis=reading.basis,
        source=limit.source,
        remedy="less depth or take-up there, or other bones and tissue if they are wrong",
        entry=depth_entry(placed, reading.place),
    )


def _over(reading: PlaceReading, case: CaseReading, placed: tuple[PlacedArea, ...]) -> Finding:
    text = (
        f"{_named(reading)}: up to {_peak(case)} kPa over 1 cm² "
        f"{load_case_words(case.load_case)}, {100 * (case.share or 0):.0f} % of "
        f"{reading.limit_kpa:.0f} kPa. Above the working limit for walking; the limit ranks places "
        "and decides nothing."
    )
    return Finding(
        _STAGE,
        "place-pressure" if reading.kind == PLACE else "area-pressure",
        Severity.WARNING,
        text,
        where=reading.place,
        value=case.peak_kpa,
        limit=reading.limit_kpa,
        unit="kPa",
        basis=reading.basis,
        source=reading.limit_source,
        remedy="less depth or more relief there, or load spread over other places",
        entry=depth_entry(placed, reading.place),
    )


def _under(pairs: list[tuple[PlaceReading, CaseReading]]) -> Finding:
    """Not OK: a figure of low confidence passes nothing either."""
    pairs = sorted(pairs, key=lambda pair: -(pair[1].share or 0))
    named = "; ".join(
        f"{words(reading.place)} {_peak(case)}, {100 * (case.share or 0):.0f} % of "
        f"{reading.limit_kpa:.0f} ({load_case_words(case.load_case)})"
        for reading, case in pairs
    )
    first, case = pairs[0]
    return Finding(
        _STAGE,
        "area-pressure",
        Severity.NOTE,
        f"Below the working limits for walking (highest kPa over 1 cm²): {named}. The limits rank "
        f"places and decide nothing. {RELIEFS_LESS_SURE}",
        where=first.place,
        value=case.peak_kpa,
        limit=first.limit_kpa,
        unit="kPa",
        basis=first.basis,
        source=first.limit_source,
    )


def _fallen_back(pressure: Pressure) -> list[Finding]:
    if not pressure.fallen_back:
        return []
    text = (
        f"{pressure.fallen_back} All pressures here are the first estimate instead: a bed of "
        "springs, for comparison only."
    )
    return [
        Finding(_STAGE, "first-estimate-instead", Severity.WARNING, text, source=PRESSURE_MODEL)
    ]


def _contact(contact: tuple[ContactReading, ...]) -> list[Finding]:
    found = []
    standing = next((one for one in contact if one.load_case == STANDING), None)
    if (
        standing is not None
        and standing.end_gap_mm is not None
        and standing.end_contact_share < AREA_IN_CONTACT_SHARE.value
    ):
        least, mean = standing.end_gap_mm
        text = (
            f"In standing only {100 * standing.end_contact_share:.0f} % of the distal end touches; "
            f"elsewhere it hangs {mean:.1f} mm clear in the mean, {least:.1f} mm at least. Skin "
            "without contact can swell."
        )
        found.append(
            Finding(
                _STAGE,
                "distal-gap",
                Severity.WARNING,
                text,
                where=DISTAL_END,
                value=mean,
                unit="mm",
                basis=standing.basis,
                source=AREA_IN_CONTACT_SHARE.source,
                remedy="a filled end, less take-up, or a longer cap of the liner",
                entry="liner.cap_thickness_mm",
            )
        )
    crowded = [one for one in contact if one.brim_ratio is not None]
    worst = max(crowded, key=lambda one: one.brim_ratio or 0.0, default=None)
    if worst is not None and (worst.brim_ratio or 0.0) > BRIM_CONCENTRATION.value:
        found.append(_brim(worst))
    return found


def _brim(contact: ContactReading) -> Finding:
    where = ""
    if contact.brim_height_mm is not None and contact.brim_angle_deg is not None:
        angle_rad = radians(contact.brim_angle_deg)
        where = f"{height_words(contact.brim_height_mm)}, {direction_of(angle_rad)}"
    text = (
        f"The brim bears {contact.brim_ratio:.1f} times the mean of the rest "
        f"{load_case_words(contact.load_case)}, within {BRIM_STRIP_MM.value:g} mm of the trim line "
        f"(up to {contact.brim_peak_kpa:.0f} kPa over 1 cm², {where})."
    )
    return Finding(
        _STAGE,
        "brim-edge",
        Severity.WARNING,
        text,
        where=where,
        value=contact.brim_ratio,
        limit=BRIM_CONCENTRATION.value,
        unit="times",
        basis=contact.basis,
        source=BRIM_CONCENTRATION.source,
        remedy="more flare, or the trim line moved there",
        entry="shape.brim.flare_mm",
    )


def _carried(pressure: Pressure) -> list[Finding]:
    standing = next((one for one in pressure.carried if one.load_case == STANDING), None)
    if standing is None:
        return []
    named = ", ".join(
        f"{part.part} {part.force_n:.0f} N ({part.percent:.0f} %)" for part in standing.parts
    )
    return [
        Finding(
            _STAGE,
            "load-carried",
            Severity.NOTE,
            f"In standing {standing.total_n:.0f} N are carried along the limb, of a load of "
            f"{standing.load_n:.0f} N that leans against it, by: {named}. The distal end counts "
            "with the friction on it.",
            value=standing.total_n,
            unit="N",
            basis=standing.basis,
            source=PRESSURE_MODEL,
        )
    ]


def _agreement(agreement: Comparison) -> Finding:
    """How far two engines agree, and which to trust where."""
    median = agreement.median_percent
    apart = median is None or median > ENGINES_AGREE_PERCENT.value
    ranked = min(agreement.rank_correlation.values(), default=None)
    shift = max(agreement.shift_mm.values(), default=0.0)
    turn = max(agreement.turn_deg.values(), default=0.0)
    text = (
        f"{agreement.text} The limb stands within {shift:.1f} mm and {turn:.1f} degrees in both. "
        "Trust the finite elements for the level of load areas and for peaks; "
        + (
            "the quick engine still ranks the places, so compare shapes with it"
            if ranked is not None and ranked >= 0.9
            else "the quick engine does not rank the places alike here, so confirm every change "
            "that matters"
        )
        + ". For relief areas trust neither beyond whether they bear."
    )
    return Finding(
        _STAGE,
        "engines-agree" if not apart else "engines-differ",
        Severity.WARNING if apart else Severity.NOTE,
        text,
        value=median,
        basis=agreement.basis,
        limit=ENGINES_AGREE_PERCENT.value,
        unit="%",
        source=ENGINES_AGREE_PERCENT.source,
    )


def _uncertainty(pressure: Pressure) -> Finding:
    known = pressure.uncertainty
    assert known is not None
    ranked = "; ".join(_influence(one) for one in known.influences[:_NAMED_INFLUENCES])
    left = f" Left out: {'; '.join(known.left_out)}." if known.left_out else ""
    text = f"{known.text} Most of it comes from: {ranked or 'nothing'}.{left}"
    first = known.influences[0] if known.influences else None
    return Finding(
        _STAGE,
        "pressure-uncertainty",
        Severity.NOTE,
        text,
        where=first.worst_area if first is not None else "",
        value=first.worst_percent if first is not None else None,
        unit="%",
        basis=first.basis if first is not None else Basis.GIVEN,
        source=first.source if first is not None else PRESSURE_MODEL,
    )


def _influence(influence: Influence) -> str:
    down, up = influence.typical_percent
    return (
        f"{influence.name} ({influence.tried}: area means {signed(down)} to {signed(up)} %, the "
        f"{words(influence.worst_area)} {load_case_words(influence.worst_case)} "
        f"{signed(influence.worst_percent)} %)"
    )


def _what_if(pressure: Pressure) -> list[Finding]:
    if not pressure.what_if:
        return []
    lost = [one for one in pressure.what_if if not one.held]
    texts = ". ".join(one.text[0].upper() + one.text[1:].rstrip(".") for one in pressure.what_if)
    return [
        Finding(
            _STAGE,
            "what-if",
            Severity.WARNING if lost else Severity.NOTE,
            f"What if, in {words(pressure.what_if[0].load_case)}. {texts}.",
            where=lost[0].name if lost else "",
            source=SOCK_PLY_MM.source,
        )
    ]


def _measured(pressure: Pressure) -> list[Finding]:
    rows = pressure.measured
    if not rows:
        return []
    named = "; ".join(
        f"{words(row.what)} {row.value:.3g} {row.unit}".rstrip()
        + f" ({row.low:g} to {row.high:g}{'' if row.within else ', outside'})"
        for row in rows
    )
    within = sum(row.within for row in rows)
    return [
        Finding(
            _STAGE,
            "against-measured",
            Severity.NOTE,
            f"Beside what was measured in sockets, {within} of {len(rows)} figures lie within: "
            f"{named}. Measured people, sockets and sensors differ; this tells an implausible "
            "model, not a good fit.",
            value=float(within),
            limit=float(len(rows)),
            unit="figures",
            basis=rows[0].basis,
            source=rows[0].source,
            at_least=True,
        )
    ]
