"""Words of the choice between methods: the kit a kitchen may have, and how practised its hands are."""

from __future__ import annotations

__all__ = ["KIT", "SKILLS"]

KIT = ("oven", "bath", "cabinet", "slab", "ice", "kettle", "seed-buttons", "butter-crystals", "ripened-butter")
SKILLS = ("new", "some", "practised")
