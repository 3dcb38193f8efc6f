"""The terminal's bell and the silent player, on a clock that a test holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.core.clock import ManualClock
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound.bell import LATE_S, RING_EVERY_S, RINGS, BellPlayer
from trainer.sound.opening import open_player
from trainer.sound.player import Player, RecordingPlayer

SHEET = (TimedCue(1.0, Cue.IN, 4.0), TimedCue(2.0, Cue.HOLD), TimedCue(5.0, Cue.TARGET))


class Tower:
    """Counts the rings, polled ten times a second."""

    def __init__(self, **chosen: object) -> None:
        self.clock = ManualClock()
        self.rung_s: list[float] = []
        settings = SoundSettings(backend=Backend.BELL, **chosen)  # type: ignore[arg-type]
        self.player: Player = open_player(
            settings, clock=self.clock, state_dir=Path("unused"), ring=self.ring
        )

    def ring(self) -> None:
        self.rung_s.append(round(self.clock.now_s(), 3))

    def wait(self, seconds: float) -> None:
        for _ in range(round(seconds * 10)):
            self.clock.advance(0.1)
            assert () == self.player.poll()


def test_cues_ring_by_count_at_their_times() -> None:
    """A hold rings twice, the target three times, a breath not at all."""
    tower = Tower()
    tower.player.play(SHEET)
    tower.wait(7)

    assert 2 == len([at for at in tower.rung_s if 2.0 <= at < 3])
    assert 3 == len([at for at in tower.rung_s if 5.0 <= at < 6])
    assert 5 == len(tower.rung_s)


def test_a_sheet_sent_again_rings_nothing_twice() -> None:
    """The whole sheet comes again at every change; what was rung stays rung."""
    tower = Tower()
    for _ in range(70):
        tower.player.play(SHEET)
        tower.wait(0.1)

    assert 5 == len(tower.rung_s)


def test_no_burst_of_late_bells() -> None:
    """After a stall what is past is dropped; one poll rings once at most."""
    tower = Tower()
    tower.player.play([TimedCue(n / 10, Cue.LAST_TICK) for n in range(1, 60)])
    tower.clock.advance(6 + LATE_S)
    tower.wait(1)

    assert [] == tower.rung_s


def test_muted_silenced_and_at_volume_0_nothing_rings() -> None:
    """Settings hold for the bell too."""
    muted = Tower(muted=frozenset({Cue.HOLD}))
    muted.player.play(SHEET)
    muted.wait(7)
    assert 3 == len(muted.rung_s)

    off = Tower(volume=0.0)
    off.player.play(SHEET)
    off.wait(7)
    assert [] == off.rung_s

    silenced = Tower()
    silenced.player.play(SHEET)
    silenced.player.silence()
    silenced.wait(7)
    silenced.player.close()
    assert [] == silenced.rung_s


def test_rings_of_a_cue_fit_before_the_next() -> None:
    """Three rings take less than the second that separates last ticks."""
    assert max(RINGS.values()) * RING_EVERY_S < 1


def test_silence_can_be_chosen() -> None:
    """The silent player is what its name says, and says nothing."""
    player = open_player(
        SoundSettings(backend=Backend.SILENT), clock=ManualClock(), state_dir=Path("no")
    )
    player.play(SHEET)
    player.change(SoundSettings())
    player.silence()

    assert () == player.poll()
    assert "silent" == player.name
    player.close()


def test_the_recording_player_keeps_what_it_was_given() -> None:
    """Sheets in order, silence as an empty one, notices once: others rely on it."""
    player = RecordingPlayer()
    player.play(list(SHEET))
    player.silence()
    player.notices.append("said")
    player.close()

    assert [SHEET, ()] == player.sheets
    assert ("said",) == player.poll()
    assert () == player.poll()
    assert player.closed
    assert not isinstance(player, BellPlayer)


@pytest.mark.parametrize("volume", [-0.1, 1.1])
def test_a_volume_out_of_bounds_is_refused(volume: float) -> None:
    """0 to 1 and nothing else."""
    with pytest.raises(ValueError, match="0 to 1"):
        SoundSettings(volume=volume)
