"""What each command does; imported only once a command is chosen."""

from __future__ import annotations

import argparse
import json
import shutil
import sys
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from limbwright.assess.plan import Person
from limbwright.capture.intake import quick_measure
from limbwright.capture.read import read_scan
from limbwright.case.changes import change_text, document_changes
from limbwright.case.checks import mass_problems
from limbwright.case.codec import plain
from limbwright.case.create import demo_case, new_case, read_landmarks
from limbwright.case.document import CaseDocument
from limbwright.case.evaluate import Evaluation, evaluate
from limbwright.case.folder import read_case, validation_problems
from limbwright.case.interface import with_engine
from limbwright.case.memo import Memo
from limbwright.case.parts_file import read_catalogue
from limbwright.case.report import CAUTIONS, error_json, evaluation_json
from limbwright.case.report_text import evaluation_lines, finding_lines, first_lines
from limbwright.case.stepping import Depth
from limbwright.core.errors import BadInput, InvalidCase, InvalidLandmarks, LimbwrightError
from limbwright.core.findings import stops_job
from limbwright.core.frame import Side
from limbwright.core.stages import STAGE_NAMES
from limbwright.core.telling import silent
from limbwright.core.units import LengthUnit
from limbwright.prove.coupons import coupon_result, summarise
from limbwright.prove.plan import CouponPlan
from limbwright.prove.strength_tables import COUPON_FORM
from limbwright.record.against import compare_pressures
from limbwright.record.store import open_record, revision, revision_list_of, revisions_of

WIDEST = 100
"""Letters in a line beyond which text is hard to read."""


def print_error_json(error: LimbwrightError) -> None:
    """A refusal as JSON on standard output."""
    _print_json({"error": error_json(error)})


def _demo(options: argparse.Namespace) -> int:
    document = demo_case(options.folder, Side(options.side))
    if options.json:
        _print_json({"folder": str(options.folder), "side": document.person.side.value})
    else:
        print(f"Demo case of an invented person written to {options.folder}.")
        print(f"Next: limbwright evaluate {options.folder}")
    return 0


def _new(options: argparse.Namespace) -> int:
    document, limb = new_case(
        options.folder,
        scan=options.scan,
        landmarks=options.landmarks,
        person=_person(options),
        tape=options.tape,
        bones=tuple(options.bones) if options.bones else None,
        bones_unit=LengthUnit(options.bones_unit),
        unit=LengthUnit(options.unit) if options.unit else None,
        over_liner=options.over_liner,
    )
    if options.json:
        _print_json(
            {
                "folder": str(options.folder),
                "side": document.person.side.value,
                "unit": plain(limb.unit),
                "repairs": plain(limb.repairs),
                "findings": plain(limb.findings),
            }
        )
        return 0
    print(f"Case written to {options.folder} ({document.person.side.value} limb).")
    _print_lines(finding_lines(limb.findings, _width()))
    print(f"Next: limbwright evaluate {options.folder}")
    return 0


def _measure(options: argparse.Namespace) -> int:
    read = read_landmarks(options.landmarks)
    side = Side(options.side) if options.side else read.side
    if side is None:
        raise InvalidLandmarks(
            f"{options.landmarks} does not say the side; give --side right or --side left.",
            where=str(options.landmarks),
        )
    if read.side is not None and side is not read.side:
        raise InvalidLandmarks(
            f"The landmark file is of a {read.side.value} limb, but --side says {side.value};"
            " check which limb was scanned.",
            where=str(options.landmarks),
        )
    unit = LengthUnit(options.unit) if options.unit else None
    found, repairs, measures = quick_measure(
        read_scan(options.scan), read.landmarks, side, options.step, unit=unit
    )
    result: dict[str, Any] = {
        "side": side.value,
        "unit": found.unit.value,
        "unit_found": plain(found),
        "repairs": plain(repairs),
        "levels": plain(measures.levels),
        "volume_below_datum_ml": plain(measures.volume_below_datum_ml),
        "length_below_datum_mm": plain(measures.length_below_datum_mm),
    }
    if options.json:
        _print_json(result)
        return 0
    print(found.text)
    for repair in repairs:
        print(f"  repaired: {repair.text}")
    print("below MPT    girth   taut tape       ML       AP      area")
    print("       mm       mm          mm       mm       mm       cm²")
    for level in measures.levels:
        print(
            f"{level.level_mm:9.0f}{level.perimeter_mm:9.1f}{level.tape_mm:12.1f}"
            f"{level.ml_mm:9.1f}{level.ap_mm:9.1f}{level.area_mm2 / 100:10.1f}"
        )
    print(f"Volume below the mid-patellar tendon: {measures.volume_below_datum_ml:.0f} ml")
    return 0


