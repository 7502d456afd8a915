package web

import (
	"context"
	"sync/atomic"
	"time"
)

// polite is the context of a search for a lay, which asks it again and again whether to go on: while pages are being answered it lets
// the search wait for the answer, so that a page does not wait for the search. It takes nothing from what is found, since the search
// counts its steps and not the time.
type polite struct {
	context.Context
	busy *atomic.Int64
	last *atomic.Int64 // when the search was last let go on, in nanoseconds
	rest time.Duration // how many times as long as it works it stands back
}

// How the search shares a processor with the pages: for every while it works it stands back so many times as long, at most longestRest
// at a time, and only while there are pages to answer. So it gets on, slowly, in the busiest room too.
const (
	restFor     = 4
	restToPrint = 1 // of a lay that somebody waits for with a sheet
	longestRest = 60 * time.Millisecond
	nap         = time.Millisecond
	slice       = 3 * time.Millisecond // it works so long at least before it stands back, since no machine sleeps for less than a while
)

// politely is a context for a search that gives way to pages.
func (s *Server) politely(ctx context.Context) context.Context { return s.resting(ctx, restFor) }

func (s *Server) resting(ctx context.Context, rest time.Duration) context.Context {
	last := &atomic.Int64{}
	last.Store(time.Now().UnixNano())
	return polite{ctx, &s.busy, last, rest}
}

// Err is asked by the search at every step.
func (p polite) Err() error {
	now := time.Now()
	worked := time.Duration(now.UnixNano() - p.last.Load())
	if worked < slice {
		return p.Context.Err()
	}
	rest := min(p.rest*worked, longestRest)
	for until := now.Add(rest); p.busy.Load() > 0 && p.Context.Err() == nil && time.Now().Before(until); {
		time.Sleep(nap)
	}
	p.last.Store(time.Now().UnixNano())
	return p.Context.Err()
}
