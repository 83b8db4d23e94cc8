"""What a text says and how hard it is to read: words, sentences, phrases."""
