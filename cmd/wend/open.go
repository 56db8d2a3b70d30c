package main

import (
	"bufio"
	"context"
	"errors"
	"io/fs"
	"net"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/sending"
	"wend/cmd/wend/window"
	"wend/lang/diag"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// openFlags are the flags of open.
type openFlags struct {
	run       runFlags
	port      string
	noBrowser bool
	lesson    string
	export    string
}

func newOpen(c console) *cobra.Command {
	var f openFlags
	cmd := &cobra.Command{
		Use:   "open [FILE or FOLDER]",
		Short: "write and see: the window, in a browser on this computer",
		Long: `Serves one page to the browser of this computer and opens it there: the program, and
beside it the line that it draws, anew as you write. With a FOLDER, or without anything
the current one, the page shows the programs of that folder and below; with a FILE, that
file and what it uses, and nothing else.

Nobody else gets in: it listens on the loopback address alone, and the address that is
printed lets one browser in, once. Enter prints another one. Nothing is fetched from
anywhere. Ctrl-C ends it; what was written is in the files.

With --lesson 3 it begins with that lesson, which is copied into the folder if it is not
there yet, and is learned beside the sheet: guessing, drawing, checking, with hints.

The page draws on a machine too, asked as with send: on the simulated one, or on that at
--port or at the port of the profile. Nothing moves before the word is typed in the page.
Esc holds. Stop stops on the line and keeps the position, and so does Ctrl-C here; once
more while it still moves, it stops at once, and then nobody knows the position. What was
stopped, or cut off, is gone on with or abandoned from the page, or with send --resume.
A page that is closed or does not answer, a computer that sleeps and a clock that jumps
make the machine hold: it stands within two and a half seconds. One page holds the
machine; the others can hold and stop it.

--export writes the window as a site that any file server can offer: the engine runs in
the browser, programs stay there, and nothing is drawn on machines. It compiles the
engine, so that it wants the Go toolchain, and the sources of wend around the current
folder.`,
		Example: `  wend open                          # the programs of this folder
  wend open examples/fern.wend       # this one
  wend open --lesson 3               # learn: the third lesson
  wend open --machine bench.toml --port /dev/ttyUSB0
  wend open --no-browser             # only print the address
  wend open --export site            # for a school's file server`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			name := "."
			if len(args) > 0 {
				name = args[0]
			}
			f.run.limits = "normal"
			if cmd.Flags().Changed("export") {
				if f.export == "" {
					return usagef("--export wants the name of a new folder")
				}
				if len(args) > 0 || f.noBrowser || f.run.machine != "" || f.port != "" || f.lesson != "" {
					return usagef("--export writes a site for everybody: it goes with no file, no lesson, no machine and no browser")
				}
				if err := c.export(cmd.Context(), f.export); err != nil {
					if errors.Is(err, errStopped) {
						return exit(exitStopped)
					}
					c.show(engine.Faults(err), f.run.plain)
					return exit(exitErrors)
				}
				return nil
			}
			return c.open(cmd.Context(), name, &f)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.run.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy)")
	flags.StringVar(&f.port, "port", "", "the machine that the page connects: a serial `port`, or sim for the simulated one (without it: what the profile says, or sim)")
	flags.BoolVar(&f.noBrowser, "no-browser", false, "only print the address")
	flags.StringVar(&f.lesson, "lesson", "", "begin with a lesson, by its `number`")
	flags.StringVar(&f.export, "export", "", "write the window as a static site into a new `folder`, its engine as WebAssembly")
	flags.BoolVar(&f.run.plain, "plain", false, "note places in words, draw no marks")
	return cmd
}

func (c console) open(ctx context.Context, name string, f *openFlags) error {
	number := 0
	if f.lesson != "" {
		l, task, err := findLesson(f.lesson)
		if err != nil {
			return err
		}
		if task != nil {
			return usagef("%s is a task; the window begins with its lesson: --lesson %d", f.lesson, l.Number)
		}
		if info, err := os.Stat(name); err == nil && !info.IsDir() {
			return usagef("--lesson begins in a folder, not with the file `%s`", name)
		}
		number = l.Number
	}
	settings, list, err := f.run.settings(c)
	if err != nil {
		return err
	}
	if list.Failed() {
		c.show(list, f.run.plain)
		return exit(exitErrors)
	}
	port, err := portFromWindow(settings.Profile, f.port)
	if err != nil {
		c.show(engine.Faults(err), f.run.plain)
		return exit(exitMachine)
	}
	// Each key leaves a whole drawing behind: to sweep up more seldom takes a tenth to
	// a fifth of the work off it.
	debug.SetGCPercent(400)
	served, listener, err := c.serveWindow(name, window.Options{
		Settings: settings, Lesson: number, State: c.stateFolder(), Watch: watchBelow, Now: c.now, Connect: c.connectFromWindow(settings), Port: port,
	})
	if err != nil {
		c.show(engine.Faults(err), f.run.plain)
		return exit(exitErrors)
	}
	// The window ends when nothing moves any more: the first Ctrl-C, or signal that
	// ends a process, stops on the line what does, the next one at once.
	stopped := ctx.Done()
	ctx, done := context.WithCancel(context.WithoutCancel(ctx))
	defer done()
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, append(hangup(), os.Interrupt, syscall.SIGTERM)...)
	defer signal.Stop(signals)
	over := make(chan struct{})
	defer close(over)
	go func() {
		for asked := 0; ; {
			select {
			case <-signals:
				if asked++; asked > 1 {
					served.Interrupt()
				}
				done()
			case <-stopped:
				stopped = nil
				done()
			case <-over:
				return
			}
		}
	}()
	c.tell("%s\n", served.Address())
	if c.onTerminal(c.stdin) {
		c.say("this address works once; Enter prints another one, Ctrl-C ends")
		go func() {
			for lines := bufio.NewScanner(c.stdin); lines.Scan() && ctx.Err() == nil; {
				c.tell("%s\n", served.Address())
			}
		}()
	}
	if !f.noBrowser {
		file, err := startBrowser(served.Address())
		if err != nil {
			c.say("no browser could be started (%s): open the address above in one", err)
		}
		defer file.remove()
	}
	return served.Serve(ctx, listener)
}

