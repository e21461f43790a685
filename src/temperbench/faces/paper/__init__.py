"""Printed cards: a frozen result in, a PDF out."""

from temperbench.faces.paper.card import card_pdf
from temperbench.faces.paper.curve_card import curve_card_pdf
from temperbench.faces.paper.keep_card import keep_card_pdf
from temperbench.faces.paper.method_card import method_card_pdf
from temperbench.faces.paper.plain_card import Issue
from temperbench.faces.paper.press import PAGES, CardError
from temperbench.faces.paper.trouble_card import trouble_card_pdf

__all__ = [
    "PAGES",
    "CardError",
    "Issue",
    "card_pdf",
    "curve_card_pdf",
    "keep_card_pdf",
    "method_card_pdf",
    "trouble_card_pdf",
]
