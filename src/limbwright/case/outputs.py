"""Writing what a case makes into a folder: all of it or nothing."""

from __future__ import annotations

import errno
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from limbwright import __version__
from limbwright.case.evaluate import Evaluation
from limbwright.case.folder import dump_document
from limbwright.case.memo import key_of
from limbwright.case.parts_file import dump_parts, read_catalogue
from limbwright.case.report import CAUTIONS, evaluation_json
from limbwright.core.atomic import refuse_writing
from limbwright.couple.in_hand import in_hand, named_parts
from limbwright.make.formats import stl_bytes, threemf_bytes
from limbwright.make.result import Made
from limbwright.make.workorder.casting_sheet import casting_sheet_pdf
from limbwright.make.workorder.order import work_order_pdf
from limbwright.make.workorder.sheet import Sheet
from limbwright.make.workorder.template import template_pdf


def write_outputs(evaluation: Evaluation, out: Path) -> tuple[Path, ...]:
    """Write socket, positive model, work order, template, findings and the case they are of.

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
    DesignRefused
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
    """Name and content of every output; the side stands in each part's name."""
    side = evaluation.document.person.side.value
    sheet = work_sheet(evaluation)
    made: Made = sheet.made
    text = json.dumps(evaluation_json(evaluation), indent=1, ensure_ascii=False, allow_nan=False)
    files = {
        f"socket_{side}.3mf": threemf_bytes(made.shell),
        f"socket_{side}.stl": stl_bytes(made.shell),
        f"positive_model_{side}.3mf": threemf_bytes(made.positive),
        f"positive_model_{side}.stl": stl_bytes(made.positive),
        "work_order.pdf": work_order_pdf(sheet),
        "template_true_size.pdf": template_pdf(sheet),
        **({"casting_sheet.pdf": casting} if (casting := casting_sheet_pdf(sheet)) else {}),
        "findings.json": (text + "\n").encode(),
        "case.toml": dump_document(evaluation.document),
    }
    if named := named_parts(sheet.couple_plan):
        # what the entries said when this was made
        files["parts.toml"] = dump_parts(named.values())
    return files


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