def _evaluate(options: argparse.Namespace) -> int:
    memo = Memo()
    document = with_engine(read_case(options.folder), options.engine, options.mesh)
    upto = options.stage or STAGE_NAMES[-1]
    tell = silent if options.json else _tell
    evaluation = evaluate(
        options.folder,
        document,
        memo,
        upto=upto,
        depth=_depth(options),
        tell=tell,
        revisions=revisions_of(options.folder),
    )
    against = None
    if options.against is not None:
        against = compare_pressures(options.folder, evaluation, options.against, memo)
    if options.json:
        _print_json(evaluation_json(evaluation, against))
    else:
        _print_lines(evaluation_lines(evaluation, _width(), against))
    return _exit_code(evaluation)


def _depth(options: argparse.Namespace) -> Depth:
    return {"none": Depth.QUICK, "first": Depth.BANDS, "live": Depth.LIVE_BANDS}[options.bands]


def _make(options: argparse.Namespace) -> int:
    # Typesetting and file formats are loaded only where they are used.
    from limbwright.case.outputs import write_outputs

    document = read_case(options.folder)
    evaluation = evaluate(options.folder, document, Memo(), revisions=revisions_of(options.folder))
    for error in evaluation.errors:
        raise error
    written = write_outputs(evaluation, options.out)
    if options.json:
        _print_json({"out": str(options.out), "files": [str(path) for path in written]})
    else:
        print(f"Written to {options.out}:")
        for path in written:
            print(f"  {path.name}")
        print()
        _print_lines(first_lines(evaluation, _width()))
    return _exit_code(evaluation)


def _coupon(options: argparse.Namespace) -> int:
    coupons = _coupons(options)
    results = [coupon_result(coupon) for coupon in coupons]
    summary = summarise(coupons)
    if options.json:
        _print_json({"specimens": plain(results), "summary": plain(summary)})
        return 0
    for number, result in enumerate(results, start=1):
        modulus = "" if result.modulus_mpa is None else f", modulus {result.modulus_mpa:.0f} MPa"
        print(f"specimen {number}: {result.strength_mpa:.1f} MPa{modulus}")
        for caution in result.cautions:
            print(f"  ! {caution}")
    if summary is not None:
        print(f"{summary.says[0].upper()}{summary.says[1:]}.")
    print(f"Form: {COUPON_FORM.citation}.")
    return 0


def _coupons(options: argparse.Namespace) -> tuple[CouponPlan, ...]:
    """One specimen for each value; an option with one value holds for all."""
    names = ("span", "width", "thickness", "force", "deflection", "deflection_force")
    given = {name: getattr(options, name) for name in names if getattr(options, name) is not None}
    count = max(len(values) for values in given.values())
    uneven = [name for name, values in given.items() if len(values) not in (1, count)]
    if uneven:
        raise InvalidCase(
            [
                (
                    f"--{name.replace('_', '-')}",
                    f"give one value, or {count}, one for each specimen",
                )
                for name in uneven
            ]
        )
    units = {"force": "force_n", "deflection_force": "deflection_force_n"}
    rows = [
        {
            units.get(name, f"{name}_mm"): values[0 if len(values) == 1 else row]
            for name, values in given.items()
        }
        for row in range(count)
    ]
    try:
        return tuple(CouponPlan.model_validate(row) for row in rows)
    except ValidationError as error:
        raise InvalidCase(validation_problems(error, "coupon")) from error


def _serve(options: argparse.Namespace) -> int:
    from limbwright.service.serve import serve

    return serve(options.folder, options.port, new_key=options.new_key, json_output=options.json)


def _whatif(options: argparse.Namespace) -> int:
    from limbwright.case.whatif import Move, what_if
    from limbwright.case.whatif_text import whatif_lines

    move = Move(
        options.foot_forward,
        options.foot_out,
        options.foot_up,
        options.toe_out,
        options.dorsiflexion,
        options.outer_border_up,
        options.socket_flexion,
        options.socket_adduction,
    )
    if move.is_none:
        raise InvalidCase([("whatif", "name a change, for example --foot-forward 5")])
    found = what_if(options.folder, read_case(options.folder), Memo(), move)
    if options.json:
        _print_json({**plain(found), "cautions": list(CAUTIONS)})
    else:
        _print_lines(whatif_lines(found, _width()))
    return 1 if stops_job(found.new_findings) else 0


