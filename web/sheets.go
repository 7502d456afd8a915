package web

import (
	"fmt"
	"mime"
	"sync"

	"clothwright/desk"
	"clothwright/job"
)

// papers are the files a job can be had as, in the order they are wanted.
var papers = []string{"chalk.pdf", "cut-list.pdf", "pieces.pdf", "roll.pdf", "lay-plan.pdf", "making-up.pdf", "pieces.svg", "job.json"}

var paperKinds = map[string]string{".pdf": "application/pdf", ".png": "image/png", ".svg": "image/svg+xml", ".json": "application/json"}

// press prints one job at a time, since a job's sheets take a processor for a while, and keeps what was printed last.
type press struct {
	mu    sync.Mutex
	sign  string
	files []job.Output

	draft int64 // the row of the draft of the book that was cut again last
	recut desk.Recutting
}

// print makes every sheet of a job, with the lays that were kept.
func (s *Server) print(r *Record, c *cut) ([]job.Output, error) {
	sign := laidSign(r, c)
	s.press.mu.Lock()
	defer s.press.mu.Unlock()
	if s.press.sign == sign {
		return s.press.files, nil
	}
	result, err := s.laidOut(r, c)
	if err != nil {
		return nil, err
	}
	files, err := result.Files(false)
	if err != nil {
		return nil, err
	}
	s.press.sign, s.press.files = sign, files
	return files, nil
}

// cutRow is one line of the cut list.
type cutRow struct {
	Title, Cuts string
	Material    string
}

// sheetsPage lists the sheets, the cut list and the findings.
func (v *visit) sheetsPage() error {
	r, c, err := v.ready()
	if err != nil || c == nil {
		return err
	}
	var rows []cutRow
	var materials []string
	for i := range c.Pattern.Pieces {
		p := &c.Pattern.Pieces[i]
		m := v.words.Or("material."+string(p.Material), string(p.Material))
		if len(materials) == 0 || !has(materials, m) {
			materials = append(materials, m)
		}
		rows = append(rows, cutRow{Title: v.words.piece(p.Name, p.Title), Cuts: cutsOf(p, v.words), Material: m})
	}
	var notions []string
	for _, n := range c.Pattern.Notions {
		s := fmt.Sprintf("%d × %s", n.Count, v.words.Call(n.Name))
		if n.Length > 0 {
			s += ", " + c.Job.House.Tape.Format(n.Length)
		}
		notions = append(notions, s)
	}
	files := papers
	if c.Job.House.Roll == 0 {
		files = nil
		for _, f := range papers {
			if f != "roll.pdf" {
				files = append(files, f)
			}
		}
	}
	in, err := v.ofBook(r)
	if err != nil {
		return err
	}
	page := v.chrome(v.words.T("sheets.title"), "sheets", r)
	in.Wrong, page.Wrong = page.Wrong, "" // it is said beside its form
	return v.show(sheetsPage(page, files, rows, materials, notions, v.s.withHand(r, c, v.words), in))
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// sheetFile hands out one file.
func (v *visit) sheetFile() error {
	name := v.r.PathValue("file")
	if !has(papers, name) {
		return errNotFound
	}
	r, err := v.job()
	if err != nil {
		return err
	}
	c, err := v.s.cut(r)
	if err != nil {
		return err
	}
	if c.err != nil {
		return errNotFound
	}
	files, err := v.s.print(r, c)
	if err != nil {
		return err
	}
	for _, f := range files {
		if f.Name == name {
			if has(cutFrom, name) {
				if err := v.moment(r, "printed"); err != nil {
					return err
				}
			}
			return v.hand(f, name)
		}
	}
	return errNotFound
}

// hand hands out a file under a name. A PDF is shown in the browser, to be looked at and printed; the rest is saved, since a picture that
// were opened by itself must not be taken for one of these pages.
func (v *visit) hand(f job.Output, name string) error {
	h := v.w.Header()
	how := "attachment"
	if extension(f.Name) == ".pdf" {
		how = "inline"
		h.Set("Content-Security-Policy", paperPolicy)
	}
	h.Set("Content-Type", paperKinds[extension(f.Name)])
	h.Set("Content-Length", fmt.Sprint(len(f.Bytes)))
	h.Set("Content-Disposition", mime.FormatMediaType(how, map[string]string{"filename": name}))
	_, _ = v.w.Write(f.Bytes) // a browser that has gone is no fault
	return nil
}

// paperPolicy leaves a browser's own reader of PDF what it needs, which differs from browser to browser; a PDF holds no page of ours.
const paperPolicy = "form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
