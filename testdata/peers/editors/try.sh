#!/bin/sh
# try.sh FOLDER Neovim|Emacs: sets an editor, which fetch.sh put into a folder, up as
# the README for editors says, and has it speak with the `wend` on the path.
set -eu
folder=$(cd "$1" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
HOME=$(mktemp -d)
WORK=$(mktemp -d)
export HOME WORK EXAMPLES="$here/../../../examples"
"$here/setup.sh" "$2"
case $2 in
Neovim)
  export VIMRUNTIME="$folder/usr/share/nvim/runtime"
  LUA_PATH=";;$folder/usr/share/lua/5.1/?.lua" LUA_CPATH=";;$folder/usr/lib/x86_64-linux-gnu/lua/5.1/?.so" \
    timeout 300 "$folder/run" nvim --headless -n -i NONE -S "$here/neovim.lua"
  ;;
Emacs)
  shared=$(echo "$folder"/usr/share/emacs/[0-9]*)
  export EMACSLOADPATH="$shared/lisp" EMACSDATA="$shared/etc" EMACSDOC="$shared/etc"
  EMACSLOADPATH=$(find "$shared/lisp" -type d | paste -sd:) \
    timeout 300 "$folder/run" emacs-nox --dump-file="$(echo "$folder"/usr/libexec/emacs/*/*/emacs*.pdmp)" --batch -Q -l "$here/emacs.el"
  ;;
esac
rm -r "$HOME" "$WORK"
