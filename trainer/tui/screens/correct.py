"""Correct a hold: every figure and answer, on a slip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from trainer.core import words
from trainer.core.logbook import with_held
from trainer.core.model import (
    LONGEST_HOLD_S,
    RPE_WORDING,
    Feet,
    Felt,
    Hold,
    Pain,
    PainKind,
    Side,
    Site,
    StoppedBy,
)
from trainer.tui.keymap import bind
from trainer.tui.session.drawing import FeltDrawing, felt_words
from trainer.tui.session.log_lines import TAKES_FEET
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.slip import Slip

USUAL_RPE = 7.0
"""Where an RPE that wasn't noted is counted from (our choice)."""


def _choices(kind: type[StrEnum]) -> tuple[tuple[str, str], ...]:
    return (("", "–"), *((each.value, each.value) for each in kind))


def hold_fields(hold: Hold) -> list[Field]:
    """Give a hold's figures and answers as lines."""
    pain = hold.pain[0] if hold.pain else None
    return [
        _seconds("held", "Held", hold.held_s, optional=False),
        replace(
            _seconds("kept", "Kept", hold.kept_s, optional=True), first=hold.held_s
        ),
        Field(
            key="rpe",
            label="RPE",
            value="" if hold.rpe is None else f"{hold.rpe:g}",
            step=0.5,
            high=10,
            first=USUAL_RPE,
            optional=True,
            hint=words.RPE_SCALE,
        ),
        *_feet_field(hold),
        Field(
            key="stopped",
            label="Stopped by",
            value=hold.stopped_by.value if hold.stopped_by else "",
            choices=_choices(StoppedBy),
        ),
        Field(
            key="pain",
            label="Pain",
            value=pain.kind.value if pain else "",
            choices=_choices(PainKind),
        ),
        Field(
            key="site",
            label="Pain where",
            value=pain.site.value if pain and pain.site else "",
            choices=_choices(Site),
        ),
        Field(
            key="pain_side",
            label="Pain on which side",
            value=pain.side.value if pain and pain.side else "",
            choices=_choices(Side),
        ),
        Field(key="felt", label="Felt", value=felt_line(hold.felt), text=True),
        Field(key="note", label="Note", value=hold.note, text=True),
    ]


def _feet_field(hold: Hold) -> list[Field]:
    """Ask how much the feet took where that is asked in the log."""
    if hold.exercise != TAKES_FEET and hold.feet is None:
        return []
    value = hold.feet.value if hold.feet else ""
    return [
        Field(key="feet", label="Feet took", value=value, choices=_choices(Feet)),
    ]


def felt_line(felt: Sequence[Felt]) -> str:
    """Name the places in one line."""
    return "; ".join(felt_words(each) for each in felt)


def _seconds(key: str, label: str, value: float | None, *, optional: bool) -> Field:
    return Field(
        key=key,
        label=label,
        value="" if value is None else f"{value:g}",
        step=1,
        high=2 * LONGEST_HOLD_S if key == "held" else LONGEST_HOLD_S,
        unit="s",
        optional=optional,
    )


def corrected(
    hold: Hold, values: dict[str, str], felt: tuple[Felt, ...] | None = None
) -> Hold:
    """Give the hold with the lines' values; what wasn't touched stays as it was.

    FELT are the places as they were drawn anew; None where they weren't.
    """
    before = {field.key: field.value for field in hold_fields(hold)}
    touched = {key: value for key, value in values.items() if value != before[key]}
    better = replace(hold, confirmed=True) if touched else hold
    if "held" in touched:
        better = with_held(better, float(touched["held"] or 0))
    if "kept" in touched:
        kept = touched["kept"]
        kept_s = min(float(kept), better.held_s) if kept else None
        better = replace(better, kept_s=kept_s, lost_on_breath=None)
    if "rpe" in touched:
        rpe = round(float(touched["rpe"]) * 2) / 2 if touched["rpe"] else None
        better = replace(better, rpe=rpe, rpe_wording=RPE_WORDING)
    if "feet" in touched:
        feet = Feet(touched["feet"]) if touched["feet"] else None
        better = replace(better, feet=feet)
    if "stopped" in touched:
        why = StoppedBy(touched["stopped"]) if touched["stopped"] else None
        better = replace(better, stopped_by=why)
    if touched.keys() & {"pain", "site", "pain_side"}:
        better = replace(better, pain=_pain(hold, values))
    if "felt" in touched and felt is not None:
        better = replace(better, felt=felt)
    if "note" in touched:
        better = replace(better, note=touched["note"])
    return better


