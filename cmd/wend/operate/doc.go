// Package operate is the one conversation with the operator of a machine: who
// stands beside it is cautioned, asked whether the stylus stands where it is
// taken to, asked for the word that lets something move, told what moves, and
// heard while it does.
//
// A Conversation knows no terminal. It talks to a Person, which is anything
// that can say, ask, show and hand on key presses: a terminal, the prompt, a
// window. What it talks about is a Machine, which the link is.
package operate
