"""Printed cards: a frozen result in, a PDF out."""

from temperbench.faces.paper.card import PAGES, CardError, card_pdf

__all__ = ["PAGES", "CardError", "card_pdf"]
