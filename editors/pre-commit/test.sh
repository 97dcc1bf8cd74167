#!/bin/sh
# Tries the hook in a repository of its own, with the binary that FOURFOLD names:
# a score that fits is committed, one that does not is stopped, and what counts is
# what is to be committed.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
: "${FOURFOLD:?set FOURFOLD to the binary}"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
git init -q .
git config user.email composer@example.org
git config user.name Composer
cp "$here/pre-commit" .git/hooks/pre-commit
chmod +x .git/hooks/pre-commit
music() { printf 'X:1\nT:t\n%%%%score {RH LH}\nM:4/4\nL:1/16\nQ:1/4=%s\nK:C\nV:RH\nDFdADFdADFdADFdA|\nV:LH\nD,F,D,A,D,F,D,A,D,F,D,A,D,F,D,A,|\n' "$1"; }
fail() { echo "pre-commit test: $1" >&2; exit 1; }

mkdir parts
music 30 > "parts/it fits.abc"
git add . && git commit -q -m one || fail "a score that fits was stopped"
music 200 > parts/fast.abc
git add .
if git commit -q -m two > /dev/null 2>&1; then fail "a score that does not fit was let through"; fi
music 30 > parts/fast.abc # mended in the folder, but not in what is to be committed
if git commit -q -m two > /dev/null 2>&1; then fail "the hook looked at the folder"; fi
git add . && git commit -q -m two || fail "the mended score was stopped"
music 200 > parts/fast.abc
printf '[severity]\nhands = "off"\n' > .fourfold.toml
git add . && git commit -q -m three || fail "the settings that are to be committed were not used"
echo words > notes.txt
git add . && git commit -q -m four || fail "a commit without scores was stopped"
echo "pre-commit test: passed"
