"""The invented depot behind the demo: its catalogue, its bins, half a year of its work."""
