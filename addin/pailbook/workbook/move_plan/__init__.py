"""The move plan: fish from one system to another, with a go or no-go, a road card and three weeks of watching."""
