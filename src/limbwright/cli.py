"""The command line: plain words, JSON on request, one sentence for what went wrong.

Exit codes: 0 done; 1 done with findings that stop the job; 2 bad input; 3 a fault in the program.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import math
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TypeAlias

from limbwright import __version__
from limbwright.core.errors import LimbwrightError
from limbwright.core.stages import STAGE_NAMES

TRACE = "LIMBWRIGHT_TRACE"
"""Environment variable that shows where a fault in the program happened."""
LEAST_STEP_MM, LARGEST_STEP_MM = 1.0, 200.0
ENGINE_NAMES = ("spring_bed", "live", "fe")
MESH_LEVELS = ("coarse", "medium", "fine")
"""Both as the proof's plan and the engines name them, written out so that help answers at once."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        Words after the program's name; those of the process by default.

    Returns
    -------
    int
        Exit code.
    """
    parser = _parser()
    options = parser.parse_args(arguments)
    if options.command is None:
        parser.print_help()
        return 2
    _accept_any_letter()
    if options.command == "serve":
        _leave_a_core_to_the_page()
        _be_ready_to_capture()
    # Imported here so that help answers at once.
    from limbwright import commands

    try:
        code = commands.COMMANDS[options.command](options)
        if sys.stdout is not None:
            sys.stdout.flush()
        return code
    except LimbwrightError as error:
        if getattr(options, "json", False):
            commands.print_error_json(error)
        print(f"limbwright: {error.message}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        print("limbwright: stopped.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # What reads the answer has seen enough; nothing is left to flush at the end either.
        _discard_output()
        return 0
    except OSError as error:
        _discard_output()
        return _say(2, f"the answer could not be written ({error.strerror or error}).")
    except MemoryError:
        return _say(2, "there is not enough memory; close other programs or reduce the scan.")
    except Exception as error:
        if os.environ.get(TRACE):
            raise
        return _say(
            3,
            f"a fault in the program stopped this ({type(error).__name__}: {error}). The case is as"
            f" it was. Please report it; with {TRACE}=1 it shows where.",
        )


def _say(code: int, text: str) -> int:
    print(f"limbwright: {text}", file=sys.stderr)
    return code


def _discard_output() -> None:
    """Let the interpreter's last flush of standard output go nowhere."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _leave_a_core_to_the_page() -> None:
    """One thread for linear algebra, asked for before anything loads it.

    What an edit computes is many small products: more threads make none of them quicker, and take
    the time from the browser, which draws on the same machine. Processes of their own choose anew.
    """
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"):
        os.environ.setdefault(name, "1")


def _be_ready_to_capture() -> None:
    """Have a process wait that captures; it loads what it needs while the service does so."""
    from limbwright.service.apart import keep_ready
    from limbwright.service.capturer import MODULE

    keep_ready(MODULE)


