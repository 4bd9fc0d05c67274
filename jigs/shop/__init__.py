"""What the user has: machine, pieces, stock and cuts, as read from their YAML."""
