"""The shelf of the user's own: what is left of one wall is stock for the next."""
