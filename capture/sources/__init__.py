"""One file a kind of source: each delivers RecordBatches and knows nothing of what they mean."""
