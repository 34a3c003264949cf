"""How far one recorder's clock is ahead of another's, from signals that both recorded."""
