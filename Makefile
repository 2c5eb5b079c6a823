# Thin: each target calls one script that a person can run alone.
PY := .venv/bin/python

.PHONY: help setup demo test check bench soak facts lock clean

help:
	@echo "make setup   the environment in .venv and the database under var/, ready for every command"
	@echo "make demo    the invented firm in mid-season, served with worker and beat"
	@echo "make test    the test suite on SQLite"
	@echo "make check   style, types, layers, dependencies, migrations, templates, sizes"
	@echo "make bench   speed against its targets"
	@echo "make soak    a long run of hostile input, with a dated report under var/"
	@echo "make facts   docs/outside-facts.md, made again from the tests"
	@echo "make lock    both locks from pyproject.toml"
	@echo "make clean   caches away; var/ with its data stays"

setup:
	@scripts/setup.sh dev migrate

demo:
	@scripts/setup.sh runtime
	@exec $(PY) manage.py demo $(ARGS)

test:
	@scripts/setup.sh dev
	@scripts/test.sh $(ARGS)

check:
	@scripts/setup.sh dev
	@$(PY) scripts/check.py $(ARGS)

bench:
	@scripts/setup.sh dev
	@$(PY) scripts/bench.py $(ARGS)

soak:
	@scripts/setup.sh dev
	@$(PY) scripts/soak.py $(ARGS)

facts:
	@scripts/setup.sh dev
	@$(PY) scripts/outside_facts.py $(ARGS)

lock:
	@scripts/setup.sh dev
	@scripts/lock.sh $(ARGS)

clean:
	@rm -rf .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	@find . -path ./.venv -prune -o -name __pycache__ -type d -exec rm -rf {} +
