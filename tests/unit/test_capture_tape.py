"""Tape sheets, read and compared."""

import pytest

from limbwright.capture.result import LevelMeasure, Measures
from limbwright.capture.tape import read_tape
from limbwright.capture.tape_check import compare
from limbwright.core.errors import CannotRead, InvalidTape
from limbwright.core.findings import Severity
from limbwright.core.sources import Origin

HEAD = "level_below_mpt_mm,tape_mm\n"


def sheet(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "tape.csv"
    path.write_bytes(text.encode(encoding))
    return read_tape(path)


def scanned(*rows):
    return Measures(
        tuple(LevelMeasure(level, tape + 1, tape, 110.0, 105.0, 9000.0) for level, tape in rows),
        1200.0,
        150.0,
    )


def test_levels_and_girths_are_read_and_sorted_from_proximal(tmp_path):
    tape = sheet(tmp_path, HEAD + "40,340.5\n\n-20,385\n0, 370\n")
    assert [(row.level_mm, row.tape_mm) for row in tape.rows] == [
        (-20.0, 385.0),
        (0.0, 370.0),
        (40.0, 340.5),
    ]
    assert tape.levels_mm == (-20.0, 0.0, 40.0)
    assert tape.rows[0].ml_mm is None


def test_optional_columns_are_read_in_any_order_and_others_ignored(tmp_path):
    text = "ap_mm,remark,Tape_mm,perimeter_mm,LEVEL_BELOW_MPT_MM,ml_mm\n105,sore,340,345,20,\n"
    row = sheet(tmp_path, text).rows[0]
    assert (row.level_mm, row.tape_mm, row.ml_mm, row.ap_mm) == (20.0, 340.0, None, 105.0)


def test_a_spreadsheets_semicolons_decimal_commas_and_byte_order_mark_are_read(tmp_path):
    text = "\ufefflevel_below_mpt_mm;tape_mm\r\n20;344,5\r\n"
    assert sheet(tmp_path, text).rows[0].tape_mm == 344.5


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("\n\n", "is empty"),
        (HEAD, "no measure"),
        ("level,tape_mm\n0,370\n", 'no column "level_below_mpt_mm"'),
        ("level_below_mpt_mm,girth\n0,370\n", 'no column "tape_mm"'),
        (HEAD + "0,370\n20,tight\n", 'line 3: tape_mm has "tight"'),
        (HEAD + "0,370\n20\n", "line 3: tape_mm has nothing"),
        (HEAD + "0,370\n,360\n", "line 3: level_below_mpt_mm has nothing"),
        (HEAD + "0,nan\n", "line 2: tape_mm"),
        (HEAD + "0,37\u00b0\n", "line 2: tape_mm"),
        (HEAD + "0,-370\n", "between 10 and 1500"),
        (HEAD + "0,3.7\n", "between 10 and 1500"),
        (HEAD + "0,370\n20,340\n0,371\n", "line 4: level 0 mm stands already in line 2"),
    ],
)
def test_a_faulty_sheet_is_refused_with_its_line(tmp_path, text, words):
    with pytest.raises(InvalidTape, match=words):
        sheet(tmp_path, text)


def test_a_sheet_that_is_not_text_is_refused(tmp_path):
    (tmp_path / "tape.csv").write_bytes(bytes(range(128, 256)))
    with pytest.raises(InvalidTape, match="not a text file"):
        read_tape(tmp_path / "tape.csv")


def test_a_sheet_far_too_large_is_refused(tmp_path):
    with pytest.raises(CannotRead, match="MB large"):
        sheet(tmp_path, HEAD + "0,370\n" * 200_000)


def test_a_missing_sheet_and_a_folder_are_refused(tmp_path):
    with pytest.raises(CannotRead, match="does not exist"):
        read_tape(tmp_path / "none.csv")
    with pytest.raises(CannotRead, match="is a folder"):
        read_tape(tmp_path)


def test_girths_within_known_variation_agree(tmp_path):
    tape = sheet(tmp_path, HEAD + "0,370\n20,350\n40,340\n")
    findings = compare(scanned((0.0, 374.9), (20.0, 345.1), (40.0, 341.0)), tape)
    assert [finding.code for finding in findings] == ["tape-agrees"]
    assert findings[0].value == pytest.approx(4.9)
    # ISO 20685-1 wants the mean with its 95 % range within 4 mm: three levels that differ by
    # +4.9, -4.9 and +1.0 mm leave 0.3 +- 5.6 mm.
    assert findings[0].severity is Severity.NOTE
    assert "is not shown" in findings[0].text


def test_scan_and_tape_that_agree_on_the_whole_are_approved(tmp_path):
    tape = sheet(tmp_path, HEAD + "0,370\n20,350\n40,340\n60,330\n")
    near = scanned((0.0, 371.0), (20.0, 350.0), (40.0, 341.0), (60.0, 331.0))
    (finding,) = compare(near, tape)
    assert finding.code == "tape-agrees"
    assert finding.severity is Severity.OK


def test_a_girth_beyond_known_variation_is_flagged_where_it_is(tmp_path):
    tape = sheet(tmp_path, HEAD + "0,370\n20,350\n40,340\n")
    findings = compare(scanned((0.0, 370.0), (20.0, 357.0), (40.0, 340.0)), tape)
    (finding,) = findings
    assert finding.code == "girth-differs-from-tape"
    assert finding.severity is Severity.WARNING
    assert finding.where == "20 mm below MPT"
    assert (finding.value, finding.limit, finding.unit) == (pytest.approx(7.0), 5.0, "mm")
    # What two raters' tapes may differ by is from memory: it may explain and not decide.
    assert finding.source.origin is Origin.PUBLISHED
    assert "from memory" in finding.text


def test_a_shift_at_all_levels_is_told_as_one_bias(tmp_path):
    tape = sheet(tmp_path, HEAD + "0,370\n20,350\n40,340\n60,330\n")
    same_way = scanned((0.0, 374.7), (20.0, 354.8), (40.0, 344.6), (60.0, 334.7))
    (finding,) = compare(same_way, tape)
    assert finding.code == "scan-and-tape-biased"
    assert finding.value == pytest.approx(4.7)


def test_widths_are_compared_where_they_were_taken(tmp_path):
    text = "level_below_mpt_mm,tape_mm,ml_mm,ap_mm\n0,370,115,\n20,350,112,101\n"
    findings = compare(scanned((0.0, 370.0), (20.0, 350.0)), sheet(tmp_path, text))
    assert [(f.code, f.where, round(f.value)) for f in findings] == [
        ("ml-differs-from-tape", "at the mid-patellar-tendon level", -5)
    ]


def test_levels_without_a_partner_are_left_out(tmp_path):
    assert compare(scanned((0.0, 370.0)), sheet(tmp_path, HEAD + "20,350\n")) == ()
