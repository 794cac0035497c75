# Everything a contributor or a curious reader needs: `make help` lists it.
#
# Set-up is repeated only when pyproject.toml or constraints.txt change: stamp files in the virtual environment say
# what is installed.  Variables: PYTHON (to make .venv with), PYTEST_ARGS, SERVE_ARGS, BENCH_ARGS.

PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check --constraint constraints.txt
# The build tools are pinned too, so packages are built with those, not with what the day brings.  setuptools warns
# whenever anything is installed as editable, which is what we want here.
INSTALL_SELF := PYTHONWARNINGS=ignore $(INSTALL) --no-build-isolation --editable

.PHONY: help demo test check serve bench contract readme constraints
.DEFAULT_GOAL := help

help:
	@echo 'make demo     start the service, diagnose a few invented jobs over HTTP, stop it'
	@echo 'make test     run every test (installs ngspice and Chromium where they are missing and that is allowed)'
	@echo 'make check    lint, types, import rules, and the published contract against the code'
	@echo 'make serve    run the service on 127.0.0.1 (SERVE_ARGS="--port 9000 --workers 4")'
	@echo 'make bench    measure speed against general-purpose libraries and a bare web application'
	@echo 'make contract write openapi/probewright.json from the code'
	@echo 'make readme   write the answers shown in README.md and what DEVELOPERS.md quotes of the code anew'
	@echo 'make constraints  pin the newest versions that work together (then run the tests)'

$(VENV)/.created:
	@.ci/make-venv '$(PYTHON)' $(VENV)
	@touch $@

$(VENV)/.runtime: $(VENV)/.created pyproject.toml constraints.txt
	@echo 'Installing the service and its pinned dependencies into $(VENV) ...'
	@$(INSTALL) pip setuptools wheel
	@$(INSTALL_SELF) .
	@echo 'Compiling the search, once ...'
	@$(BIN)/probewright warm-up
	@touch $@

$(VENV)/.dev: $(VENV)/.runtime
	@echo 'Installing the development tools into $(VENV) ...'
	@$(INSTALL_SELF) '.[dev]'
	@touch $@

$(VENV)/.bench: $(VENV)/.dev
	@echo 'Installing the libraries to compare with into $(VENV) ...'
	@$(INSTALL_SELF) '.[bench]'
	@touch $@

# Unbuffered, so that its lines and the service's come in the order in which they were printed.
demo: $(VENV)/.runtime
	@$(BIN)/python -u demo/run.py

serve: $(VENV)/.runtime
	@exec $(BIN)/probewright serve $(SERVE_ARGS)

# Where ngspice and Chromium are there, or this is CI, their checks must run; elsewhere they are skipped, and pytest
# says so.  A file's tests share what they set up, so files are dealt out whole to the processes.
test: $(VENV)/.dev
	@if .ci/debian-package ngspice ngspice || [ -n "$$CI" ]; then export PROBEWRIGHT_REQUIRE_NGSPICE=1; fi; \
	if .ci/debian-package chromium chromium || [ -n "$$CI" ]; then export PROBEWRIGHT_REQUIRE_CHROMIUM=1; fi; \
	exec $(BIN)/python -m pytest --numprocesses auto --maxprocesses 4 --dist loadfile $(PYTEST_ARGS)

check: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/mypy
	MYPYPATH=demo:benchmarks:tests $(BIN)/mypy demo docker benchmarks tests/typing_examples
	MYPYPATH=plugins/examples/ice_maker:plugins/examples/range_hood $(BIN)/mypy --package ice_maker --module range_hood
	$(BIN)/lint-imports
	$(BIN)/python -m probewright.web.contract --check openapi/probewright.json

contract: $(VENV)/.runtime
	$(BIN)/python -m probewright.web.contract openapi/probewright.json

readme: $(VENV)/.runtime
	$(BIN)/python tests/support/readme_example.py
	$(BIN)/python tests/support/contract_reference.py
	PYTHONPATH=tests $(BIN)/python tests/support/common_reference.py
	PYTHONPATH=tests $(BIN)/python tests/support/table_reference.py
	$(BIN)/python tests/support/mistakes.py

bench: $(VENV)/.bench
	@.ci/debian-package wrk wrk || { echo 'make bench: wrk is needed to measure requests a second' >&2; exit 1; }
	@PYTHONPATH=demo:tests $(BIN)/python -W ignore::FutureWarning benchmarks/measure_all.py $(BENCH_ARGS)

# A fresh environment, so that nothing installed by hand gets pinned.
constraints:
	rm -rf build/constraints
	.ci/make-venv '$(PYTHON)' build/constraints
	build/constraints/bin/python -m pip install --quiet --upgrade pip setuptools wheel
	build/constraints/bin/python -m pip install --quiet '.[dev,bench]'
	build/constraints/bin/python -m pip freeze --all --exclude probewright | LC_ALL=C sort -f > constraints.txt
