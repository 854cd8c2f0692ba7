"""The record: every document a case ever had, in order, never changed.

One SQLite file in the case folder. Rows are only added; triggers refuse anything else.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError

from limbwright import __version__
from limbwright.case.document import CaseDocument
from limbwright.case.folder import parse_document
from limbwright.core.errors import CannotRead, CannotWrite, Conflict

RECORD_FILE = "record.sqlite"

_metadata = sa.MetaData()
_revisions = sa.Table(
    "revisions",
    _metadata,
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("saved_at", sa.String, nullable=False),
    sa.Column("engine_version", sa.String, nullable=False),
    sa.Column("document", sa.Text, nullable=False),
    sa.Column("sha256", sa.String, nullable=False),
    sa.Column("note", sa.String, nullable=False),
)
_identity = sa.Table(
    "identity",
    _metadata,
    sa.Column("of", sa.Integer, sa.CheckConstraint("of = 1"), primary_key=True),
    sa.Column("id", sa.String, nullable=False),
)
"""One row: what tells this record from any other, wherever its folder lies and is called."""
_LATEST = sa.select(_revisions).order_by(_revisions.c.number.desc()).limit(1)
_MOST_REVISIONS = 2**63 - 1
"""What the record can count to."""
_KEEP = (
    "CREATE TRIGGER IF NOT EXISTS revisions_keep_{verb} BEFORE {verb} ON revisions"
    " BEGIN SELECT RAISE(ABORT, 'revisions are never changed'); END"
)
USUAL_PATIENCE_S = 5.0
"""How long a record is waited for that another program holds."""


@dataclass(frozen=True, slots=True)
class Revision:
    """One immutable revision of a case.

    Parameters
    ----------
    number : int
        1, 2, 3 ... in the order of saving.
    saved_at : str
        ISO 8601, UTC.
    engine_version : str
    document : CaseDocument
    note : str
    """

    number: int
    saved_at: str
    engine_version: str
    document: CaseDocument
    note: str


def open_record(folder: Path) -> sa.Engine:
    """The record of a case folder, created on first use.

    Raises
    ------
    CannotWrite
        When the folder does not take it.
    CannotRead
        When the file is no record.
    """
    path = folder / RECORD_FILE
    engine = _engine(path)
    with _told(path), engine.begin() as connection:
        _metadata.create_all(connection)
        for verb in ("UPDATE", "DELETE"):
            connection.exec_driver_sql(_KEEP.format(verb=verb))
        if connection.execute(sa.select(_identity.c.id)).first() is None:
            connection.execute(_identity.insert().values(of=1, id=secrets.token_hex(8)))
    return engine


def record_id(engine: sa.Engine) -> str:
    """What tells a record from any other, also from a later one of the same folder."""
    with _told(Path(str(engine.url.database))), engine.connect() as connection:
        return str(connection.execute(sa.select(_identity.c.id)).scalar_one())


def append_revision(
    engine: sa.Engine,
    document: CaseDocument,
    *,
    base: int,
    note: str = "",
    alongside: Callable[[], None] | None = None,
) -> Revision:
    """Add a revision on top of the one it was made from.

    Parameters
    ----------
    engine : Engine
    document : CaseDocument
    base : int
        Number of the revision that was edited; 0 for the first.
    note : str
    alongside : callable, optional
        Done once the revision has its place and before it is final; when it raises, nothing is
        stored.

    Raises
    ------
    Conflict
        When another revision was saved meanwhile; nothing is stored.
    CannotWrite
    """
    text = _text(document)
    saved_at = datetime.now(UTC).isoformat(timespec="seconds")
    row = {
        "number": base + 1,
        "saved_at": saved_at,
        "engine_version": __version__,
        "document": text,
        "sha256": _digest(text),
        "note": note,
    }
    path = Path(str(engine.url.database))
    with _told(path):
        try:
            with engine.begin() as connection:
                last = connection.execute(sa.select(sa.func.max(_revisions.c.number))).scalar()
                if (last or 0) != base:
                    raise stale_base(base, last or 0)
                connection.execute(_revisions.insert().values(**row))
                if alongside is not None:
                    alongside()
        except IntegrityError as error:
            raise stale_base(base, base + 1) from error
    return Revision(base + 1, saved_at, __version__, document, note)


def latest_revision(engine: sa.Engine) -> Revision | None:
    """The newest revision, or None for an empty record."""
    return _one(engine, _LATEST)


def revision(engine: sa.Engine, number: int) -> Revision | None:
    """One revision by number, or None."""
    if not 0 < number <= _MOST_REVISIONS:
        return None
    return _one(engine, sa.select(_revisions).where(_revisions.c.number == number))


def revision_list(engine: sa.Engine) -> tuple[tuple[int, str, str], ...]:
    """Number, time and note of all revisions, oldest first."""
    query = sa.select(_revisions.c.number, _revisions.c.saved_at, _revisions.c.note)
    with _told(Path(str(engine.url.database))), engine.connect() as connection:
        rows = connection.execute(query.order_by(_revisions.c.number)).all()
    return tuple((row.number, row.saved_at, row.note) for row in rows)


def revision_list_of(
    folder: Path, patience_s: float = USUAL_PATIENCE_S
) -> tuple[tuple[int, str, str], ...]:
    """The same for a case folder, without making a record where there is none; () then.

    Raises
    ------
    CannotRead, CannotWrite
        The latter when another program holds it for longer than the patience.
    """
    path = folder / RECORD_FILE
    if not path.is_file():
        return ()
    return revision_list(_engine(path, patience_s))


def revisions_of(folder: Path) -> Callable[[int], CaseDocument | None]:
    """Documents of a case folder's revisions by number, without making a record; None then."""
    path = folder / RECORD_FILE

    def found(number: int) -> CaseDocument | None:
        if not path.is_file():
            return None
        stored = revision(_engine(path), number)
        return None if stored is None else stored.document

    return found


