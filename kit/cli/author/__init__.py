"""author: look at what was written, and fill the answers' outputs."""
