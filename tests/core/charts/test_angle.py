"""The picture of the overhead angle: dots, band, words."""

from __future__ import annotations

from tests.core.angle.checks import FREE, weeks_of
from trainer.core.angle.series import by_series, in_order
from trainer.core.charts.angle import angle_chart, scale_of
from trainer.core.charts.canvas import ASCII, plain

DAYS = ([158, 160, 162], [161, 163, 165], [167, 169, 171])


def _both() -> list[str]:
    series = in_order(
        list(
            by_series(
                (*weeks_of(DAYS), *weeks_of([[168], [174], [181]], position=FREE))
            ).values()
        )
    )
    return plain(angle_chart(series, width=76, height=14)).splitlines()


class TestPicture:
    def test_a_day_is_a_dot_and_the_free_angle_a_circle(self) -> None:
        """Three days each, told apart by shape and word."""
        text = "\n".join(_both())

        assert 3 == text.count("●")
        assert 3 == text.count("○")
        assert "169° guarded" in text
        assert "181° free" in text

    def test_the_noise_is_a_band_about_the_first_day(self) -> None:
        """The last guarded dot stands out of it, the second one in it."""
        rows = _both()
        band = [n for n, row in enumerate(rows) if "░" in row]
        dots = [n for n, row in enumerate(rows) if "●" in row]

        assert "noise" in rows[band[0]]
        assert [False, True, True] == [min(band) <= n <= max(band) for n in dots]

    def test_one_day_has_no_band_and_can_be_drawn_in_ascii(self) -> None:
        """Nothing to compare yet."""
        (series,) = by_series(weeks_of([[165]])).values()
        picture = angle_chart([series], width=60, height=12, glyphs=ASCII)

        assert None is scale_of([series], most_figures=5).band
        assert "165" in plain(picture)
        assert "noise" not in plain(picture)

    def test_fits_any_width(self) -> None:
        """No row is broader than the picture."""
        for width in (60, 80, 120):
            (series,) = by_series(weeks_of(DAYS)).values()
            for row in plain(
                angle_chart([series], width=width, height=12)
            ).splitlines():
                assert len(row) <= width
