"""What may go out in answer to a request, decided item by item, approved by a second person."""
