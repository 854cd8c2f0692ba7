"""What the page may ask, by what it asks about: thin routes over the cases of a folder."""

from fastapi import APIRouter

from limbwright.service.routes import case, jobs, leg, limb, revisions, shelf

router = APIRouter(prefix="/api")
for part in (shelf, case, limb, leg, revisions, jobs):
    router.include_router(part.router)
