"""How well cues keep their time, heard through a loopback: tables for people.

    bench_sound.py [--quick]

For each engine that is installed. A 60 s hold of both families, idle, with the program
stalled for half a second, and with every core busy: onsets against the timeline by a
matched filter, as the spread about their median. For each kind of cut-over: how long
after the key the old sound is gone and the new one begins. What is measured in the same
circumstances is played at the same time, each on a server of its own. Nothing here
passes or fails; tests hold the rules.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "scripts")]

with contextlib.suppress(ImportError):  # ``missing`` says so before it is needed
    import numpy as np
from _loopback import Loopback, load, loopback, missing  # noqa: E402

from trainer.core.cues.breathing import DEFAULT  # noqa: E402
from trainer.core.cues.cues import TimedCue  # noqa: E402
from trainer.core.cues.settings import SoundSettings, Voice  # noqa: E402
from trainer.core.cues.timeline import (  # noqa: E402
    come_out_cues,
    hold_cues,
    merge,
    rest_cues,
    setup_cues,
)
from trainer.core.model import EndOfHold  # noqa: E402
from trainer.sound import clips  # noqa: E402
from trainer.sound.mix import Voicing, place, render  # noqa: E402
from trainer.sound.process import ENGINES  # noqa: E402
from trainer.sound.synth import samples_of  # noqa: E402
from trainer.sound.tones import RATE_HZ  # noqa: E402

SEARCH_S = 0.15
"""How far from its time a cue is looked for."""
BREATH_TEMPLATE_S = 1.5
PERFORM = (sys.executable, str(ROOT / "scripts" / "_perform.py"))

Sheet = tuple[TimedCue, ...]


def hold_sheet(*, press: bool, hold_s: float, setup_s: float = 8.0) -> Sheet:
    """Make a whole set of HOLD_S, set-up to rest."""
    parts = (
        (0.0, setup_cues(setup_s=setup_s, go_up_lead_s=3)),
        (
            setup_s,
            hold_cues(
                target_s=hold_s,
                pattern=DEFAULT,
                end_of_hold=EndOfHold.STOP,
                limit_s=None,
                press=press,
            ),
        ),
        (setup_s + hold_s, come_out_cues(come_out_s=4, early=False)),
        (setup_s + hold_s + 4, rest_cues(rest_s=60, last=False)),
    )
    return merge(*([cue.moved(by_s) for cue in cues] for by_s, cues in parts))


def scene(
    steps: Sequence[tuple[float, Sheet]], length_s: float, **more: Any
) -> dict[str, Any]:
    """Give a scene for the performer."""
    return {
        "steps": [
            [at_s, [[c.at_s, c.cue.value, c.length_s, c.stride] for c in sheet]]
            for at_s, sheet in steps
        ],
        "length_s": length_s,
        **more,
    }


def perform(
    loop: Loopback, played: dict[str, Any]
) -> tuple[Any, float, dict[str, Any]]:
    """Perform and record; give samples, where the scene starts (s), and the report."""
    loop.record()
    done = subprocess.run(
        PERFORM,
        input=json.dumps(played).encode(),
        env=loop.env,
        stdout=subprocess.PIPE,
        check=True,
        timeout=played["length_s"] + 30,
    )
    report: dict[str, Any] = {}
    for line in done.stdout.splitlines():
        report |= json.loads(line)
    samples, first_s = loop.heard()
    return samples, report["zero_s"] - first_s, report


def onsets(samples: Any, zero_s: float, sheet: Sheet) -> list[tuple[TimedCue, float]]:
    """Find every cue of SHEET by a matched filter; give how late each came (s)."""
    voicing = Voicing(clips.load(), SoundSettings(voice=Voice.TONES))
    found = []
    for cue in sheet:
        tone = voicing.tone(cue)
        if tone is None:
            continue
        template = np.array(tone.samples, dtype=float)[: samples_of(BREATH_TEMPLATE_S)]
        first = samples_of(zero_s + cue.at_s - SEARCH_S)
        around = samples[
            max(0, first) : first + len(template) + samples_of(2 * SEARCH_S)
        ]
        if len(around) < len(template):
            continue
        match = np.correlate(around, template, "valid")
        power = np.sqrt(
            np.convolve(around**2, np.ones(len(template)), "valid") + 1e-9
        ) * np.linalg.norm(template)
        at = int(np.argmax(match / power))
        if match[at] / power[at] > 0.4:
            found.append((cue, at / RATE_HZ - SEARCH_S))
    return found


def spread_ms(late_s: Sequence[float]) -> tuple[float, float, float]:
    """Give p50, p99 and the largest distance from the median, in milliseconds.

    Where nothing was heard they are nan, and the table shows it as that.
    """
    if not len(late_s):
        return (float("nan"),) * 3
    away = np.abs(np.array(late_s) - np.median(late_s)) * 1000
    p50, p99 = np.percentile(away, (50, 99))
    return float(p50), float(p99), float(np.max(away))


def cut_over_ms(
    samples: Any,
    zero_s: float,
    late_s: float,
    *,
    old: Sheet,
    new: Sheet,
    key_s: float,
) -> tuple[float, float]:
    """Find where OLD became NEW: how long after the key, and how clean.

    Renders the cut at each millisecond after the key and takes the one that is most
    like what was heard. Clean is the error of that fit against the sound, in dB.
    """
    voicing = Voicing(clips.load(), SoundSettings(voice=Voice.TONES))
    start, stop = samples_of(key_s - 0.2), samples_of(key_s + 0.5)
    heard_at = samples_of(zero_s + late_s)
    heard = samples[heard_at + start : heard_at + stop]
    before = place(old, before=(), voicing=voicing, zero_s=0, edit=-samples_of(1))
    best = (0, np.inf)
    first = samples_of(key_s)
    coarse = range(samples_of(0.04), samples_of(0.3), samples_of(0.001))
    # A tick moves with the cut, and is most like itself a period off: look wide.
    for grid in (coarse, range(-samples_of(0.004), samples_of(0.004))):
        centre = best[0]
        for step in grid:
            after = centre + step
            edit = first + after
            placed = place(new, before=before, voicing=voicing, zero_s=0, edit=edit)
            fitted = np.frombuffer(
                render(before, start, edit) + render(placed, edit, stop), dtype="<i2"
            )
            error = float(np.sum((heard - fitted / 32768) ** 2))
            if error < best[1]:
                best = (after, error)
    power = float(np.sum(heard**2)) + 1e-12
    return best[0] / RATE_HZ * 1000, 10 * np.log10(best[1] / power + 1e-12)


@contextlib.contextmanager
def busy_cores() -> Iterator[None]:
    """Keep every core busy."""
    spinners = [
        subprocess.Popen((sys.executable, "-c", "while True: pass"))
        for _ in range(os.cpu_count() or 1)
    ]
    try:
        yield
    finally:
        for spinner in spinners:
            spinner.kill()
            spinner.wait()


def engines() -> tuple[str, ...]:
    """Name the engines that can be measured here."""
    return tuple(each.value for each in ENGINES if find_spec(each.value))


OnsetRow = tuple[str, int, int, float, tuple[float, float, float]]
"""Name, cues, cues heard, median lateness (ms), spread about it (ms)."""


def onset_rows(hold_s: float) -> Iterator[OnsetRow]:
    """Measure a hold of HOLD_S with each engine, family and circumstance."""
    length_s = 8 + hold_s + 7
    every_3_s = [[at, 0.5] for at in range(3, int(length_s) - 3, 3)]
    kinds = [(engine, family) for engine in engines() for family in ("hang", "press")]
    for circumstance, stalls, working in (
        ("idle", [], contextlib.nullcontext),
        ("program stalled", every_3_s, contextlib.nullcontext),
        ("every core busy", [], busy_cores),
    ):

        def measure(kind: tuple[str, str], stalls: Any = stalls) -> OnsetRow:
            engine, family = kind
            sheet = hold_sheet(press=family == "press", hold_s=hold_s)
            heard_of = tuple(cue for cue in sheet if cue.at_s < length_s - 1)
            with loopback() as loop:
                played = scene(
                    [(-1.0, sheet)],
                    length_s,
                    stalls=stalls,
                    settings={"backend": engine, "voice": "tones"},
                )
                samples, zero_s, report = perform(loop, played)
            late_s = [late for _, late in onsets(samples, zero_s, heard_of)]
            return (
                f"{_named(engine, report)}, {family} {hold_s:g} s",
                len(heard_of),
                len(late_s),
                _median(late_s) * 1000,
                spread_ms(late_s),
            )

        with working(), ThreadPoolExecutor(len(kinds) or 1) as at_once:
            for name, *figures in at_once.map(measure, kinds):
                yield (f"{name}, {circumstance}", *figures)


def _named(engine: str, report: dict[str, Any]) -> str:
    used = report["name"]
    return engine if used == engine else f"{engine} (in the end {used})"


def _median(values: Sequence[float]) -> float:
    return float(np.median(values)) if len(values) else float("nan")


def cut_overs() -> dict[str, tuple[float, Sheet, Sheet]]:
    """Give each kind of change as (key, sheet before, sheet after).

    A breath sounds at each key: where nothing does, there is no cut to be heard.
    """
    sheet = hold_sheet(press=True, hold_s=20, setup_s=10)
    key_s = 19.0

    def cut(at_s: float) -> list[TimedCue]:
        return [c for c in sheet if c.at_s + c.length_s <= at_s]

    early = merge(
        cut(key_s), [c.moved(key_s) for c in come_out_cues(come_out_s=4, early=True)]
    )
    longer = merge(
        [c.moved(7.5) for c in setup_cues(setup_s=33, go_up_lead_s=3)],
    )
    skipped = merge(
        cut(key_s), [c.moved(key_s) for c in setup_cues(setup_s=6, go_up_lead_s=3)]
    )
    return {
        "coming down early": (key_s, sheet, early),
        "pause (silence)": (8.0, sheet, ()),
        "not yet": (7.5, sheet, longer),
        "skip to the next set-up": (key_s, sheet, skipped),
    }


def cut_over_rows() -> Iterator[tuple[str, float, float]]:
    """Measure each kind of change with each engine; nan where nothing was heard."""
    kinds = [(engine, name) for engine in engines() for name in cut_overs()]

    def play(kind: tuple[str, str]) -> tuple[Any, float, dict[str, Any]]:
        engine, name = kind
        key_s, old, new = cut_overs()[name]
        with loopback() as loop:
            return perform(
                loop,
                scene(
                    [(-1.0, old), (key_s, new)],
                    key_s + 3,
                    settings={"backend": engine, "voice": "tones"},
                ),
            )

    with ThreadPoolExecutor(len(kinds) or 1) as at_once:
        heard = list(at_once.map(play, kinds))
    for (engine, name), (samples, zero_s, report) in zip(kinds, heard, strict=True):
        key_s, old, new = cut_overs()[name]
        earlier = tuple(cue for cue in old if cue.at_s + 1 < key_s)
        late_s = [late for _, late in onsets(samples, zero_s, earlier)]
        row = f"{_named(engine, report)}, {name}"
        if not late_s:
            yield row, float("nan"), float("nan")
            continue
        after, clean = cut_over_ms(
            samples,
            zero_s,
            _median(late_s),
            old=old,
            new=new,
            key_s=report["taken_s"][1],
        )
        yield row, after, clean


def listed(press: bool) -> Iterator[str]:
    """Perform one set as a session would and list what was heard, cue by cue."""
    sheet = hold_sheet(press=press, hold_s=20)
    played = scene([(-1.0, sheet)], 35, settings={"voice": "tones"})
    with loopback() as loop:
        samples, zero_s, _ = perform(loop, played)
    sheet = tuple(cue for cue in sheet if cue.at_s < 34)
    found = dict(onsets(samples, zero_s, sheet))
    for cue in sheet:
        late_s = found.get(cue)
        heard = "not heard" if late_s is None else f"heard {late_s * 1000:+6.1f} ms"
        length = f"{cue.length_s:5.2f} s" if cue.length_s else "   clip"
        yield f"{cue.at_s:7.2f} s  {cue.cue.value:<18} {length}  {heard}"


def main() -> int:
    """Print the tables; 1 if there is no loopback here."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="holds of 20 s, no lists")
    chosen = parser.parse_args()
    if why := missing():
        print(f"bench_sound: {why}", file=sys.stderr)
        return 1
    print(f"{', '.join(engines()) or 'no engine installed'}; {load()}")
    print("\ncue onsets, spread about the median (ms; goal: p99 of 5)")
    print(f"{'':<58}{'cues':>5}{'heard':>6}{'median':>8}{'p50':>7}{'p99':>7}{'max':>7}")
    for name, cues, heard, median, (p50, p99, most) in onset_rows(
        20.0 if chosen.quick else 60.0
    ):
        print(
            f"{name:<58}{cues:>5}{heard:>6}{median:>8.1f}{p50:>7.2f}{p99:>7.2f}"
            f"{most:>7.2f}",
            flush=True,
        )
    print(f"\ncut-over after the key (goal: 150 ms; {load()})")
    for name, after, clean in cut_over_rows():
        print(f"{name:<58}{after:>5.0f} ms   fit error {clean:6.1f} dB", flush=True)
    for press in () if chosen.quick else (False, True):
        print(f"\none {'press' if press else 'hang'} set as it was heard")
        for line in listed(press):
            print(line)
    return 0


if __name__ == "__main__":
    sys.exit(main())
