"""Work in a process of its own: progress told, stopped at will, with limits on memory and time.

The process is a module of this folder, `python -m MODULE`. It is told what to do in one line of
standard input, says what it does and what it found as lines of JSON, and ends when its standard
input does, so that none outlives the workshop. One of a module may be kept ready: it has loaded
what it needs and waits for that line.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, NoReturn

from limbwright.core import errors
from limbwright.core.errors import BadInput, LimbwrightError
from limbwright.core.telling import Tell

Message = dict[str, Any]
_LEAN = {"MALLOC_ARENA_MAX": "2", "OPENBLAS_NUM_THREADS": "2", "OMP_NUM_THREADS": "2"}
"""What threads set aside counts against the limit too, though nobody uses it."""
_ROOM = threading.BoundedSemaphore(2)
"""Limited processes at once. The memory is the machine's, so there is one for all cases."""
_READY: dict[str, subprocess.Popen[str]] = {}
"""A process of a module that waits for its order."""
_KEPT_READY: set[str] = set()
"""Modules of which there is always to be one."""
_READY_LOCK = threading.Lock()
_TOLD_AGAIN = ("InvalidScan", "InvalidLandmarks", "InvalidTape", "CannotRead", "CannotWrite")


class Cancelled(LimbwrightError):
    """The run was stopped by the person."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a process may use.

    Parameters
    ----------
    memory_bytes : int
        Of address space; where the system cannot limit it, time alone is limited.
    time_s : float
    """

    memory_bytes: int
    time_s: float


@dataclass(slots=True)
class Run:
    """A process that can be stopped from another thread."""

    process: subprocess.Popen[str] | None = None
    cancelled: bool = False
    expired: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def cancel(self) -> None:
        """Stop; nothing of the run is kept but what the case's cache holds already."""
        with self.lock:
            self.cancelled = True
            if self.process is not None:
                self.process.terminate()

    def expire(self) -> None:
        """End a process that took too long."""
        with self.lock:
            self.expired = True
            if self.process is not None:
                self.process.kill()


def keep_ready(module: str) -> None:
    """Have a process of a module wait for its order, now and after each that was used."""
    with _READY_LOCK:
        _KEPT_READY.add(module)
        _READY[module] = _waiting(module) or _started(module)


def _started(module: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        encoding="utf-8",
        env={**os.environ, **_LEAN, "PYTHONIOENCODING": "utf-8"},
    )


def _taken(module: str) -> subprocess.Popen[str]:
    """The process that waits, if one does; else a new one."""
    with _READY_LOCK:
        return _waiting(module) or _started(module)


def _waiting(module: str) -> subprocess.Popen[str] | None:
    """The process that waits, which then is no longer kept here; None if it has ended meanwhile."""
    waiting = _READY.pop(module, None)
    if waiting is not None and waiting.poll() is not None:
        with waiting:
            return None
    return waiting


def messages(module: str, order: Sequence[str], run: Run) -> Iterator[Message]:
    """What a process says, message by message; it has ended when this has.

    Parameters
    ----------
    module : str
    order : sequence of str
        What it is told to do, see `ordered`.
    run : Run
        To stop it by; one that was stopped before starts nothing.

    Raises
    ------
    LimbwrightError
        Told again as the process told it.
    """
    with run.lock:
        if run.cancelled:
            return
        run.process = _taken(module)
    try:
        with run.process as process:
            assert process.stdin is not None
            assert process.stdout is not None
            # One that was stopped meanwhile reads no more.
            with contextlib.suppress(BrokenPipeError):
                process.stdin.write(json.dumps(list(order)) + "\n")
                process.stdin.flush()
            for line in process.stdout:
                yield _received(line)
    finally:
        # Not before this one has ended: two at work would take the time from each other.
        if module in _KEPT_READY:
            keep_ready(module)


def limited(
    module: str, order: Sequence[str], run: Run, limits: Limits, tell: Tell
) -> Message | None:
    """The last message of a process that has limits; None when it ended without one.

    Its order ends with the memory that it may use, bytes. Waits while too many such processes run
    already. `run` says afterwards what ended it.

    Raises
    ------
    LimbwrightError
        As the process told it.
    """
    found: Message | None = None
    with _ROOM:
        clock = threading.Timer(limits.time_s, run.expire)
        clock.start()
        try:
            for message in messages(module, [*order, str(limits.memory_bytes)], run):
                if "doing" in message:
                    tell(str(message["doing"]), float(message["share"]))
                else:
                    found = message
        finally:
            clock.cancel()
    return found


def ordered() -> list[str]:
    """What this process is told to do; it ends where the workshop ends without an order."""
    line = sys.stdin.buffer.readline()
    if not line:
        sys.exit(0)
    order: list[str] = json.loads(line)
    threading.Thread(target=_wait_for_end, daemon=True).start()
    return order


def limit_memory(limit_bytes: int) -> None:
    """Limit this process, where the system can; called before anything large is read."""
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    limit = limit_bytes if hard == resource.RLIM_INFINITY else min(hard, limit_bytes)
    resource.setrlimit(resource.RLIMIT_AS, (limit, hard))


def say(message: Message) -> None:
    """Tell the workshop."""
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()


def say_last(message: Message) -> NoReturn:
    """Tell the workshop and end at once: putting away what was loaded takes a while."""
    say(message)
    os._exit(0)


def say_doing(doing: str, share: float) -> None:
    """Tell the workshop what is being done, and the share done."""
    say({"doing": doing, "share": share})


def say_refused(error: LimbwrightError, message: str | None = None) -> None:
    """Tell the workshop why this cannot be done, in these words or the error's own."""
    kind = type(error).__name__
    say({"refused": message or error.message, "where": error.where, "kind": kind})


def _received(line: str) -> Message:
    message: Message = json.loads(line)
    if "refused" in message:
        known = message["kind"] in _TOLD_AGAIN
        kind: type[LimbwrightError] = getattr(errors, message["kind"]) if known else BadInput
        raise kind(str(message["refused"]), where=str(message["where"]))
    return message


def _wait_for_end() -> None:
    # Not by way of a buffer, whose lock a process that ends by itself would wait for.
    while os.read(0, 4096):
        pass
    os._exit(1)
