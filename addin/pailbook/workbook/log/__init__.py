"""A farm log's file, read: where its tables are, what its rows hold, which limits are in use."""
