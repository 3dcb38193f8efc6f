"""Correct a hold: every figure and answer, on a slip."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from enum import StrEnum
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from trainer.core.logbook import with_held
from trainer.core.model import LONGEST_HOLD_S, Hold, Pain, PainKind, Site, StoppedBy
from trainer.tui.keymap import bind
from trainer.tui.widgets.field import Field
from trainer.tui.widgets.fields import FieldList
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
        ),
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
        Field(key="note", label="Note", value=hold.note, text=True),
    ]


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


def corrected(hold: Hold, values: dict[str, str]) -> Hold:
    """Give the hold with the lines' values; what wasn't touched stays as it was."""
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
        better = replace(better, rpe=rpe)
    if "stopped" in touched:
        why = StoppedBy(touched["stopped"]) if touched["stopped"] else None
        better = replace(better, stopped_by=why)
    if "pain" in touched or "site" in touched:
        better = replace(better, pain=_pain(hold, values))
    if "note" in touched:
        better = replace(better, note=touched["note"])
    return better


def _pain(hold: Hold, values: dict[str, str]) -> tuple[Pain, ...]:
    others = hold.pain[1:]
    if not values["pain"]:
        return others
    site = Site(values["site"]) if values["site"] else None
    return (Pain(PainKind(values["pain"]), site), *others)


class CorrectSlip(Slip[Hold | None]):
    """One hold's lines; gives the corrected hold, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [bind("correct.keep", "keep")]

    def __init__(self, hold: Hold) -> None:
        super().__init__()
        self._hold = hold

    def question(self) -> str:
        """Say which hold it is."""
        return f"Correct set {self._hold.set_number} of {self._hold.exercise}"

    def body(self) -> Iterator[Widget]:
        """Give its lines."""
        yield FieldList(hold_fields(self._hold), label_width=11)

    def on_mount(self) -> None:
        """Put the mark on the first line."""
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
        fields = self.query_one(FieldList)
        fields.commit()
        self.dismiss(corrected(self._hold, fields.values()))