def _pain(hold: Hold, values: dict[str, str]) -> tuple[Pain, ...]:
    """Give the hold's signs, the first one corrected; gone stays gone."""
    others = hold.pain[1:]
    if not values["pain"]:
        return others
    site = Site(values["site"]) if values["site"] else None
    side = Side(values["pain_side"]) if values["pain_side"] and site else None
    gone_on = hold.pain[0].gone_on if hold.pain else None
    return (Pain(PainKind(values["pain"]), site, side, gone_on), *others)


class FeltSlip(Slip[tuple[Felt, ...] | None]):
    """The drawing; gives the places that are marked when it is closed."""

    BINDINGS: ClassVar[list[BindingType]] = []
    DEFAULT_CSS = """
    FeltSlip > #slip { width: 96%; max-width: 110; }
    FeltSlip FeltDrawing { height: 14; }
    """

    def __init__(self, felt: tuple[Felt, ...]) -> None:
        super().__init__()
        self._felt = felt

    def question(self) -> str:
        """Say what is marked."""
        return "Where the stretch was felt"

    def body(self) -> Iterator[Widget]:
        """Give the drawing."""
        yield FeltDrawing(id="felt")

    def on_mount(self) -> None:
        drawing = self.query_one(FeltDrawing)
        drawing.open(self._felt, ())
        drawing.focus(scroll_visible=False)

    @on(FeltDrawing.Changed)
    def _keep(self, event: FeltDrawing.Changed) -> None:
        self._felt = event.felt

    @on(FeltDrawing.Closed)
    def _close(self) -> None:
        self.dismiss(self._felt)


class HoldLines(FieldList):
    """A hold's lines; the places felt are marked on the drawing."""

    def __init__(self, hold: Hold) -> None:
        super().__init__(hold_fields(hold), label_width=11)
        self.felt = hold.felt

    def action_write(self) -> None:
        """Write the note, or mark the places felt."""
        if self.marked is None or self.marked.key != "felt":
            super().action_write()
            return

        def drawn(felt: tuple[Felt, ...] | None) -> None:
            if felt is not None:
                self.felt = felt
                self._put(replace(self._fields[self._at], value=felt_line(felt)))

        self.app.push_screen(FeltSlip(self.felt), drawn)


class CorrectSlip(Slip[Hold | None]):
    """One hold's lines; gives the corrected hold, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [bind("correct.keep", "keep")]

    def __init__(self, hold: Hold, name: str) -> None:
        super().__init__()
        self._hold = hold
        self._exercise_name = name

    def question(self) -> str:
        """Say which hold it is."""
        return f"Correct set {self._hold.set_number}: {self._exercise_name}"

    def body(self) -> Iterator[Widget]:
        """Give its lines."""
        yield HoldLines(self._hold)

    def on_mount(self) -> None:
        self.query_one(FieldList).focus(scroll_visible=False)

    @on(FieldList.Changed)
    def _count_kept_from_held(self, event: FieldList.Changed) -> None:
        """Let kept, while it is empty, be counted from what was really held."""
        if event.key == "held" and event.value:
            held_s = float(event.value)
            event.fields.show(
                [
                    replace(each, first=held_s) if each.key == "kept" else each
                    for each in event.fields.fields
                ]
            )

    def action_keep(self) -> None:
        """Keep the figures shown."""
        fields = self.query_one(HoldLines)
        fields.commit()
        self.dismiss(corrected(self._hold, fields.values(), fields.felt))
