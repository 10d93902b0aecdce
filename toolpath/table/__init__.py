"""The same passes as rows of a readout for a manual lathe."""
