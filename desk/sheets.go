package desk

import (
	"context"
	"fmt"

	"clothwright/book"
	"clothwright/job"
	"clothwright/piece"
	"clothwright/sheet/bitmap"
	"clothwright/sheet/docket"
	"clothwright/sheet/drawing"
	"clothwright/sheet/pdf"
	"clothwright/sheet/svg"
)

// named is a sheet that is to become NAME.pdf.
type named struct {
	name string
	d    *drawing.Drawing
}

// printed writes sheets as PDF; sketched adds the first page of the first as NAME.svg.
func printed(sketched bool, sheets ...named) ([]job.Output, error) {
	var out []job.Output
	for _, s := range sheets {
		b, err := pdf.Bytes(s.d)
		if err != nil {
			return nil, err
		}
		out = append(out, job.Output{Name: s.name + ".pdf", Bytes: b})
	}
	if sketched {
		b, err := svg.Bytes(sheets[0].d.Pages[0])
		if err != nil {
			return nil, err
		}
		out = append(out, job.Output{Name: sheets[0].name + ".svg", Bytes: b})
	}
	return out, nil
}

// pictures are a sheet's pages as PNG files small enough to send in a message: NAME.png, or NAME-1.png and so on where there
// are several.
func (s named) pictures() ([]job.Output, error) {
	var out []job.Output
	for i, p := range s.d.Pages {
		b, err := bitmap.Bytes(p, bitmap.Phone)
		if err != nil {
			return nil, err
		}
		name := s.name + ".png"
		if len(s.d.Pages) > 1 {
			name = fmt.Sprintf("%s-%d.png", s.name, i+1)
		}
		out = append(out, job.Output{Name: name, Bytes: b})
	}
	return out, nil
}

// picture is all of a sheet as one PNG file, NAME.png, its pages one below another: who is sent one picture has the whole.
func (s named) picture() (job.Output, error) {
	b, err := bitmap.Bytes(s.d.Column(), bitmap.Phone)
	return job.Output{Name: s.name + ".png", Bytes: b}, err
}

// Head names a job on the sheets that money and agreement are on.
func Head(r *job.Result, room, date string) docket.Head {
	h := docket.Head{House: room, Job: r.Job.Number, Client: r.Job.Client, Garment: r.Job.Garment.Title, Date: date, Paper: r.Job.House.Paper, Note: r.Job.Demo}
	for _, f := range r.Findings {
		if f.Level == piece.Stop {
			h.Stop = f.Text
			break
		}
	}
	return h
}

// headIn is Head with the room's own name, or otherwise where it has none, and the book's day.
func headIn(ctx context.Context, b *book.Book, r *job.Result, otherwise string) (docket.Head, error) {
	name, err := b.Setting(ctx, book.SetName)
	if name == "" {
		name = otherwise
	}
	return Head(r, name, b.Today()), err
}
