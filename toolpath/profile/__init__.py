"""Dish volume and skim to the 2D cross-section, and what the crown keeps."""
