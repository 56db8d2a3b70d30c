#!/bin/sh
# try.sh FOLDER EDITOR: sets an editor, which fetch.sh put into a folder, up as
# lang/editors/README.md says, and has it work with the `wend` on the path.
#   Neovim   neovim                          speaks with the server, colours, folds, indents
#   Emacs    emacs-nox                       speaks with the server, colours, indents
#   Helix    hx                              says whether it found server, parser and queries
#   Kate     libkf6syntaxhighlighting-tools  its library colours an example
set -eu
folder=$(cd "$1" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
HOME=$(mktemp -d)
WORK=$(mktemp -d)
export HOME WORK EXAMPLES="$here/../../../examples"
unset XDG_CONFIG_HOME XDG_DATA_HOME XDG_STATE_HOME
"$here/setup.sh" "$2"
case $2 in
Neovim)
  export VIMRUNTIME="$folder/usr/share/nvim/runtime"
  LUA_PATH=";;$folder/usr/share/lua/5.1/?.lua" LUA_CPATH=";;$folder/usr/lib/x86_64-linux-gnu/lua/5.1/?.so" \
    timeout 300 "$folder/run" nvim --headless -n -i NONE -S "$here/neovim.lua"
  ;;
Emacs)
  shared=$(echo "$folder"/usr/share/emacs/[0-9]*)
  export EMACSDATA="$shared/etc" EMACSDOC="$shared/etc"
  EMACSLOADPATH=$(find "$shared/lisp" -type d | paste -sd:) \
    timeout 300 "$folder/run" emacs-nox --dump-file="$(echo "$folder"/usr/libexec/emacs/*/*/emacs*.pdmp)" --batch -Q -l "$here/emacs.el"
  ;;
Helix)
  timeout 60 "$folder/run" hx --health wend > "$WORK/health"
  cat "$WORK/health"
  test "$(grep -c '✓' "$WORK/health")" = 5 # server, parser, three kinds of queries
  ;;
Kate)
  XDG_DATA_HOME="$HOME/.local/share" XDG_DATA_DIRS="$folder/usr/share" \
    "$folder/run" ksyntaxhighlighter6 -s wend --output-format ansi --syntax-trace format "$EXAMPLES/pinwheel.wend" > "$WORK/coloured"
  for format in Comment Keyword Function Name Number Member; do
    grep -q "$format" "$WORK/coloured" || { echo "nothing is coloured as $format"; exit 1; }
  done
  ;;
esac
rm -r "$HOME" "$WORK"
