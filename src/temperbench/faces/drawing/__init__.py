"""The drawings: SVG as strings, the same on tablet, phone and paper."""

from temperbench.faces.drawing.chart import chart_svg, fitting_height
from temperbench.faces.drawing.palette import THEMES, Theme
from temperbench.faces.drawing.words import caption

__all__ = ["THEMES", "Theme", "caption", "chart_svg", "fitting_height"]
