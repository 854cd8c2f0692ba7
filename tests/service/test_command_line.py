"""The command line as a user meets it: a process, its exit code, what it prints, what it leaves."""

import json
import os
import re
import shutil
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh

from limbwright.case.folder import CASE_FILE, read_case, write_case
from limbwright.cli import main
from limbwright.core.stages import STAGE_NAMES
from limbwright.shape.plan import AreaName


def run(capsys, *words: object) -> tuple[int, str, str]:
    capsys.readouterr()
    try:
        code = main([str(word) for word in words])
    except SystemExit as stop:
        code = int(stop.code or 0)
    out = capsys.readouterr()
    return code, out.out, out.err


def new_words(folder: Path, source: Path, **changes: object) -> list[object]:
    options: dict[str, object] = {
        "scan": source / "scan.stl",
        "side": "right",
        "landmarks": source / "landmarks.json",
        "mass-kg": "74",
        "stature-mm": "1730",
        "activity": "K2",
        **changes,
    }
    words: list[object] = ["new", folder]
    for name, value in options.items():
        words += [f"--{name}", value]
    return words


def tree(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_help_names_every_command_without_loading_the_engine():
    script = (
        "import sys; from limbwright.cli import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "print([n for n in ('numpy', 'scipy', 'numba', 'trimesh', 'pydantic') if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    for name in ("demo", "new", "measure", "evaluate", "make", "serve", "coupon", "whatif"):
        assert name in done.stdout
    assert done.stdout.rstrip().endswith("[]")


def test_coupon_turns_forces_into_strength_modulus_and_a_lower_value(capsys):
    # 3·F·L/(2·b·h²) and F·L³/(4·b·h³·d) by hand: 133.3 MPa and 8192 MPa.
    words = "coupon --span 96 --width 15 --thickness 6 --force 500 510 490 --deflection 4.166667"
    code, out, _ = run(capsys, *words.split(), "--json")
    answer = json.loads(out)
    assert code == 0
    assert answer["specimens"][0]["strength_mpa"] == pytest.approx(133.33, abs=0.01)
    assert answer["specimens"][0]["modulus_mpa"] == pytest.approx(8192.0, rel=1e-4)
    assert answer["summary"]["mean_mpa"] == pytest.approx(133.33, abs=0.01)
    # EN 1990 table D.1: 3.37 standard deviations under the mean of three
    lower = 133.33 - 3.37 * 133.33 * 10.0 / 500.0
    assert answer["summary"]["lower_mpa"] == pytest.approx(lower, abs=0.02)
    code, out, _ = run(capsys, *words.split())
    assert code == 0
    assert "19 of 20" in out


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("--span 96 --width 15 --thickness 6 --force 0", "force_n"),
        ("--span 96 --width 15 --thickness 6 6 6 --force 500 510", "--force"),
    ],
)
def test_coupon_names_what_cannot_be_meant(capsys, words, named):
    code, _, err = run(capsys, "coupon", *words.split())
    assert code == 2
    assert named in err


def test_measure_tells_unit_repairs_and_levels_as_the_contract_says(capsys, demo_folder):
    code, out, _ = run(
        capsys,
        "measure",
        demo_folder / "scan.stl",
        "--landmarks",
        demo_folder / "landmarks.json",
        "--step",
        "20",
        "--json",
    )
    result = json.loads(out)
    assert code == 0
    assert set(result) >= {"unit", "repairs", "levels", "volume_below_datum_ml"}
    keys = {"level_mm", "perimeter_mm", "tape_mm", "ml_mm", "ap_mm", "area_mm2"}
    assert all(set(level) == keys for level in result["levels"])
    steps = np.diff([level["level_mm"] for level in result["levels"]])
    assert np.allclose(steps, 20)


def test_pressures_are_put_beside_those_of_another_case_and_the_case_stays(capsys, demo_copy):
    other = demo_copy.parent / "deeper"
    shutil.copytree(demo_copy, other)
    case = read_case(other)
    areas = tuple(
        area.model_copy(update={"depth_mm": area.depth_mm - 1.5})
        if area.name is AreaName.PATELLAR_TENDON
        else area
        for area in case.shape.areas
    )
    shape = case.shape.model_copy(update={"areas": areas})
    write_case(other, case.model_copy(update={"shape": shape}))
    before = (other / CASE_FILE).read_bytes()
    words = ("evaluate", other, "--stage", "prove", "--engine", "spring_bed", "--json")
    code, out, err = run(capsys, *words, "--against", demo_copy)
    found = json.loads(out)
    assert (code, err) == (0, "")
    assert (other / CASE_FILE).read_bytes() == before
    pair = next(
        one
        for one in found["against"]["pairs"]
        if (one["area"], one["load_case"]) == ("patellar_tendon", "standing")
    )
    # pressed in farther, the tendon bears more
    assert pair["mean_kpa"][1] > pair["mean_kpa"][0] > 0
    assert pair["mean_change_kpa"] == pytest.approx(pair["mean_kpa"][1] - pair["mean_kpa"][0])
    proof = found["stages"]["prove"]["results"]
    assert proof["uncertainty"]["engine"] == "spring_bed"
    assert len(proof["what_if"]) == 5
    assert any("not validated on people" in text for text in proof["cautions"])
    for reading in proof["readings"]:
        for case in reading["cases"]:
            low, high = case["mean_band_kpa"]
            assert low <= case["mean_kpa"] + 1e-6
            assert high >= case["mean_kpa"] - 1e-6


def test_there_is_nothing_to_compare_with_a_revision_that_was_never_stored(capsys, demo_copy):
    words = ("evaluate", demo_copy, "--stage", "assess", "--against", "3")
    code, _, err = run(capsys, *words)
    assert code == 2
    assert "no record of revisions" in err


def test_pressures_of_a_left_and_a_right_limb_are_not_compared(capsys, demo_copy, tmp_path):
    code, *_ = run(capsys, "demo", tmp_path / "left", "--side", "left")
    assert code == 0
    words = ("evaluate", demo_copy, "--stage", "assess", "--against", tmp_path / "left")
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert "right limb" in err
    assert "left one" in err


def test_a_number_too_long_for_a_revision_is_no_fault(capsys, demo_copy):
    words = ("evaluate", demo_copy, "--stage", "assess", "--against", "9" * 5000)
    assert run(capsys, *words)[0] == 2


def test_evaluate_prints_the_same_bytes_twice_and_every_stage(capsys, demo_folder):
    code, first, _ = run(capsys, "evaluate", demo_folder, "--stage", "prove", "--json")
    again, second, _ = run(capsys, "evaluate", demo_folder, "--stage", "prove", "--json")
    assert first == second
    assert code == again
    result = json.loads(first)
    assert tuple(result["stages"]) == STAGE_NAMES
    assert result["stages"]["make"]["state"] == "not asked"
    assert code == (1 if result["stops_job"] else 0)


def test_evaluating_leaves_the_case_as_it_was(capsys, demo_copy):
    before = tree(demo_copy)
    run(capsys, "evaluate", demo_copy, "--stage", "shape")
    assert tree(demo_copy) == before


@pytest.mark.slow
def test_every_finding_with_a_limit_has_a_unit_and_a_source(capsys, demo_folder):
    _, out, _ = run(capsys, "evaluate", demo_folder, "--json")
    for finding in json.loads(out)["findings"]:
        if finding["limit"] is not None:
            assert finding["source"], finding
        assert finding["basis"]


@pytest.mark.slow
def test_make_writes_all_files_and_the_parts_are_watertight(capsys, demo_copy, tmp_path):
    out_folder = tmp_path / "out"
    code, out, _ = run(capsys, "make", demo_copy, "--out", out_folder, "--json")
    assert code in (0, 1)
    names = {Path(name).name for name in json.loads(out)["files"]}
    assert names == {path.name for path in out_folder.iterdir()}
    for name in ("socket_right.stl", "positive_model_right.stl", "socket_right.3mf"):
        body = trimesh.load(out_folder / name, force="mesh")
        assert body.is_watertight
        assert body.volume > 0
    for name in ("work_order.pdf", "template_true_size.pdf"):
        assert (out_folder / name).read_bytes().startswith(b"%PDF")


def test_new_copies_the_files_and_says_what_was_found(capsys, demo_folder, tmp_path):
    target = tmp_path / "case"
    code, out, _ = run(capsys, *new_words(target, demo_folder, tape=demo_folder / "tape.csv"))
    assert code == 0
    assert "right limb" in out
    assert {"case.toml", "scan.stl", "tape.csv"} <= {path.name for path in target.iterdir()}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"mass-kg": "163lb"}, "plain number"),
        ({"mass-kg": "163"}, "pounds"),
        ({"stature-mm": "173"}, "stature_mm"),
        ({"activity": "K9"}, "activity"),
        ({"side": "left"}, "right limb"),
        ({"scan": Path("nowhere.stl")}, "does not exist"),
        ({"landmarks": Path("nowhere.json")}, "does not exist"),
    ],
)
def test_bad_entries_get_one_clear_sentence_and_leave_nothing(
    capsys, demo_folder, tmp_path, changes, words
):
    target = tmp_path / "case"
    code, _, err = run(capsys, *new_words(target, demo_folder, **changes))
    assert code == 2
    assert words in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def two_limbs(scan: bytes) -> bytes:
    """The same scan twice in one file, 400 units apart."""
    count = struct.unpack("<I", scan[80:84])[0]
    face = np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("u", "<u2")])
    faces = np.frombuffer(scan[84:], face).copy()
    other = faces.copy()
    extent = float(np.ptp(faces["v"].reshape(-1, 3), axis=0).max())
    other["v"][..., 0] += 2 * extent
    both = np.concatenate([faces, other])
    return scan[:80] + struct.pack("<I", 2 * count) + both.tobytes()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda data: b"", "empty"),
        (lambda data: data[: len(data) // 2], "cut off"),
        (lambda data: b"solid nothing\nfacet normal a b c\nendsolid", "number|triangle"),
        (two_limbs, "two|bodies|separate"),
    ],
)
def test_a_spoilt_scan_is_refused_and_leaves_nothing(capsys, demo_folder, tmp_path, spoil, words):

    source = tmp_path / "source"
    source.mkdir()
    shutil.copy(demo_folder / "landmarks.json", source)
    (source / "scan.stl").write_bytes(spoil((demo_folder / "scan.stl").read_bytes()))
    code, _, err = run(capsys, *new_words(tmp_path / "case", source))
    assert code == 2
    assert re.search(words, err)
    assert "Traceback" not in err
    assert not (tmp_path / "case").exists()


