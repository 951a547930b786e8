"""A whole folder at a time: files, cache, batch, workers, cluster, watching, conversing, verifying, comparing."""
