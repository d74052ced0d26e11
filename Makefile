# Litfield's commands; `make help` lists them. All work in an environment of their own, .venv.

PYTHON ?= python3
ENV := .venv
BIN := $(ENV)/bin
ROOMS := patterns sequences readings player
SOURCES := $(shell find $(ROOMS) -not -name __pycache__ -not -name '*.pyc' 2>/dev/null)
INSTALL := $(BIN)/pip install --quiet --disable-pip-version-check --constraint constraints.txt

RESULTS ?= demo-results
# Tests to run and options for pytest, as in: make quick ARGS="tests/patterns -k window"
ARGS ?=
# The tests see the installed wheel and never this folder. Like the program they keep linear algebra
# to one thread: several workers with several threads each take many times as long.
export OPENBLAS_NUM_THREADS ?= 1
PYTEST := env -u PYTHONPATH PYTHONSAFEPATH=1 $(BIN)/pytest

.DEFAULT_GOAL := help
.NOTPARALLEL:
.PHONY: help demo test quick check format catalogue pictures bench gpu campaign pins clean screen

help: ## this list
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "make %-9s %s\n", $$1, $$2 }' Makefile

demo: $(ENV)/run ## a whole visit on the simulated display
	$(BIN)/litfield demo --to $(RESULTS)
	@echo "The results lie in $(abspath $(RESULTS))."

test: $(ENV)/test screen ## all tests, against the installed wheel
	$(PYTEST) --numprocesses auto --dist worksteal $(ARGS)

quick: ## tests against the source tree, once `make test` has made the environment
	LITFIELD_TEST_SOURCE=1 PYTHONPATH=. $(BIN)/pytest $(ARGS)

check: $(ENV)/check ## lint, format, types, and whether catalogue and tables are current
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/python tools/catalogue.py --check
	$(BIN)/python tools/tables.py --check

catalogue: $(ENV)/run ## docs/catalogue.md with its pictures, and the docs' tables of findings
	$(BIN)/python tools/catalogue.py
	$(BIN)/python tools/tables.py

pictures: $(ENV)/test screen ## the pictures in the readme, of the operator window and of zones
	$(BIN)/python tools/pictures.py
	$(BIN)/python tools/operator_pictures.py
	$(BIN)/python tools/zone_pictures.py

format: $(ENV)/check ## put the source in shape
	$(BIN)/ruff check --fix
	$(BIN)/ruff format

bench: $(ENV)/test ## every benchmark; fails where a promise is not kept
	@failed=0; for file in $(sort $(wildcard tests/bench/bench_*.py)); do \
	    echo "== $$file"; $(BIN)/python $$file || failed=1; \
	done; exit $$failed

gpu: $(ENV)/test ## whether the graphics card draws exactly, and how fast; needs no screen
	$(BIN)/python -m tests.gpu.gpu

campaign: $(ENV)/test screen ## the long trials
	$(PYTEST) -m campaign --timeout 3600 $(ARGS)

pins: ## resolve all dependencies anew into constraints.txt
	tools/pins.sh constraints.txt

clean: ## remove all that was made
	rm -rf $(ENV) dist $(RESULTS) .hypothesis .mypy_cache .pytest_cache .ruff_cache
	find $(ROOMS) tests -name __pycache__ -prune -exec rm -rf {} +

# An X server, OpenGL in software, a second decoder of clips, a reader of PDFs, a tracer of calls.
# Without them the tests that need them say so, and fail in CI.
screen:
	@tools/apt.sh "the tests with windows, clips, PDFs and lost power" \
	    xvfb xdotool x11-xserver-utils xserver-xorg-core xserver-xorg-video-dummy \
	    libgl1 libgl1-mesa-dri libegl1 ffmpeg poppler-utils strace || [ "$$CI" != true ]

$(ENV)/made: constraints.txt tools/environment.sh
	@PYTHON=$(PYTHON) tools/environment.sh $(ENV)
	$(INSTALL) hatchling
	@touch $@

$(ENV)/wheel: $(ENV)/made pyproject.toml LICENSE $(SOURCES)
	@rm -rf dist
	$(BIN)/hatchling build --target wheel
	$(INSTALL) --no-deps --force-reinstall dist/*.whl
	@touch $@

$(ENV)/run: $(ENV)/made pyproject.toml | $(ENV)/wheel
	$(INSTALL) "$$(echo dist/*.whl)"
	@touch $@

$(ENV)/test $(ENV)/check: $(ENV)/made pyproject.toml | $(ENV)/wheel
	$(INSTALL) "$$(echo dist/*.whl)[$(@F)]"
	@touch $@
