"""Every figure of a recut under the contract's names, frozen, in mm, cc, s and g."""
