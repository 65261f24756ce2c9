"""Offers in numbered editions, their lines, what was asked about them, and what was decided."""

from shop.quotes.models.answer import Decision, DecisionPaper, Question
from shop.quotes.models.edition import QuoteLine, QuoteVersion
from shop.quotes.models.line_fields import LineFields
from shop.quotes.models.prepared import MarkupBand, QuoteTemplate, TemplateLine

__all__ = [
    "Decision",
    "DecisionPaper",
    "LineFields",
    "MarkupBand",
    "Question",
    "QuoteLine",
    "QuoteTemplate",
    "QuoteVersion",
    "TemplateLine",
]
