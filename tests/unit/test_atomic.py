"""Writes are whole or not at all, on real files and real limits."""

import resource
import subprocess
import sys
import textwrap

import pytest

from limbwright.core.atomic import replacing, write_atomically
from limbwright.core.errors import CannotWrite


def test_a_file_is_replaced_and_nothing_is_left_beside_it(tmp_path):
    path = tmp_path / "case.toml"
    write_atomically(path, b"one")
    write_atomically(path, b"two")
    assert path.read_bytes() == b"two"
    assert [item.name for item in tmp_path.iterdir()] == ["case.toml"]


def test_a_missing_folder_is_told_with_its_path(tmp_path):
    with pytest.raises(CannotWrite, match="the folder does not exist"):
        write_atomically(tmp_path / "none" / "case.toml", b"x")


def test_a_file_where_a_folder_is_needed_is_told(tmp_path):
    (tmp_path / "plain").write_text("x")
    with pytest.raises(CannotWrite, match="a file stands where a folder is needed"):
        write_atomically(tmp_path / "plain" / "case.toml", b"x")


def write_half_and_stop(path):
    with replacing(path) as partial:
        partial.write_bytes(b"half")
        raise RuntimeError("stop")


def test_an_error_while_writing_keeps_the_old_file(tmp_path):
    path = tmp_path / "case.toml"
    write_atomically(path, b"old")
    with pytest.raises(RuntimeError, match="stop"):
        write_half_and_stop(path)
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["case.toml"]


def test_a_disk_that_takes_no_more_keeps_the_old_file(tmp_path):
    path = tmp_path / "case.toml"
    write_atomically(path, b"old")
    script = textwrap.dedent(
        f"""
        import resource, signal
        from pathlib import Path
        from limbwright.core.atomic import write_atomically
        from limbwright.core.errors import CannotWrite
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, {resource.RLIM_INFINITY}))
        try:
            write_atomically(Path({str(path)!r}), b"x" * 5000)
        except CannotWrite as error:
            print(error.message)
        """
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert "was not written" in done.stdout
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["case.toml"]
