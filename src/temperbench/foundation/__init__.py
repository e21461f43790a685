"""Quantities, evidence, errors and numerics. Knows no chocolate and imports no other room."""

__all__: list[str] = []
