"""Words in, ranked items out. Pure over an index built from rows."""

from partsbin.requests.answers import answer, answer_message, answer_text
from partsbin.requests.base_units import base_quantity
from partsbin.requests.index import Index
from partsbin.requests.kept import KeptIndex, written
from partsbin.requests.reading import read_line, read_message
from partsbin.requests.types import Answer, AskedLine, Attribute, Candidate, CatalogueItem, Intent, Message
from partsbin.requests.words import TradeWord, Words

__all__ = [
    "Answer", "AskedLine", "Attribute", "Candidate", "CatalogueItem", "Index", "Intent", "KeptIndex", "Message",
    "TradeWord", "Words",
    "answer", "answer_message", "answer_text", "base_quantity", "read_line", "read_message",
    "written",
]  # fmt: skip
