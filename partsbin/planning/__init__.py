"""Demand, set points, order quantities, van kits, count plans. Pure functions; no SQL, no screen."""
