package web

import (
	"crypto/sha256"
	"errors"
	"strings"
	"sync"

	"clothwright/job"
	"clothwright/mistake"
)

// cuts remembers what was drafted last, since one job's pages, pictures and sheets are asked for one after another.
type cuts struct {
	mu    sync.Mutex
	known map[[32]byte]*cut
	order [][32]byte
}

// cut is a job file drafted and trued, or why it could not be. It is shared: nobody may change it.
type cut struct {
	sign   [32]byte
	result *job.Result
	err    error
}

const mostCuts = 48

// cut drafts a job as it is kept now.
func (s *Server) cut(r *Record) (*cut, error) {
	src, err := s.store.JobFile(r)
	if err != nil {
		return nil, err
	}
	sign := sha256.Sum256(src)
	s.cuts.mu.Lock()
	c := s.cuts.known[sign]
	s.cuts.mu.Unlock()
	if c != nil {
		return c, nil
	}
	c = &cut{sign: sign}
	c.result, c.err = s.draft(src)
	if _, ours := mistake.In(c.err); c.err != nil && !ours {
		return nil, c.err
	}
	s.cuts.keep(c)
	return c, nil
}

func (s *Server) draft(src []byte) (*job.Result, error) {
	j, err := job.Read("job.toml", src, s.refer)
	if err != nil {
		return nil, err
	}
	return j.Cut()
}

// refer reads what a job's file names, but no garment script: a maker's own may be anyone's and take any memory, which a command
// that runs for one job watches and ends with. A server has the other jobs to look after.
func (s *Server) refer(path string) ([]byte, error) {
	if strings.HasSuffix(path, ".star") {
		return nil, errOwnScript
	}
	return s.store.Refer(path)
}

var errOwnScript = errors.New("a maker's own script is drafted by the command clothwright cut alone, not in the browser")

func (c *cuts) keep(one *cut) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.known == nil {
		c.known = map[[32]byte]*cut{}
	}
	if _, there := c.known[one.sign]; there {
		return
	}
	c.known[one.sign] = one
	c.order = append(c.order, one.sign)
	if len(c.order) > mostCuts {
		delete(c.known, c.order[0])
		c.order = c.order[1:]
	}
}
