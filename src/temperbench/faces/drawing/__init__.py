"""The drawings: SVG as strings, the same on tablet, phone and paper."""

from temperbench.faces.drawing.chart import chart_svg, fitting_height
from temperbench.faces.drawing.live_chart import live_caption, live_chart_svg, live_height
from temperbench.faces.drawing.method_chart import method_caption, method_chart_svg, method_height
from temperbench.faces.drawing.palette import THEMES, Theme
from temperbench.faces.drawing.rule import rule_svg
from temperbench.faces.drawing.words import caption

__all__ = [
    "THEMES", "Theme", "caption", "chart_svg", "fitting_height", "live_caption", "live_chart_svg", "live_height",
    "method_caption", "method_chart_svg", "method_height", "rule_svg",
]  # fmt: skip
