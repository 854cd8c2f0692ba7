"""What a case is busy with, and the last of what it was: so that any page can take it up."""

from __future__ import annotations

import contextlib
import secrets
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from limbwright.core.errors import LimbwrightError
from limbwright.service.apart import Run

JobKind = Literal["capture", "make", "confirm"]
MOST_ENDED = 3
"""Ended jobs of a kind that are remembered."""


@dataclass(slots=True)
class Job:
    """One run of capturing, making or confirming.

    Parameters
    ----------
    job_id : str
    kind : "capture", "make" or "confirm"
    run : Run or None
        How it is stopped; making is short and runs to its end.
    revision : int or None
        Of the case, that it is of; None before that is known.
    """

    job_id: str
    kind: JobKind
    run: Run | None = None
    revision: int | None = None
    state: Literal["running", "done", "failed", "cancelled"] = "running"
    progress: float = 0.0
    text: str = "starting"
    files: list[Path] = field(default_factory=list)
    error: str | None = None

    def tell(self, doing: str, share: float) -> None:
        """Note what is done and the share done."""
        self.text, self.progress = doing, share

    def finish(self, text: str) -> None:
        """Note that it was done."""
        self.text, self.progress, self.state = text, 1.0, "done"

    def fail(self, error: str) -> None:
        """Note why it failed."""
        self.text, self.error, self.state = "failed", error, "failed"

    @contextlib.contextmanager
    def failing(self, fault: str) -> Iterator[None]:
        """Note why what is done within failed; a fault of the program goes on to the terminal."""
        try:
            yield
        except LimbwrightError as error:
            self.fail(error.message)
        except OSError as error:
            self.fail(
                f"A file was not written ({error.strerror or error}); free some space on the disk,"
                " or see that the folder may be written to, and try again."
            )
        except Exception:
            # The thread's end must be told, whatever it was.
            self.fail(fault)
            raise

    def stop(self, text: str) -> None:
        """Note that a person stopped it."""
        self.text, self.state = text, "cancelled"


class Jobs:
    """The jobs of one case; every method may be called from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[str, Job] = {}

    def begin(self, kind: JobKind, run: Run | None = None) -> Job:
        """A new job; the oldest ended ones of its kind are forgotten."""
        job = Job(secrets.token_hex(8), kind, run)
        with self._lock:
            ended = [
                one.job_id
                for one in self._kept.values()
                if one.kind == kind and one.state != "running"
            ]
            for job_id in ended[: max(0, len(ended) - MOST_ENDED + 1)]:
                del self._kept[job_id]
            self._kept[job.job_id] = job
        return job

    def get(self, job_id: str) -> Job | None:
        """A job by its identifier."""
        return self._kept.get(job_id)

    def newest_first(self) -> tuple[Job, ...]:
        """All jobs that are remembered."""
        with self._lock:
            return tuple(reversed(self._kept.values()))

    def cancel(self, kind: JobKind) -> None:
        """Stop what runs of a kind."""
        for job in self.newest_first():
            if job.kind == kind and job.state == "running" and job.run is not None:
                job.run.cancel()
