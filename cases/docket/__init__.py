"""The clerk's board: what is due, what waits for whom, protective orders, a year's figures."""
