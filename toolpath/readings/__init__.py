"""The log of readings, the burette, and how deep the next cut goes."""
