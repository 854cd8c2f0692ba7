"""A cache never decides: whatever stands in its file, it is used whole or not at all."""

import io
import json

import numpy as np
import pytest

from limbwright.case.cache import CACHE_FOLDER, load_cached, store_cached
from limbwright.core.mesh import Mesh

MESH = Mesh(np.eye(3), np.array([[0, 1, 2]], dtype=np.int32))


def path_in(folder):
    return folder / CACHE_FOLDER / "capture.npz"


def loaded(folder, key="k"):
    return load_cached(folder, "capture", key, Mesh)


def stored(folder, content=None):
    store_cached(folder, "capture", "k", MESH)
    if content is not None:
        path_in(folder).write_bytes(content)


def archive(**arrays) -> bytes:
    buffer = io.BytesIO()
    np.savez(buffer, **arrays)
    return buffer.getvalue()


def test_what_was_stored_comes_back_under_its_key_only(tmp_path):
    assert loaded(tmp_path) is None
    stored(tmp_path)
    assert np.array_equal(loaded(tmp_path).vertices, MESH.vertices)
    assert loaded(tmp_path, "other") is None


@pytest.mark.parametrize("form", ["", "[1]", "null", "{}", '{"key": "k"}', "[" * 100_000])
def test_a_form_that_means_nothing_is_no_result(tmp_path, form):
    stored(tmp_path, archive(form=np.array(form)))
    assert loaded(tmp_path) is None


@pytest.mark.parametrize("length", [0, 1, 100, -30])
def test_a_cut_off_file_is_no_result(tmp_path, length):
    stored(tmp_path)
    whole = path_in(tmp_path).read_bytes()
    stored(tmp_path, whole[:length])
    assert loaded(tmp_path) is None


def test_numbers_that_are_none_are_no_result(tmp_path):
    stored(tmp_path)
    with np.load(path_in(tmp_path)) as kept:
        arrays = {name: kept[name] for name in kept.files}
    assert json.loads(str(arrays["form"]))["key"] == "k"
    spoilt = {n: a * np.nan if a.dtype == np.float64 else a for n, a in arrays.items()}
    stored(tmp_path, archive(**spoilt))
    assert loaded(tmp_path) is None


def test_a_folder_that_takes_no_cache_is_no_error(tmp_path):
    (tmp_path / CACHE_FOLDER).write_text("in the way")
    store_cached(tmp_path, "capture", "k", MESH)
    assert loaded(tmp_path) is None
