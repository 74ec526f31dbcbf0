"""Every text can be read in both looks: contrast from the theme's own colors.

W3C, Web Content Accessibility Guidelines 2.1 (2018), success criterion 1.4.3: at least 4.5 to 1;
relative luminance and contrast ratio as defined there.
"""

from __future__ import annotations

import pytest
from textual.color import Color
from textual.theme import Theme

from vibecheck.tui.looks import DARK, LIGHT

LEAST = 4.5
GROUNDS = ("background", "surface", "panel")
TEXTS = (
    "foreground", "primary", "secondary", "accent", "warning", "error", "success",
    "text-primary", "text-secondary", "text-accent", "text-warning", "text-error", "text-success",
)


def luminance(color: Color) -> float:
    """Relative luminance [unitless]."""
    parts = [part / 255.0 for part in (color.r, color.g, color.b)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(text: Color, ground: Color) -> float:
    """Contrast ratio, 1 to 21 [unitless]."""
    dark, light = sorted((luminance(text), luminance(ground)))
    return (light + 0.05) / (dark + 0.05)


def test_black_on_white_is_21_to_1() -> None:
    assert contrast(Color(0, 0, 0), Color(255, 255, 255)) == pytest.approx(21.0)


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda each: each.name)
def test_every_text_color_stands_out_from_every_ground(theme: Theme) -> None:
    made = theme.to_color_system().generate()
    faint = {
        (text, ground): round(ratio, 2)
        for text in TEXTS for ground in GROUNDS
        if (ratio := contrast(Color.parse(made[text]), Color.parse(made[ground]))) < LEAST
    }

    assert faint == {}


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda each: each.name)
def test_quiet_text_and_the_stop_band_can_be_read(theme: Theme) -> None:
    """Quiet text is black or white over its ground, let through by the share of the theme."""
    made = theme.to_color_system().generate()
    share = float(made["text-muted"].removeprefix("auto ").removesuffix("%")) / 100.0
    ink = Color(255, 255, 255) if theme.dark else Color(0, 0, 0)
    for name in GROUNDS:
        ground = Color.parse(made[name])
        assert contrast(ground.blend(ink, share), ground) >= LEAST, name
    assert contrast(Color.parse(made["background"]), Color.parse(made["error"])) >= LEAST
