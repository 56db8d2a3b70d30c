package window

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
)

//go:embed web/dist
var bundle embed.FS

// Options say what a window is about.
type Options struct {
	// Settings of the programs; how files are read is the window's own business.
	Settings engine.Settings
	// Folder is where the programs lie. With File, a name in it, nothing but that
	// file and what it uses is shown.
	Folder, File string
	// Lesson is the number of the one to begin with, which is copied into the folder
	// unless it is there; 0 for none. It goes with a folder.
	Lesson int
	// State is the folder in which undo is kept; empty for nowhere.
	State string
	// Watch calls a function whenever something has changed in a folder or below,
	// until the context ends; nil where nothing can be watched.
	Watch func(ctx context.Context, folder string, changed func()) error
	// Connect opens the machine at a port, while the person before the page is told
	// what takes long; nil where there are none. Port is the one that is opened
	// unless a page names another.
	Connect func(ctx context.Context, port string, talk *operate.Conversation) (*operate.Connection, error)
	Port    string
	// Now is the clock on the wall: one that a sleeping computer sets forward.
	Now func() time.Time
}

// Server is a window that is open.
type Server struct {
	options Options
	folder  *folder
	first   string // the file that a page begins with; empty for any
	origin  string // of the page, as browsers say it
	host    string
	cookie  string // its name
	static  fs.FS

	keys, cookies, pages secrets

	bench   *bench
	running context.Context // until the window is closed

	mu      sync.Mutex
	sockets map[*socket]bool
	ahead   *prepared // that no page has taken yet; nil for none
}

// Open opens the folder and gives the window that a listener on the loopback
// address will serve.
func Open(options Options, at net.Addr) (*Server, error) {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsLoopback() {
		return nil, fmt.Errorf("%s is not this computer alone", at)
	}
	files, err := openFolder(options.Folder, options.File)
	if err != nil {
		return nil, err
	}
	static, err := fs.Sub(bundle, "web/dist")
	if err != nil {
		return nil, err
	}
	first := options.File
	if options.Lesson > 0 {
		piece := lessonPiece(options.Lesson)
		l, _ := lessonOf(piece)
		if first, err = files.startLesson(piece, l); err != nil {
			files.close()
			return nil, err
		}
	}
	options.Settings.Read = files.source
	if options.Now == nil {
		options.Now = time.Now
	}
	s := &Server{
		options: options, folder: files, first: first, static: static, sockets: map[*socket]bool{},
		host: tcp.String(), origin: "http://" + tcp.String(), cookie: fmt.Sprintf("wend-%d", tcp.Port),
	}
	s.bench = newBench(s)
	return s, nil
}

// now is the clock on the wall.
func (s *Server) now() time.Time { return s.options.Now().Round(0) }

// Address is one that lets a browser in, once.
func (s *Server) Address() string { return s.origin + "/in/" + s.keys.add() }

// Timeouts and bounds of what a browser may ask. A header holds one cookie.
const (
	headerTime  = 5 * time.Second
	headerBytes = 16 << 10
	mostSockets = 16
)

// Serve serves the window until the context ends.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	ctx, done := context.WithCancel(ctx)
	defer done()
	s.running = context.WithoutCancel(ctx) // what moves comes to a stand first
	server := &http.Server{
		Handler: s, ReadHeaderTimeout: headerTime, IdleTimeout: time.Minute, MaxHeaderBytes: headerBytes,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	var over sync.WaitGroup
	defer over.Wait()
	defer done()
	over.Go(func() { s.bench.watch(ctx) })
	if s.options.Watch != nil {
		over.Go(func() { s.options.Watch(ctx, s.options.Folder, s.folderChanged) }) //nolint:errcheck // then a change is seen when the file is saved
	}
	over.Go(func() {
		<-ctx.Done()
		server.Close() //nolint:errcheck // nothing is left to be done about it
	})
	err := server.Serve(listener)
	s.mu.Lock()
	open := make([]*socket, 0, len(s.sockets))
	for one := range s.sockets {
		open = append(open, one)
	}
	s.mu.Unlock()
	for _, one := range open {
		one.leave()
		<-one.gone
	}
	s.drop(nil)
	s.bench.close()
	s.folder.close()
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// policy is the content policy of every page: what is served from here, and
// nothing written into a page.
func (s *Server) policy() string {
	return "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; " +
		"connect-src 'self' ws://" + s.host + "; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
}

// types are those of what is served.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".txt": "text/plain; charset=utf-8", ".wasm": "application/wasm", ".json": "application/json",
}

// ServeHTTP is that of http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", s.policy())
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	switch {
	case r.Host != s.host, r.Header.Get("Origin") != "" && r.Header.Get("Origin") != s.origin,
		r.Method != http.MethodGet && r.Method != http.MethodHead, r.ContentLength != 0:
		refuse(w)
		return
	}
	if key, ok := strings.CutPrefix(r.URL.Path, "/in/"); ok {
		s.letIn(w, r, key)
		return
	}
	if cookie, err := r.Cookie(s.cookie); err != nil || !s.cookies.has(cookie.Value) {
		refuse(w)
		return
	}
	switch r.URL.Path {
	case "/socket":
		s.connect(w, r)
	case "/":
		s.page(w)
	default:
		s.file(w, r.URL.Path)
	}
}

// notFromHere tells a stranger nothing, and whoever sits at the terminal what to do.
const notFromHere = "Not from here. An address lets one browser in, once: press Enter where wend open runs, and it prints a new one."

// refuse is all that is said to whoever is not let in. What was to be sent is not
// read: the connection ends.
func refuse(w http.ResponseWriter) {
	w.Header().Set("Connection", "close")
	http.Error(w, notFromHere, http.StatusForbidden)
}

// letIn turns a key into a cookie, and moves on from a page of its own: a browser
// may drop a cookie that comes with a redirect from a file.
func (s *Server) letIn(w http.ResponseWriter, r *http.Request, key string) {
	if r.Method != http.MethodGet || !s.keys.use(key) {
		refuse(w)
		return
	}
	s.beginAhead()
	http.SetCookie(w, &http.Cookie{Name: s.cookie, Value: s.cookies.add(), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	w.Header().Set("Content-Type", types[".html"])
	fmt.Fprint(w, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta http-equiv=\"refresh\" content=\"0;url=/\">\n<title>wend</title>\n</head>\n<body><p><a href=\"/\">Open the window</a></p></body>\n</html>\n")
}

// page serves the window's page, with a secret for its socket.
func (s *Server) page(w http.ResponseWriter) {
	text, err := fs.ReadFile(s.static, "index.html")
	if err != nil {
		http.NotFound(w, nil)
		return
	}
	s.beginAhead()
	w.Header().Set("Content-Type", types[".html"])
	fmt.Fprint(w, strings.Replace(string(text), "{{secret}}", s.pages.add(), 1))
}

// file serves a file of the bundle.
func (s *Server) file(w http.ResponseWriter, name string) {
	name = strings.TrimPrefix(name, "/")
	kind := types[path.Ext(name)]
	content, err := fs.ReadFile(s.static, name)
	if err != nil || kind == "" {
		http.Error(w, "not here", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Write(content) //nolint:errcheck // the browser has gone
}
