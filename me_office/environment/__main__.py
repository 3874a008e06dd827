"""Write the table of settings into the production page: `python -m me_office.environment`."""

from pathlib import Path

from me_office.environment.listing import BEGIN, END, listing

PAGE = Path(__file__).resolve().parents[2] / "docs" / "production" / "README.md"
before, _, rest = PAGE.read_text().partition(BEGIN)
PAGE.write_text(f"{before}{BEGIN}{listing()}{END}{rest.partition(END)[2]}")
