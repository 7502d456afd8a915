package desk

import (
	"encoding/json"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/cost"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/piece"
)

// Draft reads and drafts a job file and keeps everything it was made of. The record is still empty: nothing is laid.
// The error is a mistake.Problems where the file is at fault.
func Draft(name string, src []byte, files job.Files) (*job.Result, book.Draft, error) {
	src = costingLine.ReplaceAll(src, []byte("# the book prices by the room's own costing file"))
	d := book.Draft{Name: path.Base(strings.ReplaceAll(name, `\`, "/")), File: src}
	read := map[string][]byte{}
	j, err := job.Read(name, src, func(path string) ([]byte, error) {
		if files == nil {
			return nil, fs.ErrNotExist
		}
		b, err := files(path)
		if err == nil {
			read[path] = b
		}
		return b, err
	})
	if err != nil {
		return nil, d, err
	}
	r, err := j.Cut()
	if err != nil {
		return nil, d, err
	}
	d.ScriptName = j.Garment.Name
	if own, ok := garments.Script(j.Garment.Name); ok && !j.Foreign {
		d.Script = own
	}
	for path, b := range read {
		if j.Foreign && strings.HasSuffix(path, ".star") {
			d.ScriptName, d.Script = path, b
		} else {
			d.HouseName, d.House = path, b
		}
	}
	return r, d, nil
}

// Freeze is Draft, laid too, with the record that the book keeps.
func Freeze(name string, src []byte, files job.Files) (*job.Result, book.Draft, error) {
	r, d, err := Draft(name, src, files)
	if err != nil {
		return r, d, err
	}
	out, err := r.Files(true)
	if err != nil {
		return nil, d, err
	}
	d.Record, d.Level = out[0].Bytes, string(r.Level)
	return r, d, nil
}

// costingLine is where a job file names a costing file of its own, which the book passes over: prices change, drafts do not.
var costingLine = regexp.MustCompile(`(?m)^\s*costing\s*=.*$`)

var garmentLine = regexp.MustCompile(`(?m)^(\s*garment\s*=\s*)(["'])([^"'\n]*)["']`)

// Again drafts a kept draft from the bytes in the book alone, with the script as it was, whatever the program's own is today.
func Again(d book.Draft) (*job.Result, error) {
	src := d.File
	script := d.ScriptName
	if now, ok := garments.Script(d.ScriptName); ok && string(now) != string(d.Script) {
		script += ".star"
		src = garmentLine.ReplaceAll(src, []byte(`${1}"`+script+`"`))
	}
	r, _, err := Draft(d.Name, src, func(path string) ([]byte, error) {
		switch path {
		case d.HouseName:
			return d.House, nil
		case script:
			return d.Script, nil
		}
		return nil, fs.ErrNotExist
	})
	return r, err
}

// File takes the job file of a kept draft apart.
func File(d book.Draft) (*book.JobFile, error) {
	r, err := Again(d)
	if err != nil {
		return nil, err
	}
	f, err := book.ReadJobFile(d.File, Measures(r))
	if err == nil {
		meant(f)
	}
	return f, err
}

// Measures are a job's measures as the book keeps them, those of one side with left. or right. before their name.
func Measures(r *job.Result) []book.Measure {
	var out []book.Measure
	for _, t := range []struct {
		before string
		of     map[body.Name]body.Value
	}{{"", r.Job.Card.Values}, {"left.", r.Job.Card.Left}, {"right.", r.Job.Card.Right}} {
		for name, v := range t.of {
			out = append(out, book.Measure{Name: t.before + string(name), MM: v.MM, Confirmed: v.Confirmed})
		}
	}
	return out
}

// jobRecord is what is read back of a kept job.json: laying the pieces again would only give the same, and takes a while.
type jobRecord struct {
	Cloths []struct {
		Material string  `json:"material"`
		Name     string  `json:"name"`
		Width    float64 `json:"width"`
		Length   float64 `json:"length"`
		Bought   float64 `json:"bought"`
	} `json:"cloths"`
	Findings []struct {
		Level string `json:"level"`
		Code  string `json:"code"`
		Text  string `json:"text"`
	} `json:"findings"`
}

func recorded(d book.Draft) (jobRecord, error) {
	var out jobRecord
	if err := json.Unmarshal(d.Record, &out); err != nil {
		return out, mistake("the record in the book cannot be read")
	}
	return out, nil
}

// Found is what was found when a draft was made, gravest first.
func Found(d book.Draft) ([]piece.Finding, error) {
	record, err := recorded(d)
	var out []piece.Finding
	for _, f := range record.Findings {
		out = append(out, piece.Finding{Level: piece.Level(f.Level), Code: f.Code, Text: f.Text})
	}
	return out, err
}

// Materials are the kinds of cloth that a draft is cut of, each once.
func Materials(d book.Draft) ([]string, error) {
	record, err := recorded(d)
	var out []string
	for _, x := range record.Cloths {
		if x.Bought > 0 && !slices.Contains(out, x.Material) {
			out = append(out, x.Material)
		}
	}
	return out, err
}

// Notes are what a draft's job file says at its head: what was on the card and what was pinned.
func Notes(d book.Draft) []string {
	var out []string
	for _, line := range strings.Split(string(d.File), "\n") {
		if taught.MatchString(line) {
			out = append(out, strings.TrimPrefix(line, "# "))
		}
	}
	return out
}

// Cloths is the cloth that a kept draft takes, with the prices of its house file.
func Cloths(d book.Draft, r *job.Result) ([]cost.Cloth, error) {
	record, err := recorded(d)
	var out []cost.Cloth
	for _, x := range record.Cloths {
		c := cost.Cloth{Material: x.Material, Name: x.Name, Bought: x.Bought, Width: x.Width}
		for _, h := range r.Job.House.Cloths {
			if h.Material == c.Material && h.Name == c.Name {
				c.Price = h.Price
			}
		}
		if c.Bought > 0 {
			out = append(out, c)
		}
	}
	return out, err
}
