"""Side by side: two to four builds beside each other, what differs first."""