def synchronise(engine: sa.Engine, document: CaseDocument) -> Revision:
    """The newest revision, after taking in a document that was changed by hand in the folder.

    Raises
    ------
    CannotWrite, CannotRead
    """
    # As text: a revision of another version need not be readable to be succeeded.
    last = _row(engine, _LATEST)
    if last is not None and last.document == _text(document):
        return Revision(last.number, last.saved_at, last.engine_version, document, last.note)
    note = "opened" if last is None else "changed outside the workshop"
    return append_revision(engine, document, base=last.number if last else 0, note=note)


def _engine(path: Path, patience_s: float = USUAL_PATIENCE_S) -> sa.Engine:
    return sa.create_engine(
        f"sqlite:///{path}", poolclass=sa.NullPool, connect_args={"timeout": patience_s}
    )


def _row(engine: sa.Engine, query: sa.Select[tuple[object, ...]]) -> sa.Row[Any] | None:
    with _told(Path(str(engine.url.database))), engine.connect() as connection:
        return connection.execute(query).first()


def _one(engine: sa.Engine, query: sa.Select[tuple[object, ...]]) -> Revision | None:
    row = _row(engine, query)
    if row is None:
        return None
    if _digest(row.document) != row.sha256:
        raise CannotRead(
            f"Revision {row.number} in {engine.url.database} is not as it was saved; take the"
            " record from a backup.",
            where=str(engine.url.database),
            fields={"revision": row.number},
        )
    document = parse_document(json.loads(row.document))
    return Revision(row.number, row.saved_at, row.engine_version, document, row.note)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _text(document: CaseDocument) -> str:
    return json.dumps(document.model_dump(mode="json"), sort_keys=True)


def stale_base(base: int, last: int) -> Conflict:
    """What is said when a change was made on a revision that no longer stands."""
    return Conflict(
        f"The case was changed elsewhere: it stands at revision {last}, your change was made on"
        f" revision {base}. Nothing was overwritten; reload and repeat the change.",
        fields={"base_revision": base, "revision": last},
    )


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except OperationalError as error:
        if _is_held(error.orig):
            raise CannotWrite(
                f"The record {path} is in use by another program; close it there, or wait, and try"
                " again.",
                where=str(path),
            ) from error
        raise CannotWrite(
            f"The record {path} cannot be written ({error.orig}); check the folder's rights and"
            " the free space.",
            where=str(path),
        ) from error
    except DatabaseError as error:
        raise CannotRead(
            f"{path} is not a readable record ({error.orig}); move it away to start a new one.",
            where=str(path),
        ) from error


def _is_held(error: BaseException | None) -> bool:
    code = getattr(error, "sqlite_errorcode", None)
    return code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
