# A fresh clone needs Python 3.11 or newer and make; the first target that wants more sets it up in .venv.

PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.installed
SAMPLE ?= sample_scores/ferry_waltz.musicxml
MARKED := build/$(notdir $(basename $(SAMPLE))).marked.musicxml
PORT ?= 8765
WORKERS ?= auto
CHROMIUM := $(shell command -v chromium || command -v chromium-browser || command -v google-chrome)

.DEFAULT_GOAL := help
.PHONY: help venv run serve test check lint types contracts browser bench docs rule soak audit clean

help: ## this list
	@grep -E '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/^([a-z]+):.*## /  make \1\t/' | expand -t 18

venv: $(STAMP) ## set up .venv (every other target does it by itself)

$(STAMP): pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "handframe needs Python 3.11 or newer; name one with: make PYTHON=python3.12")'
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $@

run: $(STAMP) ## mark a sample score and print its review (SAMPLE=file for another)
	@mkdir -p build
	@$(BIN)/handframe annotate $(SAMPLE) -o $(MARKED)
	@$(BIN)/handframe review --fail-on error $(SAMPLE)
	@echo
	@echo "The marked part is in $(MARKED): open it in any notation program."

serve: $(STAMP) ## the page and the HTTP service on this machine (PORT=8765)
	$(BIN)/handframe serve --port $(PORT)

test: check ## everything a release needs: check, tests, and the browser tests where chromium is installed
	$(BIN)/python -m pytest -n $(WORKERS)
	@$(MAKE) --no-print-directory browser

browser: $(STAMP) ## the tests that drive a real chromium
ifeq ($(CHROMIUM),)
	@echo "NOT RUN: the browser tests, since no chromium is installed (.ci/run installs it; on Debian: apt-get install chromium chromium-driver)"
else
	$(BIN)/python -m pytest -m browser || { test $$? -eq 5 && echo "NOT RUN: there are no browser tests yet"; }
endif

check: lint types contracts ## ruff, mypy, import contracts

lint: $(STAMP) ## ruff: faults and layout
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(STAMP) ## mypy, strict
	$(BIN)/mypy

contracts: $(STAMP) ## who may import whom
	$(BIN)/lint-imports

bench: $(STAMP) ## time and memory, as ratios to reference work in the same run
	$(BIN)/python -m pytest -m benchmark -s tests/benchmarks

soak: $(STAMP) ## the long tests: whole collections, and new random examples for every law
	HYPOTHESIS_PROFILE=soak $(BIN)/python -m pytest -m "slow or not (slow or benchmark or browser)" -n $(WORKERS) --ignore tests/soak/test_load.py
	$(BIN)/python -m pytest -m slow tests/soak/test_load.py
	$(BIN)/python -m tests.soak.fuzz_bytes 1000000 7200

audit: $(STAMP) ## known faults of the dependencies, as PyPI lists them (needs the network)
	$(BIN)/pip-audit --skip-editable

docs: $(STAMP) ## write what is generated: the rule reference, the tables of options and settings, the page's options
	$(BIN)/python -m tests.rule_reference
	$(BIN)/python -m tests.option_tables

rule: $(STAMP) ## start a rule: make rule ID=held-open-string
	@test -n "$(ID)" || { echo "name the rule: make rule ID=held-open-string" >&2; exit 2; }
	$(BIN)/python -m tests.new_rule $(ID)

clean: ## remove what was built, keep .venv
	rm -rf build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache
