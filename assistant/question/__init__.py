"""Text -> Reading: quantities, names, cues, and what the conversation fills in."""