def _accept_any_letter() -> None:
    """A letter that the window's encoding lacks is replaced, not a reason to stop."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="limbwright",
        description="From a residual limb to a below-knee prosthesis, computed at every step.",
        epilog="It supports a practitioner's decision and never makes it.",
    )
    parser.add_argument("--version", action="version", version=f"limbwright {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    _add_demo(commands)
    _add_new(commands)
    _add_measure(commands)
    _add_evaluate(commands)
    _add_make(commands)
    _add_serve(commands)
    _add_coupon(commands)
    _add_whatif(commands)
    _add_hardware(commands)
    _add_revisions(commands)
    return parser


Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def _add_demo(commands: Commands) -> None:
    parser = commands.add_parser("demo", help="write a case of an invented person")
    parser.add_argument("folder", metavar="DIR", type=Path, nargs="?", default=Path("demo-case"))
    parser.add_argument("--side", choices=("right", "left"), default="right")
    _add_json(parser)


def _add_new(commands: Commands) -> None:
    parser = commands.add_parser("new", help="start a case from a scan and its landmarks")
    parser.add_argument("folder", metavar="DIR", type=Path)
    parser.add_argument("--scan", type=Path, required=True, metavar="FILE")
    parser.add_argument("--side", choices=("right", "left"), required=True)
    parser.add_argument("--landmarks", type=Path, required=True, metavar="FILE")
    parser.add_argument("--mass-kg", required=True, metavar="M", help="with shoes and clothes")
    parser.add_argument("--stature-mm", required=True, metavar="H")
    parser.add_argument("--activity", required=True, metavar="CLASS", help="K0, K1, K2, K3 or K4")
    parser.add_argument("--code", default="person", help="a code for the person, never a name")
    parser.add_argument("--tape", type=Path, metavar="FILE", help="tape sheet, CSV")
    parser.add_argument("--bones", type=Path, nargs=2, metavar=("TIBIA", "FIBULA"))
    parser.add_argument(
        "--bones-unit", choices=("mm", "cm", "m", "inch"), default="mm", help="the bones' unit"
    )
    parser.add_argument("--unit", choices=("mm", "cm", "m", "inch"), help="the scan's unit")
    parser.add_argument("--over-liner", action="store_true", help="the liner was on when scanned")
    parser.add_argument(
        "--unusual-mass-confirmed",
        action="store_true",
        help="mass and stature were checked although they look unlikely together",
    )
    _add_json(parser)


def _add_measure(commands: Commands) -> None:
    parser = commands.add_parser("measure", help="girths, breadths and volume of a scan")
    parser.add_argument("scan", type=Path, metavar="SCAN")
    parser.add_argument("--landmarks", type=Path, required=True, metavar="FILE")
    parser.add_argument("--side", choices=("right", "left"), help="if the file does not say")
    parser.add_argument("--unit", choices=("mm", "cm", "m", "inch"), help="the scan's unit")
    parser.add_argument("--step", type=_step_mm, default=20.0, metavar="MM", help="between levels")
    _add_json(parser)


def _add_evaluate(commands: Commands) -> None:
    parser = commands.add_parser("evaluate", help="compute all findings of a case")
    parser.add_argument("folder", metavar="DIR", type=Path)
    parser.add_argument("--stage", choices=STAGE_NAMES, help="the last stage wanted")
    parser.add_argument(
        "--engine",
        choices=ENGINE_NAMES,
        help="how pressure is computed this time: first estimate, live model or finite elements",
    )
    parser.add_argument(
        "--mesh", choices=MESH_LEVELS, help="how fine the finite elements are this time"
    )
    parser.add_argument(
        "--bands",
        choices=("none", "first", "live"),
        default="first",
        help="bands of uncertainty and what-if cases: by the first estimate, or by the live model,"
        " which takes minutes",
    )
    parser.add_argument(
        "--against",
        metavar="REVISION|DIR",
        help="compare pressures with an earlier revision of this case, or with another case",
    )
    _add_json(parser)


def _add_make(commands: Commands) -> None:
    parser = commands.add_parser("make", help="write socket, model, work order and template")
    parser.add_argument("folder", metavar="DIR", type=Path)
    parser.add_argument("--out", type=Path, required=True, metavar="OUT")
    _add_json(parser)


def _add_serve(commands: Commands) -> None:
    parser = commands.add_parser(
        "serve", help="open the workshop in the browser: one case, or a folder of cases"
    )
    parser.add_argument("folder", metavar="DIR", type=Path, nargs="?", default=Path("demo-case"))
    parser.add_argument(
        "--port",
        type=_port,
        help="0 picks a free one; left out, it is that of the last start, so that an open page"
        " finds the workshop again",
    )
    parser.add_argument(
        "--new-key",
        action="store_true",
        help="pages that are still open do not belong to this start",
    )
    _add_json(parser)


def _add_coupon(commands: Commands) -> None:
    parser = commands.add_parser(
        "coupon",
        help="strength and stiffness of a lay-up from specimens bent over two supports",
        description="Give one value for all specimens, or one for each.",
    )
    for name, unit, what in (
        ("span", "MM", "distance between the supports"),
        ("width", "MM", "width of the specimen"),
        ("thickness", "MM", "thickness of the specimen"),
        ("force", "N", "greatest force in the middle"),
    ):
        parser.add_argument(
            f"--{name}", type=float, nargs="+", required=True, metavar=unit, help=what
        )
    parser.add_argument(
        "--deflection",
        type=float,
        nargs="+",
        metavar="MM",
        help="of the middle, on the straight part; gives the modulus",
    )
    parser.add_argument(
        "--deflection-force",
        type=float,
        nargs="+",
        metavar="N",
        help="force at that deflection; the greatest force if left out",
    )
    _add_json(parser)


def _add_hardware(commands: Commands) -> None:
    parser = commands.add_parser("hardware", help="parts of the catalogue: list, solids, a start")
    parser.add_argument("folder", metavar="DIR", type=Path, nargs="?", help="a case")
    parser.add_argument("--list", action="store_true", help="show what the catalogue holds")
    parser.add_argument(
        "--start", action="store_true", help="write parts.toml with examples to fill in, into DIR"
    )
    parser.add_argument("--out", type=Path, metavar="OUT", help="folder for the solids")
    parser.add_argument(
        "--part", action="append", default=[], metavar="KEY", help="else those that the case names"
    )
    parser.add_argument("--step", action="store_true", help="exact solids too; an optional extra")
    _add_json(parser)


def _add_revisions(commands: Commands) -> None:
    parser = commands.add_parser(
        "revisions",
        help="list a case's revisions, or tell what was changed in the plan between two",
        description="Pressures beside those of a revision: limbwright evaluate DIR --against N.",
    )
    parser.add_argument("folder", metavar="DIR", type=Path)
    parser.add_argument("--from", dest="before", type=_count, metavar="N", help="the earlier one")
    parser.add_argument(
        "--to", dest="after", type=_count, metavar="N", help="the later one; the last if left out"
    )
    _add_json(parser)


def _add_whatif(commands: Commands) -> None:
    parser = commands.add_parser(
        "whatif",
        help="what a change of the alignment does to moments and pressures",
        description="From where the case has the leg; negative values go the other way.",
    )
    parser.add_argument("folder", metavar="DIR", type=Path)
    for name, unit, what in (
        ("foot-forward", "MM", "shift the foot forward"),
        ("foot-out", "MM", "shift the foot outward"),
        ("foot-up", "MM", "shift the foot up: a shorter leg"),
        ("toe-out", "DEG", "turn the toes outward"),
        ("dorsiflexion", "DEG", "tilt at the foot, toes up"),
        ("outer-border-up", "DEG", "tilt at the foot, outer border up"),
        ("socket-flexion", "DEG", "tilt at the socket, socket forward over the tube"),
        ("socket-adduction", "DEG", "tilt at the socket, socket outward over the tube"),
    ):
        parser.add_argument(f"--{name}", type=_finite, default=0.0, metavar=unit, help=what)
    _add_json(parser)


def _finite(text: str) -> float:
    value = _number(text)
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"must be a plain number such as -5, not {text}")
    return value


def _step_mm(text: str) -> float:
    step = _number(text)
    if not LEAST_STEP_MM <= step <= LARGEST_STEP_MM:
        raise argparse.ArgumentTypeError(
            f"must be between {LEAST_STEP_MM:g} and {LARGEST_STEP_MM:g} mm, not {text}"
        )
    return step


def _count(text: str) -> int:
    count = _number(text)
    if not (1 <= count < math.inf and count == int(count)):
        raise argparse.ArgumentTypeError(f"must be a whole number from 1, not {text}")
    return int(count)


def _port(text: str) -> int:
    port = _number(text)
    if not (0 <= port <= 65535 and port == int(port)):
        raise argparse.ArgumentTypeError(f"must be a whole number from 0 to 65535, not {text}")
    return int(port)


def _number(text: str) -> float:
    """What the text says, or no number at all."""
    try:
        return float(text)
    except ValueError:
        return math.nan


def _add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print plain JSON")


if __name__ == "__main__":
    sys.exit(main())
