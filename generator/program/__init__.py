"""Reading RS-274 programs and turning them into motion and facts; pure, opens no file."""
