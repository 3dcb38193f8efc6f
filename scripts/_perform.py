"""Play a scene through the program's own player, as a session would: for the loopback.

Reads one JSON object from stdin: ``settings`` (voice, backend, muted), ``steps`` (a
list of ``[at_s, sheet]`` with the sheet as in the sound protocol, times from the
scene's start), ``stalls`` (``[at_s, length_s]``: the program stands still),
``length_s``, ``lead_s``. Prints two JSON objects, at the start and at the end: the
monotonic time of the start; when each step was really taken, the sound process's
numbers, the notices and the backend.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parent.parent)]

import time  # noqa: E402

from trainer.core.clock import SystemClock  # noqa: E402
from trainer.core.cues.cues import Cue  # noqa: E402
from trainer.core.cues.settings import Backend, SoundSettings, Voice  # noqa: E402
from trainer.sound.opening import open_player  # noqa: E402
from trainer.sound.protocol import sheet_of  # noqa: E402

POLL_S = 0.1


def main() -> None:
    """Perform the scene on stdin."""
    scene = json.load(sys.stdin)
    chosen = scene.get("settings", {})
    clock = SystemClock()
    state = Path(scene.get("state_dir") or tempfile.mkdtemp(prefix="perform-"))
    player = open_player(
        SoundSettings(
            voice=Voice(chosen.get("voice", "tones")),
            backend=Backend(chosen.get("backend", "auto")),
            muted=frozenset(map(Cue, chosen.get("muted", ()))),
        ),
        clock=clock,
        state_dir=state,
    )
    zero_s = clock.now_s() + scene.get("lead_s", 1.5)
    print(json.dumps({"zero_s": zero_s, "pid": getattr(player, "pid", None)}))
    sys.stdout.flush()
    steps = list(scene["steps"])
    stalls = list(scene.get("stalls", ()))
    taken_s, notices, pids = [], [], set()
    while (now_s := clock.now_s() - zero_s) < scene["length_s"]:
        if steps and now_s >= steps[0][0]:
            cues = sheet_of({"cues": steps.pop(0)[1]})
            taken_s.append(clock.now_s() - zero_s)
            player.play([cue.moved(zero_s) for cue in cues])
        if stalls and now_s >= stalls[0][0]:
            time.sleep(stalls.pop(0)[1])
        pids.add(getattr(player, "pid", None))
        notices += [[round(now_s, 2), notice] for notice in player.poll()]
        due_s = min([POLL_S, *(step[0] - now_s for step in steps[:1])])
        time.sleep(max(0.001, due_s))
    name = player.name
    player.close()
    pids.discard(None)
    print(
        json.dumps(
            {"taken_s": taken_s, "notices": notices, "pids": sorted(pids), "name": name}
        )
    )


if __name__ == "__main__":
    main()
