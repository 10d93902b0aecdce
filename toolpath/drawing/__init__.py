"""Drawings in and out: what stands on a sheet, the section that it shows, and sections as a sheet."""
