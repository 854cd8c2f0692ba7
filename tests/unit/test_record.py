"""The record keeps every revision and refuses any change of what it holds."""

import sqlite3

import pytest

from limbwright.case.document import CaseDocument
from limbwright.core.errors import CannotRead, CannotWrite, Conflict
from limbwright.record.store import (
    RECORD_FILE,
    append_revision,
    latest_revision,
    open_record,
    revision,
    revision_list,
    synchronise,
)


def document(mass_kg: float = 70.0) -> CaseDocument:
    return CaseDocument.model_validate(
        {
            "person": {
                "code": "p1",
                "side": "left",
                "mass_kg": mass_kg,
                "stature_mm": 1700,
                "activity": "K2",
            },
            "capture": {"scan": "scan.stl", "landmarks": {"points": {}}},
        }
    )


def test_revisions_come_back_as_they_were_saved(tmp_path):
    record = open_record(tmp_path)
    append_revision(record, document(70), base=0, note="first")
    append_revision(record, document(71), base=1)
    assert revision(record, 1).document == document(70)
    assert latest_revision(record).document == document(71)
    assert [(number, note) for number, _, note in revision_list(record)] == [(1, "first"), (2, "")]


def test_a_change_made_on_an_old_revision_is_refused_and_overwrites_nothing(tmp_path):
    record = open_record(tmp_path)
    append_revision(record, document(70), base=0)
    append_revision(record, document(71), base=1)
    with pytest.raises(Conflict, match="stands at revision 2"):
        append_revision(open_record(tmp_path), document(72), base=1)
    assert latest_revision(record).document == document(71)


@pytest.mark.parametrize(
    "statement", ["UPDATE revisions SET document = 'x'", "DELETE FROM revisions"]
)
def test_the_database_itself_refuses_to_change_a_revision(tmp_path, statement):
    record = open_record(tmp_path)
    append_revision(record, document(), base=0)
    connection = sqlite3.connect(tmp_path / RECORD_FILE)
    try:
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            connection.execute(statement)
    finally:
        connection.close()
    assert latest_revision(record).document == document()


def test_a_document_changed_by_hand_becomes_a_revision_of_its_own(tmp_path):
    record = open_record(tmp_path)
    assert synchronise(record, document(70)).number == 1
    assert synchronise(record, document(70)).number == 1
    changed = synchronise(record, document(80))
    assert (changed.number, changed.note) == (2, "changed outside the workshop")


def test_a_file_that_is_no_record_is_told_and_left_alone(tmp_path):
    path = tmp_path / RECORD_FILE
    path.write_bytes(b"this is not a database, and it is long enough to be looked at" * 20)
    with pytest.raises(CannotRead, match="not a readable record"):
        open_record(tmp_path)
    assert path.read_bytes().startswith(b"this is not a database")


def test_a_missing_folder_is_told(tmp_path):
    with pytest.raises(CannotWrite, match="cannot be written"):
        open_record(tmp_path / "none")


def test_what_goes_alongside_a_revision_fails_together_with_it(tmp_path):
    record = open_record(tmp_path)

    def fail():
        raise CannotWrite("the disk is full")

    with pytest.raises(CannotWrite, match="disk is full"):
        append_revision(record, document(), base=0, alongside=fail)
    assert latest_revision(record) is None
    done = []
    append_revision(record, document(), base=0, alongside=lambda: done.append(True))
    with pytest.raises(Conflict):
        append_revision(record, document(71), base=0, alongside=lambda: done.append(True))
    assert done == [True]


def changed_behind_its_back(tmp_path, statement):
    connection = sqlite3.connect(tmp_path / RECORD_FILE)
    connection.execute("DROP TRIGGER revisions_keep_UPDATE")
    connection.execute(statement)
    connection.commit()
    connection.close()


def test_a_revision_that_was_altered_in_the_file_is_not_handed_out(tmp_path):
    record = open_record(tmp_path)
    append_revision(record, document(70), base=0)
    changed_behind_its_back(
        tmp_path, "UPDATE revisions SET document = replace(document, '70.0', '90.0')"
    )
    with pytest.raises(CannotRead, match=r"Revision 1 .* is not as it was saved"):
        latest_revision(record)


def test_a_revision_in_the_words_of_another_version_can_be_succeeded(tmp_path):
    record = open_record(tmp_path)
    append_revision(record, document(70), base=0)
    changed_behind_its_back(
        tmp_path, "UPDATE revisions SET document = replace(document, 'mass_kg', 'weight_kg')"
    )
    assert synchronise(record, document(70)).number == 2
    assert latest_revision(record).document == document(70)
