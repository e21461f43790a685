"""Printed cards: a frozen result in, a PDF out."""

from temperbench.faces.paper.answer_card import answer_card_pdf
from temperbench.faces.paper.card import card_pdf
from temperbench.faces.paper.method_card import method_card_pdf
from temperbench.faces.paper.plain_card import Issue
from temperbench.faces.paper.press import PAGES, CardError

__all__ = [
    "PAGES",
    "CardError",
    "Issue",
    "answer_card_pdf",
    "card_pdf",
    "method_card_pdf",
]
