"""The parts-and-advice desk of a drinks-vending service depot."""

__version__ = "0.1.0"
