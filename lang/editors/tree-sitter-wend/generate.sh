#!/bin/sh
# Makes src/parser.c from grammar.js with tree-sitter 0.22.6, the version of
# Debian 13, and node. ABI 14 is what editors of several years read.
set -eu
cd "$(dirname "$0")"
${TREE_SITTER:-tree-sitter} generate --no-bindings --abi 14
