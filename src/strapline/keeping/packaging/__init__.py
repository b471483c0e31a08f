"""One session handed over whole: everything it was made of and by, in a single zip."""
