"""Colours: easy to read in both palettes, nothing red or green, none of them needed."""

import colorsys
from typing import get_args

import pytest
from rich.color import Color, ColorSystem

from assaybench.bench.palettes import PALETTES, Palette, terminal_style, theme
from assaybench.bench.sheet import Style

STYLES: tuple[Style, ...] = get_args(Style)


def light(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of contrast ratio)."""
    dark, bright = sorted((light(one), light(other)))
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_text_stands_out_from_its_paper(palette: Palette) -> None:
    assert contrast(palette.ink, palette.paper) >= 7
    assert contrast(palette.faint, palette.paper) >= 4.5
    assert contrast(palette.on_litharge, palette.litharge) >= 7


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_text_stands_out_on_terminals_with_few_colours(palette: Palette) -> None:
    pairs = (
        (palette.ink, palette.paper, 4.5),
        (palette.on_litharge, palette.litharge, 4.5),
        # what a reader may pass over
        (palette.faint, palette.paper, 3),
    )
    for system in (ColorSystem.EIGHT_BIT, ColorSystem.STANDARD):
        for front, back, least in pairs:
            shown = [Color.parse(c).downgrade(system).get_truecolor().hex for c in (front, back)]
            assert contrast(shown[0], shown[1]) >= least, (system, front, back)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_nothing_is_red_or_green(palette: Palette) -> None:
    colours = (palette.paper, palette.ink, palette.faint, palette.litharge, palette.on_litharge)
    for colour in colours:
        red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
        hue, _, strength = colorsys.rgb_to_hls(red, green, blue)
        assert strength < 0.3 or 30 <= 360 * hue <= 60, colour
    chosen = theme(palette)
    assert {chosen.error, chosen.success, chosen.warning, chosen.accent} <= set(colours)


def test_without_colours_only_weight_reverse_and_strike_are_used() -> None:
    for style in STYLES:
        found = terminal_style(style, None)
        assert found.color is None
        assert found.bgcolor is None
    assert terminal_style("waits", None).reverse
    assert terminal_style("waits", None).bold
    assert terminal_style("bold", None).bold
    assert terminal_style("struck", None).strike


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_what_is_told_by_weight_or_strike_is_so_with_colours_too(palette: Palette) -> None:
    assert terminal_style("struck", palette).strike
    assert terminal_style("bold", palette).bold
    assert terminal_style("waits", palette).bold
    assert terminal_style("reverse", palette).reverse
    for style in STYLES:
        assert terminal_style(style, palette).bgcolor is not None
