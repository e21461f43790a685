"""Keeping a bowl in temper: how it thickens and cools, when and how to warm, thin and refill it, and when to stop."""

__all__: list[str] = []
