"""The picture that a fitting is read in: of the revision that was worn, or of what stands."""

from __future__ import annotations

from limbwright.align.result import DeviationAnswer
from limbwright.align.setup import set_up
from limbwright.case.memo import key_of
from limbwright.case.parts_file import catalogue_digest, read_catalogue
from limbwright.case.stepping import StepInputs
from limbwright.couple.in_hand import in_hand
from limbwright.fit.learning import WornPicture
from limbwright.fit.plan import Fitting
from limbwright.fit.spot import Picture, ground_of, picture_of


def read_in(inputs: StepInputs, fitting: Fitting) -> WornPicture:
    """What a fitting is held against.

    Parameters
    ----------
    inputs : StepInputs
        Of the case that stands, all stages up to the proof.
    fitting : Fitting
    """
    if fitting.revision is None:
        return _read(inputs, fitting, "which revision was worn is not stated")
    worn = _worn(inputs, fitting.revision)
    if isinstance(worn, str):
        return _read(inputs, fitting, f"revision {fitting.revision} cannot be had ({worn})")
    differs = worn.keys["prove"] != inputs.keys["prove"]
    return WornPicture(_picture(worn), _walk(worn, fitting), fitting.revision, differs)


def _read(inputs: StepInputs, fitting: Fitting, remark: str) -> WornPicture:
    return WornPicture(_picture(inputs), _walk(inputs, fitting), remark=remark)


def _worn(inputs: StepInputs, number: int) -> StepInputs | str:
    """A stored revision, computed once: it never changes while the files beside it stay."""
    prove = inputs.document.prove
    beside = [inputs.keys["capture"], catalogue_digest(inputs.folder)]
    key = key_of("worn", [number, prove.engine, prove.mesh.value, beside])
    return inputs.memo.get(key, lambda: _computed(inputs, number))


def _computed(inputs: StepInputs, number: int) -> StepInputs | str:
    if inputs.earlier is None:
        return "there is no record of revisions here"
    worn = inputs.earlier(number)
    if isinstance(worn, str):
        return worn
    if worn.document.capture.scan != inputs.document.capture.scan:
        return "it is of another scan, where places are not found again"
    return worn


def _picture(inputs: StepInputs) -> Picture:
    results, keys = inputs.results, inputs.keys
    ground = key_of("fit ground", keys["capture"])
    return inputs.memo.get(
        key_of("fit picture", [keys["shape"], keys["align"], keys["prove"]]),
        lambda: picture_of(
            results["capture"],
            results["shape"],
            results["align"],
            results["prove"],
            inputs.document.shape,
            inputs.memo.get(ground, lambda: ground_of(results["capture"])),
        ),
    )


def _walk(inputs: StepInputs, fitting: Fitting) -> tuple[DeviationAnswer, ...]:
    """What that leg says to what was seen of the walk at this fitting."""
    if not fitting.observed:
        return ()
    document, results = inputs.document, inputs.results
    seen = [one.model_dump(mode="json") for one in fitting.observed]
    parts = in_hand(document.couple, read_catalogue(inputs.folder, inputs.memo)).parts
    plan = document.align.model_copy(update={"observed": fitting.observed})
    return inputs.memo.get(
        key_of("fit walk", [inputs.keys["align"], seen]),
        lambda: (
            set_up(
                results["capture"],
                results["shape"],
                results["couple"],
                plan,
                document.person,
                results["assess"],
                parts,
            ).guide
        ),
    )
