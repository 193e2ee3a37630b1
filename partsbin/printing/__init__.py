"""Labels, slips and the Monday report as PDF; symbols; sending to a printer."""
