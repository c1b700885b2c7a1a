"""The lesson in a notebook: tasks, explorers, the bench, the whole batch, and the page around them."""
