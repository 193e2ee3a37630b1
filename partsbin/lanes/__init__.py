"""Container and lane to spacers, capacity and kit. Pure."""