def _hardware(options: argparse.Namespace) -> int:
    # Solids and file formats are loaded only where they are used.
    from limbwright.case.hardware_files import chosen_parts, hardware_files
    from limbwright.case.outputs import write_files
    from limbwright.case.parts_file import start_parts_file

    if options.start:
        if options.folder is None:
            raise BadInput("Name the folder that parts.toml is to be written into.")
        written: tuple[Path, ...] = (start_parts_file(options.folder),)
    elif options.list or options.out is None:
        return _list_parts(options)
    else:
        plan = read_case(options.folder).couple if options.folder is not None else None
        parts = chosen_parts(read_catalogue(options.folder), options.part, plan)
        written = write_files(hardware_files(parts, step=options.step), options.out)
    if options.json:
        _print_json({"files": [str(path) for path in written]})
        return 0
    for path in written:
        print(f"Written: {path}")
    return 0


def _list_parts(options: argparse.Namespace) -> int:
    parts = read_catalogue(options.folder).parts
    if options.json:
        _print_json({"parts": [part.model_dump(mode="json") for part in parts]})
        return 0
    for part in parts:
        told = "invented example" if part.example else f"{part.date.isoformat()}, {part.provenance}"
        print(f"{part.key:30} {part.kind.value:15} {part.height_mm:6.1f} mm  {told}")
    return 0


def _revisions(options: argparse.Namespace) -> int:
    entries = revision_list_of(options.folder)
    if not entries:
        raise BadInput(
            f"{options.folder} has no record of revisions; the workshop keeps one from when it"
            " first opens a case."
        )
    if options.before is None and options.after is None:
        return _list_revisions(entries, options.json)
    first, second = options.before, options.after or entries[-1][0]
    if first is None:
        raise InvalidCase([("--from", "name the revision to begin with")])
    changes = document_changes(*(_document(options.folder, one) for one in (first, second)))
    if options.json:
        _print_json({"from": first, "to": second, "changes": plain(changes)})
        return 0
    print(f"What was changed in the plan from revision {first} to {second}:")
    _print_lines(f"  {change_text(change)}" for change in changes)
    if not changes:
        print("  nothing; both plans are the same")
    return 0


def _list_revisions(entries: Iterable[tuple[int, str, str]], as_json: bool) -> int:
    if as_json:
        keys = ("number", "saved_at", "note")
        _print_json({"revisions": [dict(zip(keys, entry, strict=True)) for entry in entries]})
        return 0
    for number, saved_at, note in entries:
        print(f"{number:5}  {saved_at}  {note}".rstrip())
    return 0


def _document(folder: Path, number: int) -> CaseDocument:
    found = revision(open_record(folder), number)
    if found is None:
        raise BadInput(f"The record has no revision {number}.")
    return found.document


COMMANDS: Mapping[str, Callable[[argparse.Namespace], int]] = {
    "demo": _demo,
    "new": _new,
    "measure": _measure,
    "evaluate": _evaluate,
    "make": _make,
    "serve": _serve,
    "coupon": _coupon,
    "whatif": _whatif,
    "hardware": _hardware,
    "revisions": _revisions,
}


def _tell(text: str, share: float) -> None:
    """A line of progress beside the answer."""
    print(f"limbwright: {text.replace('_', ' ')}, {100 * share:.0f} %", file=sys.stderr)


def _person(options: argparse.Namespace) -> Person:
    """The person from the command line; numbers stay text until checked here."""
    given = {
        "code": options.code,
        "side": options.side,
        "mass_kg": _number(options.mass_kg, "--mass-kg", "74.5"),
        "stature_mm": _number(options.stature_mm, "--stature-mm", "1730"),
        "activity": options.activity,
        "unusual_mass_confirmed": options.unusual_mass_confirmed,
    }
    try:
        person = Person.model_validate(given)
    except ValidationError as error:
        raise InvalidCase(validation_problems(error, "person")) from error
    problems = mass_problems(person)
    if problems:
        raise InvalidCase(problems)
    return person


def _number(text: str, option: str, example: str) -> float:
    try:
        return float(text)
    except ValueError as error:
        raise InvalidCase(
            [(option, f"must be a plain number such as {example}, not {text!r}")]
        ) from error


def _exit_code(evaluation: Evaluation) -> int:
    if evaluation.errors:
        for error in evaluation.errors:
            print(f"limbwright: {error.message}", file=sys.stderr)
        return max(error.exit_code for error in evaluation.errors)
    return 1 if stops_job(evaluation.findings) else 0


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


def _width() -> int:
    """Letters in a line: the window's, as far as lines of text stay readable."""
    return min(max(shutil.get_terminal_size((WIDEST, 24)).columns, 40), WIDEST)


def _print_json(value: Any) -> None:
    text = json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False)
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        text = json.dumps(value, indent=1, allow_nan=False)
    print(text)
