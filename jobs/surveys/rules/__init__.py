"""Reckoning of surveys without rows: what is taped for each kind of shape, sizes, and cautions."""
