"""Start the workshop on this machine and print its address."""

from __future__ import annotations

import json
import secrets
import socket
import sys
from pathlib import Path

import uvicorn

from limbwright.core.errors import BadInput
from limbwright.service.app import WEB_FOLDER, create_app

HOST = "127.0.0.1"


def serve(folder: Path, port: int, *, json_output: bool = False) -> int:
    """Serve one case until interrupted.

    Parameters
    ----------
    folder : Path
    port : int
        0 picks a free one.
    json_output : bool
        Print the address as one line of JSON.

    Raises
    ------
    LimbwrightError
        When the case cannot be opened or the port is taken.
    """
    token = secrets.token_urlsafe(24)
    app = create_app(folder, token)
    listener = _listener(port)
    address = f"http://{HOST}:{listener.getsockname()[1]}/#token={token}"
    if json_output:
        text = json.dumps({"address": address, "folder": str(folder)})
    else:
        text = f"The workshop is open at {address}\nStop it with Ctrl-C."
        if not WEB_FOLDER.is_dir():
            text += "\nThe page is not built in this installation; run `make web` once."
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
    config = uvicorn.Config(app, log_level="warning", access_log=False)
    uvicorn.Server(config).run(sockets=[listener])
    return 0


def _listener(port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((HOST, port))
        # Before the address is told: whoever follows it at once waits instead of being refused.
        listener.listen()
    except OSError as error:
        listener.close()
        raise BadInput(
            f"Port {port} is taken ({error.strerror}); choose another with --port."
        ) from error
    return listener
