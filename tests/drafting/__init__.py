"""Short keys and the spelling of the trade."""
