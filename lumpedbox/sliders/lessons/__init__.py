"""One file or folder a lesson: its page and its exercises."""
