"""Printed cards: a frozen result in, a PDF out."""

__all__: list[str] = []
