"""The Textual program: one module a screen. Holds no rule of the trade."""
