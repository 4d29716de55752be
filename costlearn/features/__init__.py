"""What makes jobs alike or different: a History in, numeric frames out."""
