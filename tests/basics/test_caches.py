"""Bounded caches, and the call that empties them all."""

from __future__ import annotations

import threading
import time

from ringtex.basics.caches import BoundedCache, cached, clear_all_caches


def test_the_key_not_used_for_longest_goes() -> None:
    cache: BoundedCache[str, int] = BoundedCache(2)
    cache.put("a", 1)
    cache.put("b", 2)
    assert cache.get("a") == 1
    cache.put("c", 3)
    assert [cache.get(key) for key in "abc"] == [1, None, 3]


def test_threads_that_ask_for_one_key_get_one_value() -> None:
    cache: BoundedCache[int, object] = BoundedCache(2)
    values: list[object] = []

    def make() -> object:
        time.sleep(0.02)
        return object()

    threads = [threading.Thread(target=lambda: values.append(cache.found_or_made(1, make))) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(values) == 8
    assert len({id(value) for value in values}) == 1


def test_all_caches_are_emptied_by_one_call() -> None:
    cache: BoundedCache[str, int] = BoundedCache(2)
    calls: list[int] = []

    @cached(2)
    def square(number: int) -> int:
        calls.append(number)
        return number * number

    cache.put("a", 1)
    assert [square(3), square(3)] == [9, 9]
    assert calls == [3]
    clear_all_caches()
    assert cache.get("a") is None
    assert square(3) == 9
    assert calls == [3, 3]


def test_a_strip_is_made_anew_once_the_caches_are_empty() -> None:
    from ringtex.band.band import Band
    from ringtex.band.band_options import BandOptions, Station
    from ringtex.band.bore import BoreOptions
    from ringtex.strip.unwrap import unwrap

    band = Band(8.6, BoreOptions(), BandOptions("flat", (Station(0.0, 6.0, 2.0, 2.0),)))
    strip = unwrap(band, "shape")
    assert unwrap(band, "shape") is strip
    clear_all_caches()
    assert unwrap(band, "shape") is not strip
