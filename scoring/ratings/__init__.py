"""Round ratings, estimated from the scores of propagators."""
