package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/a-h/templ"
)

// watched is something that goes on while pages show how far it has come. What embeds it reads and changes its own state under mu.
type watched struct {
	mu   sync.Mutex
	done bool
	wake chan struct{} // closed and made anew at every change
}

func newWatched() watched { return watched{wake: make(chan struct{})} }

// change does f and wakes who waits.
func (x *watched) change(f func()) {
	x.mu.Lock()
	defer x.mu.Unlock()
	f()
	close(x.wake)
	x.wake = make(chan struct{})
}

// standing is whether it has ended, and a channel that closes at the next change.
func (x *watched) standing() (done bool, wake chan struct{}) {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.done, x.wake
}

func (x *watched) isDone() bool {
	done, _ := x.standing()
	return done
}

// follow sends a part of a page as events: one at every change of x, the last when x has ended (at once where there is no x), none more when
// the browser has gone.
func (v *visit) follow(x *watched, part func() (templ.Component, error)) error {
	v.w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(v.w)
	_ = out.SetReadDeadline(time.Time{})
	for {
		_ = out.SetWriteDeadline(time.Now().Add(20 * time.Second))
		kind, done, wake := "better", true, (chan struct{})(nil)
		if x != nil {
			done, wake = x.standing() // before the part is made, so that no change is missed
		}
		if done {
			kind = "rest"
		}
		page, err := part()
		if err != nil {
			return nil // the answer has begun: there is nowhere to say it
		}
		var b strings.Builder
		if err := page.Render(v.r.Context(), &b); err != nil {
			return nil
		}
		line, err := json.Marshal(b.String())
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintf(v.w, "event: %s\ndata: %s\n\n", kind, line); err != nil || out.Flush() != nil || done {
			return nil
		}
		select {
		case <-wake:
		case <-v.r.Context().Done():
			return nil
		}
	}
}
