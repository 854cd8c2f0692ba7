# `make demo` and `make test` each do everything from nothing: they need Python 3.11 or later with
# pip, and make. Node comes from a Python package, Chromium (for the browser tests) from Debian.
# What is done already is not done again; all of it lives in .venv, web/node_modules and _web.

PYTHON ?= python3
WORKERS ?= 2
DEMO ?= demo-case
DEMO_OUT ?= demo-out

BIN := .venv/bin
STAMPS := .venv/stamps
INSTALL := $(BIN)/uv pip install --quiet --compile-bytecode --python $(BIN)/python
NPM := $(BIN)/python scripts/npm.py web
PAGE := src/limbwright/_web/index.html
PAGE_SOURCES := $(wildcard web/*.json web/*.ts web/*.html) $(shell find web/src web/public -type f 2>/dev/null)

# Modules that are not compiled to bytecode once are compiled at every start.
unexport PYTHONDONTWRITEBYTECODE

.DEFAULT_GOAL := help
.NOTPARALLEL:
.PHONY: help demo test check lint types imports reference-check openapi-check page-check unit fast \
	validation-check \
	browser pictures format bench web openapi reference lock clean

help:
	@echo "make demo     everything from nothing to the workshop, open on an invented person's case"
	@echo "make test     everything from nothing to the whole test suite"
	@echo "make fast     the fast tests alone          make check   lint, types and import rules"
	@echo "make format   put the code into our format  make bench   measure, beside other libraries"
	@echo "make web      build the page                make openapi renew the page's types"
	@echo "make reference  renew docs/reference         make lock    renew the lock files"
	@echo "make pictures renew the pictures of the docs"
	@echo "make clean    remove what was made"

# --- set-up -------------------------------------------------------------------------------------

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo \
		"$(PYTHON) is missing or older than 3.11; name a newer one: make PYTHON=/path/to/python3"; exit 1; }
	$(PYTHON) -m venv .venv

$(STAMPS)/uv: requirements/bootstrap.txt | $(BIN)/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r $<
	@mkdir -p $(STAMPS) && touch $@

$(STAMPS)/build: requirements/build.txt $(STAMPS)/uv
	$(INSTALL) --require-hashes -r $<
	@touch $@

$(STAMPS)/package: pyproject.toml $(STAMPS)/build
	$(INSTALL) --no-deps --no-build-isolation --editable .
	@touch $@

$(STAMPS)/develop: requirements/develop.txt $(STAMPS)/package
	$(INSTALL) --require-hashes -r $<
	@touch $@

$(PAGE): $(PAGE_SOURCES) hatch_build.py scripts/npm.py $(STAMPS)/build
	$(BIN)/python hatch_build.py

web: $(PAGE)

# --- the demo -----------------------------------------------------------------------------------

# Code 1 says that findings stop the job: the workshop is where they are answered, so it opens.
demo: $(STAMPS)/package $(PAGE)
	@test -f $(DEMO)/case.toml || $(BIN)/limbwright demo $(DEMO)
	$(BIN)/limbwright evaluate $(DEMO) || test $$? -eq 1
	$(BIN)/limbwright make $(DEMO) --out $(DEMO_OUT) || test $$? -eq 1
	@echo "The case is in $(CURDIR)/$(DEMO), what was made from it in $(CURDIR)/$(DEMO_OUT)."
	$(BIN)/limbwright serve $(DEMO)

# --- the checks ---------------------------------------------------------------------------------

# The browser tests come last: their closing line is pytest's.
test: check reference-check openapi-check page-check unit validation-check browser

check: lint types imports

lint: $(STAMPS)/develop
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/codespell

types: $(STAMPS)/develop
	$(BIN)/mypy

imports: $(STAMPS)/develop
	$(BIN)/lint-imports --no-logo

reference-check: $(STAMPS)/develop
	$(BIN)/python scripts/reference.py --check

openapi-check: $(STAMPS)/develop
	$(BIN)/python scripts/openapi.py --check

page-check: $(STAMPS)/develop
	$(NPM) run typecheck
	$(NPM) run check
	$(NPM) run test

# Comparisons with CalculiX are skipped, and say so, where it cannot be had.
unit: $(STAMPS)/develop $(PAGE)
	calculix="$$(scripts/calculix.sh)"; LIMBWRIGHT_CALCULIX="$$calculix" $(BIN)/python -m pytest -n $(WORKERS) --doctest-modules -m "not browser" src tests

fast: $(STAMPS)/develop $(PAGE)
	calculix="$$(scripts/calculix.sh)"; LIMBWRIGHT_CALCULIX="$$calculix" $(BIN)/python -m pytest -n $(WORKERS) --doctest-modules -m "not browser and not slow" src tests

# After the physics tests: do the method pages tell what was measured?
validation-check: $(STAMPS)/develop
	$(BIN)/python scripts/validation_tables.py --check

browser: $(STAMPS)/develop $(PAGE)
	chromium="$$(scripts/chromium.sh)" && \
		LIMBWRIGHT_CHROMIUM="$$chromium" $(BIN)/python -m pytest -m browser tests/browser

# The docs show the page as a browser test saw it.
pictures: $(STAMPS)/develop $(PAGE)
	chromium="$$(scripts/chromium.sh)" && \
		LIMBWRIGHT_CHROMIUM="$$chromium" $(BIN)/python -m pytest -m browser \
		tests/browser/test_guide.py -k whole_job
	$(BIN)/python scripts/pictures.py

# --- helpers ------------------------------------------------------------------------------------

format: $(STAMPS)/develop
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .
	$(NPM) run format

bench: $(STAMPS)/develop
	@for script in benchmarks/bench_*.py; do $(BIN)/python "$$script" || exit 1; done

openapi: $(STAMPS)/develop
	$(BIN)/python scripts/openapi.py

reference: $(STAMPS)/develop
	$(BIN)/python scripts/reference.py

# `make lock UPGRADE=--upgrade` moves every package to its newest version that fits.
lock: $(STAMPS)/uv
	scripts/lock.sh $(UPGRADE)
	$(BIN)/python scripts/npm.py web install --package-lock-only
	$(BIN)/python scripts/npm.py web/openapi install --package-lock-only

clean:
	rm -rf .venv build dist web/node_modules web/openapi/node_modules web/dist src/limbwright/_web \
		$(DEMO_OUT)
