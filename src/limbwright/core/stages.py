"""The stages of the job, in order. One list drives engine, command line, service, web and docs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the job.

    Parameters
    ----------
    name : str
        Verb used for folder, route and command line.
    question : str
        What the practitioner asks here.
    """

    name: str
    question: str


STAGES: tuple[Stage, ...] = (
    Stage("assess", "Who is this leg for, and what loads follow?"),
    Stage("capture", "Is this shape right, and how far can I trust it?"),
    Stage("shape", "Where shall the socket bear and where spare, and by how much?"),
    Stage("couple", "Does the coupling sit true, and does it all fit under the limb?"),
    Stage("align", "Where is the load line, and which screws move it, how many turns?"),
    Stage("prove", "What will each place carry, and will it hold?"),
    Stage("make", "How do I make exactly this?"),
    Stage("fit", "What did we learn, and what should I change first?"),
)

STAGE_NAMES: tuple[str, ...] = tuple(stage.name for stage in STAGES)
