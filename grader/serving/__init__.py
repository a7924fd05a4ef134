"""The page served to a house's own network: encrypted, and to paired phones only."""
