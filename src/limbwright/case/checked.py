"""A part of the case with some values entered anew, checked as if it were read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from limbwright.case.folder import validation_problems
from limbwright.core.errors import InvalidCase


def checked(kind: Any, plan: Any, values: Mapping[str, Any], path: str) -> Any:
    """The plan with those values.

    Raises
    ------
    InvalidCase
        When a value is beyond what a case may state.
    """
    stated = {name: getattr(plan, name) for name in kind.model_fields}
    try:
        return kind.model_validate({**stated, **values})
    except ValidationError as error:
        raise InvalidCase(validation_problems(error, path)) from error
