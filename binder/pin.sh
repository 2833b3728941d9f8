#!/usr/bin/env bash
# Writes the two sets of versions again from pyproject.toml with uv (pip install uv): the pins everybody uses, and the lowest versions
# that pyproject.toml admits. Run in the project's root folder, then run the tests on both (see DEVELOPERS.md).
set -euo pipefail
# the meshing package under sectionproperties: later ones have no wheels for all three Pythons; later ones of the other read 39 grammars
# of addresses, three seconds at the start of every server
limits=$(mktemp); printf "cytriangle<2\njsonschema<4.25\n" > "$limits"
compile() { uv pip compile pyproject.toml --extra test --no-header --no-emit-index-url --no-annotate --quiet --constraint "$limits" "$@"; }
{
  echo "# The one set of versions, complete, for Python 3.11 to 3.13: read by Binder, by a class server and by .ci/run from the project's root"
  echo "# folder. Written by binder/pin.sh; the last line installs the lessons themselves together with their tests."
  compile --universal --fork-strategy fewest --python-version 3.11
  echo "-e .[test]"
} > binder/requirements.txt
{
  echo "# The lowest versions that pyproject.toml admits, on Python 3.11: .ci/run tests the physics on them. Written by binder/pin.sh."
  compile --resolution lowest-direct --python-version 3.11
  echo "-e .[test]"
} > binder/lowest.txt
