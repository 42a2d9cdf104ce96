# Two commands do it all: `make course` and `make test`. Everything else is for contributors.
PYTHON ?= python3
BIN := .venv/bin
# An editable install leaves our modules uncompiled; where Python may write no bytecode they would stay so.
COMPILE = $(BIN)/python -m compileall -q generator

.PHONY: course test check bench clean

course: .venv/ready
	$(BIN)/onionskin build -o site

test: .venv/ready-test
	sh .ci/browser
	$(BIN)/python -m pytest -n auto

check: .venv/ready-test
	$(BIN)/ruff format --check generator tests benchmarks
	$(BIN)/ruff check generator tests benchmarks
	$(BIN)/mypy
	$(BIN)/onionskin lint
	$(MAKE) test

bench: .venv/ready-test
	$(BIN)/python -m benchmarks

clean:
	rm -rf .venv site

.venv/bin/python:
	$(PYTHON) -c 'import sys; sys.exit("Python 3.11 or newer is needed, this is " + sys.version.split()[0] if sys.version_info < (3, 11) else 0)'
	$(PYTHON) -m venv .venv

.venv/ready: pyproject.toml | .venv/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	$(COMPILE)
	touch $@

.venv/ready-test: pyproject.toml | .venv/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[test,check,pack]'
	$(COMPILE)
	touch $@ .venv/ready
