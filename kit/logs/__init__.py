"""Reading what a temperature logger exports."""
