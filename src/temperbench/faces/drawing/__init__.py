"""Charts as SVG, drawn by one function for screen and paper."""

__all__: list[str] = []
