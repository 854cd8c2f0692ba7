"""How an error is told to the page: what is wrong, where, and what to do."""

from __future__ import annotations

import errno

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException as StarletteHTTPException

from limbwright.case.folder import validation_problems
from limbwright.core.errors import CannotWrite, Conflict, InvalidCase, LimbwrightError
from limbwright.service.guard import problem

_DISK_FULL = "The disk of this machine is full; free some space and try again."


def tell_errors(app: FastAPI) -> None:
    """Have every error of a route told in one form."""
    app.add_exception_handler(LimbwrightError, _refused)
    app.add_exception_handler(StarletteHTTPException, _http_problem)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(Exception, _fault)


async def _refused(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, LimbwrightError)
    status = 409 if isinstance(error, Conflict) else 422
    if isinstance(error, CannotWrite):
        status = 507
    problems = None
    if isinstance(error, InvalidCase):
        problems = [{"path": path, "text": text} for path, text in error.problems]
    return problem(status, error.message, where=error.where or None, problems=problems)


async def _fault(request: Request, error: Exception) -> Response:
    if _is_disk_full(error):
        return problem(507, _DISK_FULL)
    # The server shows the trace in its own window; the page is told that there is one.
    return problem(500, "A fault in the program stopped this; nothing was changed by it.")


def _is_disk_full(error: BaseException | None) -> bool:
    """Whether the system had no room, where no file of a case was written: for what comes in."""
    full = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
    return isinstance(error, OSError) and error.errno in full


async def _http_problem(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, StarletteHTTPException)
    if _is_disk_full(error.__cause__):
        return problem(507, _DISK_FULL)
    return problem(error.status_code, str(error.detail))


async def _malformed(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    problems = [{"path": path, "text": text} for path, text in validation_problems(error)]
    return problem(422, "The request cannot be read.", problems=problems)
