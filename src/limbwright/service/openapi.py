"""The service's contract as OpenAPI, from which the page's client is generated."""

from __future__ import annotations

import json
import sys

from limbwright.service.app import create_app


def openapi_text() -> str:
    """The contract as stable JSON text."""
    return json.dumps(create_app(None, "").openapi(), indent=1, sort_keys=True) + "\n"


if __name__ == "__main__":
    sys.stdout.write(openapi_text())
