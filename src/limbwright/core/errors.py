"""Everything that Limbwright refuses, and how it says so.

LimbwrightError
├── BadInput           what came in cannot be used (exit code 2)
│   ├── InvalidScan        a mesh that is empty, truncated, not one limb ...
│   ├── InvalidLandmarks   a landmark that is missing, off the surface, on the wrong side
│   ├── InvalidTape        a tape sheet that cannot be read
│   ├── InvalidCase        one or more problems in a case document, all listed
│   ├── InvalidCatalogue   one or more problems in a catalogue of parts, all listed
│   └── CannotRead         a file that is missing or unreadable
├── DesignRefused      the design itself cannot be made (exit code 1)
│   ├── SelfIntersection   the rectified shape or trim line crosses itself
│   └── DoesNotFit         the parts do not fit under the limb
├── NotConverged       a solver found no equilibrium: an error, never a number (exit code 1)
├── CannotWrite        a folder or disk that does not take the result (exit code 2)
└── Conflict           the stored state changed meanwhile (exit code 2)

A message is one sentence a practitioner understands: what is wrong, where (value with unit),
and what to do.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


class LimbwrightError(Exception):
    """Base of all refusals.

    Parameters
    ----------
    message : str
        One clear sentence for the practitioner.
    where : str, optional
        Path in the case document, file name or place on the limb.
    fields : mapping, optional
        Values that explain the message (plain JSON types), for the service and tests.
    """

    exit_code = 2

    def __init__(
        self, message: str, *, where: str = "", fields: Mapping[str, Any] | None = None
    ) -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.fields: dict[str, Any] = dict(fields or {})


class BadInput(LimbwrightError):
    """What came in cannot be used."""


class InvalidScan(BadInput):
    """A scan that is not one usable limb surface."""


class InvalidLandmarks(BadInput):
    """A landmark that is missing, off the surface or on the wrong side."""


class InvalidTape(BadInput):
    """A tape sheet that cannot be read or used."""


class CannotRead(BadInput):
    """A file that is missing or cannot be read."""


class InvalidCase(BadInput):
    """A case document with one or more problems, all reported at once.

    Parameters
    ----------
    problems : list of (str, str)
        Path in the document and what is wrong there.
    """

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        lines = "\n".join(f"  {path}: {text}" for path, text in problems)
        count = len(problems)
        head = f"the case has {count} problem{'s' if count != 1 else ''}:"
        super().__init__(f"{head}\n{lines}", fields={"problems": [list(p) for p in problems]})
        self.problems = problems


class InvalidCatalogue(BadInput):
    """A catalogue of parts with one or more problems, all reported at once.

    Parameters
    ----------
    file : str
        Name of the catalogue's file.
    problems : list of (str, str)
        Entry and field, and what is wrong there.
    """

    def __init__(self, file: str, problems: list[tuple[str, str]]) -> None:
        lines = "\n".join(f"  {path}: {text}" for path, text in problems)
        count = len(problems)
        head = f"the catalogue {file} has {count} problem{'s' if count != 1 else ''}:"
        super().__init__(
            f"{head}\n{lines}",
            where=file,
            fields={"problems": [list(p) for p in problems]},
        )
        self.problems = problems


class DesignRefused(LimbwrightError):
    """The design cannot be made as it stands."""

    exit_code = 1


class SelfIntersection(DesignRefused):
    """A surface or line crosses itself; the message says where."""


class DoesNotFit(DesignRefused):
    """The chosen parts do not fit; the message says how many millimetres are missing."""


class NotConverged(LimbwrightError):
    """A solver found no equilibrium; there is no number to show."""

    exit_code = 1


class CannotWrite(LimbwrightError):
    """A folder or disk that does not take the result; what was there is unchanged."""


class Conflict(LimbwrightError):
    """The stored state changed since it was read; nothing was overwritten."""
