"""The store of costly results."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.cache import Cache

PARTS = st.lists(st.text(max_size=4), max_size=4)


def test_what_was_put_comes_back(tmp_path: Path) -> None:
    cache = Cache(tmp_path / "new")
    assert cache.get("ab12") is None
    cache.put("ab12", b"drawing")
    assert cache.get("ab12") == b"drawing"
    assert Cache(tmp_path / "new").get("ab12") == b"drawing"
    assert [p.name for p in (tmp_path / "new").rglob("*") if p.is_file()] == ["12"]


@pytest.mark.parametrize("damage", [b"", b"abc", b"drawing", b"\0\0\0\0drawing"])
def test_a_damaged_record_is_as_if_it_were_not_there(tmp_path: Path, damage: bytes) -> None:
    cache = Cache(tmp_path)
    cache.put("ab12", b"drawing")
    (tmp_path / "ab" / "12").write_bytes(damage)
    assert cache.get("ab12") is None
    cache.put("ab12", b"drawing")
    assert cache.get("ab12") == b"drawing"


def test_a_store_that_cannot_be_written_is_only_slow(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for cache in (Cache(tmp_path / "file"), Cache(None)):
        assert "ab12" not in cache and cache.get("ab12") is None
        cache.put("ab12", b"x")
        assert "ab12" in cache and cache.get("ab12") == b"x"  # for as long as the program runs
    assert Cache(tmp_path / "file").get("ab12") is None


@given(PARTS, PARTS)
def test_different_parts_have_different_keys(one: list[str], other: list[str]) -> None:
    assert (Cache.key(*one) == Cache.key(*other)) == (one == other)


def test_a_store_that_another_build_fills_at_the_same_time(tmp_path: Path) -> None:
    """A result is there whole from the moment it is there, whoever writes it again."""
    key = Cache.key("drawing")
    results = [bytes([number]) * (1 + number * 50_000) for number in range(3)]
    Cache(tmp_path).put(key, results[0])

    def write(result: bytes) -> None:
        for _ in range(40):
            Cache(tmp_path).put(key, result)

    with ThreadPoolExecutor() as builds:
        running = [builds.submit(write, result) for result in results]
        read = {Cache(tmp_path).get(key)}
        while not all(one.done() for one in running):
            read.add(Cache(tmp_path).get(key))
    assert read <= {*results}
    assert len(list(tmp_path.rglob("*/*"))) == 1
