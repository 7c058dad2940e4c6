# make demo, make test: everything from a fresh clone. GNU make 3.81 (macOS) and the plain tools of POSIX are enough.

VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready
PYTHON :=
ARGS :=
TEXTS := build/texts
BOOKS :=

# An environment that was copied, moved, or whose Python is gone is made anew.
ifneq ($(shell $(BIN)/python -c "print(open('$(READY)').read())" 2>/dev/null),$(CURDIR))
$(shell rm -f "$(READY)")
endif

.DEFAULT_GOAL := help
.PHONY: help demo test bench-pairs bench-speed bench-laws bench-cars check format docs wheel clean

help:
	@echo 'make demo     install into $(VENV), check the demo and publish it to site/public'
	@echo 'make test     run all tests in the same environment; ARGS="-k pairing" chooses some'
	@echo 'make bench-pairs  how well clauses are paired; fetches open texts by npm and apt into TEXTS=$(TEXTS)'
	@echo 'make bench-speed  how long comparing two whole books takes beside git; BOOKS="OLD.md NEW.md" names them'
	@echo 'make bench-laws  effects against brute force on thousands of generated books, some minutes; PAIRS=2000'
	@echo 'make bench-cars  how long many cars take to judge, and to say what a season does to them; CARS="250 500 1000"'
	@echo 'make check    linter, formatter and types, without changing a file'
	@echo 'make format   let the formatter and the linter mend what they can'
	@echo 'make docs     write the pages of docs/reference that are made from the code'
	@echo 'make wheel    build the wheel into dist'
	@echo 'make clean    remove the environment and everything that was made'

demo: $(READY)
	@$(BIN)/rulewatch verify
	@$(BIN)/rulewatch publish
	@echo
	@echo 'Open this in a browser:'
	@echo '    file://$(CURDIR)/site/public/index.html'

test: $(READY)
	@$(BIN)/python -m pytest $(ARGS)

bench-pairs: $(READY)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[bench]'
	@mkdir -p "$(TEXTS)"
	@texts="$$(cd "$(TEXTS)" && pwd)" && cd tests && ../$(BIN)/python -m bench.pairs "$$texts" --leave-one-out --calibration
	@cd tests && ../$(BIN)/python -m bench.scale

bench-speed: $(READY)
	@books=''; for book in $(BOOKS); do books="$$books $$(cd "$$(dirname "$$book")" && pwd)/$$(basename "$$book")"; done; \
	  cd tests && ../$(BIN)/python -m bench.whole $$books

bench-laws: $(READY)
	@$(BIN)/python tests/bench/bench_laws.py $(PAIRS)

bench-cars: $(READY)
	@$(BIN)/python tests/bench/bench_cars.py $(CARS)

check: $(READY)
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy

format: $(READY)
	@$(BIN)/ruff check --fix .
	@$(BIN)/ruff format .

docs: $(READY)
	@$(BIN)/python docs/generate.py

wheel: $(READY)
	@rm -rf dist
	@$(BIN)/python -m pip wheel --quiet --no-deps --wheel-dir dist .
	@ls dist/*.whl

clean:
	rm -rf "$(VENV)" build dist site/public site/.builds .coverage
	rm -rf .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find rulewatch tests -name __pycache__ -type d -prune -exec rm -rf {} +

# Made again only when pyproject.toml changes: the project itself is installed as a link to this folder.
$(READY): pyproject.toml
	@eval "$$CHECK_GIT"
	@eval "$$MAKE_ENVIRONMENT"
	@echo 'Installing rulewatch and what it needs into $(VENV) (once, about a minute)'
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@printf '%s' '$(CURDIR)' > "$(READY)"

define CHECK_GIT
git --version >/dev/null 2>&1 || {
  echo 'rulewatch needs git, and there is none here. To get it:' >&2
  echo '    Debian, Ubuntu:  sudo apt-get install git' >&2
  echo '    macOS:           xcode-select --install' >&2
  exit 1
}
endef
export CHECK_GIT

# The first of the usual names that is new enough and can make an environment.
define MAKE_ENVIRONMENT
seen=''
for name in $(if $(PYTHON),'$(PYTHON)',python3 python3.13 python3.12 python3.11 python3.14 python); do
  version=$$("$$name" -c 'import sys; print("%d.%d" % sys.version_info[:2])' 2>/dev/null) || continue
  seen="$$seen $$name is $$version;"
  "$$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || continue
  if ! "$$name" -c 'import ensurepip, venv' 2>/dev/null; then
    seen="$$seen it cannot make environments (on Debian: python3-venv is missing);"
    continue
  fi
  exec "$$name" -m venv --clear '$(VENV)'
done
echo 'rulewatch needs Python 3.11 or later with its venv module, and there is none here.' >&2
echo "Found:$${seen:- no Python at all}" >&2
echo 'To get it:' >&2
echo '    Debian, Ubuntu:  sudo apt-get install python3 python3-venv' >&2
echo '    macOS:           brew install python, or the installer from python.org' >&2
echo 'Or name one:         make demo PYTHON=/path/to/python3' >&2
exit 1
endef
export MAKE_ENVIRONMENT
