"""Strapline: what wrist heart-rate sensors really do, measured against a chest strap."""
