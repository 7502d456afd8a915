package web

import (
	"strings"
	"sync"
	"time"
)

// goneFor is how long a job that was deleted can be taken back.
const goneFor = 30 * 24 * time.Hour

// jobsAtOnce is how many jobs one page of the list shows.
const jobsAtOnce = 60

// jobsView is the list of jobs in work, a page of it, and what was deleted.
type jobsView struct {
	Lines  []jobLine
	All    int // how many there are
	Found  int // how many of them are looked for
	Find   string
	Before string // the address of the page before, else empty
	After  string
	Gone   []deletedLine
	Fresh  bool // something was deleted just now
}

// deletedLine is a deleted job that can be taken back.
type deletedLine struct {
	*Record
	Until string
}

// jobsPage lists the jobs in work.
func (v *visit) jobsPage() error {
	view, err := v.jobsView("")
	if err != nil {
		return err
	}
	return v.show(jobsPage(v.chrome(v.words.T("jobs.title"), "jobs", nil), view))
}

// jobsFind lists the jobs whose client or number has the words in it. What is looked for is sent as a form, so that no address holds it.
func (v *visit) jobsFind() error {
	view, err := v.jobsView(v.form("find"))
	if err != nil {
		return err
	}
	c := v.chrome(v.words.T("jobs.title"), "jobs", nil)
	if v.live() {
		return v.show(jobList(c, view))
	}
	c.Path = "/"
	return v.show(jobsPage(c, view))
}

func (v *visit) jobsView(find string) (jobsView, error) {
	out := jobsView{Find: find}
	all, err := v.s.store.List()
	if err != nil {
		return out, err
	}
	want := strings.Fields(strings.ToLower(find))
	var found []*Record
	for _, r := range all {
		if !r.InWork() {
			continue
		}
		out.All++
		if hasAll(strings.ToLower(r.Client+" "+r.Number), want) {
			found = append(found, r)
		}
	}
	out.Found = len(found)
	from := 0
	if q := v.r.URL.Query().Get("from"); find == "" && len(q) > 0 && len(q) < 7 {
		for _, d := range q {
			if d < '0' || d > '9' {
				from = 0
				break
			}
			from = from*10 + int(d-'0')
		}
	}
	from = min(from, max(0, len(found)-1)) / jobsAtOnce * jobsAtOnce
	to := min(from+jobsAtOnce, len(found))
	if find == "" {
		if from > 0 {
			out.Before = "/?from=" + itoa(from-jobsAtOnce)
		}
		if to < len(found) {
			out.After = "/?from=" + itoa(to)
		}
	}
	for _, r := range found[from:to] {
		out.Lines = append(out.Lines, v.lineOf(r))
	}
	gone, err := v.s.store.Gone()
	if err != nil {
		return out, err
	}
	for _, r := range gone {
		age := v.s.now().Sub(*r.Kept.Gone)
		if age > goneFor {
			if err := v.s.store.Remove(r.ID); err != nil {
				return out, err
			}
			continue
		}
		out.Fresh = out.Fresh || age < 10*time.Minute
		out.Gone = append(out.Gone, deletedLine{r, v.words.Date(r.Kept.Gone.Add(goneFor).Format("2006-01-02"))})
	}
	return out, nil
}

func hasAll(text string, words []string) bool {
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

// deletePage asks whether a job is meant to go.
func (v *visit) deletePage() error {
	r, err := v.job()
	if err != nil {
		return err
	}
	return v.show(deletePage(v.chrome(v.words.T("delete.title"), "delete", r)))
}

// deleteJob puts a job away; for a while it can be taken back.
func (v *visit) deleteJob() error {
	id := v.r.PathValue("id")
	now := v.s.now()
	if err := v.s.store.Change(id, func(r *Record) error {
		if !r.InWork() {
			return errNotFound
		}
		r.Kept.Gone = &now
		return nil
	}); err != nil {
		return err
	}
	v.s.lays.leave(id)
	return v.goTo("/#gone")
}

// takeBack brings a deleted job back.
func (v *visit) takeBack() error {
	id := v.r.PathValue("id")
	if err := v.s.store.TakeBack(id); err != nil {
		return err
	}
	return v.goTo("/jobs/" + id + "/measure")
}

// leave stops what is looked for on the cloths of a job.
func (s *searches) leave(job string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.by {
		if x.job == job {
			x.stop()
		}
	}
}

// cards remembers which jobs of the list have all their measures, by the record itself: a job that is changed is another record.
type cards struct {
	mu    sync.Mutex
	whole map[*Record]bool
}

// mostCards is how many are remembered before all are forgotten and read anew.
const mostCards = 4096

// measured reports whether the jacket can be drafted from the job's card. The record must be one that is only read.
func (s *Server) measured(r *Record) bool {
	s.cards.mu.Lock()
	whole, ok := s.cards.whole[r]
	s.cards.mu.Unlock()
	if ok {
		return whole
	}
	whole = readCard(r, languages["en"]).Ready()
	s.cards.mu.Lock()
	defer s.cards.mu.Unlock()
	if s.cards.whole == nil || len(s.cards.whole) >= mostCards {
		s.cards.whole = map[*Record]bool{}
	}
	s.cards.whole[r] = whole
	return whole
}
