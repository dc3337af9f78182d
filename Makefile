# make demo   the demo shop, compiled and ready to look at
# make test   every test; installs what they need; make test LOCKED=yes from requirements.lock, as CI does;
#             make test VENV=.venv-lowest LOWEST=yes with the lowest versions that pyproject.toml allows
# make bench  the table of ratios, on 1,000 builds; make bench QUICK=yes on 100
# make long   hundreds of kills, a hundred thousand bent inputs: a quarter of an hour
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
DEMO_DAY := 2026-05-20

.PHONY: demo test lint bench long lock licences clean

demo: $(VENV)/.runs
	@$(BIN)/purfle compile --shop . --today $(DEMO_DAY)
	@echo
	@echo "The demo shop as of $(DEMO_DAY):"
	@echo "  showroom (public)   $(CURDIR)/out/showroom/index.html"
	@echo "  office (private)    $(CURDIR)/out/office/index.html"
	@echo "Open either in a browser, or preview both:  $(BIN)/purfle follow --shop . --today $(DEMO_DAY)"

test: $(VENV)/.tests
	@PYTHON=$(BIN)/python sh tests/run.sh

lint: $(VENV)/.tests
	$(BIN)/ruff check src tests benchmarks tools
	$(BIN)/ruff format --check src tests benchmarks tools
	$(BIN)/mypy

bench: $(VENV)/.tests
	$(BIN)/python benchmarks/run.py $(if $(QUICK),--quick)

long: $(VENV)/.tests
	cd tests && ../$(BIN)/python killing.py 200 1
	cd tests && ../$(BIN)/python fuzzing.py 100000 1

# Names, versions and digests alone, so that the same files are installed wherever they are fetched from.
lock: $(VENV)/.tests
	$(BIN)/python tools/lock.py > requirements.lock

licences: $(VENV)/.tests
	$(BIN)/python tools/licences.py

clean:
	rm -rf out .pytest_cache .mypy_cache .ruff_cache .hypothesis

# Debian splits the venv module off; say so in plain words instead of a traceback.
$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "purfle needs Python 3.11 or newer; say which with: make PYTHON=python3.12 …"; exit 1; }
	@$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); echo "Python's venv module is missing here; on Debian: apt install python3-venv"; exit 1; }

$(VENV)/.runs: pyproject.toml | $(BIN)/python
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	@touch $@

$(VENV)/.tests: pyproject.toml | $(BIN)/python
	@$(BIN)/python tools/install.py $(if $(LOCKED),--locked) $(if $(LOWEST),--lowest)
	@touch $@ $(VENV)/.runs
