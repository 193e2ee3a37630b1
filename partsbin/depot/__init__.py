"""The file: schema, ledger, catalogue, places, slips, operators. Knows SQL; knows no screen."""
