"""Reading: YAML with its line marks, turned into the shop's models, each refusal with its place."""
