"""How each part is made in the shop: which face is up, in which order, with what. No kernel."""
