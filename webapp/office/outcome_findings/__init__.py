"""What outcomes of riders show, and the changes to chart and windows that follow, as offers."""
