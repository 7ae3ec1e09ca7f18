"""The farm log: a season's record of systems, kits, water, fish, feed, doses, water changes, plants and upkeep."""