def test_a_landmark_off_the_limb_is_named_with_its_distance(capsys, demo_folder, tmp_path):
    source = tmp_path / "source"
    source.mkdir()
    shutil.copy(demo_folder / "scan.stl", source)
    data = json.loads((demo_folder / "landmarks.json").read_text(encoding="utf-8"))
    data["points"]["fibular_head"] = [value + 60.0 for value in data["points"]["fibular_head"]]
    (source / "landmarks.json").write_text(json.dumps(data))
    code, _, err = run(capsys, *new_words(tmp_path / "case", source))
    assert code == 2
    assert "fibular" in err
    assert " mm" in err


def test_a_trim_line_above_the_scan_is_refused_and_the_case_kept(capsys, demo_copy):
    path = demo_copy / "case.toml"
    text = path.read_text(encoding="utf-8").replace("anterior_mm = 22.0", "anterior_mm = 190.0")
    path.write_text(text)
    code, _, err = run(capsys, "evaluate", demo_copy)
    assert code == 1
    assert "trim" in err
    assert path.read_text(encoding="utf-8") == text


def test_every_problem_of_a_case_is_told_at_once(capsys, demo_copy):
    path = demo_copy / "case.toml"
    path.write_text(
        path.read_text(encoding="utf-8")
        .replace("mass_kg = 74.0", 'mass_kg = "heavy"')
        .replace("thickness_mm = 6.0", "thicknes_mm = 6.0")
    )
    code, _, err = run(capsys, "evaluate", demo_copy)
    assert code == 2
    assert "person.mass_kg" in err
    assert "liner.thicknes_mm" in err


