"""How commands are built: which options go together, help in the language that is spoken."""
