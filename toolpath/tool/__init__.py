"""The insert, cutting data, touching off and the spindle's sense."""