@pytest.mark.skipif(os.name != "posix", reason="file size limits of POSIX")
@pytest.mark.slow
def test_a_disk_that_fills_up_while_writing_keeps_what_was_there(demo_folder, tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    (out / "work_order.pdf").write_bytes(b"the old order")
    script = (
        "import resource, signal, sys; from limbwright.cli import main\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, resource.RLIM_INFINITY))\n"
        f"sys.exit(main(['make', {str(demo_folder)!r}, '--out', {str(out)!r}]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "was not written" in done.stderr
    assert "Traceback" not in done.stderr
    assert [path.name for path in out.iterdir()] == ["work_order.pdf"]
    assert (out / "work_order.pdf").read_bytes() == b"the old order"


def test_outputs_are_replaced_together_or_not_at_all(capsys, demo_folder, tmp_path):
    out = tmp_path / "out"
    (out / "work_order.pdf").mkdir(parents=True)
    (out / "socket_right.stl").write_bytes(b"the old socket")
    code, _, err = run(capsys, "make", demo_folder, "--out", out)
    assert code == 2
    assert "work_order.pdf was not written: a folder stands" in err
    assert {path.name for path in out.iterdir()} == {"work_order.pdf", "socket_right.stl"}
    assert (out / "socket_right.stl").read_bytes() == b"the old socket"
    code, _, err = run(capsys, "make", demo_folder, "--out", out / "socket_right.stl")
    assert code == 2
    assert "a file stands where a folder is needed" in err


def test_an_existing_case_is_not_written_over(capsys, demo_copy):
    before = tree(demo_copy)
    code, _, err = run(capsys, "demo", demo_copy)
    assert code == 2
    assert "not empty" in err
    assert tree(demo_copy) == before


@pytest.mark.parametrize("step", ["0", "-5", "nan", "inf", "1e-9", "wide"])
def test_a_step_that_gives_no_levels_is_refused(capsys, demo_folder, step):
    scan, marks = demo_folder / "scan.stl", demo_folder / "landmarks.json"
    code, out, err = run(capsys, "measure", scan, "--landmarks", marks, f"--step={step}")
    assert (code, out) == (2, "")
    assert "between 1 and 200 mm" in err


@pytest.mark.parametrize("port", ["-1", "65536", "1.5", "nan", "http"])
def test_an_impossible_port_is_refused(capsys, demo_folder, port):
    code, _, err = run(capsys, "serve", demo_folder, f"--port={port}")
    assert code == 2
    assert "0 to 65535" in err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device of Linux")
@pytest.mark.parametrize("words", [[], ["--json"]])
def test_an_answer_that_cannot_be_written_is_told_in_one_sentence(demo_folder, words):
    command = [sys.executable, "-m", "limbwright.cli", "evaluate", str(demo_folder), *words]
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*command, "--stage", "assess"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr.startswith("limbwright: the answer could not be written")
    assert done.stderr.count("\n") == 1


def test_an_encoding_without_our_letters_gets_the_answer_all_the_same(demo_folder):
    command = [sys.executable, "-m", "limbwright.cli", "evaluate", str(demo_folder)]
    for words in (["--stage", "capture"], ["--stage", "capture", "--json"]):
        done = subprocess.run(
            [*command, *words],
            env={**os.environ, "PYTHONIOENCODING": "ascii"},
            capture_output=True,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["stages"]["capture"]["state"] == "ready"


def test_a_fault_in_the_program_is_told_as_one_and_not_as_a_finding(
    capsys, demo_folder, monkeypatch
):
    def fail(options):
        raise IndexError("no such row")

    monkeypatch.setattr("limbwright.commands.COMMANDS", {"evaluate": fail})
    code, _, err = run(capsys, "evaluate", demo_folder)
    assert code == 3
    assert "a fault in the program" in err
    assert "Traceback" not in err
    monkeypatch.setenv("LIMBWRIGHT_TRACE", "1")
    with pytest.raises(IndexError):
        main(["evaluate", str(demo_folder)])


def landmark_file(folder: Path, source: Path, change) -> Path:
    data = json.loads((source / "landmarks.json").read_text())
    path = folder / "landmarks.json"
    content = change(data)
    path.write_bytes(content if isinstance(content, bytes) else json.dumps(data).encode())
    return path


def with_point(name: str, point: object):
    return lambda data: data["points"].update({name: point})


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (with_point("limb_end", ["1", "2", "3"]), "must be a number, not '1'"),
        (with_point("limb_end", [True, 2, 3]), "must be a number"),
        (with_point("limb_end", [1, 2]), r"limb_end\[2\] is missing"),
        (with_point("limb_end", {"x": 1}), "must be a list"),
        (with_point("limb_end", [1e200, 0, 0]), "which no scan has in any unit"),
        (with_point("limb_end", [float("nan"), 0, 0]), "finite number"),
        (with_point("big_toe", [1, 2, 3]), "Unknown landmark big_toe; known are mid_patellar"),
        (
            lambda data: data.update(
                points={name: data["points"]["limb_end"] for name in data["points"]}
            ),
            "in the same place",
        ),
        (lambda data: b'{"points":' + b"[" * 100_000, "not JSON"),
        (lambda data: b'{"points": {"limb_end": [%s, 0, 0]}}' % (b"9" * 5000), "not JSON"),
        (lambda data: b'{"points": {"limb_end": [1,2,3], "limb_end": [1,2,4]}}', "twice"),
        (lambda data: b'{"points": {"\\ud800": [1, 2, 3]}}', "Unknown landmark"),
        (lambda data: b" " * (5 << 20), "no file of this kind"),
    ],
)
def test_landmarks_that_cannot_be_meant_are_refused_in_words(
    capsys, demo_folder, tmp_path, change, words
):
    path = landmark_file(tmp_path, demo_folder, change)
    scan = demo_folder / "scan.stl"
    code, out, err = run(capsys, "measure", scan, "--landmarks", path, "--json")
    assert code == 2
    assert re.search(words, err)
    assert json.loads(out)["error"]["message"]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_byte_order_mark_is_understood(capsys, demo_copy, encoding):
    marks, case = demo_copy / "landmarks.json", demo_copy / "case.toml"
    scan = demo_copy / "scan.stl"
    plain = run(capsys, "measure", scan, "--landmarks", marks, "--json")
    marks.write_bytes(marks.read_text().encode(encoding))
    assert run(capsys, "measure", scan, "--landmarks", marks, "--json") == plain
    case.write_bytes(b"\xef\xbb\xbf" + case.read_text().replace("\n", "\r\n").encode())
    code, _, err = run(capsys, "evaluate", demo_copy, "--stage", "assess")
    assert (code, err) == (0, "")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes of POSIX")
def test_a_pipe_in_place_of_a_file_is_refused_and_not_waited_for(capsys, demo_copy, tmp_path):
    pipe = tmp_path / "pipe.stl"
    os.mkfifo(pipe)
    scan, marks = demo_copy / "scan.stl", demo_copy / "landmarks.json"
    for first, second in ((pipe, marks), (scan, pipe)):
        code, _, err = run(capsys, "measure", first, "--landmarks", second)
        assert code == 2
        assert "pipe or a device" in err
    code, _, err = run(capsys, *new_words(tmp_path / "case", demo_copy, tape=pipe))
    assert code == 2
    assert "pipe or a device" in err
    (demo_copy / "case.toml").unlink()
    os.mkfifo(demo_copy / "case.toml")
    code, _, err = run(capsys, "evaluate", demo_copy)
    assert code == 2
    assert "pipe or a device" in err
