package web

import (
	"context"
	"errors"
	"fmt"
	"mime"
	"sync"

	"clothwright/job"
)

// papers are the files a job can be had as, in the order they are wanted.
var papers = []string{"chalk.pdf", "cut-list.pdf", "pieces.pdf", "roll.pdf", "lay-plan.pdf", "making-up.pdf", "pieces.svg", "job.json"}

var paperKinds = map[string]string{".pdf": "application/pdf", ".svg": "image/svg+xml", ".json": "application/json"}

// press prints one job at a time, since a job's sheets take a processor for a while, and keeps what was printed last.
type press struct {
	mu    sync.Mutex
	sign  string
	files []job.Output
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
		s := fmt.Sprintf("%d × %s", n.Count, n.Name)
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
	return v.show(sheetsPage(v.chrome(v.words.T("sheets.title"), "sheets", r), files, rows, materials, notions, v.s.withHand(r, c, v.words)))
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
			h := v.w.Header()
			h.Set("Content-Type", paperKinds[extension(name)])
			h.Set("Content-Length", fmt.Sprint(len(f.Bytes)))
			// A picture that were opened by itself must not be taken for one of these pages.
			h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
			_, err := v.w.Write(f.Bytes)
			if err != nil && !errors.Is(err, context.Canceled) {
				return nil
			}
			return nil
		}
	}
	return errNotFound
}
