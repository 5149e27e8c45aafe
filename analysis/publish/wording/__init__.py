"""How values become what people read: units, sentences, summaries, cautions."""
