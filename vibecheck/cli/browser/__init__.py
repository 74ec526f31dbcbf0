"""The wizard in a browser: its page, its messages, and a program for each screen."""
