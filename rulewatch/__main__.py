"""`python -m rulewatch`: the same as the console script."""

from rulewatch.cli import main

if __name__ == "__main__":
    main()
