package main

import (
	"errors"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
)

// browserFile is a file that a browser was started with; empty for none.
type browserFile string

func (f browserFile) remove() {
	if f != "" {
		os.RemoveAll(filepath.Dir(string(f))) //nolint:errcheck // it is in the system's folder of things that go
	}
}

// startBrowser opens an address in the browser. Whoever lists the processes of this
// computer sees their arguments, so that the browser is given a file that only this
// person can read, and that moves on to the address.
func startBrowser(address string) (browserFile, error) {
	folder, err := os.MkdirTemp("", "wend-open-") // for this person alone
	if err != nil {
		return "", err
	}
	file := browserFile(filepath.Join(folder, "wend.html"))
	page := fmt.Sprintf("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<meta http-equiv=\"refresh\" content=\"0;url=%[1]s\">\n<title>wend</title>\n</head>\n<body><p><a href=\"%[1]s\">Open the window</a></p></body>\n</html>\n", html.EscapeString(address))
	if err := os.WriteFile(string(file), []byte(page), 0o600); err != nil {
		file.remove()
		return "", err
	}
	name, arguments := opener(string(file))
	if name, err = exec.LookPath(name); err != nil {
		file.remove()
		return "", errors.New("nothing here opens pages")
	}
	command := exec.Command(name, arguments...)
	if err := command.Start(); err != nil {
		file.remove()
		return "", err
	}
	go command.Wait() //nolint:errcheck // what becomes of the browser is its own business
	return file, nil
}

// opener is what opens a file as its owner would.
func opener(file string) (string, []string) {
	switch runtime.GOOS {
	case "darwin":
		return "open", []string{file}
	case "windows":
		return "rundll32", []string{"url.dll,FileProtocolHandler", file}
	}
	return "xdg-open", []string{file}
}
