"""Ways to cut a piece, made as prices call for them: column generation."""
