"""Writing what a case makes into a folder: all that is chosen or nothing."""

from __future__ import annotations

import errno
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from limbwright import __version__
from limbwright.case.evaluate import Evaluation
from limbwright.case.folder import dump_document
from limbwright.case.memo import key_of
from limbwright.case.parts_file import dump_parts, read_catalogue
from limbwright.case.report import CAUTIONS, evaluation_json
from limbwright.core.atomic import refuse_writing
from limbwright.core.errors import BadInput
from limbwright.couple.in_hand import in_hand, named_parts
from limbwright.make.formats import stl_bytes, threemf_bytes
from limbwright.make.plan import Output
from limbwright.make.result import Part
from limbwright.make.workorder.casting_sheet import casting_sheet_pdf
from limbwright.make.workorder.order import work_order_pdf
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.template import template_pdf


def write_outputs(evaluation: Evaluation, out: Path) -> tuple[Path, ...]:
    """Write the outputs that the case's plan chooses: parts, sheets, findings and the case.

    Parameters
    ----------
    evaluation : Evaluation
        With every stage ready.
    out : Path
        Folder, created when missing; files of the same names are replaced together at the end.

    Returns
    -------
    tuple of Path

    Raises
    ------
    CannotWrite
        When the folder or disk does not take them; what was there is unchanged.
    DesignRefused, BadInput
    """
    return write_files(output_files(evaluation), out)


def write_files(files: Mapping[str, bytes], out: Path) -> tuple[Path, ...]:
    """Write files by name into a folder, all of them or none.

    Raises
    ------
    CannotWrite
        When the folder or disk does not take them; what was there is unchanged.
    """
    aside: Path | None = None
    try:
        out.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".writing-", dir=out))
        for name, content in files.items():
            (aside / name).write_bytes(content)
        # Looked for first, so that no part of the old set is replaced alone.
        for name in files:
            if (out / name).is_dir():
                refuse_writing(out / name, IsADirectoryError(errno.EISDIR, "is a directory"))
        for name in files:
            os.replace(aside / name, out / name)
    except OSError as error:
        refuse_writing(out, error)
    finally:
        if aside is not None:
            shutil.rmtree(aside, ignore_errors=True)
    return tuple(out / name for name in files)


def output_files(evaluation: Evaluation) -> dict[str, bytes]:
    """Name and content of every output that is chosen; the side stands in each part's name.

    Raises
    ------
    BadInput
        When nothing is chosen.
    """
    chosen = set(evaluation.document.make.outputs)
    if not chosen:
        raise BadInput(
            "Nothing is chosen to be made; choose at least one output.", where="make.outputs"
        )
    written: dict[str, bytes] = {}
    for output, write in _WRITERS.items():
        if output in chosen:
            written |= write(evaluation)
    return written


def _shell(suffix: str, pack: Pack) -> Writer:
    def write(evaluation: Evaluation) -> dict[str, bytes]:
        part = evaluation.outcomes["make"].result.shell
        return {f"socket_{part.side.value}.{suffix}": pack(part)}

    return write


def _positive(suffix: str, pack: Pack) -> Writer:
    def write(evaluation: Evaluation) -> dict[str, bytes]:
        part = evaluation.outcomes["make"].result.positive
        return {f"positive_model_{part.side.value}.{suffix}": pack(part)}

    return write


def _printed(name: str, typeset: Callable[[Sheet], bytes | None]) -> Writer:
    def write(evaluation: Evaluation) -> dict[str, bytes]:
        content = typeset(work_sheet(evaluation))
        return {} if content is None else {name: content}

    return write


def _findings(evaluation: Evaluation) -> dict[str, bytes]:
    text = json.dumps(evaluation_json(evaluation), indent=1, ensure_ascii=False, allow_nan=False)
    return {"findings.json": (text + "\n").encode()}


def _case(evaluation: Evaluation) -> dict[str, bytes]:
    document = evaluation.document
    files = {"case.toml": dump_document(document)}
    if named := named_parts(in_hand(document.couple, read_catalogue(evaluation.folder))):
        # what the entries said when this was made
        files["parts.toml"] = dump_parts(named.values())
    return files


Pack = Callable[[Part], bytes]
Writer = Callable[[Evaluation], dict[str, bytes]]
_WRITERS: Mapping[Output, Writer] = {
    Output.SOCKET_3MF: _shell("3mf", threemf_bytes),
    Output.SOCKET_STL: _shell("stl", stl_bytes),
    Output.POSITIVE_3MF: _positive("3mf", threemf_bytes),
    Output.POSITIVE_STL: _positive("stl", stl_bytes),
    Output.WORK_ORDER: _printed("work_order.pdf", work_order_pdf),
    Output.TEMPLATE: _printed("template_true_size.pdf", template_pdf),
    Output.CASTING_SHEET: _printed("casting_sheet.pdf", casting_sheet_pdf),
    Output.FINDINGS: _findings,
    Output.CASE: _case,
}


def casting_sheet(evaluation: Evaluation) -> bytes | None:
    """The casting sheet alone, which needs no more than limb and shape; None without a plan."""
    return casting_sheet_pdf(work_sheet(evaluation))


def work_sheet(evaluation: Evaluation) -> Sheet:
    """What the work order shows, from a complete evaluation."""
    document, outcomes = evaluation.document, evaluation.outcomes
    return Sheet(
        title=document.title,
        invented=document.invented,
        case_key=key_of("print", [document.model_dump(mode="json"), outcomes["capture"].key]),
        engine_version=__version__,
        person=document.person,
        liner=document.liner,
        capture_plan=document.capture,
        shape_plan=document.shape,
        couple_plan=in_hand(document.couple, read_catalogue(evaluation.folder)),
        align_plan=document.align,
        prove_plan=document.prove,
        assessment=outcomes["assess"].result,
        limb=outcomes["capture"].result,
        shape=outcomes["shape"].result,
        coupling=outcomes["couple"].result,
        alignment=outcomes["align"].result,
        proof=outcomes["prove"].result,
        made=outcomes["make"].result,
        findings=evaluation.findings,
        cautions=CAUTIONS,
    )
