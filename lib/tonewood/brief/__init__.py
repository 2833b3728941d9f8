"""From a player's brief to lay-ups: balance, targets, search, comparison, what to cut."""
