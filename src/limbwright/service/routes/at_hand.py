"""What every route has at hand: the cases, the one asked for, and saying that it is not there."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Mapping
from typing import Annotated, TypeVar

from fastapi import Depends, HTTPException, Query, Request, Response

from limbwright.core.errors import LimbwrightError
from limbwright.record.store import Revision
from limbwright.service import schema
from limbwright.service.arrays import ArrayShelf, SentArray
from limbwright.service.cabinet import Cabinet
from limbwright.service.workshop import Workshop

Found = TypeVar("Found")
RECORD_HEADER = "X-Limbwright-Record"
"""Names the record that a page has opened, so that nothing is asked of another case by mistake."""
MOST_ARRAYS = 200
"""Asked for at once; a picture needs some thirty."""
ANOTHER_CASE = (
    "The folder of this case was replaced, or its record begun anew: what stands there is not what"
    " this page has opened. Nothing was stored in it."
)


def known(found: Found | None, problem: str = "There is no such case here.") -> Found:
    """What was found.

    Raises
    ------
    HTTPException
        404 with the problem, when nothing was.
    """
    if found is None:
        raise HTTPException(404, problem)
    return found


Keys = Annotated[list[str], Query(alias="key", max_length=MOST_ARRAYS)]


def arrays_reply(shelf: ArrayShelf, keys: Iterable[str]) -> Response:
    """Arrays as they are sent, raw and little-endian, one after the other.

    Raises
    ------
    HTTPException
        404 when one is no longer offered.
    """
    problem = "An array is no longer offered; evaluate again."
    found = [known(shelf.get(key), problem).content for key in keys]
    return Response(b"".join(found), media_type="application/octet-stream")


def offered(shelf: ArrayShelf, arrays: Mapping[str, SentArray]) -> dict[str, schema.ArrayOut]:
    """Arrays offered by name, as a reply tells of them."""
    return {
        name: schema.ArrayOut.model_validate(entry) for name, entry in shelf.offer(arrays).items()
    }


def _cabinet(request: Request) -> Cabinet:
    cabinet: Cabinet = request.app.state.cabinet
    return cabinet


Cases = Annotated[Cabinet, Depends(_cabinet)]


def _case(case_id: str, cabinet: Cases, request: Request) -> Workshop:
    """The case asked for, with what was changed in its folder meanwhile.

    Raises
    ------
    HTTPException
        404 when there is none, 410 when its folder holds another than the page has seen.
    """
    workshop = known(cabinet.workshop(case_id))
    if request.headers.get(RECORD_HEADER, workshop.record_id) != workshop.record_id:
        raise HTTPException(410, ANOTHER_CASE)
    # What cannot be used as it stands is told when something is stored or made of it.
    with contextlib.suppress(LimbwrightError):
        workshop.take_in()
    return workshop


Case = Annotated[Workshop, Depends(_case)]


def case_at(workshop: Workshop, revision: Revision) -> schema.CaseOut:
    """A case at one of its revisions, as a reply tells of it."""
    return schema.CaseOut(
        id=workshop.case_id,
        record=workshop.record_id,
        revision=revision.number,
        document=revision.document,
    )
