"""What follows the fish when it is sold: lots and kilos that can be traced, and what a kilo costs."""
