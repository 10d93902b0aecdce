"""Pictures, sheets and the record; computes nothing."""
