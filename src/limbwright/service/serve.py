"""Start the workshop on this machine and print its address."""

from __future__ import annotations

import contextlib
import json
import secrets
import socket
import sys
import time
from pathlib import Path

import uvicorn

from limbwright.core.errors import BadInput
from limbwright.service.app import WEB_FOLDER, create_app
from limbwright.service.kept_address import Address, address_file, keep_address, last_address

HOST = "127.0.0.1"


def serve(
    folder: Path, port: int | None, *, new_key: bool = False, json_output: bool = False
) -> int:
    """Serve one case or a folder of cases until interrupted.

    Parameters
    ----------
    folder : Path
    port : int or None
        0 picks a free one; None takes that of the last start, so that a page which is still open
        finds the workshop again.
    new_key : bool
        Pages that are still open do not belong to this start.
    json_output : bool
        Print the address as one line of JSON.

    Raises
    ------
    LimbwrightError
        When the case cannot be opened or the port is taken.
    """
    file = None if port == 0 else address_file(folder)
    last = last_address(file) if file is not None and not new_key else None
    with contextlib.closing(_listener_near(port, last)) as listener:
        taken: int = listener.getsockname()[1]
        again = last is not None and taken == last.port
        address = (
            last
            if again and last is not None
            else Address(taken, secrets.token_urlsafe(24), time.time())
        )
        app = create_app(folder, address.token)
        app.state.cabinet.capture_ahead()
        lost = last is not None and port is None and not again
        # Whatever holds the old port has seen what open pages send there: that key is not used
        # again, and neither is the new one kept over it.
        if file is not None and not lost:
            keep_address(file, address)
        if lost and last is not None:
            sys.stderr.write(
                f"Port {last.port} of the last start is taken, so this start has another one: a"
                " page that is still open does not find it by itself.\n"
            )
        _tell(folder, address, json_output)
        config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False)
        uvicorn.Server(config).run(sockets=[listener])
    return 0


def _tell(folder: Path, address: Address, json_output: bool) -> None:
    place = f"http://{HOST}:{address.port}/#token={address.token}"
    if json_output:
        text = json.dumps({"address": place, "folder": str(folder)})
    else:
        text = f"The workshop is open at {place}\nStop it with Ctrl-C."
        if not WEB_FOLDER.is_dir():
            text += "\nThe page is not built in this installation; run `make web` once."
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def _listener_near(port: int | None, last: Address | None) -> socket.socket:
    """A listener at the wanted port; with none wanted, at that of the last start if it is free."""
    if port is None and last is not None:
        with contextlib.suppress(BadInput):
            return _listener(last.port)
    return _listener(port or 0)


def _listener(port: int) -> socket.socket:
    # Told the protocol, the event loop sends a reply at once instead of waiting for more of it.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        # Where an address may be taken over from whoever listens there, that is refused instead.
        exclusive = getattr(socket, "SO_EXCLUSIVEADDRUSE", socket.SO_REUSEADDR)
        listener.setsockopt(socket.SOL_SOCKET, exclusive, 1)
        listener.bind((HOST, port))
        # Before the address is told: whoever follows it at once waits instead of being refused.
        listener.listen()
    except OSError as error:
        listener.close()
        raise BadInput(
            f"Port {port} is taken ({error.strerror}); choose another with --port."
        ) from error
    return listener
