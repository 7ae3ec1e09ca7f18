"""The visit report: what a farm log says of one client's systems since the last visit, for that client alone."""
