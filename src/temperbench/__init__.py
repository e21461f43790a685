"""Plans, guides and explains tempering chocolate on ordinary bakery equipment.

Rooms: foundation, matter, kitchen, insight, app, faces, data. Each has a docstring that says what lives there.
Nothing is imported here, so that ``temperbench --help`` stays quick.
"""

__all__ = ["__version__"]

__version__ = "0.1.0"
