package window

import (
	"context"
	"encoding/json"
	"sync"
	"time"

	"wend/cmd/wend/window/talk"
)

// beginning is the conversation with a page, as far as it goes without the page: the
// program that the window begins with is opened and drawn.
type beginning struct {
	out   *outbox
	lanes *lanes
	used  *used
	leave context.CancelFunc
	// The program that was opened, and its version; empty for none.
	path, version string
}

// beginRequest is the number of the request that draws the first program.
const beginRequest = 1

// begin begins the conversation with a page that asks for some program, or for none.
func (s *Server) begin(asked *fromBegin) *beginning {
	ctx, leave := context.WithCancel(s.running)
	b := &beginning{out: newOutbox(leave), used: &used{folder: s.folder, read: map[string]uint64{}}, leave: leave}
	settings := s.options.Settings
	settings.Read = b.used.source
	b.lanes = newLanes(ctx, talk.New(settings, b.out), b.out)
	if asked == nil {
		return b
	}
	path := s.beginsWith(asked)
	if path == "" {
		return b
	}
	opened, err := s.opens(path)
	if err != nil {
		b.out.Text(talk.Failed{Type: "failed", Text: sentence(err)})
		return b
	}
	b.path, b.version = path, opened.Version
	opened.Program = beginRequest
	b.out.Text(opened)
	request := talk.Request{Type: "program", ID: beginRequest, Path: path, Text: opened.Text}
	if message, err := json.Marshal(request); err == nil {
		b.lanes.take(request.Type, request.ID, message)
	}
	return b
}

// beginsWith is the program that a window begins with; empty where there is none.
func (s *Server) beginsWith(asked *fromBegin) string {
	if asked.Piece != "" {
		if copied, err := s.folder.copyPiece(asked.Piece); err == nil {
			return copied
		}
	}
	if asked.Path != "" && s.folder.sees(asked.Path) == nil {
		if _, _, err := s.folder.text(asked.Path); err == nil {
			return asked.Path
		}
	}
	if s.first != "" {
		return s.first
	}
	for _, file := range s.folder.list() {
		if file.Kind == "program" {
			return file.Path
		}
	}
	return ""
}

// prepared is a beginning that is made while the browser still reads the page that it
// is for: the first picture waits for the page alone.
type prepared struct{ beginning func() *beginning }

// aheadTime is how long a beginning waits for its page.
const aheadTime = 10 * time.Second

// beginAhead begins with the next page.
func (s *Server) beginAhead() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ahead != nil {
		return
	}
	a := &prepared{sync.OnceValue(func() *beginning { return s.begin(&fromBegin{}) })}
	s.ahead = a
	go a.beginning()
	time.AfterFunc(aheadTime, func() { s.drop(a) })
}

// drop ends a beginning that no page has taken; nil for whichever there is.
func (s *Server) drop(a *prepared) {
	s.mu.Lock()
	if a == nil {
		a = s.ahead
	}
	waits := a != nil && a == s.ahead
	if waits {
		s.ahead = nil
	}
	s.mu.Unlock()
	if waits {
		b := a.beginning()
		b.leave()
		b.lanes.wait()
	}
}

// begun is the beginning with a page that is there: the one that was made ahead, if
// that is what it asks for and the program is still as it was.
func (s *Server) begun(asked *fromBegin) *beginning {
	if asked == nil || asked.Piece != "" {
		return s.begin(asked)
	}
	s.mu.Lock()
	a := s.ahead
	s.ahead = nil
	s.mu.Unlock()
	if a == nil {
		return s.begin(asked)
	}
	b := a.beginning()
	if b.path != "" && (asked.Path == "" || asked.Path == b.path) && b.lanes.ctx.Err() == nil {
		if _, version, err := s.folder.text(b.path); err == nil && version == b.version {
			return b
		}
	}
	b.leave()
	return s.begin(asked)
}
