# make demo    the whole office on this machine, with embedded servers; Ctrl-C stops it
# make test    every check and every test (the deployment check, missing migrations and the
#              kept API schema are among the tests); ORDER=7 mixes them, each number in its own way
# make quick   every test that starts no browser and no process: for every save
# make bench   the measurements
# make production  the office on real servers behind TLS, before a release: twelve minutes
# make keys    each user's main work by keys alone, and what is heard: two minutes
# make engines the same work in Chromium, Firefox and WebKit, before a release: five minutes
# make mutants whether the tests of the pure modules notice small changes of the code
# make lint, make format, make schema, make clean

.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
SHELL := /bin/sh

# The first interpreter of these that is Python 3.11 or later and can make an environment. The
# system's own comes first: distributions compile theirs with a profile of its use, and it needs a
# quarter less time for everything here than one that was compiled as the sources come.
PYTHON ?= $(shell for name in /usr/bin/python3.11 /usr/bin/python3.12 /usr/bin/python3.13 \
	/usr/bin/python3 python3.11 python3.12 python3.13 python3; do \
	if "$$name" -c 'import sys, ensurepip, venv; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; \
	then echo "$$name"; break; fi; done)
VENV := .venv
BIN := $(VENV)/bin
INSTALLED := $(VENV)/installed-requirements.txt
READ := $(VENV)/read-tests
export PIP_DISABLE_PIP_VERSION_CHECK := 1
# Every process of the office and of the tests would compile what it imports anew, three seconds
# each, where the environment says that nothing may be kept. It is kept apart from the code.
unexport PYTHONDONTWRITEBYTECODE
export PYTHONPYCACHEPREFIX := $(CURDIR)/$(VENV)/bytecode
export PIP_ROOT_USER_ACTION := ignore

# What a production office sets; nothing is reached with it, the schema only reads it.
AS_IN_PRODUCTION := DATABASE_URL=postgresql://office_app@database.invalid/office \
	REDIS_URL=redis://queue.invalid:6379/0 ME_HOSTS=office.invalid \
	ME_ORIGINS=https://office.invalid OFFICE_NAME=None OFFICE_ADDRESS=Nowhere \
	OFFICE_AUTHORITY=None OFFICE_TIME_ZONE=America/New_York \
	ME_SECRET_KEY=$$($(BIN)/python -c 'import secrets; print(secrets.token_urlsafe(60))')

.PHONY: help demo test quick bench production engines keys mutants lint format schema chromium clean

help:
	@sed -n '/^#/!q; s/^# //p' Makefile

$(INSTALLED): requirements.txt
	@test -n "$(PYTHON)" || { echo "Python 3.11 or later with venv is needed; none was found." \
		"On Debian and Ubuntu: apt-get install python3-venv" >&2; exit 1; }
	@$(BIN)/python -m pip --version >/dev/null 2>&1 || { \
		echo "Making $(VENV) with $(PYTHON)."; $(PYTHON) -m venv --clear $(VENV); }
	@echo "Installing requirements.txt."
	@$(BIN)/python -I me_office/packages.py
	@cp requirements.txt $@

demo: $(INSTALLED)
	@$(BIN)/python -m me_office.run demo

# Two cores, kept busy from the first moment. Whoever waits for a browser, a process or a database
# leaves a part of them idle: the static checks and the tests that need no server take that, and
# little more (nice). Any of the three failing fails the run. While the database is made, the tests
# of a new environment are read once, so that the workers find them compiled: later, each compiles
# the few that changed. A file stays on one worker; tests/kinds.py has the long ones first.
WORKERS ?= 2
ON_ALL := -n $(WORKERS) --dist loadfile --no-loadscope-reorder
MIXED = $(if $(ORDER),--random-order-bucket=module --random-order-seed=$(ORDER))
# What a process of the tests gives back it soon needs again: pictures and pages of PDF come and go.
# Giving memory to the system and taking it anew is up to half of what the system does for them.
test quick: export MALLOC_TRIM_THRESHOLD_ := 268435456
test quick: export MALLOC_TOP_PAD_ := 4194304
test quick: export MALLOC_MMAP_THRESHOLD_ := 33554432

test:
	@$(MAKE) --no-print-directory -j2 $(INSTALLED) chromium
	@trap 'kill $$checks 2> /dev/null; wait $$checks; exit 130' INT TERM; \
	nice -n 10 $(MAKE) --no-print-directory lint > $(VENV)/lint.txt 2>&1 & checks=$$!; \
	$(BIN)/python -m tests.ready & \
	test $(READ) -nt $(INSTALLED) || { \
		$(BIN)/python -m pytest -qq --collect-only > /dev/null 2>&1; touch $(READ); }; \
	nice -n 10 $(BIN)/python -m pytest --part pure $(MIXED) > $(VENV)/pure.txt 2>&1 & pure=$$!; \
	trap 'kill $$checks $$pure 2> /dev/null' INT TERM; \
	$(BIN)/python -m pytest --part served $(ON_ALL) $(MIXED); served=$$?; \
	wait $$pure; alone=$$?; cat $(VENV)/pure.txt; \
	wait $$checks; linted=$$?; cat $(VENV)/lint.txt; exit $$((served || alone || linted))

quick: $(INSTALLED)
	@$(BIN)/python -m pytest --quick $(ON_ALL) $(MIXED)

bench: $(INSTALLED)
	$(BIN)/python -m tests.measuring.tilted
	$(BIN)/python -m tests.bench

production: $(INSTALLED) chromium
	$(BIN)/python -m tests.production

# ENGINES=chromium,firefox asks for some: one that is asked for and not installed is no success.
# PICTURES=folder keeps what was seen.
# KEEP=1 writes docs/by-keys.md anew.
keys: $(INSTALLED) chromium
	@$(BIN)/python -m pytest tests/browser/keys/by_keys.py

engines: $(INSTALLED) chromium
	@$(BIN)/python -m tests.engines $(if $(PICTURES),--pictures $(PICTURES))

# MODULES="findings.calculations.cooling findings.rules" shortens it to some.
mutants: $(INSTALLED)
	$(BIN)/python -m tests.mutation $(MODULES)

lint: $(INSTALLED)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/mypy .

# Needs no package, so that both can be fetched at the same time, and keeps nothing in $(VENV),
# which is being made meanwhile.
chromium:
	@PYTHONDONTWRITEBYTECODE=1 PYTHONPYCACHEPREFIX= $(PYTHON) -m tests.browser.chromium

format: $(INSTALLED)
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

schema: $(INSTALLED)
	@$(AS_IN_PRODUCTION) $(BIN)/python manage.py spectacular --validate --fail-on-warn \
		--file me_office/schema.yml

# Leaves .local alone: that is what people entered.
clean:
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache mutants
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
