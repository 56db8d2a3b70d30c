// Package window serves the window: one page in a browser on this computer, with
// the files of a folder and, if somebody wants it, a machine.
//
// Nobody else gets in. It listens on the loopback address alone; the address that a
// browser is started with holds a key that works once and becomes a cookie; the
// socket wants a second secret that only the served page knows. Host and Origin are
// compared on every request. What is not let in gets a plain refusal, whatever it
// asks for.
//
// What the page asks about programs goes to package talk. What it asks about files
// stays in one folder (folder.go). What the messages are: talk/messages.go, and
// messages.go here.
package window