// serveWindow opens the window on a file or a folder, at a port of this computer alone
// that nobody knows before.
func (c console) serveWindow(name string, options window.Options) (*window.Server, net.Listener, error) {
	var err error
	if options.Folder, options.File, err = c.shownIn(name); err != nil {
		return nil, nil, err
	}
	listener, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		return nil, nil, &diag.Fault{Code: "window-closed", Args: diag.Args{"reason": err.Error()}}
	}
	served, err := window.Open(options, listener.Addr())
	if err != nil {
		listener.Close() //nolint:errcheck // nothing was served
		return nil, nil, &diag.Fault{Code: "window-closed", Args: diag.Args{"reason": reason(err)}}
	}
	return served, listener, nil
}

// portFromWindow is the port that the window connects unless its page names another:
// the one that is named, or the profile's, or the simulated machine.
func portFromWindow(p *machine.Profile, named string) (string, error) {
	if named == "" && p.Board.Port == "" {
		return simulatedPort, nil
	}
	return portOf(p, named)
}

// connectFromWindow opens a machine for the window. Opening a real port may reset the
// board: the motors of a drawing that was cut off stand by then.
func (c console) connectFromWindow(settings engine.Settings) func(context.Context, string, *operate.Conversation) (*operate.Connection, error) {
	return func(ctx context.Context, port string, talk *operate.Conversation) (*operate.Connection, error) {
		if _, err := portOf(settings.Profile, port); err != nil {
			return nil, err
		}
		if port != simulatedPort {
			before := sending.Sending{Talk: talk, Profile: settings.Profile, Now: c.now}
			before.Take("", sending.NewList(link.Disk(c.stateFolder()), settings.Profile, nil))
			if err := before.Drained(ctx); err != nil {
				return nil, err
			}
		}
		connected, err := c.connect(ctx, settings, port, true)
		if err != nil {
			return nil, err
		}
		return &connected.Connection, nil
	}
}

// shownIn is the folder that a window shows, links followed, and the one file of it
// if a file was named.
func (c console) shownIn(name string) (folder, file string, err error) {
	info, err := os.Stat(name)
	if err != nil {
		return "", "", fileFault(name, err)
	}
	switch {
	case info.IsDir():
	case !info.Mode().IsRegular():
		return "", "", aboutFile(name, "file-unreadable", diag.Args{"reason": "it is a pipe or a device, and the window keeps what is written in a file"})
	default:
		if _, err := c.readProgramFile(name, "open"); err != nil {
			return "", "", err
		}
	}
	place, err := filepath.Abs(name)
	if err == nil {
		place, err = filepath.EvalSymlinks(place)
	}
	switch {
	case err != nil:
		return "", "", fileFault(name, err)
	case info.IsDir():
		return place, "", nil
	}
	return filepath.Dir(place), filepath.Base(place), nil
}

// watchBelow calls a function after something has changed in a folder or below, once
// it has been quiet for a moment.
func watchBelow(ctx context.Context, folder string, changed func()) error {
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return err
	}
	defer watcher.Close() //nolint:errcheck // it was only read
	watchFolders(watcher, folder)
	changed() // what was before is not seen
	var settled <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return nil
		case event, open := <-watcher.Events:
			switch {
			case !open:
				return nil
			case event.Has(fsnotify.Create):
				watchFolders(watcher, event.Name) // if it is one
			case event.Op == fsnotify.Chmod:
				continue
			}
			settled = time.After(emptyTime)
		case _, open := <-watcher.Errors:
			if !open {
				return nil
			}
			settled = time.After(emptyTime) // events may have been lost
		case <-settled:
			settled = nil
			changed()
		}
	}
}

// mostWatched is how many folders are watched.
const mostWatched = 500

// watchFolders watches a folder and those below. What cannot be watched is seen
// when it is opened.
func watchFolders(watcher *fsnotify.Watcher, folder string) {
	//nolint:errcheck // see above
	filepath.WalkDir(folder, func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil || len(watcher.WatchList()) >= mostWatched:
			return fs.SkipAll
		case !entry.IsDir():
			return nil
		case name != folder && strings.HasPrefix(entry.Name(), "."):
			return fs.SkipDir
		}
		watcher.Add(name) //nolint:errcheck // see above
		return nil
	})
}
