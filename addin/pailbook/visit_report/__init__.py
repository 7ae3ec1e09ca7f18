"""The visit report: what a farm log says about one client's systems since the last visit, for that client only."""
