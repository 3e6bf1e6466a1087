"""What lost and found may not look up itself: the rulings that gave throws back, and where one is written."""

from events.logistics.above import Above
from scoring.penalties.lost_discs import given_back, ruling_page

ABOVE_FOUND = Above(given_back=given_back, ruling_page=ruling_page)
