"""The workshop's service: the page, and what it may ask, for this machine only."""

from __future__ import annotations

from pathlib import Path

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from limbwright import __version__
from limbwright.service.cabinet import Cabinet
from limbwright.service.guard import Guard, SealedService
from limbwright.service.refusals import tell_errors
from limbwright.service.routes import router

MAX_BODY_BYTES = 2 * 2**20
"""Far above any case document."""
WEB_FOLDER = Path(__file__).resolve().parent.parent / "_web"


def create_app(folder: Path | None, token: str) -> FastAPI:
    """The service for a folder of cases, or one case and its neighbours.

    Parameters
    ----------
    folder : Path or None
        None only to describe the routes.
    token : str
        What every request to /api must carry.

    Raises
    ------
    LimbwrightError
        When the case cannot be opened.
    """
    app = SealedService(
        title="Limbwright workshop",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        max_body_size=MAX_BODY_BYTES,
        # Nothing leaves the machine, whatever the environment asks for.
        telemetry={
            "tracing": False,
            "metrics": False,
            "logs": False,
            "operation_spans": False,
            "auto_configure": False,
        },
    )
    if folder is not None:
        app.state.cabinet = Cabinet(folder)
    app.include_router(router)
    app.add_middleware(Guard, token=token)
    tell_errors(app)
    if WEB_FOLDER.is_dir():
        app.mount("/", StaticFiles(directory=WEB_FOLDER, html=True))
    return app
