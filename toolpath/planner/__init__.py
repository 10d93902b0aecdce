"""The section offset for the insert: stock, passes, lead-ins, and their moves in order."""
