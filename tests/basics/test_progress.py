"""What a listener hears of stages that take long."""

from __future__ import annotations

from ringtex.basics.progress import Progress


def test_a_long_stage_says_beforehand_what_it_will_take() -> None:
    heard: list[str] = []
    progress = Progress(lambda stage, fraction: heard.append(stage))
    with progress.stage("pattern", 0.5):
        progress.expect(3.0)
        progress.expect(12.8)
        progress.within(0.5)
    with progress.stage("solid", 1.0):
        pass
    assert heard == ["pattern", *["pattern, about 15 s"] * 3, "solid", "solid"]
    assert set(progress.seconds) == {"pattern", "solid"}


def test_what_went_before_counts_towards_a_long_wait() -> None:
    heard: list[str] = []
    progress = Progress(lambda stage, fraction: heard.append(stage))
    progress.seconds["solid"] = 6.0
    with progress.stage("finish", 0.9):
        progress.expect(1.0)
        progress.expect(4.0)
    assert heard == ["finish", *["finish, about 5 s"] * 2]
